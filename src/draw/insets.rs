//! Insets beside the map: clusters of wells at a scale of their own.

use super::arrange;
use super::clusters::Cluster;
use super::panel::Block;
use super::room::Rect;
use super::scene::{Item, Paint, at};
use super::style;
use super::unposted::Unposted;
use super::view::{Turn, View};
use crate::report::{Posted, Results};

/// What an inset shows of a map, the lowest first.
const LAYERS: [&str; 7] =
    ["features", "contours", "places", "wells", "contour-labels", "well-labels", "key-labels"];

/// The least and the largest height of an inset over the width of its column; between them as its cluster is shaped.
const LEAST_HEIGHT: f64 = 0.6;
const MOST_HEIGHT: f64 = 1.0;

/// Between an inset's heading and its frame, points.
const GAP: f64 = 4.0;

/// An inset of a cluster.
pub(super) struct Inset {
    /// As it is in the panel.
    pub(super) block: Block,
    /// The wells that have their names and heads in it.
    shown: Vec<String>,
    /// Those that have none.
    unposted: Vec<Unposted>,
}

impl Inset {
    /// What the table has of a well of the map without a label: nothing where it is posted here, its number here where the
    /// map has none.
    fn row(&self, row: Unposted) -> Option<Unposted> {
        if row.key.is_some() {
            return Some(row);
        }
        let here = self.unposted.iter().find(|here| here.name == row.name);
        match here {
            Some(here) => Some(here.clone()),
            None => (!self.shown.contains(&row.name)).then_some(row),
        }
    }
}

/// The rows of the table of wells without a label, where there are insets: by number.
pub(super) fn without(rows: &[Unposted], insets: &[Inset]) -> Vec<Unposted> {
    let left = |row: &Unposted| insets.iter().try_fold(row.clone(), |row, inset| inset.row(row));
    let mut left: Vec<Unposted> = rows.iter().filter_map(left).collect();
    left.sort_by_key(|row| row.key.is_none());
    left
}

/// The inset of a cluster, for a column of a width.
pub(super) fn inset(
    results: &Results,
    posted: &[Posted],
    cluster: &Cluster,
    enlarged: f64,
    width: f64,
) -> Inset {
    let unit = results.control.elevation_unit();
    let (low, high) = cluster.ground;
    let shape = (high.y - low.y) / (high.x - low.x).max(f64::MIN_POSITIVE);
    let height = width * shape.clamp(LEAST_HEIGHT, MOST_HEIGHT);
    let frame = Rect { left: 0.0, top: 0.0, right: width, bottom: height };
    let inset = View::new(frame, cluster.ground, Turn::of(results), unit, enlarged);
    let map = arrange::map(results, posted, inset, None, Some(cluster.letter));
    let heading = format!("Inset {}, {}", cluster.letter, inset.scale_words(unit));
    let mut block = Block::new(&results.site.fonts, width, &heading);
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
    let shown = shown.map(|well| well.id.to_owned()).collect();
    Inset { block, shown, unposted: map.unposted }
}
