//! All levels' ways through the cells that the outline of the wells cuts.
//!
//! What is within the outline of such a cell is a polygon; its corners are nodes, crossings of the
//! outline with sides of the cell, and wells. A level crosses its sides where the head, linear from
//! corner to corner, equals the level. Going round, it crosses up and down in turn, and each way
//! through leads from a crossing down to one next to it: the last, or where the mean of all corners
//! is above the level the next. In a whole cell that is the rule of [`crate::contour::cells`].

use crate::contour::segments::levels_below;
use crate::contour::trace::Segment;
use crate::interpolate::{Corner, Edge, Grid, Rim};

/// What the cells along the outline hold.
pub(super) struct Along {
    pub(super) segments: Vec<Segment<Edge>>,
    /// The pieces of the outline that lines end at, by their ends.
    pub(super) pieces: Vec<[Corner; 2]>,
}

/// What leads from one corner of a polygon to the next.
#[derive(Clone, Copy)]
enum Side {
    Edge(Edge),
    Outline,
}

/// The segments of all levels in the cells that the outline cuts. Where a corner has no head there
/// are none.
pub(super) fn along(grid: &Grid, rim: &Rim, levels: &[f64]) -> Along {
    let mut along = Along { segments: Vec::new(), pieces: Vec::new() };
    let spec = *grid.spec();
    for cell in rim.cells(&spec) {
        let (row, column) = (cell / spec.columns, cell % spec.columns);
        let nodes = [(0, 0), (0, 1), (1, 0), (1, 1)];
        let is_whole = nodes.iter().all(|(r, c)| grid.head(row + r, column + c).is_some());
        if !is_whole && !grid.is_cut(cell) {
            along.cell(grid, levels, &polygon(grid, rim, cell));
        }
    }
    along
}

impl Along {
    fn cell(&mut self, grid: &Grid, levels: &[f64], corners: &[(Corner, Side)]) {
        let heads = || corners.iter().map(|(corner, _)| corner.head);
        if corners.len() < 3 || heads().any(f64::is_nan) {
            return;
        }
        let classes: Vec<u16> = heads().map(|head| levels_below(levels, head)).collect();
        let (lowest, highest) =
            classes.iter().fold((u16::MAX, 0), |(low, high), c| (low.min(*c), high.max(*c)));
        let mean = heads().sum::<f64>() / corners.len() as f64;
        let mut edges: Vec<Option<Edge>> = vec![None; corners.len()];
        for level in lowest..highest {
            let above = |k: usize| classes[k % corners.len()] > level;
            let crossed: Vec<usize> =
                (0..corners.len()).filter(|k| above(*k) != above(k + 1)).collect();
            let next = if mean > levels[usize::from(level)] { 1 } else { crossed.len() - 1 };
            for (i, side) in crossed.iter().enumerate().filter(|(_, side)| above(**side)) {
                let other = crossed[(i + next) % crossed.len()];
                let [start, end] = [*side, other].map(|k| {
                    *edges[k].get_or_insert_with(|| match corners[k].1 {
                        Side::Edge(edge) => edge,
                        Side::Outline => {
                            self.pieces.push([corners[k].0, corners[(k + 1) % corners.len()].0]);
                            Edge::of_outline(self.pieces.len() - 1, grid.spec())
                        }
                    })
                });
                self.segments.push(Segment { level, start, end });
            }
        }
    }
}

/// What is within the outline of a cell, counter-clockwise: each corner with the side that leads to
/// the next.
fn polygon(grid: &Grid, rim: &Rim, cell: usize) -> Vec<(Corner, Side)> {
    let columns = grid.spec().columns;
    let sides = [
        (Edge::eastward(cell), false),
        (Edge::northward(cell + 1), false),
        (Edge::eastward(cell + columns), true),
        (Edge::northward(cell), true),
    ];
    let mut corners: Vec<(Corner, Side)> = Vec::new();
    // The last corner, until it is known what leads on from it.
    let mut last: Option<Corner> = None;
    let lead = |corners: &mut Vec<(Corner, Side)>, from: Option<Corner>, to: &Corner| {
        if let Some(from) = from.filter(|from| !from.is_same_node(to)) {
            corners.push((from, Side::Outline));
            corners.extend(rim.between(&from, to).into_iter().map(|well| (well, Side::Outline)));
        }
    };
    for (edge, backward) in sides {
        let Some([a, b]) = rim.stretch(grid, edge) else { continue };
        let (from, to) = if backward { (b, a) } else { (a, b) };
        lead(&mut corners, last, &from);
        corners.push((from, Side::Edge(edge)));
        last = Some(to);
    }
    if let Some((first, _)) = corners.first().copied() {
        lead(&mut corners, last, &first);
    }
    corners
}
