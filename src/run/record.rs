//! The record of a site: all its rounds side by side.

use std::path::Path;
use std::sync::Arc;

use super::all_rounds::AllRounds;
use super::rounds::each_once;
use super::telling::Telling;
use crate::diag::Diagnostic;
use crate::error::Error;
use crate::read::Overrides;
use crate::record;
use crate::report::SiteRecord;

/// Reads every round of a site once and puts them side by side. A round that cannot be read is named with the reason;
/// one whose heads carry no map has its heads in the record and no gradient.
///
/// # Errors
/// [`Error::Read`] when the site itself cannot be read, when no round can, and (R111) when the rounds of one table do not
/// have the same wells.
pub fn record(
    source: &Path,
    overrides: &Overrides,
    findings: &mut Vec<Diagnostic>,
) -> Result<SiteRecord, Error> {
    let all = AllRounds::read(source, overrides)?;
    Ok(of(&all, findings))
}

/// The record of rounds that were read.
pub(super) fn of(all: &AllRounds, findings: &mut Vec<Diagnostic>) -> SiteRecord {
    let rounds = all.reduced();
    let record = record::of(&all.site, &rounds);
    let mut said = all.said.clone();
    for (at, found) in record::findings(&record) {
        let is = |round: &&record::ReducedRound<'_>| round.round.name == record.rounds[at].round;
        if let Some(of) = rounds.iter().find(is) {
            Telling { site: &all.site, round: of.round, findings: &mut said }.add([found]);
        }
    }
    findings.extend(each_once(said.iter()));
    let ground = all.read.iter().find_map(|one| one.control.clone());
    let (site, not_read, inputs) = (Arc::clone(&all.site), all.not_read.clone(), all.inputs());
    SiteRecord { site, record, not_read, inputs, ground }
}
