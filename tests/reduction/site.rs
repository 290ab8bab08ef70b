//! A site put together in memory.

use std::collections::BTreeMap;

use headfall::diag::Origin;
use headfall::geom::tolerance;
use headfall::read::{
    DepthDatum, Features, Measurement, MeasuringPoint, Reading, Settings, SiteFile, Status,
    SurfaceSettings, UncertaintySettings, Well, WellKind,
};
use headfall::units::LengthUnit;
use jiff::civil::Date;

/// A site in feet, without wells and readings.
pub(crate) fn site_in_feet() -> SiteFile {
    SiteFile {
        settings: Settings {
            name: "a site put together by a test".to_owned(),
            crs: "EPSG:26915".to_owned(),
            coordinates_crs: None,
            grids: None,
            length_unit: None,
            elevation_unit: LengthUnit::Foot,
            elevation_unit_assumed: false,
            depth_unit: LengthUnit::Foot,
            vertical_datum: Some("NAVD 88".to_owned()),
            aquifer_unit: None,
            depths_from: DepthDatum::MeasuringPoint,
            sounded_from: DepthDatum::MeasuringPoint,
            round_window_h: tolerance::ROUND_WINDOW_H,
            repeat_tolerance: tolerance::REPEAT_FT,
            measuring_point_age_years: tolerance::MEASURING_POINT_AGE_YEARS,
            cell: None,
            interval: None,
            base_level: 0.0,
            specific_gravity: None,
            stream_spacing: None,
            stream_reach: None,
            formats: Vec::new(),
            surface: SurfaceSettings::default(),
            uncertainty: UncertaintySettings::default(),
            sheet: headfall::read::SheetSettings::default(),
            receptors: headfall::read::ReceptorSettings::default(),
        },
        wells: Vec::new(),
        measuring_points: BTreeMap::new(),
        instruments: BTreeMap::new(),
        round: "spring".to_owned(),
        readings: Vec::new(),
        features: Features::default(),
        inputs: Vec::new(),
    }
}

/// Adds a well to the register and gives it back for changes.
pub(crate) fn add_well<'a>(site: &'a mut SiteFile, id: &str, x: f64, y: f64) -> &'a mut Well {
    let line = site.wells.len() as u64 + 2;
    site.wells.push(Well {
        id: id.to_owned(),
        kind: WellKind::Well,
        easting: x,
        northing: y,
        aquifer_unit: None,
        ground_elevation: None,
        total_depth: None,
        sounded_depth: None,
        screen_top: None,
        screen_bottom: None,
        specific_gravity: None,
        origin: Origin::line("wells.csv", line),
    });
    site.wells.last_mut().expect("just pushed")
}

/// Adds an elevation of a well's measuring point.
pub(crate) fn survey(site: &mut SiteFile, id: &str, valid_from: Option<Date>, elevation: f64) {
    let points = site.measuring_points.entry(id.to_owned()).or_default();
    let origin = Origin::line("measuring-points.csv", points.len() as u64 + 2);
    points.push(MeasuringPoint { valid_from, elevation, origin });
}

/// Adds a reading to the round and gives it back for changes.
pub(crate) fn add_reading<'a>(
    site: &'a mut SiteFile,
    id: &str,
    measurement: Measurement,
) -> &'a mut Reading {
    let line = site.readings.len() as u64 + 2;
    site.readings.push(Reading {
        well: id.to_owned(),
        moment: None,
        number: None,
        measurement,
        written_elevation: None,
        written_thickness: None,
        status: Status::Static,
        instrument: None,
        remark: None,
        origin: Origin::line("rounds/spring.csv", line),
    });
    site.readings.last_mut().expect("just pushed")
}
