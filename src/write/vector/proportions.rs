//! How large texts and signs on the ground are, and where the map reaches.

use geo::Coord;

use crate::interpolate::RoundNumber;
use crate::report::Results;

/// Texts are so many to the longer side of the map, and no more than this of the usual spacing of wells.
const ALONG_MAP: f64 = 100.0;
const OF_SPACING: f64 = 1.0 / 8.0;

/// South-west and north-east of the control points, CRS units.
pub(super) fn corners(results: &Results) -> [Coord; 2] {
    let places = || results.control.points().iter().map(|p| p.crs);
    let corner = |of: fn(f64, f64) -> f64| {
        places().reduce(|a, b| Coord { x: of(a.x, b.x), y: of(a.y, b.y) }).unwrap_or_default()
    };
    [corner(f64::min), corner(f64::max)]
}

/// The height of a text, CRS units.
pub(super) fn height(results: &Results) -> f64 {
    let [low, high] = corners(results);
    let side = (high.x - low.x).max(high.y - low.y);
    let spacing = results.uncertainty.spacing_m / results.control.crs().metres_per_unit();
    RoundNumber::nearest((side / ALONG_MAP).min(spacing * OF_SPACING)).value()
}
