//! Names and heads in the drawing.

use geo::{Coord, Geometry};

use super::entities::{Anchor, Entity, Shape, Text, shapes};
use super::frame::Frame;
use crate::geom::Course;
use crate::report::{Results, WellSign, digits};
use crate::units::clean;

/// From a place to its text, in heights of text.
const ASIDE: f64 = 0.5;

/// A contour shorter than this, in heights of text, has no label.
const SHORTEST: f64 = 8.0;

/// Names of wells, gauges and judged points with the heads that the map sheet has.
pub(super) fn wells(results: &Results, frame: &Frame) -> Vec<Entity> {
    let label = |words: String, at: Coord, layer: &str| {
        let at = at + Coord { x: 1.0, y: 1.0 } * (ASIDE * frame.height);
        text(layer, Text { words, at, anchor: Anchor::LowerLeft, turn_deg: 0.0 })
    };
    let posted = results.posted();
    let of_well = posted.iter().filter(|well| !well.is_unread()).filter_map(|well| {
        let words = match well.head_words() {
            Some(head) => format!("{}\n{head}", well.id),
            None => well.id.to_owned(),
        };
        let layer = match (well.sign, well.point) {
            (WellSign::Judged, _) => "judged_points",
            (_, Some(_)) => "wells",
            (WellSign::Pumped, None) if well.reasons.is_empty() => "pumped_wells",
            _ => "wells_not_used",
        };
        Some(label(words, well.crs?, layer))
    });
    of_well.collect()
}

/// The level of each contour at the middle of its way, upright.
pub(super) fn contours(results: &Results, frame: &Frame) -> Vec<Entity> {
    let lines = results.contours.lines.iter();
    lines
        .filter_map(|line| along(&line.points, &clean(line.level).to_string(), "contours", frame))
        .collect()
}

/// The name of a feature beside it.
pub(super) fn name(geometry: &Geometry, name: &str, layer: &str, frame: &Frame) -> Option<Entity> {
    match shapes(geometry.clone()).into_iter().next()? {
        Shape::Line { points, .. } => along(&points, name, layer, frame),
        Shape::Point(at) => {
            let at = at + Coord { x: 1.0, y: 1.0 } * (ASIDE * frame.height);
            let words = name.to_owned();
            Some(text(layer, Text { words, at, anchor: Anchor::LowerLeft, turn_deg: 0.0 }))
        }
        Shape::Text(_) => None,
    }
}

/// A label on a line; `None` where the line is too short for one.
fn along(points: &[Coord], words: &str, layer: &str, frame: &Frame) -> Option<Entity> {
    let course = Course::new(points);
    let middle = course.length() / 2.0;
    if points.len() < 2 || course.length() < SHORTEST * frame.height {
        return None;
    }
    let way = course.direction(middle);
    let turn = libm::atan2(way.y, way.x).to_degrees();
    let upright = if turn > 90.0 || turn <= -90.0 { turn + 180.0 } else { turn };
    let turn_deg = digits::azimuth_difference(upright.rem_euclid(360.0));
    let (words, at) = (words.to_owned(), course.place(middle));
    Some(text(layer, Text { words, at, anchor: Anchor::LowerMiddle, turn_deg }))
}

/// On a layer of its own, so that it can be taken off.
fn text(layer: &str, text: Text) -> Entity {
    Entity { layer: format!("{layer}_labels"), shape: Shape::Text(text), z: None }
}
