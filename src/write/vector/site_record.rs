//! The record of a site as layers: wells with their statistics, every reading, directions of rounds, nests.

use std::collections::BTreeMap;

use geo::{Coord, Geometry, LineString, Point};
use serde::Serialize;

use super::fields;
use super::layer::{Layer, Shape};
use super::layers::rounded;
use super::row::row;
use crate::check::ControlSet;
use crate::contour::ContourLine;
use crate::report::{PeriodMap, SiteRecord};
use crate::uncertainty::Stretch;
use crate::units::clean;

/// The layers of a record. Wells without a position are in none.
pub(super) fn layers<'a>(record: &'a SiteRecord, ground: &'a ControlSet) -> Vec<Layer<'a>> {
    let places = ground.places();
    let at = |well: usize| places.get(well)?.map(|place| place.crs);
    let point = |p: Coord| -> Geometry { rounded(Point(p).into()) };
    let (low, high) = ground.bounds();
    let middle = Coord { x: f64::midpoint(low.x, high.x), y: f64::midpoint(low.y, high.y) };
    let wells: Vec<(Coord, _)> = (0..record.record.wells.len())
        .zip(record.wells())
        .filter_map(|(i, of)| Some((at(i)?, of)))
        .collect();
    let levels: Vec<(Coord, _)> = record
        .record
        .heads
        .iter()
        .zip(record.levels())
        .filter_map(|(h, of)| Some((at(h.well)?, of)))
        .collect();
    let nests: Vec<(Coord, _)> = record
        .record
        .nests
        .iter()
        .zip(record.nests())
        .filter_map(|(n, of)| Some((at(n.vertical.upper)?, of)))
        .collect();
    let rounds = record.rounds();
    let by_name: BTreeMap<String, Coord> = (0..record.record.wells.len())
        .filter_map(|i| Some((record.record.wells[i].well.clone(), at(i)?)))
        .collect();
    let values: Vec<(Coord, _)> = record
        .values()
        .into_iter()
        .filter_map(|row| Some((*by_name.get(&row.well)?, row)))
        .collect();
    let contours: Vec<(Geometry, ContourRow)> =
        record.surfaces.iter().flat_map(|one| contours_of(one, record)).collect();
    let mut layers = vec![
        Layer {
            name: "wells",
            about: "every well with its extremes and its trend",
            shape: Shape::Point,
            fields: fields::RECORD_WELLS,
            count: wells.len(),
            feature: Box::new(move |i| (point(wells[i].0), row(&wells[i].1, fields::RECORD_WELLS))),
        },
        Layer {
            name: "levels",
            about: "every well in every round: head and change",
            shape: Shape::Point,
            fields: fields::RECORD_LEVELS,
            count: levels.len(),
            feature: Box::new(move |i| {
                (point(levels[i].0), row(&levels[i].1, fields::RECORD_LEVELS))
            }),
        },
        Layer {
            name: "rounds",
            about: "gradient and direction of every round, in the middle of the wells",
            shape: Shape::Point,
            fields: fields::RECORD_ROUNDS,
            count: rounds.len(),
            feature: Box::new(move |i| (point(middle), row(&rounds[i], fields::RECORD_ROUNDS))),
        },
        Layer {
            name: "nests",
            about: "vertical gradients of every nest and round, at the upper well",
            shape: Shape::Point,
            fields: fields::RECORD_NESTS,
            count: nests.len(),
            feature: Box::new(move |i| (point(nests[i].0), row(&nests[i].1, fields::RECORD_NESTS))),
        },
        Layer {
            name: "surface_values",
            about: "highest, lowest and mean head of every well in years and seasons",
            shape: Shape::Point,
            fields: fields::RECORD_VALUES,
            count: values.len(),
            feature: Box::new(move |i| {
                (point(values[i].0), row(&values[i].1, fields::RECORD_VALUES))
            }),
        },
        Layer {
            name: "surface_contours",
            about: "contours of the highest, lowest and mean heads of years and seasons",
            shape: Shape::Line,
            fields: fields::RECORD_CONTOURS,
            count: contours.len(),
            feature: Box::new(move |i| {
                (contours[i].0.clone(), row(&contours[i].1, fields::RECORD_CONTOURS))
            }),
        },
    ];
    if record.surfaces.is_empty() {
        layers.retain(|layer| !layer.name.starts_with("surface_"));
    }
    layers
}

#[derive(Serialize)]
struct ContourRow {
    period: String,
    value: &'static str,
    level: f64,
    inferred: bool,
    unit: &'static str,
}

/// The stretches of the contours of a map.
fn contours_of(one: &PeriodMap, record: &SiteRecord) -> Vec<(Geometry, ContourRow)> {
    let of = |(line, stretch): (&ContourLine, Stretch)| {
        let course: LineString = stretch.points(&line.points).collect();
        let row = ContourRow {
            period: one.period.words.clone(),
            value: one.worked.word(),
            level: clean(line.level),
            inferred: stretch.inferred,
            unit: record.record.elevation_unit.name(),
        };
        (rounded(course.into()), row)
    };
    one.stretches().map(of).collect()
}
