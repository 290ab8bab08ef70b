//! The grid: where its nodes are and what stands at them.

use geo::Coord;
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use crate::geom::{Slope, distance};
use crate::schema::Positive;
use crate::units::clean;

/// Nodes that one thread looks at in one go.
const NODES_AT_ONCE: usize = 1 << 16;

/// Where the nodes of a grid are. Nodes lie at whole multiples of the cell in CRS coordinates
/// and are the centres of the pixels of the written raster.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct GridSpec {
    /// Easting of the westernmost nodes, CRS units.
    pub west: f64,
    /// Northing of the southernmost nodes, CRS units.
    pub south: f64,
    /// Distance of nodes, CRS units.
    #[schemars(with = "Positive")]
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

impl GridSpec {
    /// The cell along one axis that a coordinate lies in, and the share of it; the last node belongs
    /// to the cell before it. `None` beyond the first of `count` nodes and the last.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held within the counts of rows and columns before"
    )]
    fn step(&self, first: f64, at: f64, count: usize) -> Option<(usize, f64)> {
        let (steps, last) = ((at - first) / self.cell, count.checked_sub(2)?);
        let cell = (steps.floor().max(0.0) as usize).min(last);
        let share = steps - cell as f64;
        (0.0..=1.0).contains(&share).then_some((cell, share))
    }
}

/// An edge of the grid: from a node to its eastern or to its northern neighbour. In grid order:
/// by row, then column, the eastern edge first; pieces of the outline after all of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Edge(u32);

impl Edge {
    pub(crate) const fn eastward(node: usize) -> Self {
        Self::numbered(2 * node)
    }

    pub(crate) const fn northward(node: usize) -> Self {
        Self::numbered(2 * node + 1)
    }

    /// A piece of the outline within one cell, by its number.
    pub(crate) const fn of_outline(piece: usize, spec: &GridSpec) -> Self {
        Self::numbered(2 * spec.rows * spec.columns + piece)
    }

    /// The number of a piece of the outline.
    pub(crate) const fn piece(self, spec: &GridSpec) -> Option<usize> {
        (self.0 as usize).checked_sub(2 * spec.rows * spec.columns)
    }

    #[expect(clippy::cast_possible_truncation, reason = "two edges for each of MOST_NODES nodes")]
    const fn numbered(number: usize) -> Self {
        Self(number as u32)
    }

    /// The node it starts from.
    pub(crate) const fn node(self) -> usize {
        (self.0 / 2) as usize
    }

    /// Whether it goes north.
    pub(crate) const fn is_northward(self) -> bool {
        self.0 % 2 == 1
    }

    /// The node it starts from and the one it goes to.
    pub(crate) const fn nodes(self, spec: &GridSpec) -> [usize; 2] {
        let step = if self.is_northward() { spec.columns } else { 1 };
        [self.node(), self.node() + step]
    }
}

/// Heads at nodes, elevation unit; nodes without support have none.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid {
    pub(super) spec: GridSpec,
    /// Row by row from the south-west; NaN where there is no support: [`Self::head`] and
    /// [`Self::nearest`] give none there, a row that is lent has the NaN.
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

    /// The value at the nearest of the four nodes around a place, CRS units, that have one; `None`
    /// where none has. A place beyond the grid, as by rounding, is taken for the nearest on it.
    #[must_use]
    pub fn about(&self, p: Coord) -> Option<f64> {
        self.around(p).into_iter().find_map(|(row, column)| self.head(row, column))
    }

    /// The slope at a place, CRS units, from nodes to each side of the one nearest to it: `reach`
    /// nodes away, or nearer where one there has no value or is not `joined` with the middle one,
    /// and from one side alone where the other has none. `None` where that cannot be had.
    ///
    /// # Units
    /// - returns: the unit of the values for each CRS unit
    /// - `joined`: is asked with CRS units whether nothing stands between two places
    #[must_use]
    pub fn slope(
        &self,
        p: Coord,
        reach: usize,
        joined: impl Fn(Coord, Coord) -> bool,
    ) -> Option<Slope> {
        let (row, column) = self.around(p).into_iter().find(|(row, column)| {
            self.head(*row, *column).is_some() && joined(p, self.spec.node(*row, *column))
        })?;
        let (middle, here) = (self.spec.node(row, column), self.head(row, column)?);
        let ahead = |row: Option<usize>, column: Option<usize>| {
            let row = row.filter(|row| *row < self.spec.rows)?;
            let column = column.filter(|column| *column < self.spec.columns)?;
            self.head(row, column).filter(|_| joined(middle, self.spec.node(row, column)))
        };
        let along = |ends: &dyn Fn(usize) -> [Option<f64>; 2]| {
            let both = |k: usize| {
                let [back, front] = ends(k);
                Some((front? - back?) / (2.0 * k as f64))
            };
            let one_sided = || match ends(1) {
                [Some(back), _] => Some(here - back),
                [_, front] => Some(front? - here),
            };
            (1..=reach).rev().find_map(both).or_else(one_sided)
        };
        let east = along(&|k| {
            [column.checked_sub(k), column.checked_add(k)].map(|column| ahead(Some(row), column))
        })?;
        let north = along(&|k| {
            [row.checked_sub(k), row.checked_add(k)].map(|row| ahead(row, Some(column)))
        })?;
        Some(Slope { east: east / self.spec.cell, north: north / self.spec.cell })
    }

    /// The four nodes around a place, CRS units, by row and column, the nearest first; none when
    /// the grid has no cell.
    fn around(&self, p: Coord) -> Vec<(usize, usize)> {
        let spec = &self.spec;
        let far = spec.node(spec.rows - 1, spec.columns - 1);
        let p = Coord { x: p.x.clamp(spec.west, far.x), y: p.y.clamp(spec.south, far.y) };
        let (Some((column, _)), Some((row, _))) =
            (spec.step(spec.west, p.x, spec.columns), spec.step(spec.south, p.y, spec.rows))
        else {
            return Vec::new();
        };
        let mut nodes: Vec<(usize, usize)> =
            [(0, 0), (0, 1), (1, 0), (1, 1)].map(|(r, c)| (row + r, column + c)).to_vec();
        let away = |(row, column): &(usize, usize)| distance(p, spec.node(*row, *column));
        nodes.sort_by(|a, b| away(a).total_cmp(&away(b)));
        nodes
    }

    /// The value at a place, CRS units, linear along rows and columns between the four nodes around;
    /// `None` where one of them has no support and in a cell that a barrier crosses.
    #[must_use]
    pub fn at(&self, p: Coord) -> Option<f64> {
        let (column, x) = self.spec.step(self.spec.west, p.x, self.spec.columns)?;
        let (row, y) = self.spec.step(self.spec.south, p.y, self.spec.rows)?;
        if self.is_cut(row * self.spec.columns + column) {
            return None;
        }
        let along = |row: usize| {
            Some((1.0 - x) * self.head(row, column)? + x * self.head(row, column + 1)?)
        };
        Some((1.0 - y) * along(row)? + y * along(row + 1)?)
    }

    /// Whether a barrier crosses any cell.
    #[must_use]
    pub(crate) const fn has_cuts(&self) -> bool {
        !self.cut.is_empty()
    }

    /// Whether a barrier crosses the cell north-east of a node: the surface has a step in it.
    #[must_use]
    pub(crate) fn is_cut(&self, node: usize) -> bool {
        self.has_cuts() && self.cut.binary_search(&node).is_ok()
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

    /// A grid of heads made elsewhere, row by row from the south-west; `None` where a node has none.
    ///
    /// # Units
    /// - `heads`: elevation unit, one for each node of `spec`
    ///
    /// # Panics
    /// When there is not one for each node, or a head is not finite.
    #[must_use]
    pub fn from_heads(spec: GridSpec, heads: &[Option<f64>]) -> Self {
        assert_eq!(heads.len(), spec.rows * spec.columns, "one head for each node");
        assert!(heads.iter().flatten().all(|h| h.is_finite()), "heads are finite");
        Self::new(spec, heads.iter().map(|h| h.unwrap_or(f64::NAN)).collect())
    }

    /// Heads at the nodes of `spec`, row by row from the south-west, NaN where there is none.
    pub(crate) fn new(spec: GridSpec, heads: Vec<f64>) -> Self {
        debug_assert_eq!(heads.len(), spec.rows * spec.columns, "one head for each node");
        Self { spec, heads, cut: Vec::new() }
    }
}
