//! Insets beside the map: clusters of wells at a scale of their own.

use super::arrange;
use super::clusters::Cluster;
use super::panel::Block;
use super::room::Rect;
use super::scene::{Item, Paint, at};
use super::style;
use super::view::View;
use crate::report::{Posted, Results};

/// What an inset shows of a map, the lowest first.
const LAYERS: [&str; 6] =
    ["features", "contours", "places", "wells", "contour-labels", "well-labels"];

/// The least and the largest height of an inset over the width of its column; between them as its cluster is shaped.
const LEAST_HEIGHT: f64 = 0.6;
const MOST_HEIGHT: f64 = 1.0;

/// Between an inset's heading and its frame, points.
const GAP: f64 = 4.0;

/// An inset as a block of the panel, and the wells that have their names and heads in it.
pub(super) fn block(
    results: &Results,
    posted: &[Posted],
    cluster: &Cluster,
    enlarged: f64,
    width: f64,
) -> (Block, Vec<String>) {
    let unit = results.control.elevation_unit();
    let (low, high) = cluster.ground;
    let shape = (high.y - low.y) / (high.x - low.x).max(f64::MIN_POSITIVE);
    let height = width * shape.clamp(LEAST_HEIGHT, MOST_HEIGHT);
    let frame = Rect { left: 0.0, top: 0.0, right: width, bottom: height };
    let inset = View::new(frame, cluster.ground, unit, enlarged);
    let map = arrange::map(results, posted, inset, None);
    let heading = format!("Inset {}, {}", cluster.letter, inset.scale_words(unit));
    let mut block = Block::new(width, &heading);
    let place = at(0.0, block.height + GAP);
    for layer in map.layers(results, &inset) {
        if LAYERS.contains(&layer.name) {
            block.add(layer.items, place);
        }
    }
    block.add(vec![Item::area(frame.corners(), Paint::stroke(style::FRAME))], place);
    block.space(GAP + height);
    let without = |id: &str| map.unposted.iter().any(|row| row.name == id);
    let ground = results.control.frame();
    let shown = posted.iter().filter(|well| {
        let place = well.crs.map(|crs| inset.to_sheet(ground.to_local(crs)));
        place.is_some_and(|place| frame.holds(place)) && !without(well.id)
    });
    (block, shown.map(|well| well.id.to_owned()).collect())
}
