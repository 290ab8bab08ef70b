//! A site put together in memory.

use headfall::diag::Origin;
use headfall::read::{Measurement, MeasuringPoint, Reading, Round, Settings, Site, Well};
use headfall::units::LengthUnit;
use jiff::civil::Date;

use crate::support::Both;

/// A site in feet, without wells and readings.
pub(crate) fn site_in_feet() -> Both {
    let site = "a site put together by a test";
    let settings = Settings {
        vertical_datum: Some("NAVD 88".to_owned()),
        ..Settings::new(site, "EPSG:26915", LengthUnit::Foot)
    };
    let round = Round::new("spring", Vec::new(), &settings);
    Both { site: Site::new(settings, Vec::new()), round }
}

/// Adds a well to the register and gives it back for changes.
pub(crate) fn add_well<'a>(of: &'a mut Both, id: &str, x: f64, y: f64) -> &'a mut Well {
    let line = of.site.wells.len() as u64 + 2;
    of.site.wells.push(Well { origin: Origin::line("wells.csv", line), ..Well::new(id, x, y) });
    of.site.wells.last_mut().expect("just pushed")
}

/// Adds an elevation of a well's measuring point.
pub(crate) fn survey(of: &mut Both, id: &str, valid_from: Option<Date>, elevation: f64) {
    let points = of.site.measuring_points.entry(id.to_owned()).or_default();
    let origin = Origin::line("measuring-points.csv", points.len() as u64 + 2);
    points.push(MeasuringPoint { valid_from, elevation, origin });
}

/// Adds a reading to the round and gives it back for changes.
pub(crate) fn add_reading<'a>(
    of: &'a mut Both,
    id: &str,
    measurement: Measurement,
) -> &'a mut Reading {
    let line = of.round.readings.len() as u64 + 2;
    let origin = Origin::line("rounds/spring.csv", line);
    of.round.readings.push(Reading { origin, ..Reading::new(id, measurement) });
    of.round.readings.last_mut().expect("just pushed")
}
