//! The surface at the nodes of a grid.

use std::ops::Range;

use geo::Coord;
use rayon::prelude::*;

use super::paint::Paint;
use super::paint::Row;
use super::paint::Scratch;
use super::ring::Ring;
use super::surface::NaturalNeighbour;
use super::surface::Variant;
use crate::geom::Frame;
use crate::interpolate::axis::Axis;
use crate::interpolate::axis::slack;
use crate::interpolate::grid::Grid;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::linear::support;

/// Rows that one thread fills before it takes up the next band. A band starts afresh, so the
/// result does not depend on the number of threads.
const ROWS_PER_BAND: usize = 16;

impl NaturalNeighbour<'_> {
    /// The head at every node of a grid.
    ///
    /// The nodes with a head are exactly those of the linear surface ([`linear`](crate::interpolate::linear())): all on and
    /// within the outline of the wells. A node at a well has that well's head, digit by digit.
    /// The result does not depend on the number of threads.
    ///
    /// # Units
    /// - `frame`: that of the mesh; `spec`: CRS units, at least one node
    /// - returns: elevation unit
    ///
    /// # References
    /// Sibson (1981). `docs/natural-neighbour.md`.
    #[must_use]
    pub fn grid(&self, frame: &Frame, spec: GridSpec) -> Grid {
        let columns = Axis::of_columns(&spec, frame);
        let rows = Axis::of_rows(&spec, frame);
        let slack = slack(&spec, frame);
        let support = support(&self.mesh, &columns, &rows, slack);
        let paint = match self.variant() {
            Variant::Plain => Some(Paint::new(&self.net, self.mesh.heads(), &columns)),
            Variant::Smooth => None,
        };
        let arch = pulp::Arch::new();
        // Zeroes cost nothing until they are touched, and each band is touched by its own thread.
        let mut heads = vec![0.0; spec.rows * spec.columns];
        let bands = heads.par_chunks_mut(ROWS_PER_BAND * spec.columns).enumerate();
        bands.for_each_init(Tools::default, |tools, (band, heads)| {
            let first = band * ROWS_PER_BAND;
            let ys = &rows.positions()[first..rows.positions().len().min(first + ROWS_PER_BAND)];
            let reaching = paint.as_ref().map(|p| p.reaching(ys[0], ys[ys.len() - 1]));
            tools.near = 0;
            for ((row, y), heads) in (first..).zip(ys).zip(heads.chunks_mut(spec.columns)) {
                let support = support[row].clone();
                if support.is_empty() {
                    heads.fill(f64::NAN);
                    continue;
                }
                heads[..support.start].fill(f64::NAN);
                heads[support.end..].fill(f64::NAN);
                match (&paint, &reaching) {
                    (Some(paint), Some(reaching)) => {
                        let row = Row {
                            paint,
                            number: row,
                            y: *y,
                            reaching,
                            support: support.clone(),
                            scratch: &mut tools.scratch,
                            heads,
                        };
                        // With the widest arithmetic that the processor has. It has the same
                        // roundings.
                        arch.dispatch(row);
                    }
                    _ => heads[support.clone()].fill(f64::NAN),
                }
                self.node_by_node(*y, &columns, support, tools, heads);
            }
        });
        for (well, head) in self.mesh.local().iter().zip(self.mesh.heads()) {
            if let (Some(row), Some(column)) = (rows.at(well.y, slack), columns.at(well.x, slack)) {
                heads[row * spec.columns + column] = *head;
            }
        }
        Grid::new(spec, heads)
    }

    /// Gives a head to the supported nodes of a row that have none yet.
    fn node_by_node(
        &self,
        y: f64,
        columns: &Axis,
        support: Range<usize>,
        tools: &mut Tools,
        heads: &mut [f64],
    ) {
        let mut first = None;
        for (head, x) in heads[support.clone()].iter_mut().zip(&columns.positions()[support]) {
            if !head.is_finite() {
                let p = Coord { x: *x, y };
                let place = self.net.locate(p, tools.near);
                tools.near = place.facet();
                first = first.or(Some(tools.near));
                *head = self.head(place, p, &mut tools.ring);
            }
        }
        // The next row starts where this one did.
        tools.near = first.unwrap_or(tools.near);
    }
}

/// What one thread keeps from node to node.
#[derive(Default)]
struct Tools {
    ring: Ring,
    scratch: Scratch,
    near: u32,
}
