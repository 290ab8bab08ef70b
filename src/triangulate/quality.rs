//! How far a triangle can be trusted: marked, never dropped.

use geo::Coord;
use rayon::prelude::*;

use super::types::{Mark, Triangle};
use crate::geom::{distance, doubled_area, tolerance};
use crate::units::median;

/// Measures every triangle and marks slivers and long edges of the outline.
///
/// # Units
/// - `points`: m; `is_well`: whether a point is a well, and not one of a stream
///
/// # References
/// Base-to-height bound: McKenna and Wahi (2006), Ground Water 44(5), 723-731 (abstract).
pub(super) fn judged(
    points: &[Coord],
    corners: Vec<[usize; 3]>,
    hull: &[usize],
    is_well: impl Fn(usize) -> bool,
) -> Vec<Triangle> {
    let long = tolerance::LONG_HULL_EDGE * median_edge(points, &corners, is_well);
    let mut hull_edges: Vec<(usize, usize)> =
        (0..hull.len()).map(|i| ordered(hull[i], hull[(i + 1) % hull.len()])).collect();
    hull_edges.sort_unstable();
    corners
        .into_par_iter()
        .map(|corners| {
            let p = corners.map(|i| points[i]);
            // Of corners on one line exact predicates see a turn where rounding sees none.
            let doubled = doubled_area(p).max(0.0);
            let sides = [0, 1, 2].map(|i| distance(p[i], p[(i + 1) % 3]));
            let longest = sides.into_iter().fold(0.0, f64::max);
            let height = doubled / longest;
            let base_to_height =
                if height < tolerance::SAME_POSITION_M { f64::INFINITY } else { longest / height };
            let on_hull = (0..3).any(|i| {
                sides[i] > long
                    && hull_edges.binary_search(&ordered(corners[i], corners[(i + 1) % 3])).is_ok()
            });
            let mut marks = Vec::new();
            if base_to_height > tolerance::BASE_TO_HEIGHT {
                marks.push(Mark::Sliver);
            }
            if on_hull {
                marks.push(Mark::LongHullEdge);
            }
            Triangle { corners, area_m2: doubled / 2.0, base_to_height, marks }
        })
        .collect()
}

/// Marks the triangles whose corners stand on one line, instead of as slivers: those whose height
/// is less than [`tolerance::COLLINEAR_SPREAD`] of their longest side, and those whose height is
/// less than [`tolerance::ONE_LINE_HEIGHT_M`] and than [`tolerance::ONE_LINE_HEIGHT`] of it.
///
/// Where no other triangle is left none is marked: whether the wells as a whole stand on one line
/// is a question for C302 and C315.
///
/// # References
/// `docs/methods.md`, triangulation.
pub(super) fn mark_lines(triangles: &mut [Triangle]) {
    let is_line = |t: &Triangle| {
        let longest = (2.0 * t.area_m2 * t.base_to_height).sqrt();
        let part = 1.0 / t.base_to_height;
        part < tolerance::COLLINEAR_SPREAD
            || (part < tolerance::ONE_LINE_HEIGHT && longest * part < tolerance::ONE_LINE_HEIGHT_M)
    };
    if triangles.iter().all(is_line) {
        return;
    }
    for t in triangles.iter_mut().filter(|t| is_line(t)) {
        t.marks.retain(|m| *m != Mark::Sliver);
        t.marks.push(Mark::OneLine);
    }
}

/// The median length over all sides of all triangles, m. Inner edges count twice, which does no
/// harm to a median that only sets a scale. Sides from point to point of a stream do not count.
fn median_edge(points: &[Coord], corners: &[[usize; 3]], is_well: impl Fn(usize) -> bool) -> f64 {
    let lengths = corners
        .iter()
        .flat_map(|t| [0, 1, 2].map(|i| (t[i], t[(i + 1) % 3])))
        .filter(|(a, b)| is_well(*a) || is_well(*b))
        .map(|(a, b)| distance(points[a], points[b]));
    median(lengths).unwrap_or(0.0)
}

fn ordered(a: usize, b: usize) -> (usize, usize) {
    (a.min(b), a.max(b))
}
