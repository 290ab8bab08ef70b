//! The surface at the nodes of a grid.

use std::ops::Range;

use geo::Coord;
use rayon::prelude::*;

use super::NaturalNeighbour;
use super::Variant;
use super::paint::Paint;
use super::paint::Row;
use super::paint::Scratch;
use super::ring::Ring;
use crate::geom::Frame;
use crate::interpolate::Grid;
use crate::interpolate::GridSpec;
use crate::interpolate::axis::Axis;
use crate::interpolate::axis::slack;
use crate::interpolate::linear;

/// Rows that one thread fills before it takes up the next band. A band starts afresh, so the
/// result does not depend on the number of threads.
const ROWS_PER_BAND: usize = 16;

impl NaturalNeighbour<'_> {
    /// The head at every node of a grid.
    ///
    /// The nodes with a head are exactly those of the linear surface ([`linear`]): all on and
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
        let mut grid = linear(self.mesh, frame, spec);
        let columns = Axis::of_columns(&spec, frame);
        let rows = Axis::of_rows(&spec, frame);
        let paint = match self.variant() {
            Variant::Plain => Some(Paint::new(&self.net, self.mesh.heads())),
            Variant::Smooth => None,
        };
        let arch = pulp::Arch::new();
        let bands = grid.heads.par_chunks_mut(ROWS_PER_BAND * spec.columns).enumerate();
        bands.for_each_init(Tools::default, |tools, (band, heads)| {
            let first = band * ROWS_PER_BAND;
            let ys = &rows.positions()[first..rows.positions().len().min(first + ROWS_PER_BAND)];
            let reaching = paint.as_ref().map(|p| p.reaching(ys[0], ys[ys.len() - 1]));
            tools.near = 0;
            for ((row, y), heads) in (first..).zip(ys).zip(heads.chunks_mut(spec.columns)) {
                let Some(support) = supported(heads) else { continue };
                match (&paint, &reaching) {
                    (Some(paint), Some(reaching)) => {
                        let row = Row {
                            paint,
                            number: row,
                            y: *y,
                            columns: &columns,
                            reaching,
                            support: support.clone(),
                            scratch: &mut tools.scratch,
                            heads,
                        };
                        // With the widest arithmetic that the processor has. It has the same
                        // roundings.
                        arch.dispatch(|| row.paint());
                    }
                    _ => heads[support.clone()].fill(f64::NAN),
                }
                self.node_by_node(*y, &columns, support, tools, heads);
            }
        });
        let slack = slack(&spec, frame);
        for (well, head) in self.mesh.local().iter().zip(self.mesh.heads()) {
            if let (Some(row), Some(column)) = (rows.at(well.y, slack), columns.at(well.x, slack)) {
                grid.heads[row * spec.columns + column] = *head;
            }
        }
        grid
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

/// The nodes of a row within the outline; it is convex, so they follow each other.
fn supported(heads: &[f64]) -> Option<Range<usize>> {
    let start = heads.iter().position(|h| h.is_finite())?;
    let end = heads.iter().rposition(|h| h.is_finite())?;
    Some(start..end + 1)
}
