//! The record of a site: all its rounds side by side.

use std::path::Path;
use std::sync::Arc;

use super::rounds::{SiteRounds, each_once, refused};
use super::stages::{Heads, control};
use super::telling::Telling;
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic, bounded};
use crate::error::Error;
use crate::read::{InputFile, Overrides};
use crate::record::{self, ReducedRound};
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
    let all = SiteRounds::read(source, overrides)?;
    let mut read: Vec<(Heads, Option<ControlSet>)> = Vec::new();
    let (mut not_read, mut said) = (Vec::new(), Vec::new());
    for name in all.names() {
        match all.heads(&name, &mut said) {
            Ok(heads) => {
                let control = control(&heads, &mut said);
                let control = control.map_err(|error| refused(&error, &mut said)).ok();
                read.push((heads, control));
            }
            Err(error) => not_read.push((name, refused(&error, &mut said))),
        }
    }
    let Some((first, _)) = read.first() else {
        return Err(Error::Read(bounded(each_once(said.iter()))));
    };
    let site = Arc::clone(&first.site);
    let wells = |heads: &Heads| heads.site.wells.iter().map(|w| w.id.clone()).collect::<Vec<_>>();
    if read.iter().any(|(heads, _)| wells(heads) != wells(first)) {
        let message = "the rounds of this table do not have the same wells".to_owned();
        let advice = "put the wells into a register of their own: wells.csv beside the readings";
        return Err(Error::Read(vec![Diagnostic::new(Code::RoundUnclear, message).advice(advice)]));
    }
    let rounds: Vec<ReducedRound<'_>> = read
        .iter()
        .map(|(heads, control)| ReducedRound {
            round: &heads.round,
            reduced: &heads.reduced,
            control: control.as_ref(),
        })
        .collect();
    let record = record::of(&site, &rounds);
    for (at, found) in record::findings(&record) {
        let is = |round: &&ReducedRound<'_>| round.round.name == record.rounds[at].round;
        if let Some(of) = rounds.iter().find(is) {
            Telling { site: &site, round: of.round, findings: &mut said }.add([found]);
        }
    }
    let mut inputs: Vec<InputFile> = Vec::new();
    for input in read.iter().flat_map(|(h, _)| h.site.inputs.iter().chain(&h.round.inputs)) {
        if !inputs.contains(input) {
            inputs.push(input.clone());
        }
    }
    findings.extend(each_once(said.iter()));
    let ground = read.into_iter().find_map(|(_, control)| control);
    Ok(SiteRecord { site, record, not_read, inputs, ground })
}
