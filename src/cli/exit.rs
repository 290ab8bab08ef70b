//! What the shell is told.

use std::process::ExitCode;

use headfall::Error;
use headfall::diag::{Diagnostic, Severity};

use super::args::FailOn;

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Exit {
    /// Done.
    Done = 0,
    /// Done, with findings at or above `--fail-on`.
    Findings = 1,
    /// Refused: the data do not give what was asked; nothing was written.
    Refused = 2,
    /// Files, or standard output, could not be written.
    NotWritten = 3,
    /// The command line is wrong.
    Usage = 4,
    /// There are no results to work on.
    Nothing = 5,
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

impl Exit {
    /// The end of a run that gave an error.
    pub(super) const fn of(error: &Error) -> Self {
        match error {
            Error::Write { .. } => Self::NotWritten,
            _ => Self::Refused,
        }
    }

    /// The end of several runs.
    pub(super) fn worst(self, other: Self) -> Self {
        let weight = |exit| match exit {
            Self::Done => 0,
            Self::Findings => 1,
            Self::Nothing => 2,
            Self::Refused => 3,
            Self::Usage => 4,
            Self::NotWritten => 5,
        };
        if weight(other) > weight(self) { other } else { self }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit as u8)
    }
}
