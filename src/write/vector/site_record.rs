//! The record of a site as layers: wells with their statistics, every reading, directions of rounds, nests.

use geo::{Coord, Geometry, Point};

use super::fields;
use super::layers::{Layer, Shape, rounded};
use super::row::row;
use crate::check::ControlSet;
use crate::report::SiteRecord;

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
    vec![
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
    ]
}
