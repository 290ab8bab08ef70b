//! The grid against the boundary and the barriers.

use geo::Coord;
use rayon::prelude::*;

use crate::geom::{Areas, Frame, Obstacles};
use crate::interpolate::grid::Grid;

impl Grid {
    /// The same without the values of nodes outside the areas of a boundary; whole when there are
    /// none.
    ///
    /// # Units
    /// - `boundary`: CRS units
    #[must_use]
    pub(crate) fn within(mut self, boundary: &Areas) -> Self {
        if !boundary.is_empty() {
            to_areas(&mut self, boundary);
        }
        self
    }
}

/// Takes the heads of all nodes outside some areas. A node on an outline is inside.
///
/// # Units
/// - `areas`: CRS units
pub(super) fn to_areas(grid: &mut Grid, areas: &Areas) {
    let spec = grid.spec;
    grid.heads.par_chunks_mut(spec.columns).enumerate().for_each(|(row, heads)| {
        let reaching = areas.row(spec.node(row, 0));
        for (column, head) in heads.iter_mut().enumerate() {
            if head.is_finite() && !reaching.holds(spec.node(row, column)) {
                *head = f64::NAN;
            }
        }
    });
}

/// Marks the cells that a barrier crosses or touches: no contour runs through them.
///
/// # Units
/// - `barriers`: m in `frame`
pub(super) fn at_barriers(grid: &mut Grid, barriers: &Obstacles, frame: &Frame) {
    let spec = grid.spec;
    let (rows, columns) = (spec.rows, spec.columns);
    // Positions counted in cells from the south-western node.
    let counted = |p: Coord| {
        let p = frame.to_crs(p);
        Coord { x: (p.x - spec.west) / spec.cell, y: (p.y - spec.south) / spec.cell }
    };
    let mut cut = Vec::new();
    for [a, b] in barriers.pieces() {
        let (a, b) = (counted(*a), counted(*b));
        let (low, high) = if a.y <= b.y { (a, b) } else { (b, a) };
        for row in cells(low.y, high.y, rows) {
            // The part of the piece within the row, a hair wider than the row.
            let at = |y: f64| {
                let t = if high.y > low.y { (y - low.y) / (high.y - low.y) } else { 0.0 };
                low.x + t.clamp(0.0, 1.0) * (high.x - low.x)
            };
            let (from, to) = if high.y > low.y {
                (at(row as f64 - HAIR), at(row as f64 + 1.0 + HAIR))
            } else {
                (low.x, high.x)
            };
            for column in cells(from.min(to), from.max(to), columns) {
                cut.push(row * columns + column);
            }
        }
    }
    cut.sort_unstable();
    cut.dedup();
    grid.cut = cut;
}

/// Far below a cell and far above rounding, in cells.
const HAIR: f64 = 1e-6;

/// The cells between `count` nodes that a stretch reaches, both in cells from the first node.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held within the count of nodes before"
)]
fn cells(from: f64, to: f64, count: usize) -> std::ops::Range<usize> {
    let last = count.saturating_sub(1) as f64;
    let from = (from - HAIR).floor().clamp(0.0, last);
    let to = ((to + HAIR).floor() + 1.0).clamp(0.0, last);
    from as usize..to as usize
}

#[cfg(test)]
mod tests {
    use geo::{Intersects, LineString, Point, Polygon, Rect};

    use super::*;
    use crate::interpolate::grid::GridSpec;

    const SPEC: GridSpec = GridSpec { west: 0.0, south: 0.0, cell: 1.0, columns: 12, rows: 11 };

    fn grid() -> Grid {
        Grid::new(SPEC, vec![1.0; SPEC.rows * SPEC.columns])
    }

    fn ring(points: &[(f64, f64)]) -> LineString {
        points.iter().copied().collect()
    }

    #[test]
    fn nodes_are_kept_where_the_areas_hold_them_with_holes_corners_and_outlines() {
        // Corners on nodes, sides along rows, a hole with a side on nodes, a second area apart.
        let areas = [
            Polygon::new(
                ring(&[(1.0, 1.0), (7.0, 1.0), (7.0, 6.0), (4.0, 9.0), (1.0, 6.0)]),
                vec![ring(&[(2.5, 3.0), (4.5, 3.0), (3.0, 5.0)])],
            ),
            Polygon::new(ring(&[(8.5, 2.2), (10.5, 3.9), (9.0, 10.0)]), Vec::new()),
        ];
        let mut clipped = grid();
        to_areas(&mut clipped, &Areas::new(areas.to_vec()));
        let mut kept = 0;
        for row in 0..SPEC.rows {
            for column in 0..SPEC.columns {
                let p = SPEC.node(row, column);
                // The reference is the geometry library's own predicate.
                let inside = areas.iter().any(|a| a.intersects(&Point(p)));
                assert_eq!(clipped.head(row, column).is_some(), inside, "{p:?}");
                kept += usize::from(inside);
            }
        }
        assert!(kept > 40, "{kept}");
    }

    #[test]
    fn the_cells_that_a_barrier_meets_are_cut() {
        let lines = [
            ring(&[(-3.0, 2.5), (5.3, 2.5), (9.7, 8.9)]),
            ring(&[(2.0, 4.0), (2.0, 30.0)]),
            ring(&[(6.2, 0.2), (6.8, 0.9)]),
        ];
        let frame = Frame::new(Coord { x: 0.0, y: 0.0 }, 1.0);
        let mut cut = grid();
        at_barriers(&mut cut, &Obstacles::new(&lines), &frame);
        for row in 0..SPEC.rows - 1 {
            for column in 0..SPEC.columns - 1 {
                let (p, q) = (SPEC.node(row, column), SPEC.node(row + 1, column + 1));
                let meets = lines.iter().any(|l| l.intersects(&Rect::new(p, q)));
                assert_eq!(cut.is_cut(row * SPEC.columns + column), meets, "{p:?}");
            }
        }
    }
}
