//! How many findings there are.

use super::words::counted;
use crate::diag::{Diagnostic, Severity};

/// How many warnings and notes there are, and how many of both somebody accepted; those that are not
/// listed one by one among them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FindingCounts {
    /// Warnings that nobody accepted.
    pub warnings: usize,
    /// Notes that nobody accepted.
    pub notes: usize,
    /// Warnings and notes that somebody accepted.
    pub accepted: usize,
}

impl FindingCounts {
    /// Of these findings.
    #[must_use]
    pub fn of(findings: &[Diagnostic]) -> Self {
        let count = |which: &dyn Fn(&Diagnostic) -> bool| {
            findings.iter().filter(|f| which(f)).map(Diagnostic::count).sum()
        };
        let open = |severity| count(&|f| !f.accepted && f.severity == severity);
        Self {
            warnings: open(Severity::Warning),
            notes: open(Severity::Note),
            accepted: count(&|f| f.accepted),
        }
    }

    /// As a list: `2 warnings (C308, M416), 3 notes, 1 accepted`.
    ///
    /// # Units
    /// - `named`: what follows the warnings
    #[must_use]
    pub fn words(&self, named: &str) -> String {
        let Self { warnings, notes, accepted } = *self;
        let accepted = if accepted == 0 { String::new() } else { format!(", {accepted} accepted") };
        format!("{}{named}, {}{accepted}", counted(warnings, "warning"), counted(notes, "note"))
    }
}
