//! Register, surveys and rounds as tables that are read as the same again.
//!
//! They are inputs, and what is in them is the user's: texts are written as they were read.

use std::io;

use crate::read::{
    Measurement, MeasuringPoint, Moment, Reading, Round, Site, Status, TableMarks, Well, WellKind,
};
use crate::units::{finite, fixed};
use crate::write::tables;

/// A column: its heading, and its cell in a row.
type Column<'a, T> = (&'static str, Box<dyn Fn(&T) -> String + 'a>);

/// `wells.csv`, with the first measuring point of each well.
pub(super) fn register(site: &Site) -> io::Result<Vec<u8>> {
    let is_geographic = site.settings.coordinates_crs.is_some()
        && site.wells.iter().all(|w| w.easting.abs() <= 180.0 && w.northing.abs() <= 90.0);
    let [x, y] = if is_geographic { ["longitude", "latitude"] } else { ["easting", "northing"] };
    let first = |w: &Well| -> Option<&MeasuringPoint> { site.measuring_points.get(&w.id)?.first() };
    let columns: Vec<Column<'_, Well>> = vec![
        ("id", Box::new(|w| w.id.clone())),
        (
            "kind",
            Box::new(|w| match w.kind {
                WellKind::Well => String::new(),
                WellKind::Gauge => WellKind::Gauge.word().to_owned(),
            }),
        ),
        (x, Box::new(|w| exact(Some(w.easting)))),
        (y, Box::new(|w| exact(Some(w.northing)))),
        ("position_sd", Box::new(|w| exact(w.position_sd))),
        ("aquifer_unit", Box::new(|w| w.aquifer_unit.clone().unwrap_or_default())),
        ("measuring_point_elevation", Box::new(move |w| exact(first(w).map(|p| p.elevation)))),
        (
            "measuring_point_date",
            Box::new(move |w| {
                first(w).and_then(|p| p.valid_from).map(|day| day.to_string()).unwrap_or_default()
            }),
        ),
        ("ground_elevation", Box::new(|w| exact(w.ground_elevation))),
        ("total_depth", Box::new(|w| exact(w.total_depth))),
        ("sounded_depth", Box::new(|w| exact(w.sounded_depth))),
        ("screen_top", Box::new(|w| exact(w.screen_top))),
        ("screen_bottom", Box::new(|w| exact(w.screen_bottom))),
        ("specific_gravity", Box::new(|w| exact(w.specific_gravity))),
    ];
    table(&columns, &site.wells, &["id", x, y])
}

/// `measuring-points.csv`: all but the first of each well.
pub(super) fn measuring_points(site: &Site) -> io::Result<Vec<u8>> {
    let later = site.measuring_points.iter();
    let later: Vec<(&str, &MeasuringPoint)> = later
        .flat_map(|(id, points)| points.iter().skip(1).map(move |p| (id.as_str(), p)))
        .collect();
    let columns: Vec<Column<'_, (&str, &MeasuringPoint)>> = vec![
        ("id", Box::new(|(id, _)| (*id).to_owned())),
        (
            "valid_from",
            Box::new(|(_, p)| p.valid_from.map(|day| day.to_string()).unwrap_or_default()),
        ),
        ("measuring_point_elevation", Box::new(|(_, p)| exact(Some(p.elevation)))),
    ];
    table(&columns, &later, &["id", "valid_from", "measuring_point_elevation"])
}

/// A round.
pub(super) fn round(round: &Round) -> io::Result<Vec<u8>> {
    let columns: Vec<Column<'_, Reading>> = vec![
        ("id", Box::new(|r| r.well.clone())),
        ("date", Box::new(|r| r.moment.map(|m| m.date().to_string()).unwrap_or_default())),
        (
            "time",
            Box::new(|r| match r.moment {
                Some(Moment::Time(t)) => t.time().to_string(),
                _ => String::new(),
            }),
        ),
        ("reading", Box::new(|r| r.number.map(|n| n.to_string()).unwrap_or_default())),
        (
            "depth_to_water",
            Box::new(|r| match (r.measurement, r.dry_to) {
                (Measurement::Depth(depth), _) => written(r, 0, depth),
                (Measurement::Product { to_water, .. }, _) => written(r, 1, to_water),
                (_, Some(depth)) => format!(">{}", exact(Some(depth))),
                _ => String::new(),
            }),
        ),
        (
            "depth_to_product",
            Box::new(|r| match r.measurement {
                Measurement::Product { to_product, .. } => written(r, 0, to_product),
                _ => String::new(),
            }),
        ),
        ("product_thickness", Box::new(|r| exact(r.written_thickness))),
        (
            "specific_gravity",
            Box::new(|r| match r.measurement {
                Measurement::Product { specific_gravity, .. } => exact(specific_gravity),
                _ => String::new(),
            }),
        ),
        (
            "hold",
            Box::new(|r| match r.measurement {
                Measurement::HoldAndCut { hold, .. } => written(r, 0, hold),
                _ => String::new(),
            }),
        ),
        (
            "cut",
            Box::new(|r| match r.measurement {
                Measurement::HoldAndCut { cut, .. } => written(r, 1, cut),
                _ => String::new(),
            }),
        ),
        (
            "pressure_head",
            Box::new(|r| match r.measurement {
                Measurement::PressureHead(height) => written(r, 0, height),
                _ => String::new(),
            }),
        ),
        (
            "stage",
            Box::new(|r| match r.measurement {
                Measurement::Stage(height) => written(r, 0, height),
                _ => String::new(),
            }),
        ),
        (
            "water_level_elevation",
            Box::new(|r| match r.measurement {
                Measurement::Elevation(elevation) => written(r, 0, elevation),
                _ => exact(r.written_elevation),
            }),
        ),
        (
            "status",
            Box::new(|r| match r.status {
                Status::Static => String::new(),
                status => status.word().to_owned(),
            }),
        ),
        ("instrument", Box::new(|r| r.instrument.clone().unwrap_or_default())),
        ("remark", Box::new(|r| r.remark.clone().unwrap_or_default())),
    ];
    table(&columns, &round.readings, &["id"])
}

/// A table of the columns that are needed or have anything in them.
fn table<T>(columns: &[Column<'_, T>], rows: &[T], needed: &[&str]) -> io::Result<Vec<u8>> {
    let is_empty = |cell: &dyn Fn(&T) -> String| rows.iter().all(|row| cell(row).is_empty());
    let columns: Vec<&Column<'_, T>> = columns
        .iter()
        .filter(|(heading, cell)| needed.contains(heading) || !is_empty(cell))
        .collect();
    let marks = TableMarks::default();
    let mut text = tables::writer(marks);
    text.write_record(columns.iter().map(|(heading, _)| heading)).map_err(io::Error::other)?;
    for row in rows {
        text.write_record(columns.iter().map(|(_, cell)| cell(row))).map_err(io::Error::other)?;
    }
    tables::whole(marks, text)
}

/// A number with all its digits: it is read as the same again.
fn exact(value: Option<f64>) -> String {
    value.map(|value| finite(value).to_string()).unwrap_or_default()
}

/// A number of a measurement with as many decimals as it was written with.
fn written(reading: &Reading, place: usize, value: f64) -> String {
    match reading.written_decimals {
        Some(decimals) => fixed(value, decimals[place].into()),
        None => exact(Some(value)),
    }
}
