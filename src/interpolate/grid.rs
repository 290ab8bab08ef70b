//! The grid: where its nodes are and what stands at them.

use geo::Coord;
use rayon::prelude::*;
use serde::Serialize;

use crate::units::clean;

/// Nodes that one thread looks at in one go.
const NODES_AT_ONCE: usize = 1 << 16;

/// Where the nodes of a grid are. Nodes lie at whole multiples of the cell in CRS coordinates
/// and are the centres of the pixels of the written raster.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GridSpec {
    /// Easting of the westernmost nodes, CRS units.
    pub west: f64,
    /// Northing of the southernmost nodes, CRS units.
    pub south: f64,
    /// Distance of nodes, CRS units.
    pub cell: f64,
    /// Count of nodes from west to east.
    pub columns: usize,
    /// Count of nodes from south to north.
    pub rows: usize,
}

impl GridSpec {
    /// A node's position, CRS units. Row 0 is the southernmost.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "counts are far below 2^52")]
    pub fn node(&self, row: usize, column: usize) -> Coord {
        Coord { x: self.west + column as f64 * self.cell, y: self.south + row as f64 * self.cell }
    }
}

/// Heads at nodes, elevation unit; nodes without support have none.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid {
    pub(super) spec: GridSpec,
    /// Row by row from the south-west; NaN where there is no support. NaN never leaves this type.
    pub(super) heads: Vec<f64>,
    /// The cells that a barrier crosses, by their south-western node, ascending.
    pub(super) cut: Vec<usize>,
}

impl Grid {
    /// Where the nodes are.
    #[must_use]
    pub const fn spec(&self) -> &GridSpec {
        &self.spec
    }

    /// The head at a node, elevation unit, or `None` where there is no support.
    #[must_use]
    pub fn head(&self, row: usize, column: usize) -> Option<f64> {
        let h = self.heads[row * self.spec.columns + column];
        h.is_finite().then_some(h)
    }

    /// The value at the node nearest to a place, CRS units; `None` beyond the grid and where there
    /// is no support.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held within the counts of rows and columns before"
    )]
    pub fn nearest(&self, p: Coord) -> Option<f64> {
        let steps = |from: f64, to: f64, count: usize| {
            let step = ((to - from) / self.spec.cell).round();
            (step >= 0.0 && step < count as f64).then_some(step as usize)
        };
        let column = steps(self.spec.west, p.x, self.spec.columns)?;
        self.head(steps(self.spec.south, p.y, self.spec.rows)?, column)
    }

    /// The value at a place, CRS units, linear along rows and columns between the four nodes around;
    /// `None` where one of them has no support and in a cell that a barrier crosses.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held within the counts of rows and columns before"
    )]
    pub fn at(&self, p: Coord) -> Option<f64> {
        // The cell along one axis and the share of it; the last node belongs to the cell before it.
        let steps = |from: f64, to: f64, count: usize| {
            let (steps, last) = ((to - from) / self.spec.cell, count.checked_sub(2)?);
            let cell = (steps.floor().max(0.0) as usize).min(last);
            let share = steps - cell as f64;
            (0.0..=1.0).contains(&share).then_some((cell, share))
        };
        let (column, x) = steps(self.spec.west, p.x, self.spec.columns)?;
        let (row, y) = steps(self.spec.south, p.y, self.spec.rows)?;
        if self.is_cut(row * self.spec.columns + column) {
            return None;
        }
        let along = |row: usize| {
            Some((1.0 - x) * self.head(row, column)? + x * self.head(row, column + 1)?)
        };
        Some((1.0 - y) * along(row)? + y * along(row + 1)?)
    }

    /// Whether a barrier crosses the cell north-east of a node: the surface has a step in it.
    #[must_use]
    pub(crate) fn is_cut(&self, node: usize) -> bool {
        !self.cut.is_empty() && self.cut.binary_search(&node).is_ok()
    }

    /// One row of heads, west to east, for the loops that touch every node: NaN marks a node
    /// without support.
    #[must_use]
    pub(crate) fn row(&self, row: usize) -> &[f64] {
        &self.heads[row * self.spec.columns..(row + 1) * self.spec.columns]
    }

    /// Count of nodes with a head.
    #[must_use]
    pub fn supported(&self) -> usize {
        let of_chunk = |heads: &[f64]| heads.iter().filter(|h| h.is_finite()).count();
        self.heads.par_chunks(NODES_AT_ONCE).map(of_chunk).sum()
    }

    /// The lowest and the highest head, elevation unit; `None` when no node has one.
    #[must_use]
    pub fn range(&self) -> Option<(f64, f64)> {
        let none = (f64::INFINITY, f64::NEG_INFINITY);
        // Comparisons with NaN are false, so nodes without support do not count.
        let lower = |a: f64, b: f64| if b < a { b } else { a };
        let higher = |a: f64, b: f64| if b > a { b } else { a };
        let (low, high) = self
            .heads
            .par_chunks(NODES_AT_ONCE)
            .map(|heads| heads.iter().fold(none, |r, h| (lower(r.0, *h), higher(r.1, *h))))
            .reduce(|| none, |a, b| (lower(a.0, b.0), higher(a.1, b.1)));
        (low <= high).then_some((low, high))
    }

    /// The first node with this very head, from the south-west, CRS units.
    pub(super) fn first_at(&self, head: f64) -> Option<Coord> {
        let k = self.heads.iter().position(|h| h.total_cmp(&head).is_eq())?;
        Some(self.spec.node(k / self.spec.columns, k % self.spec.columns))
    }

    /// Takes the dust of the arithmetic off every head: what weights or a system of equations make
    /// of heads that are decimals is a decimal again where it should be one, so that a plateau on a
    /// level is level.
    pub(super) fn clean(&mut self) {
        let of_chunk = |heads: &mut [f64]| heads.iter_mut().for_each(|h| *h = clean(*h));
        self.heads.par_chunks_mut(NODES_AT_ONCE).for_each(of_chunk);
    }

    /// Heads at the nodes of `spec`, row by row from the south-west, NaN where there is none.
    pub(crate) fn new(spec: GridSpec, heads: Vec<f64>) -> Self {
        debug_assert_eq!(heads.len(), spec.rows * spec.columns, "one head for each node");
        Self { spec, heads, cut: Vec::new() }
    }
}
