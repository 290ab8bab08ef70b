//! The record of a site, put together.

use std::collections::BTreeMap;

use geo::Coord;
use jiff::civil::Date;

use super::change::{change, one_survey, own_sds_m, variance_in_common};
use super::circular::circular;
use super::nests::nest_rows;
use super::read_off::{ReducedRound, days, frame, levels};
use super::rows::{
    Built, ChangeRow, Extremes, GradientRow, HeadRow, Record, RoundRow, TurnRow, WellRow,
};
use super::seasonal::{InSeason, Seasons, seasonal_trend};
use super::through_time::unfitting;
use super::trend::trend;
use super::turned::{SharedWell, turned};
use super::types::{Dated, Level, Levels};
use crate::check::Parts;
use crate::geom::{Frame, fit_plane_known_to};
use crate::read::{Moment, Site, Status};
use crate::reduce::ReadingAccount;
use crate::uncertainty::plane_error;
use crate::units::{Azimuth, median};

/// What the rounds of a site say side by side.
///
/// Rounds are taken in the order of their days, those without a date last and as they are given. Every well with a
/// head takes part, those too that are not on the map; gradients, turns, and heads held against each other are of the
/// control points alone.
///
/// # Units
/// - heads and changes: the elevation unit of the site; azimuths against grid north unless they say true north
///
/// # References
/// `docs/record.md`.
#[must_use]
pub fn of(site: &Site, rounds: &[ReducedRound<'_>]) -> Record {
    let mut rounds = rounds.to_vec();
    rounds.sort_by_key(|r| (r.day().is_none(), r.day()));
    let levels = levels(site, &rounds);
    let frame = frame(&rounds);
    let seasons = seasons(&rounds);
    let heads: Vec<HeadRow> =
        (0..site.wells.len()).flat_map(|w| heads_of(site, &rounds, &levels, w)).collect();
    let of_rounds = round_rows(&rounds, &levels, frame.as_ref());
    let directions: Vec<Azimuth> =
        of_rounds.iter().filter_map(|r| r.gradient?.azimuth_grid).collect();
    let wells = (0..site.wells.len()).map(|well| {
        let of_well: Vec<&HeadRow> = heads.iter().filter(|h| h.well == well).collect();
        let built = built(site, &levels, well);
        well_row(&site.wells[well].id, built, &of_well, &rounds, seasons)
    });
    Record {
        elevation_unit: site.settings.elevation_unit,
        wells: wells.collect(),
        rounds: of_rounds,
        seasons,
        directions: circular(&directions),
        changes: changes(&levels),
        nests: nest_rows(site, &rounds),
        unfitting: unfitting(&levels),
        heads,
    }
}

/// As many seasons as there are rounds in the usual year, if that is two or more: 2, 4 or 12.
fn seasons(rounds: &[ReducedRound<'_>]) -> Option<Seasons> {
    let days: Vec<Date> = rounds.iter().filter_map(ReducedRound::day).collect();
    let mut years: BTreeMap<i16, f64> = BTreeMap::new();
    for day in &days {
        *years.entry(day.year()).or_default() += 1.0;
    }
    let count = match median(years.into_values())? {
        rounds if rounds >= 9.0 => 12,
        rounds if rounds >= 3.0 => 4,
        rounds if rounds >= 2.0 => 2,
        _ => return None,
    };
    Seasons::around(&days, count)
}

/// The hydrograph of a well.
fn heads_of(
    site: &Site,
    rounds: &[ReducedRound<'_>],
    levels: &Levels,
    well: usize,
) -> Vec<HeadRow> {
    let metres = levels.elevation_unit.metres();
    let mut found = Vec::new();
    let mut before: Option<&Level> = None;
    for (round, of) in rounds.iter().enumerate() {
        let Some(last) = of.account_of(well) else { continue };
        let reading = &of.round.readings[last.reading];
        let level = levels.at(round, well);
        let head = of.reduced.heads.iter().find(|h| h.well == well);
        let moment: Option<Moment> = head.and_then(|h| h.moment).or(reading.moment);
        let deep = dry_below(site, of, levels, last, before.or(level));
        let resurveyed = before.zip(level).is_some_and(|(then, now): (&super::types::Level, _)| {
            now.measuring_point.is_some()
                && then.measuring_point.is_some()
                && !one_survey(then, now)
        });
        found.push(HeadRow {
            well,
            round,
            moment: moment.map(|m| m.to_string()),
            day: moment.map(days),
            head: level.map(|l| l.head),
            sd: level.map(|l| l.sds.sd_m / metres),
            status: reading.status,
            below: deep,
            product: last
                .product_thickness
                .filter(|thick| *thick > 0.0)
                .map(|thick| of.round.depth_unit.convert(thick, levels.elevation_unit)),
            resurveyed,
            origin: reading.origin.clone(),
        });
        before = level.or(before);
    }
    found
}

/// The elevation that the water is below in a well that was dry: the depth down to which it was read so, or else the
/// bottom of the well or its screen. By the measuring point of the well's head before where the reading has none.
fn dry_below(
    site: &Site,
    of: &ReducedRound<'_>,
    levels: &Levels,
    account: &ReadingAccount,
    before: Option<&Level>,
) -> Option<f64> {
    if of.round.readings[account.reading].status != Status::Dry {
        return None;
    }
    let point = account.measuring_point.or_else(|| before?.measuring_point);
    let deep = account.dry_to.map(|d| of.round.depth_unit.convert(d, levels.elevation_unit));
    let read = point.zip(deep).map(|(point, deep)| point - deep);
    let parts = Parts::of(&site.wells[account.well], point, &site.settings);
    parts.lowest_water(read).map(|(at, _)| at)
}

/// The parts of a well by the measuring point of its newest head.
fn built(site: &Site, levels: &Levels, well: usize) -> Built {
    let newest = (0..levels.rounds.len()).rev().find_map(|round| levels.at(round, well));
    let measuring_point = newest.and_then(|level| level.measuring_point);
    let parts = Parts::of(&site.wells[well], measuring_point, &site.settings);
    Built {
        measuring_point,
        screen_top: parts.screen_top,
        screen_bottom: parts.screen_bottom,
        silt: parts.silt(site.settings.elevation_unit),
    }
}

fn well_row(
    name: &str,
    built: Built,
    heads: &[&HeadRow],
    rounds: &[ReducedRound<'_>],
    seasons: Option<Seasons>,
) -> WellRow {
    let (mut years, mut in_seasons) =
        (BTreeMap::<i16, Vec<_>>::new(), BTreeMap::<i8, Vec<_>>::new());
    let (mut all, mut series, mut seasonal) = (Vec::new(), Vec::new(), Vec::new());
    for row in heads {
        let Some(head) = row.head else { continue };
        all.push((row.round, head));
        series.extend(row.day.map(|day| Dated { day, head }));
        let Some(day) = rounds[row.round].day() else { continue };
        years.entry(day.year()).or_default().push((row.round, head));
        if let Some((year, season)) = seasons.map(|s| s.of(day)) {
            in_seasons.entry(season).or_default().push((row.round, head));
            seasonal.push(InSeason { year, season, head });
        }
    }
    WellRow {
        well: name.to_owned(),
        built,
        extremes: extremes(&all),
        years: years.into_iter().filter_map(|(y, heads)| Some((y, extremes(&heads)?))).collect(),
        in_seasons: in_seasons
            .into_iter()
            .filter_map(|(s, heads)| Some((s, extremes(&heads)?)))
            .collect(),
        trend: trend(&series),
        seasonal: seasons.map(|_| seasonal_trend(&seasonal)),
    }
}

/// The highest, the lowest and the mean of some heads with their rounds.
fn extremes(heads: &[(usize, f64)]) -> Option<Extremes> {
    let first = *heads.first()?;
    let (mut lowest, mut highest) = (first, first);
    for head in heads {
        if head.1 < lowest.1 {
            lowest = *head;
        }
        if head.1 > highest.1 {
            highest = *head;
        }
    }
    Some(Extremes {
        heads: heads.len(),
        lowest: lowest.1,
        lowest_in: lowest.0,
        highest: highest.1,
        highest_in: highest.0,
        mean: heads.iter().map(|h| h.1).sum::<f64>() / heads.len() as f64,
    })
}

/// What changed at every well from one of its heads to the next.
fn changes(levels: &Levels) -> Vec<ChangeRow> {
    let mut found = Vec::new();
    for well in 0..levels.places.len() {
        let read: Vec<usize> =
            (0..levels.rounds.len()).filter(|round| levels.at(*round, well).is_some()).collect();
        for pair in read.windows(2) {
            let [from, to] = [pair[0], pair[1]];
            let both = levels.at(from, well).zip(levels.at(to, well));
            found.extend(both.map(|(a, b)| ChangeRow {
                well,
                from,
                to,
                change: change(a, b, levels.elevation_unit),
            }));
        }
    }
    found
}

fn round_rows(
    rounds: &[ReducedRound<'_>],
    levels: &Levels,
    frame: Option<&Frame>,
) -> Vec<RoundRow> {
    let mut last: Option<usize> = None;
    let mut rows = Vec::new();
    for (i, round) in rounds.iter().enumerate() {
        let gradient = frame.and_then(|frame| gradient(round, levels, i, frame));
        let turn = frame.zip(last).filter(|_| gradient.is_some()).and_then(|(frame, since)| {
            let shared = shared(rounds, levels, [since, i], frame);
            turned(&shared, frame.rounding_m()).map(|turn| TurnRow { since, turn })
        });
        if gradient.is_some() {
            last = Some(i);
        }
        rows.push(RoundRow {
            round: round.round.name.clone(),
            day: round.day().map(|day| day.to_string()),
            heads: round.reduced.heads.len(),
            gradient,
            turn,
        });
    }
    rows
}

/// The plane of a round.
fn gradient(
    round: &ReducedRound<'_>,
    levels: &Levels,
    at: usize,
    frame: &Frame,
) -> Option<GradientRow> {
    let convergence = round.control?.convergence_deg();
    let wells = round.control_wells(frame);
    let places: Vec<Coord> = wells.iter().map(|w| w.1).collect();
    let heads: Vec<f64> = wells.iter().map(|w| w.2).collect();
    let sds: Option<Vec<f64>> =
        wells.iter().map(|w| levels.at(at, w.0).map(|level| level.sds.sd_m)).collect();
    let plane = fit_plane_known_to(&places, &heads, frame.rounding_m())?;
    let error = plane_error(&plane, &places, &sds?)?;
    let azimuth_grid = Azimuth::of_vector(-plane.slope.east, -plane.slope.north);
    Some(GradientRow {
        wells: wells.len(),
        gradient: plane.slope.magnitude(),
        gradient_interval: error.stated.magnitude,
        azimuth_grid,
        azimuth_true: azimuth_grid.zip(convergence).map(|(a, by)| a.turned(by)),
        direction_interval: error.stated.direction,
        resolved: error.stated.resolved,
        fit: error.fit,
    })
}

/// The control points that two rounds share, with what their errors have in common.
fn shared(
    rounds: &[ReducedRound<'_>],
    levels: &Levels,
    [earlier, later]: [usize; 2],
    frame: &Frame,
) -> Vec<SharedWell> {
    let before: BTreeMap<usize, f64> = rounds[earlier]
        .control_wells(frame)
        .into_iter()
        .map(|(well, _, head)| (well, head))
        .collect();
    let both = |(well, at, head): (usize, Coord, f64)| {
        let (a, b) = (levels.at(earlier, well)?, levels.at(later, well)?);
        Some(SharedWell {
            at,
            heads_m: [*before.get(&well)?, head],
            own_sds_m: own_sds_m(a, b),
            common_sd_m: variance_in_common(a, b).sqrt(),
        })
    };
    rounds[later].control_wells(frame).into_iter().filter_map(both).collect()
}
