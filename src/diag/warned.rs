//! A result together with what should be said about it.

use super::Diagnostic;

/// A value and the findings made on the way to it.
#[derive(Debug, Clone)]
pub struct Warned<T> {
    /// The value itself.
    pub value: T,
    /// What the user should be told about it, in the order found.
    pub findings: Vec<Diagnostic>,
}

impl<T> Warned<T> {
    /// Takes the value and appends the findings to a list kept elsewhere.
    pub fn drain_into(self, findings: &mut Vec<Diagnostic>) -> T {
        findings.extend(self.findings);
        self.value
    }
}
