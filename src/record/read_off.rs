//! What reduced rounds say of heads, times and positions, side by side.

use std::collections::BTreeMap;

use geo::Coord;
use jiff::civil::{Date, DateTime};

use super::types::{Level, Levels, RoundLevels};
use crate::check::{self, ControlSet, HeadSd, Situation};
use crate::geom::Frame;
use crate::read::{Measurement, Moment, Round, Site, WellKind};
use crate::reduce::{ReadingAccount, Reduced, WellHead};
use crate::uncertainty::position_sd_m;

/// A round, reduced, and its control points where its heads carry a map.
#[derive(Debug, Clone, Copy)]
pub struct ReducedRound<'a> {
    /// The round.
    pub round: &'a Round,
    /// Its heads.
    pub reduced: &'a Reduced,
    /// Its control points; `None` where the checks refused them.
    pub control: Option<&'a ControlSet>,
}

impl<'a> ReducedRound<'a> {
    /// Of the readings of a well the one behind its head, else the last.
    pub(crate) fn account_of(&self, well: usize) -> Option<&'a ReadingAccount> {
        let accounts = self.reduced.accounts.iter().filter(|a| a.well == well);
        accounts.max_by_key(|a| (a.behind, a.reading))
    }

    /// The day in the middle of its readings; `None` where none has a date.
    pub(super) fn day(&self) -> Option<Date> {
        let mut days: Vec<Date> =
            self.reduced.heads.iter().filter_map(|h| h.moment).map(Moment::date).collect();
        days.sort();
        days.get(days.len() / 2).copied()
    }

    /// The control points that are wells or gauges: index into the register, position and head in m.
    pub(super) fn control_wells(&self, frame: &Frame) -> Vec<(usize, Coord, f64)> {
        let Some(control) = self.control else { return Vec::new() };
        let metres = control.elevation_unit().metres();
        let of = |i: usize| {
            let point = &control.points()[i];
            Some((point.well()?, frame.to_local(point.crs), point.head * metres))
        };
        control.wells().into_iter().filter_map(of).collect()
    }
}

/// Days from 1970-01-01 to a moment, a day without a time to its noon.
pub(super) fn days(moment: Moment) -> f64 {
    let at = match moment {
        Moment::Time(time) => time,
        Moment::Day(day) => day.at(12, 0, 0, 0),
    };
    at.duration_since(DateTime::constant(1970, 1, 1, 0, 0, 0, 0)).as_secs_f64() / 86_400.0
}

/// One frame for all rounds: that of the first which has control points.
pub(super) fn frame(rounds: &[ReducedRound<'_>]) -> Option<Frame> {
    rounds.iter().find_map(|r| r.control).map(|control| *control.frame())
}

/// The heads of all rounds. Places have the wells, and not the gauges, that are control points in some round: they
/// are of one water.
pub(super) fn levels(site: &Site, rounds: &[ReducedRound<'_>]) -> Levels {
    let mut places: Vec<Option<Coord>> = vec![None; site.wells.len()];
    if let Some(frame) = frame(rounds) {
        for (well, at, _) in rounds.iter().flat_map(|r| r.control_wells(&frame)) {
            if site.wells[well].kind == WellKind::Well {
                places[well].get_or_insert(at);
            }
        }
    }
    Levels {
        elevation_unit: site.settings.elevation_unit,
        places,
        rounds: rounds.iter().map(|round| levels_of(site, round)).collect(),
    }
}

fn levels_of(site: &Site, of: &ReducedRound<'_>) -> RoundLevels {
    let sds = sds(site, of);
    let mut wells = vec![None; site.wells.len()];
    for head in &of.reduced.heads {
        wells[head.well] = Some(level(of, head, sds.get(&head.well).copied()));
    }
    RoundLevels { depth_unit: of.round.depth_unit, wells }
}

/// The standard deviations of the heads of control points, positions held against the slope of their plane.
fn sds(site: &Site, of: &ReducedRound<'_>) -> BTreeMap<usize, HeadSd> {
    let Some(control) = of.control else { return BTreeMap::new() };
    let steep = plane_slope(of, control);
    let position = |p: &check::ControlPoint| {
        p.row(site).map_or(0.0, |well| position_sd_m(site, control, well) * steep)
    };
    let positions: Vec<f64> = control.points().iter().map(position).collect();
    let sds = check::heads(of.round, control, &positions);
    control.points().iter().zip(sds).filter_map(|(p, sd)| Some((p.well()?, sd))).collect()
}

fn plane_slope(of: &ReducedRound<'_>, control: &ControlSet) -> f64 {
    let (at, heads): (Vec<Coord>, Vec<f64>) =
        of.control_wells(control.frame()).into_iter().map(|(_, at, head)| (at, head)).unzip();
    crate::geom::fit_plane(&at, &heads).map_or(0.0, |plane| plane.slope.magnitude())
}

fn level(of: &ReducedRound<'_>, head: &WellHead, sd: Option<HeadSd>) -> Level {
    let metres = of.round.depth_unit.metres();
    let last = head.accounts.last().map(|i| &of.reduced.accounts[*i]);
    let reading = last.map(|account| &of.round.readings[account.reading]);
    let sds = sd.unwrap_or_else(|| {
        of.round.head_errors.of(Situation {
            depth_m: head.depth.map(|d| d * metres),
            product_thickness_m: head.product_thickness.map(|t| t * metres),
            ..Situation::default()
        })
    });
    Level {
        head: head.head,
        sds,
        measuring_point: head.measuring_point,
        surveyed: last.and_then(|account| account.surveyed),
        instrument: reading.and_then(|r| r.instrument.clone()),
        depth_read: reading.and_then(|r| match r.measurement {
            Measurement::Depth(depth) => Some(depth),
            _ => None,
        }),
    }
}
