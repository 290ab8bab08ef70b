//! All rounds of a site, each read and reduced.

use std::path::Path;
use std::sync::Arc;

use super::rounds::{SiteRounds, of_rounds, refused};
use super::stages::{Heads, control};
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic, bounded};
use crate::error::Error;
use crate::read::{InputFile, Overrides, Site};
use crate::record::ReducedRound;

/// A round of them.
pub(super) struct OneRound {
    pub(super) heads: Heads,
    /// Its control points; `None` where the checks refused them.
    pub(super) control: Option<ControlSet>,
    /// What was found in it.
    pub(super) found: Vec<Diagnostic>,
}

/// The rounds of a site that could be read, in the order of their names.
pub(super) struct AllRounds {
    /// The site.
    pub(super) site: Arc<Site>,
    /// They.
    pub(super) read: Vec<OneRound>,
    /// Those that could not be, and why.
    pub(super) not_read: Vec<(String, String)>,
    /// All that was found, each once.
    pub(super) said: Vec<Diagnostic>,
}

impl AllRounds {
    /// Reads every round of a site once.
    ///
    /// # Errors
    /// [`Error::Read`]: the site is not readable; none of its rounds is, or it has none, unless the sheet for its first round is
    /// asked for; (R111) the rounds of one table do not have the same wells.
    pub(super) fn read(source: &Path, overrides: &Overrides) -> Result<Self, Error> {
        let all = SiteRounds::read(source, overrides)?;
        let mut read: Vec<OneRound> = Vec::new();
        let (mut not_read, mut found) = (Vec::new(), Vec::new());
        for name in all.names() {
            let mut said = Vec::new();
            match all.heads(&name, &mut said) {
                Ok(heads) => {
                    let control = control(&heads, &mut said);
                    let control = control.map_err(|error| refused(&error, &mut said)).ok();
                    read.push(OneRound { heads, control, found: said.clone() });
                }
                Err(error) => not_read.push((name.clone(), refused(&error, &mut said))),
            }
            found.push((name, said));
        }
        let said = of_rounds(&found);
        let site = match read.first() {
            Some(first) => Arc::clone(&first.heads.site),
            None if not_read.is_empty() && overrides.before_first_round => all.site,
            None => return Err(Error::Read(bounded(said))),
        };
        let wells = |site: &Site| site.wells.iter().map(|w| w.id.clone()).collect::<Vec<_>>();
        if read.iter().any(|one| wells(&one.heads.site) != wells(&site)) {
            let message = "the rounds of this table do not have the same wells".to_owned();
            let advice =
                "put the wells into a register of their own: wells.csv beside the readings";
            let told = Diagnostic::new(Code::RoundUnclear, message).advice(advice);
            return Err(Error::Read(vec![told]));
        }
        Ok(Self { site, read, not_read, said })
    }

    /// They as the record takes them.
    pub(super) fn reduced(&self) -> Vec<ReducedRound<'_>> {
        let all = self.read.iter();
        let of = all.map(|OneRound { heads, control, .. }| ReducedRound {
            round: &heads.round,
            reduced: &heads.reduced,
            control: control.as_ref(),
        });
        of.collect()
    }

    /// Every file read, each once.
    pub(super) fn inputs(&self) -> Vec<InputFile> {
        let all = self.read.iter().map(|one| &one.heads);
        let all = all.flat_map(|heads| heads.site.inputs.iter().chain(&heads.round.inputs));
        InputFile::each_once(all).into_iter().cloned().collect()
    }
}
