//! The smooth surface that a grid's nodes stand for.

use geo::Coord;

use super::lows::around;
use super::smooth::{Field, STEP_ERROR, Steps};
use crate::geom::{Frame, Slope};
use crate::interpolate::Grid;

/// A grid of heads as a surface with a continuous slope, by cubic convolution.
///
/// Within a cell whose four nodes have heads the surface is a polynomial of the sixteen nodes
/// around; where one of the outer twelve has none, or lies across a cell that a barrier meets, it is
/// continued in a straight line. A cell with a node without head is not part of the surface, and
/// neither is one that a barrier meets.
///
/// # References
/// Keys (1981), IEEE Transactions on Acoustics, Speech, and Signal Processing 29(6), 1153-1160,
/// with a = -1/2 (from memory).
#[derive(Debug)]
pub struct GridField<'a> {
    grid: &'a Grid,
    west: f64,
    south: f64,
    cell: f64,
}

impl<'a> GridField<'a> {
    /// The surface of a grid, positions in the local frame.
    #[must_use]
    pub fn new(grid: &'a Grid, frame: &Frame) -> Self {
        let spec = grid.spec();
        let corner = frame.to_local(Coord { x: spec.west, y: spec.south });
        let cell = spec.cell * frame.metres_per_unit();
        Self { grid, west: corner.x, south: corner.y, cell }
    }

    /// A cell, m.
    pub(super) const fn cell_m(&self) -> f64 {
        self.cell
    }

    /// A node and its head, counted row by row; `None` without a head.
    pub(super) fn node(&self, node: usize) -> Option<(Coord, f64)> {
        let columns = self.grid.spec().columns;
        let (row, column) = (node / columns, node % columns);
        let head = self.grid.head(row, column)?;
        let at = Coord {
            x: self.west + column as f64 * self.cell,
            y: self.south + row as f64 * self.cell,
        };
        Some((at, head))
    }

    /// The nodes around one that have heads.
    pub(super) fn beside(&self, node: usize) -> Vec<usize> {
        let spec = self.grid.spec();
        around(node, [spec.rows, spec.columns])
            .filter(|n| *n != node && self.node(*n).is_some())
            .collect()
    }

    /// Whether a node is at the edge of the surface.
    pub(super) fn is_edge(&self, node: usize) -> bool {
        self.beside(node).len() < 8
    }

    /// The lowest node about a place: no node beside it is lower.
    pub(super) fn low_near(&self, p: Coord) -> Option<usize> {
        let spec = self.grid.spec();
        let (column, fx) = cell((p.x - self.west) / self.cell, spec.columns)?;
        let (row, fy) = cell((p.y - self.south) / self.cell, spec.rows)?;
        let [column, row] = [(column, fx), (row, fy)].map(|(i, f)| i + usize::from(f >= 0.5));
        let mut low = row * spec.columns + column;
        let (_, mut head) = self.node(low)?;
        loop {
            let heads = self.beside(low).into_iter().filter_map(|n| Some((self.node(n)?.1, n)));
            match heads.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))) {
                Some((lower, n)) if lower < head => (head, low) = (lower, n),
                _ => return Some(low),
            }
        }
    }

    /// Steps for paths on it: none longer than a cell.
    #[must_use]
    pub fn steps(&self) -> Steps {
        let spec = self.grid.spec();
        let most = 1000 + 50 * (spec.columns + spec.rows);
        Steps { longest_m: self.cell, error: STEP_ERROR, most }
    }

    /// The sixteen heads around a cell, row by row, those without a head continued; `None` when
    /// the cell itself lacks one.
    fn around(&self, row: usize, column: usize) -> Option<[[f64; 4]; 4]> {
        let spec = self.grid.spec();
        let (lower, left) = (row.checked_sub(1), column.checked_sub(1));
        if let (Some(lower), Some(left)) = (lower, left)
            && row + 2 < spec.rows
            && column + 2 < spec.columns
        {
            let mut h = [[0.0; 4]; 4];
            let mut sum = 0.0;
            for (i, line) in h.iter_mut().enumerate() {
                line.copy_from_slice(&self.grid.row(lower + i)[left..left + 4]);
                sum += line.iter().sum::<f64>();
            }
            if sum.is_finite() && !self.grid.has_cuts() {
                return Some(h);
            }
        }
        if self.grid.is_cut(row * spec.columns + column) {
            return None;
        }
        let mut h = [[f64::NAN; 4]; 4];
        for (i, line) in h.iter_mut().enumerate() {
            let Some(r) = (row + i).checked_sub(1).filter(|r| *r < spec.rows) else { continue };
            for (j, head) in line.iter_mut().enumerate() {
                let Some(c) = (column + j).checked_sub(1).filter(|c| *c < spec.columns) else {
                    continue;
                };
                *head = self.grid.row(r)[c];
            }
        }
        if self.grid.has_cuts() {
            self.part(row, column, &mut h);
        }
        let inner = [h[1][1], h[1][2], h[2][1], h[2][2]];
        inner.iter().all(|h| h.is_finite()).then(|| continued(h))
    }
}

impl GridField<'_> {
    /// Takes the outer heads that a cell around with a barrier in it parts from the inner four.
    fn part(&self, row: usize, column: usize, h: &mut [[f64; 4]; 4]) {
        for i in 0..3_usize {
            for j in 0..3_usize {
                let cell = (row + i).checked_sub(1).zip((column + j).checked_sub(1));
                let cut =
                    |(r, c): (usize, usize)| self.grid.is_cut(r * self.grid.spec().columns + c);
                if !cell.is_some_and(cut) {
                    continue;
                }
                for (r, c) in [(i, j), (i, j + 1), (i + 1, j), (i + 1, j + 1)] {
                    if !((1..3).contains(&r) && (1..3).contains(&c)) {
                        h[r][c] = f64::NAN;
                    }
                }
            }
        }
    }
}

/// Missing outer heads in a straight line with the two inner ones, rows before columns, so that
/// neighbouring cells continue their common nodes alike.
fn continued(mut h: [[f64; 4]; 4]) -> [[f64; 4]; 4] {
    let line = |a: f64, b: f64| 2.0 * a - b;
    for row in &mut h[1..3] {
        for (out, near, far) in [(0, 1, 2), (3, 2, 1)] {
            if !row[out].is_finite() {
                row[out] = line(row[near], row[far]);
            }
        }
    }
    for (out, near, far) in [(0, 1, 2), (3, 2, 1)] {
        let (near, far) = (h[near], h[far]);
        for (head, (a, b)) in h[out].iter_mut().zip(near.into_iter().zip(far)) {
            if !head.is_finite() {
                *head = line(a, b);
            }
        }
    }
    h
}

/// Weights of four values a step apart at a share of the way from the second to the third.
fn weights(f: f64) -> [f64; 4] {
    let (f2, f3) = (f * f, f * f * f);
    [
        -0.5 * f + f2 - 0.5 * f3,
        1.0 - 2.5 * f2 + 1.5 * f3,
        0.5 * f + 2.0 * f2 - 1.5 * f3,
        -0.5 * f2 + 0.5 * f3,
    ]
}

/// Their derivatives.
fn slopes(f: f64) -> [f64; 4] {
    let f2 = f * f;
    [-0.5 + 2.0 * f - 1.5 * f2, -5.0 * f + 4.5 * f2, 0.5 + 4.0 * f - 4.5 * f2, -f + 1.5 * f2]
}

impl Field for GridField<'_> {
    fn at(&self, p: Coord) -> Option<(f64, Slope)> {
        let spec = self.grid.spec();
        let (column, fx) = cell((p.x - self.west) / self.cell, spec.columns)?;
        let (row, fy) = cell((p.y - self.south) / self.cell, spec.rows)?;
        let h = self.around(row, column)?;
        let (wx, dx) = (weights(fx), slopes(fx));
        let (wy, dy) = (weights(fy), slopes(fy));
        let (mut head, mut east, mut north) = (0.0, 0.0, 0.0);
        for i in 0..4 {
            let along =
                |w: &[f64; 4]| w[0] * h[i][0] + w[1] * h[i][1] + w[2] * h[i][2] + w[3] * h[i][3];
            let value = along(&wx);
            head += wy[i] * value;
            north += dy[i] * value;
            east += wy[i] * along(&dx);
        }
        Some((head, Slope { east: east / self.cell, north: north / self.cell }))
    }
}

/// The cell a place lies in, counted in cells, and how far into it; a last node belongs to the
/// cell before it.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held within the count of nodes before"
)]
fn cell(at: f64, count: usize) -> Option<(usize, f64)> {
    let last = count.checked_sub(2)?;
    (at >= 0.0 && at <= (last + 1) as f64).then(|| {
        let index = (at as usize).min(last);
        (index, at - index as f64)
    })
}
