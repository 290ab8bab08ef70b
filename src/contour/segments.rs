//! All levels' ways through the cells of a grid, in one pass.

use rayon::prelude::*;

use crate::contour::cells::EAST;
use crate::contour::cells::NORTH;
use crate::contour::cells::SOUTH;
use crate::contour::cells::WEST;
use crate::contour::cells::paths;
use crate::contour::trace::Segment;
use crate::interpolate::{Edge, Grid};

/// Rows of cells that one thread takes at a time.
const ROWS_PER_BAND: usize = 32;

/// Cells that are looked at together: most have no line in them.
const RUN: usize = 16;

/// The class of a node without support.
const UNSUPPORTED: u16 = u16::MAX;

/// The segments of all levels. Cells with a node without support have none.
pub(super) fn segments(grid: &Grid, levels: &[f64]) -> Vec<Segment<Edge>> {
    let cell_rows = grid.spec().rows.saturating_sub(1);
    let bands: Vec<Vec<Segment<Edge>>> = (0..cell_rows.div_ceil(ROWS_PER_BAND))
        .into_par_iter()
        .map(|band| {
            let first = band * ROWS_PER_BAND;
            of_band(grid, levels, first, cell_rows.min(first + ROWS_PER_BAND))
        })
        .collect();
    bands.concat()
}

fn of_band(grid: &Grid, levels: &[f64], first: usize, end: usize) -> Vec<Segment<Edge>> {
    let mut south = vec![0; grid.spec().columns];
    let mut north = south.clone();
    let mut found = Vec::new();
    classify(grid.row(first), levels, &mut north);
    for row in first..end {
        std::mem::swap(&mut south, &mut north);
        classify(grid.row(row + 1), levels, &mut north);
        of_row(grid, levels, row, [&south, &north], &mut found);
    }
    found
}

/// The class of each node of a row: how many levels lie below its head.
fn classify(heads: &[f64], levels: &[f64], classes: &mut [u16]) {
    // Neighbours are mostly of one class: the last one's bounds are tried first.
    let (mut class, mut below, mut up_to) = (UNSUPPORTED, f64::NAN, f64::NAN);
    for (h, place) in heads.iter().zip(classes) {
        if !(*h > below && *h <= up_to) {
            if h.is_nan() {
                (class, below, up_to) = (UNSUPPORTED, f64::NAN, f64::NAN);
            } else {
                class = levels_below(levels, *h);
                let k = usize::from(class);
                below = if k == 0 { f64::NEG_INFINITY } else { levels[k - 1] };
                up_to = levels.get(k).copied().unwrap_or(f64::INFINITY);
            }
        }
        *place = class;
    }
}

/// How many levels lie below a head.
#[expect(clippy::cast_possible_truncation, reason = "at most MOST_LEVELS")]
pub(super) fn levels_below(levels: &[f64], head: f64) -> u16 {
    levels.partition_point(|level| *level < head) as u16
}

fn of_row(
    grid: &Grid,
    levels: &[f64],
    row: usize,
    [south, north]: [&[u16]; 2],
    found: &mut Vec<Segment<Edge>>,
) {
    let cells = south.len() - 1;
    for start in (0..cells).step_by(RUN) {
        let end = cells.min(start + RUN);
        let west = south[start..end].iter().zip(&north[start..end]);
        let east = south[start + 1..=end].iter().zip(&north[start + 1..=end]);
        let differ = west
            .zip(east)
            .fold(0, |bits, ((sw, nw), (se, ne))| bits | (sw ^ se) | (sw ^ nw) | (sw ^ ne));
        if differ != 0 {
            for column in start..end {
                let classes = [south[column], south[column + 1], north[column + 1], north[column]];
                of_cell(grid, levels, row, column, classes, found);
            }
        }
    }
}

/// The segments of one cell; `classes` from the south-western corner counter-clockwise.
fn of_cell(
    grid: &Grid,
    levels: &[f64],
    row: usize,
    column: usize,
    classes: [u16; 4],
    found: &mut Vec<Segment<Edge>>,
) {
    let [a, b, c, d] = classes;
    let (lowest, highest) = (a.min(b).min(c).min(d), a.max(b).max(c).max(d));
    if lowest == highest || highest == UNSUPPORTED {
        return;
    }
    let node = row * grid.spec().columns + column;
    if grid.is_cut(node) {
        return;
    }
    let mut sides = [Edge::eastward(node); 4];
    sides[SOUTH] = Edge::eastward(node);
    sides[EAST] = Edge::northward(node + 1);
    sides[NORTH] = Edge::eastward(node + grid.spec().columns);
    sides[WEST] = Edge::northward(node);
    for level in lowest..highest {
        let bit = |class: u16, corner: u8| u8::from(class > level) << corner;
        let above = bit(a, 0) | bit(b, 1) | bit(c, 2) | bit(d, 3);
        let centre_above = || {
            let (south, north) = (grid.row(row), grid.row(row + 1));
            let sum = south[column] + south[column + 1] + north[column] + north[column + 1];
            0.25 * sum > levels[usize::from(level)]
        };
        for (from, to) in paths(above, centre_above) {
            found.push(Segment { level, start: sides[*from], end: sides[*to] });
        }
    }
}
