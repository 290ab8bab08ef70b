//! The kriged surface on the nodes of a grid.

use std::ops::Range;

use geo::Coord;
use rayon::prelude::*;

use super::far::Ask;
use super::far::Far;
use super::system::Kriging;
use super::system::Prediction;
use crate::geom::Frame;
use crate::interpolate::Grid;
use crate::interpolate::GridSpec;

/// Nodes along a side of the squares that are worked on together.
const SIDE: usize = 56;

/// Nodes solved for together where the square as a whole is not.
const BLOCK: usize = 256;

/// A kriged surface on a grid.
#[derive(Debug, Clone, PartialEq)]
pub struct Surface {
    /// The heads, head unit.
    pub heads: Grid,
    /// Their standard deviations, head unit.
    pub sd: Grid,
}

/// A rectangle of nodes.
#[derive(Debug, Clone)]
pub(super) struct Tile {
    pub(super) rows: Range<usize>,
    pub(super) columns: Range<usize>,
}

impl Kriging {
    /// Heads and standard deviations at the nodes of a grid for which `inside` holds.
    ///
    /// Wells far from a square of nodes are not evaluated at each of its nodes but interpolated
    /// over it, to within 1e-8 of the covariance's standard deviation; each square is checked for
    /// that and worked out node by node where it does not hold (`docs/kriging.md`).
    ///
    /// # Units
    /// - `spec`: CRS units; `inside` is asked with positions in m of the local frame
    #[must_use]
    pub fn grid(
        &self,
        frame: &Frame,
        spec: GridSpec,
        inside: impl Fn(Coord) -> bool + Sync,
    ) -> Surface {
        let filled = self.fill(frame, &spec, &inside, true);
        let heads = filled.iter().map(|p| p.head).collect();
        let sd = filled.iter().map(|p| p.variance.sqrt()).collect();
        Surface { heads: Grid::new(spec, heads), sd: Grid::new(spec, sd) }
    }

    /// Heads alone at the nodes of a grid for which `inside` holds: much quicker than
    /// [`Self::grid`].
    ///
    /// # Units
    /// - as for [`Self::grid`]
    #[must_use]
    pub fn grid_of_heads(
        &self,
        frame: &Frame,
        spec: GridSpec,
        inside: impl Fn(Coord) -> bool + Sync,
    ) -> Grid {
        let filled = self.fill(frame, &spec, &inside, false);
        Grid::new(spec, filled.iter().map(|p| p.head).collect())
    }

    /// Every node, row by row from the south-west; NaN outside. Without `sure` the variances are
    /// NaN.
    fn fill<F: Fn(Coord) -> bool + Sync>(
        &self,
        frame: &Frame,
        spec: &GridSpec,
        inside: &F,
        sure: bool,
    ) -> Vec<Prediction> {
        let inverse = (sure && Far::may_pay(self)).then(|| self.factored.inverse());
        let ask = if sure { Ask::Variances(inverse.as_ref()) } else { Ask::Heads };
        let cut =
            |count: usize| (0..count).step_by(SIDE).map(move |from| from..count.min(from + SIDE));
        let tiles: Vec<Tile> = cut(spec.rows)
            .flat_map(|rows| {
                cut(spec.columns).map(move |columns| Tile { rows: rows.clone(), columns })
            })
            .collect();
        let done: Vec<Vec<Prediction>> =
            tiles.par_iter().map(|tile| self.tile(frame, spec, tile, inside, ask)).collect();
        let mut filled = vec![OUTSIDE; spec.rows * spec.columns];
        for (tile, done) in tiles.iter().zip(done) {
            for (row, done) in tile.rows.clone().zip(done.chunks_exact(tile.columns.len())) {
                let start = row * spec.columns + tile.columns.start;
                filled[start..start + done.len()].copy_from_slice(done);
            }
        }
        filled
    }

    /// One tile, row by row.
    fn tile<F: Fn(Coord) -> bool>(
        &self,
        frame: &Frame,
        spec: &GridSpec,
        tile: &Tile,
        inside: &F,
        ask: Ask<'_>,
    ) -> Vec<Prediction> {
        let nodes: Vec<Coord> = tile
            .rows
            .clone()
            .flat_map(|row| tile.columns.clone().map(move |column| (row, column)))
            .map(|(row, column)| frame.to_local(spec.node(row, column)))
            .collect();
        let wanted: Vec<usize> = (0..nodes.len()).filter(|i| inside(nodes[*i])).collect();
        let mut out = vec![OUTSIDE; nodes.len()];
        let far = Far::new(self, &nodes, tile.columns.len(), wanted.len(), ask);
        if let Some(done) = far.and_then(|far| far.evaluate(&nodes)) {
            for i in wanted {
                out[i] = done[i];
            }
            return out;
        }
        for block in wanted.chunks(BLOCK) {
            let places: Vec<Coord> = block.iter().map(|i| nodes[*i]).collect();
            for (i, p) in block.iter().zip(self.directly(&places, ask.variances())) {
                out[*i] = p;
            }
        }
        out
    }

    /// Places one by one, on the calling thread.
    pub(super) fn directly(&self, places: &[Coord], sure: bool) -> Vec<Prediction> {
        if sure {
            return self.block(places);
        }
        places.iter().map(|p| Prediction { head: self.head(*p), variance: f64::NAN }).collect()
    }
}

const OUTSIDE: Prediction = Prediction { head: f64::NAN, variance: f64::NAN };
