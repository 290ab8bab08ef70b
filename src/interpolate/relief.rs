//! What the lines of equal head of a surface are traced on.

use geo::Coord;

use super::grid::Grid;
use super::rim::Rim;
use crate::geom::Frame;
#[cfg(any(feature = "page", feature = "sheet"))]
use crate::geom::TriangleIndex;
use crate::triangulate::{Mesh, Planes};

/// What the lines of equal head of a surface are traced on, before a boundary ends them.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Relief<'a> {
    /// The surface is planes, and its lines are straight on each.
    Planes(&'a Sloping),
    /// The surface is known at nodes and along the outline of the wells.
    Nodes(&'a Grid, &'a Rim),
}

/// A surface of planes: of the heads, or of the squares of the saturated thickness above a base.
#[derive(Debug, Clone)]
pub(crate) struct Sloping {
    planes: Planes,
    /// What the planes are of, at each corner.
    values: Vec<f64>,
    base: Option<f64>,
    frame: Frame,
}

impl Sloping {
    /// The planes of a mesh's triangles; its heads are squares of the thickness above `base` where
    /// there is one.
    ///
    /// # Units
    /// - `frame`: that of the mesh; `base`: elevation unit
    pub(crate) fn new(mesh: &Mesh, base: Option<f64>, frame: Frame) -> Self {
        let planes = mesh.planes();
        Self { values: planes.values(mesh.heads()), planes, base, frame }
    }

    /// Whether the planes are those of the heads.
    pub(super) const fn is_of_heads(&self) -> bool {
        self.base.is_none()
    }

    /// The triangles, by their corners.
    pub(crate) fn triangles(&self) -> &[[usize; 3]] {
        self.planes.triangles()
    }

    /// What the planes are of at a corner.
    pub(crate) fn value(&self, corner: usize) -> f64 {
        self.values[corner]
    }

    /// The same where the head is `head`, elevation unit.
    pub(crate) fn value_of(&self, head: f64) -> f64 {
        self.base.map_or(head, |base| (head - base) * (head - base))
    }

    /// Where a side from one corner to another has a value that lies between theirs, CRS units. The
    /// same whichever corner is named first.
    pub(crate) fn place(&self, side: [usize; 2], value: f64) -> Coord {
        let [a, b] = [side[0].min(side[1]), side[0].max(side[1])];
        let [from, to] = [a, b].map(|corner| self.planes.places()[corner]);
        let share = (value - self.values[a]) / (self.values[b] - self.values[a]);
        self.frame.to_crs(if share < 1.0 { from + (to - from) * share } else { to })
    }
}

/// Heads at any place of a surface of planes.
#[cfg(any(feature = "page", feature = "sheet"))]
#[derive(Debug)]
pub(crate) struct HeadsOfPlanes<'a> {
    of: &'a Sloping,
    index: TriangleIndex,
}

#[cfg(any(feature = "page", feature = "sheet"))]
impl Sloping {
    /// Its heads at any place.
    pub(crate) fn heads(&self) -> HeadsOfPlanes<'_> {
        let corners = |t: &[usize; 3]| t.map(|corner| self.planes.places()[corner]);
        HeadsOfPlanes { of: self, index: TriangleIndex::new(self.triangles().iter().map(corners)) }
    }
}

#[cfg(any(feature = "page", feature = "sheet"))]
impl HeadsOfPlanes<'_> {
    /// The head at a place, elevation unit; `None` outside the planes.
    ///
    /// # Units
    /// - `p`: m in the local frame
    pub(crate) fn at(&self, p: Coord) -> Option<f64> {
        let (triangles, places) = (self.of.triangles(), self.of.planes.places());
        let (t, weights) = self.index.around(p, |t| triangles[t].map(|corner| places[corner]))?;
        let values = triangles[t].map(|corner| self.of.values[corner]);
        let value: f64 = values.into_iter().zip(weights).map(|(v, w)| v * w).sum();
        Some(self.of.base.map_or(value, |base| base + value.max(0.0).sqrt()))
    }
}
