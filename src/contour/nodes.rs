//! Lines on a surface that is known at nodes.

use geo::Coord;

use crate::contour::rim::along;
use crate::contour::segments::segments;
use crate::contour::trace::trace;
use crate::contour::types::ContourLine;
use crate::interpolate::{Corner, Edge, Grid, Rim};

/// The lines of some levels, ascending: through whole cells, and through what is within the outline
/// of the cells that it cuts.
pub(super) fn lines(grid: &Grid, rim: &Rim, levels: &[f64]) -> Vec<ContourLine> {
    let along = along(grid, rim, levels);
    let mut all = segments(grid, levels);
    all.extend(along.segments);
    trace(levels, all, |level, edge| {
        let cut = match edge.piece(grid.spec()) {
            Some(piece) => Some(along.pieces[piece]),
            None if is_whole(grid, edge) => None,
            None => rim.stretch(grid, edge),
        };
        cut.map_or_else(|| on_edge(grid, levels[level], edge), |ends| between(levels[level], ends))
    })
}

/// Whether both ends of an edge have a head.
fn is_whole(grid: &Grid, edge: Edge) -> bool {
    let columns = grid.spec().columns;
    edge.nodes(grid.spec()).iter().all(|node| grid.row(node / columns)[node % columns].is_finite())
}

/// Where a level crosses an edge of the grid, CRS units: linear between the edge's nodes, always
/// counted from the southern or western one, so that both neighbouring cells have the same vertex.
fn on_edge(grid: &Grid, level: f64, edge: Edge) -> Coord {
    let spec = grid.spec();
    let (row, column) = (edge.node() / spec.columns, edge.node() % spec.columns);
    let (row_step, column_step) = if edge.is_northward() { (1, 0) } else { (0, 1) };
    let from = grid.row(row)[column];
    let to = grid.row(row + row_step)[column + column_step];
    let part = (level - from) / (to - from);
    // Counted in cells first: a part of 1 gives the next node's own coordinate.
    Coord {
        x: spec.west + (column as f64 + part * column_step as f64) * spec.cell,
        y: spec.south + (row as f64 + part * row_step as f64) * spec.cell,
    }
}

/// Where a level lies between two corners, CRS units.
fn between(level: f64, [from, to]: [Corner; 2]) -> Coord {
    let part = (level - from.head) / (to.head - from.head);
    if part < 1.0 { from.at + (to.at - from.at) * part } else { to.at }
}
