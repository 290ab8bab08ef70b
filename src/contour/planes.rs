//! Lines on a surface of planes: straight through each triangle, from side to side.

use rayon::prelude::*;

use crate::contour::segments::levels_below;
use crate::contour::trace::{Segment, trace};
use crate::contour::types::ContourLine;
use crate::interpolate::Sloping;

/// A side of a triangle, by its corners, the lower one first.
type Side = [u32; 2];

/// The lines of some levels, ascending.
pub(super) fn lines(planes: &Sloping, levels: &[f64]) -> Vec<ContourLine> {
    let values: Vec<f64> = levels.iter().map(|level| planes.value_of(*level)).collect();
    let of_triangle = |corners: &[usize; 3]| ways(planes, &values, *corners);
    let segments = planes.triangles().par_iter().flat_map_iter(of_triangle).collect();
    trace(levels, segments, |level, side: Side| {
        planes.place(side.map(|corner| corner as usize), values[level])
    })
}

/// The ways of all levels through one triangle, corners above a level on their left.
fn ways(
    planes: &Sloping,
    values: &[f64],
    corners: [usize; 3],
) -> impl Iterator<Item = Segment<Side>> + use<> {
    let classes = corners.map(|corner| levels_below(values, planes.value(corner)));
    let [a, b, c] = classes;
    (a.min(b).min(c)..a.max(b).max(c)).map(move |level| {
        let above = classes.map(|class| class > level);
        // The corner that stands alone on its side of the level, and the sides that meet there.
        let alone = (0..3)
            .find(|k| above[*k] != above[(k + 1) % 3] && above[*k] != above[(k + 2) % 3])
            .unwrap_or(0);
        let [at, next, last] = [0, 1, 2].map(|k| corners[(alone + k) % 3]);
        let (start, end) = if above[alone] { (next, last) } else { (last, next) };
        Segment { level, start: side(at, start), end: side(at, end) }
    })
}

#[expect(clippy::cast_possible_truncation, reason = "wells number below 2^30")]
fn side(a: usize, b: usize) -> Side {
    [a.min(b) as u32, a.max(b) as u32]
}
