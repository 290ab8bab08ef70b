//! A result together with what should be said about it.

use super::bounded::{bound_from, bounded};
use super::diagnostic::Diagnostic;

/// A value and the findings made on the way to it.
#[derive(Debug, Clone)]
pub struct Warned<T> {
    /// The value itself.
    pub value: T,
    /// What the user should be told about it, in the order found, [bounded].
    pub findings: Vec<Diagnostic>,
}

impl<T> Warned<T> {
    /// A value and what was found, which is bounded here.
    #[must_use]
    pub fn new(value: T, findings: Vec<Diagnostic>) -> Self {
        Self { value, findings: bounded(findings) }
    }

    /// Takes the value and adds the findings to a list kept elsewhere, which stays bounded.
    pub fn drain_into(self, findings: &mut Vec<Diagnostic>) -> T {
        findings.extend(self.findings);
        bound_from(findings, 0);
        self.value
    }
}
