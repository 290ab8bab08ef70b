//! What earlier rounds say of a well.

use jiff::civil::Date;

use crate::read::{Measurement, Moment, Site, Status};
use crate::record::ReducedRound;
use crate::reduce::{ReadingAccount, valid_at};
use crate::units::LengthUnit;

/// What is read in a well or at a gauge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Quantity {
    Depth,
    PressureHead,
    Stage,
    Elevation,
}

/// A well in an earlier round.
#[derive(Debug, Clone)]
pub(super) struct Past<'a> {
    pub(super) round: &'a str,
    pub(super) day: Option<Date>,
    pub(super) status: Status,
    /// What was read, from the measuring point of today: depth unit, and of elevations elevation unit.
    pub(super) read: Option<(Quantity, f64)>,
    /// Whether it was behind a head.
    pub(super) is_static: bool,
    pub(super) has_product: bool,
    pub(super) is_chalked: bool,
    pub(super) decimals: Option<i32>,
}

/// The measuring point of a well on a day, or the last one, elevation unit.
pub(super) fn measuring_point(site: &Site, well: &str, day: Option<Date>) -> Option<f64> {
    let points = site.measuring_points.get(well)?;
    let of_day = day.and_then(|day| valid_at(points, Some(day)).ok());
    of_day.or_else(|| points.last()).map(|point| point.elevation)
}

/// What each round says of a well, in the order of the rounds: of several readings that behind its head, else the last.
pub(super) fn of_well<'a>(
    site: &Site,
    rounds: &[ReducedRound<'a>],
    well: usize,
    measuring_point: Option<f64>,
    unit: LengthUnit,
) -> Vec<Past<'a>> {
    let of = |of: &ReducedRound<'a>| {
        let account = of.account_of(well)?;
        let reading = &of.round.readings[account.reading];
        let measurement = reading.measurement;
        Some(Past {
            round: &of.round.name,
            day: reading.moment.map(Moment::date),
            status: reading.status,
            read: read(site, of, account, measurement, measuring_point, unit),
            is_static: account.behind,
            has_product: matches!(measurement, Measurement::Product { .. }),
            is_chalked: matches!(measurement, Measurement::HoldAndCut { .. }),
            decimals: reading.written_decimals.map(|[a, b]| i32::from(a.max(b))),
        })
    };
    rounds.iter().filter_map(of).collect()
}

fn read(
    site: &Site,
    of: &ReducedRound<'_>,
    account: &ReadingAccount,
    measurement: Measurement,
    measuring_point: Option<f64>,
    unit: LengthUnit,
) -> Option<(Quantity, f64)> {
    let elevations = site.settings.elevation_unit;
    let moved = measuring_point.zip(account.measuring_point);
    let moved = moved.map_or(0.0, |(now, then)| elevations.convert(now - then, unit));
    let length = |value: f64| of.round.depth_unit.convert(value, unit);
    Some(match measurement {
        Measurement::None => return None,
        Measurement::Depth(depth) => (Quantity::Depth, length(depth) + moved),
        Measurement::HoldAndCut { hold, cut } => (Quantity::Depth, length(hold - cut) + moved),
        Measurement::Product { to_water, .. } => (Quantity::Depth, length(to_water) + moved),
        Measurement::PressureHead(height) => (Quantity::PressureHead, length(height) - moved),
        Measurement::Stage(height) => (Quantity::Stage, length(height) - moved),
        Measurement::Elevation(elevation) => match measuring_point {
            Some(point) => (Quantity::Depth, elevations.convert(point - elevation, unit)),
            None => (Quantity::Elevation, elevation),
        },
    })
}
