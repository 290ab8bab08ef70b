//! The kriged surface on the nodes of a grid.

use std::ops::Range;

use geo::Coord;
use rayon::prelude::*;

use super::far::Ask;
use super::far::Far;
use super::system::Prediction;
use super::system::System;
use crate::geom::Frame;
use crate::interpolate::grid::Grid;
use crate::interpolate::grid::GridSpec;

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

/// Predicts the wanted nodes of `out`, by their numbers, so many at once.
pub(super) fn in_blocks(
    out: &mut [Prediction],
    wanted: &[usize],
    at_once: usize,
    node: impl Fn(usize) -> Coord,
    predict: impl Fn(&[Coord]) -> Vec<Prediction>,
) {
    for block in wanted.chunks(at_once) {
        let places: Vec<Coord> = block.iter().map(|i| node(*i)).collect();
        for (i, p) in block.iter().zip(predict(&places)) {
            out[*i] = p;
        }
    }
}

impl System {
    /// Every node, row by row from the south-west; NaN outside. Without `sure` the variances are
    /// NaN.
    pub(super) fn fill<F: Fn(Coord) -> bool + Sync>(
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
        let mut filled = vec![Prediction::NONE; spec.rows * spec.columns];
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
        let mut out = vec![Prediction::NONE; nodes.len()];
        let far = Far::new(self, &nodes, tile.columns.len(), wanted.len(), ask);
        if let Some(done) = far.and_then(|far| far.evaluate(&nodes)) {
            for i in wanted {
                out[i] = done[i];
            }
            return out;
        }
        let sure = ask.variances();
        in_blocks(&mut out, &wanted, BLOCK, |i| nodes[i], |places| self.directly(places, sure));
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
