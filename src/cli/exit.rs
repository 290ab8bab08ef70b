//! What the shell is told.

use std::process::ExitCode;

use headfall::diag::{Diagnostic, Severity};

use super::args::FailOn;

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Exit {
    /// Done.
    Done = 0,
    /// Done, with findings at or above `--fail-on`.
    Findings = 1,
    /// Refused, unusable input, or not writable: nothing was written.
    Refused = 2,
    /// The files were written, and standard output could not be.
    Unsaid = 3,
}

impl Exit {
    /// The end of a run that did its job. Findings that somebody accepted do not count.
    pub(super) fn done(findings: &[Diagnostic], fail_on: FailOn) -> Self {
        let bound = match fail_on {
            FailOn::Note => Severity::Note,
            FailOn::Warning => Severity::Warning,
            FailOn::Never => return Self::Done,
        };
        let counts = |f: &Diagnostic| !f.accepted && f.severity >= bound;
        if findings.iter().any(counts) { Self::Findings } else { Self::Done }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit as u8)
    }
}
