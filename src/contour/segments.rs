//! All levels' pieces of line, in one pass over the cells.

use rayon::prelude::*;

use crate::contour::cells::EAST;
use crate::contour::cells::NORTH;
use crate::contour::cells::SOUTH;
use crate::contour::cells::WEST;
use crate::contour::cells::paths;
use crate::interpolate::Grid;

/// Rows of cells that one thread takes at a time.
const ROWS_PER_BAND: usize = 32;

/// Cells that are looked at together: most have no line in them.
const RUN: usize = 16;

/// The class of a node without support.
const UNSUPPORTED: u16 = u16::MAX;

/// An edge of the grid: from a node to its eastern or to its northern neighbour. In grid order:
/// by row, then column, the eastern edge first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Edge(u32);

impl Edge {
    fn eastward(node: usize) -> Self {
        Self::numbered(2 * node)
    }

    fn northward(node: usize) -> Self {
        Self::numbered(2 * node + 1)
    }

    #[expect(clippy::cast_possible_truncation, reason = "two edges for each of MOST_NODES nodes")]
    const fn numbered(number: usize) -> Self {
        Self(number as u32)
    }

    /// The node it starts from.
    pub(super) const fn node(self) -> usize {
        (self.0 / 2) as usize
    }

    /// Whether it goes north.
    pub(super) const fn is_northward(self) -> bool {
        self.0 % 2 == 1
    }
}

/// A level's way through one cell, high ground on the left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Segment {
    /// Index of the level.
    pub(super) level: u16,
    /// The edge it comes from.
    pub(super) start: Edge,
    /// The edge it goes to.
    pub(super) end: Edge,
}

/// The segments of all levels, sorted by level and start. Cells with a node without support have
/// none.
pub(super) fn segments(grid: &Grid, levels: &[f64]) -> Vec<Segment> {
    let cell_rows = grid.spec().rows.saturating_sub(1);
    let bands: Vec<Vec<Segment>> = (0..cell_rows.div_ceil(ROWS_PER_BAND))
        .into_par_iter()
        .map(|band| {
            let first = band * ROWS_PER_BAND;
            of_band(grid, levels, first, cell_rows.min(first + ROWS_PER_BAND))
        })
        .collect();
    let mut all = bands.concat();
    all.par_sort_unstable();
    all
}

fn of_band(grid: &Grid, levels: &[f64], first: usize, end: usize) -> Vec<Segment> {
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
                let k = levels.partition_point(|level| level < h);
                below = if k == 0 { f64::NEG_INFINITY } else { levels[k - 1] };
                up_to = levels.get(k).copied().unwrap_or(f64::INFINITY);
                #[expect(clippy::cast_possible_truncation, reason = "at most MOST_LEVELS")]
                {
                    class = k as u16;
                }
            }
        }
        *place = class;
    }
}

fn of_row(
    grid: &Grid,
    levels: &[f64],
    row: usize,
    [south, north]: [&[u16]; 2],
    found: &mut Vec<Segment>,
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
    found: &mut Vec<Segment>,
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
    let mut sides = [Edge(0); 4];
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
