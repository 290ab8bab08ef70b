//! The rounds of a site, read one after another.

use std::path::Path;
use std::sync::Arc;

use super::stages::{Heads, heads, heads_of};
use crate::diag::{Diagnostic, Severity, printable};
use crate::error::Error;
use crate::read::{self, Overrides, Site};

/// A site whose rounds are asked for one by one.
pub(super) struct SiteRounds<'a> {
    source: &'a Path,
    overrides: &'a Overrides,
    /// What its files say.
    pub(super) site: Arc<Site>,
    of_site: Vec<Diagnostic>,
    /// The rounds that it can give itself: of a table that holds several it has only one.
    own: Vec<String>,
}

impl<'a> SiteRounds<'a> {
    /// Reads what holds for every round.
    pub(super) fn read(source: &'a Path, overrides: &'a Overrides) -> Result<Self, Error> {
        let site = read::site(source, overrides)?;
        let own = site.value.rounds.names();
        Ok(Self { source, overrides, site: Arc::new(site.value), of_site: site.findings, own })
    }

    /// The names of all rounds.
    pub(super) fn names(&self) -> Vec<String> {
        self.site.rounds.known()
    }

    /// The name of the round that is meant by `wanted`, or of the newest.
    pub(super) fn name_of(&self, wanted: Option<&str>) -> Result<String, Error> {
        if let Some(wanted) = wanted
            && self.names().iter().any(|name| name == wanted)
        {
            return Ok(wanted.to_owned());
        }
        Ok(self.site.round(wanted)?.value.name.clone())
    }

    /// Reads one of them and reduces it to heads.
    pub(super) fn heads(&self, name: &str, said: &mut Vec<Diagnostic>) -> Result<Heads, Error> {
        if !self.own.iter().any(|own| own == name) {
            let overrides = Overrides { round: Some(name.to_owned()), ..self.overrides.clone() };
            return heads(self.source, &overrides, said);
        }
        let round = self.site.round(Some(name))?;
        let mut found = self.of_site.clone();
        found.extend(round.findings);
        heads_of((Arc::clone(&self.site), round.value), found, said)
    }
}

/// Why a round gave nothing, in one line; all that was found with the refusal goes to `said`.
pub(super) fn refused(error: &Error, said: &mut Vec<Diagnostic>) -> String {
    said.extend(error.diagnostics().iter().cloned());
    refusal(error)
}

/// The same in one line.
pub(super) fn refusal(error: &Error) -> String {
    let mut refusals = error.diagnostics().iter().filter(|d| d.severity == Severity::Refusal);
    refusals.next().map_or_else(|| error.to_string(), |d| format!("{}: {}", d.code.id(), d.message))
}

/// What was found in several rounds, each once. What only one of them has and neither its words nor its places name
/// begins with the round.
pub(super) fn of_rounds(found: &[(String, Vec<Diagnostic>)]) -> Vec<Diagnostic> {
    let mut all: Vec<Diagnostic> = Vec::new();
    for (i, (round, own)) in found.iter().enumerate() {
        let elsewhere = |d: &Diagnostic| {
            found.iter().enumerate().any(|(k, (_, others))| k != i && others.contains(d))
        };
        let names_it = |d: &Diagnostic| {
            d.message.contains(round.as_str())
                || d.origins.iter().any(|o| o.file.contains(round.as_str()))
        };
        for d in own {
            let mut d = d.clone();
            if found.len() > 1 && !names_it(&d) && !elsewhere(&d) {
                d.message = format!("round {}: {}", printable(round), d.message);
            }
            if !all.contains(&d) {
                all.push(d);
            }
        }
    }
    all
}
