//! A result together with what should be said about it.

use super::bounded::bound_from;
use super::diagnostic::Diagnostic;

/// A value and the findings made on the way to it.
#[derive(Debug, Clone)]
pub struct Warned<T> {
    /// The value itself.
    pub value: T,
    /// What the user should be told about it, in the order found.
    pub findings: Vec<Diagnostic>,
}

impl<T> Warned<T> {
    /// A value and what was found.
    #[must_use]
    pub const fn new(value: T, findings: Vec<Diagnostic>) -> Self {
        Self { value, findings }
    }

    /// Takes the value and adds the findings to a list kept elsewhere, which stays [bounded](super::bounded).
    pub fn drain_into(self, findings: &mut Vec<Diagnostic>) -> T {
        findings.extend(self.findings);
        bound_from(findings, 0);
        self.value
    }
}
