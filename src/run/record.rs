//! The record of a site: all its rounds side by side.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use geo::Coord;
use rayon::prelude::*;

use super::all_rounds::{AllRounds, OneRound};
use super::telling::Telling;
use crate::check::{ControlPoint, ControlSet};
use crate::diag::Diagnostic;
use crate::error::Error;
use crate::geom::bounds;
use crate::map::{AcrossRounds, Map, Worked};
use crate::read::{Overrides, Site};
use crate::record::{self, Period, PeriodValue};
use crate::report::{PeriodMap, SiteRecord};

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
    let mut record = of(&all, findings);
    record.surfaces = surfaces(&all, &record.record);
    Ok(record)
}

/// The maps of the highest, the lowest and the mean heads of years and seasons, on one grid.
fn surfaces(all: &AllRounds, record: &record::Record) -> Vec<PeriodMap> {
    // The rounds of the record are in the order of their days.
    let read: Vec<Option<&OneRound>> = record
        .rounds
        .iter()
        .map(|row| all.read.iter().find(|one| one.heads.round.name == row.round))
        .collect();
    let control = |round: usize| read[round].and_then(|one| one.control.as_ref());
    let on_map: Vec<BTreeMap<usize, bool>> = (0..read.len())
        .map(|round| control(round).map(ControlSet::by_well).unwrap_or_default())
        .collect();
    let all_bounds = (0..read.len()).filter_map(control).map(ControlSet::bounds);
    let box_of_all = bounds(all_bounds.flat_map(|(low, high)| [low, high]));
    let asked = record::periods(record).into_iter().flat_map(|period| {
        [Worked::Highest, Worked::Lowest, Worked::Mean].map(|worked| (period.clone(), worked))
    });
    let site = Arc::new(super::across::of_values(&all.site));
    let one = |(period, worked): (Period, Worked)| {
        let of = |well: usize| {
            record::value(record, &period, worked, well, |round| on_map[round].get(&well).copied())
        };
        let values: Vec<Result<PeriodValue, String>> = (0..record.wells.len()).map(of).collect();
        let map = period_map(&site, record, (&period, worked), &values, &read, box_of_all);
        PeriodMap { period, worked, values, map }
    };
    asked.collect::<Vec<_>>().into_par_iter().map(one).collect()
}

/// One of them, or why there is none.
fn period_map(
    site: &Arc<Site>,
    record: &record::Record,
    (period, worked): (&Period, Worked),
    values: &[Result<PeriodValue, String>],
    read: &[Option<&OneRound>],
    box_of_all: (Coord, Coord),
) -> Result<Map, String> {
    let rounds = || period.rounds.iter().filter_map(|round| read[*round]);
    let sets: Vec<&ControlSet> = rounds().filter_map(|one| one.control.as_ref()).collect();
    let value = |well: usize| values[well].as_ref().ok();
    let few = || "fewer than three wells have a value".to_owned();
    let valued = |well: usize| value(well).map(|v| (v.value, v.doubtful));
    let control = ControlSet::across(&sets, valued).ok_or_else(few)?;
    let sd = |p: &ControlPoint| p.well().and_then(value).map_or(0.0, |v| v.sd);
    let sds: Vec<f64> = control.points().iter().map(sd).collect();
    let last = rounds().next_back().ok_or_else(few)?;
    let without = (0..values.len()).filter(|well| record.was_read(*well, period));
    let across = AcrossRounds {
        worked,
        rounds: period.rounds.iter().map(|i| record.rounds[*i].round.clone()).collect(),
        period: period.words.clone(),
        without: without.filter_map(|w| Some((w, values[w].as_ref().err()?.clone()))).collect(),
    };
    super::across::map(site, &last.heads.round, control, (&sds, box_of_all), across)
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
    findings.extend(said);
    let ground = all.read.iter().find_map(|one| one.control.clone());
    let (site, not_read, inputs) = (Arc::clone(&all.site), all.not_read.clone(), all.inputs());
    SiteRecord { site, record, not_read, inputs, ground, surfaces: Vec::new() }
}
