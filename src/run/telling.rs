//! What the stages found, held against what somebody accepted.

use crate::diag::{Code, Diagnostic, Warned, accept, bound_from, no_longer_found};
use crate::error::Error;
use crate::read::{Round, Site};

/// The findings of one round of a site, as its stages add to them. What is accepted is marked here and
/// nowhere else, before what there is too much of is counted.
pub(super) struct Telling<'a> {
    pub(super) site: &'a Site,
    pub(super) round: &'a Round,
    pub(super) findings: &'a mut Vec<Diagnostic>,
}

impl Telling<'_> {
    /// What a stage gives; its findings, and those of an error, are marked.
    pub(super) fn take<T>(&mut self, given: Result<Warned<T>, Error>) -> Result<T, Error> {
        match given {
            Ok(Warned { value, findings }) => {
                self.add(findings);
                Ok(value)
            }
            Err(mut error) => {
                accept(error.diagnostics_mut(), &self.site.accepted, &self.round.name);
                Err(error)
            }
        }
    }

    /// Findings by themselves.
    pub(super) fn add(&mut self, found: impl IntoIterator<Item = Diagnostic>) {
        let first = self.findings.len();
        self.findings.extend(found);
        accept(&mut self.findings[first..], &self.site.accepted, &self.round.name);
        bound_from(self.findings, 0);
    }

    /// What is accepted and no longer occurs, of the codes that were asked about.
    pub(super) fn gone(&mut self, asked: impl Fn(Code) -> bool) {
        let Self { site, round, .. } = *self;
        let gone = no_longer_found(self.findings, &site.accepted, &round.name, asked);
        self.add(gone);
    }
}
