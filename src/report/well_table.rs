//! The table of wells: where each stands, how it is built, and the survey of its measuring point.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::digits;
use super::results::Results;
use crate::check::Parts;
use crate::geom::distance;
use crate::read::{DepthDatum, MeasuringPoint, Moment, Site, Well};
use crate::reduce::ReadingAccount;
use crate::units::{Decimal, needed};

/// A row of the table of wells. Elevations and depths in the elevation unit.
#[derive(Debug, Clone)]
pub(crate) struct WellRow<'a> {
    pub(crate) well: &'a Well,
    /// Position in the project CRS; nothing where the coordinates do not fit it.
    pub(crate) project: Option<[Decimal; 2]>,
    /// Easting and northing, or longitude and latitude, as the register gives them.
    pub(crate) register: [Decimal; 2],
    pub(crate) ground: Option<Decimal>,
    /// The measuring point of the round, or the last one before it where no reading rests on it.
    pub(crate) measuring_point: Option<Decimal>,
    pub(crate) surveyed: Option<Date>,
    pub(crate) changed_from: Option<Decimal>,
    pub(crate) total_depth: Option<Decimal>,
    pub(crate) sounded_depth: Option<Decimal>,
    pub(crate) screen_top_depth: Option<Decimal>,
    pub(crate) screen_bottom_depth: Option<Decimal>,
    pub(crate) bottom: Option<Decimal>,
    pub(crate) sounded_bottom: Option<Decimal>,
    pub(crate) screen_top: Option<Decimal>,
    pub(crate) screen_bottom: Option<Decimal>,
    pub(crate) specific_gravity: Option<Decimal>,
}

/// The decimals of a register's columns: the most that any of their numbers needs, as a register is written
/// to one precision and spreadsheets drop zeros at the end.
#[derive(Debug, Clone, Copy, Default)]
struct Places {
    easting: i32,
    northing: i32,
    ground: i32,
    points: i32,
    total: i32,
    sounded: i32,
    screen_top: i32,
    screen_bottom: i32,
}

impl Places {
    fn of(site: &Site) -> Self {
        let most = |value: fn(&Well) -> Option<f64>| {
            site.wells.iter().filter_map(value).map(needed).max().unwrap_or_default()
        };
        let points = site.measuring_points.values().flatten();
        Self {
            easting: most(|w| Some(w.easting)),
            northing: most(|w| Some(w.northing)),
            ground: most(|w| w.ground_elevation),
            points: points.map(|p| needed(p.elevation)).max().unwrap_or_default(),
            total: most(|w| w.total_depth),
            sounded: most(|w| w.sounded_depth),
            screen_top: most(|w| w.screen_top),
            screen_bottom: most(|w| w.screen_bottom),
        }
    }
}

/// The rows of a map's wells, in the order of the register.
pub(crate) fn well_table<'a>(results: &Results<'a>) -> Vec<WellRow<'a>> {
    let map = results.map;
    let site: &Site = &map.site;
    let places = Places::of(site);
    let mut read: BTreeMap<usize, &ReadingAccount> = BTreeMap::new();
    for account in map.control.accounts().iter().filter(|a| a.measuring_point.is_some()) {
        read.insert(account.well, account);
    }
    let last = map.control.from_to().map(|(_, last)| last);
    let row = |(i, well): (usize, &'a Well)| {
        let account = read.get(&i);
        let surveys = site.measuring_points.get(&well.id).map_or(&[][..], Vec::as_slice);
        let held = account.map_or_else(
            || latest(surveys, last).map(|p| (p.elevation, p.valid_from)),
            |a| Some((a.measuring_point?, a.surveyed)),
        );
        let changed = account.and_then(|a| a.changed_from);
        let parts = Parts::of(well, held.map(|(elevation, _)| elevation), &site.settings);
        let project = map.control.places()[i].map(|place| place.crs);
        // Positions that nothing moved keep the register's decimals.
        let moved =
            |at: geo::Coord| distance(at, geo::Coord { x: well.easting, y: well.northing }) > 0.0;
        let of = |value: Option<f64>, places| value.map(|v| Decimal::new(v, places));
        let register = [
            Decimal::new(well.easting, places.easting),
            Decimal::new(well.northing, places.northing),
        ];
        let from = |datum| match datum {
            DepthDatum::MeasuringPoint => places.points,
            DepthDatum::Ground => places.ground,
        };
        let (built, sounded) = (from(site.settings.depths_from), from(site.settings.sounded_from));
        WellRow {
            well,
            project: project.map(|at| {
                let exact = |value| Decimal::new(digits::position(value), 0);
                if moved(at) { [exact(at.x), exact(at.y)] } else { register }
            }),
            register,
            ground: of(well.ground_elevation, places.ground),
            measuring_point: of(held.map(|(elevation, _)| elevation), places.points),
            surveyed: held.and_then(|(_, day)| day),
            changed_from: of(changed, places.points),
            total_depth: of(well.total_depth, places.total),
            sounded_depth: of(well.sounded_depth, places.sounded),
            screen_top_depth: of(well.screen_top, places.screen_top),
            screen_bottom_depth: of(well.screen_bottom, places.screen_bottom),
            bottom: of(parts.bottom, built.max(places.total)),
            sounded_bottom: of(parts.sounded, sounded.max(places.sounded)),
            screen_top: of(parts.screen_top, built.max(places.screen_top)),
            screen_bottom: of(parts.screen_bottom, built.max(places.screen_bottom)),
            specific_gravity: of(well.specific_gravity, 0),
        }
    };
    site.wells.iter().enumerate().map(row).collect()
}

/// The latest survey not after the last reading of the round; of surveys in order.
fn latest(surveys: &[MeasuringPoint], last: Option<Moment>) -> Option<&MeasuringPoint> {
    let holds = |p: &&MeasuringPoint| match (p.valid_from, last) {
        (Some(from), Some(last)) => from <= last.date(),
        _ => true,
    };
    surveys.iter().rev().find(holds)
}
