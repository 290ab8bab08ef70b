//! What triangulation gives.

use geo::Coord;
use serde::Serialize;

use crate::geom::TriangleIndex;

/// Why a triangle deserves distrust. Marked, never dropped.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// Longest side over height is above the bound.
    Sliver,
    /// One side lies on the outline and is long.
    LongHullEdge,
    /// Its three corners are points of one stream: it says how the stream falls, and nothing of
    /// the aquifer.
    OneStream,
    /// Its centroid lies outside the boundary.
    OutsideBoundary,
    /// The head of a corner was judged by somebody, and not measured.
    Judged,
    /// Its three corners stand on one line, as far as a gradient is concerned: it has none.
    OneLine,
}

impl Mark {
    /// The word in tables and properties, such as `sliver` or `long-hull-edge`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Sliver => "sliver",
            Self::LongHullEdge => "long-hull-edge",
            Self::OneStream => "one-stream",
            Self::OutsideBoundary => "outside-boundary",
            Self::OneLine => "one-line",
            Self::Judged => "judged",
        }
    }
}

/// One Delaunay triangle.
#[derive(Debug, Clone, PartialEq)]
pub struct Triangle {
    /// Indices into [`crate::check::ControlSet::points`], counter-clockwise, smallest first.
    pub corners: [usize; 3],
    /// Area, m².
    pub area_m2: f64,
    /// Longest side over the height on it, dimensionless, at least 2/sqrt(3); infinite where the
    /// height is less than a position is known by
    /// ([`crate::geom::tolerance::SAME_POSITION_M`]).
    pub base_to_height: f64,
    /// Why it deserves distrust.
    pub marks: Vec<Mark>,
}

/// The Delaunay triangulation of a control set, in canonical order (by corners).
#[derive(Debug, Clone)]
pub struct Mesh {
    pub(super) local: Vec<Coord>,
    pub(super) heads: Vec<f64>,
    pub(super) triangles: Vec<Triangle>,
    pub(super) hull: Vec<usize>,
}

impl Triangle {
    /// Whether the head within it rests on too little: on a sliver, on wells far apart, on one
    /// line, on one stream alone, or on a judged head.
    #[must_use]
    pub fn is_thin(&self) -> bool {
        self.marks.iter().any(|m| *m != Mark::OutsideBoundary)
    }

    /// Whether the head of a corner was judged.
    #[must_use]
    pub fn is_judged(&self) -> bool {
        self.marks.contains(&Mark::Judged)
    }

    /// Whether its shape and its corners' kinds alone make it thin, whatever was judged.
    #[must_use]
    pub(crate) fn is_thin_as_measured(&self) -> bool {
        self.marks.iter().any(|m| !matches!(m, Mark::OutsideBoundary | Mark::Judged))
    }

    /// Whether its corners stand on one line: it has no gradient, no direction, and no part in a
    /// mean of triangles.
    #[must_use]
    pub fn is_line(&self) -> bool {
        self.marks.contains(&Mark::OneLine)
    }
}

impl Mesh {
    /// The vertices' positions, m, in the order of the control points.
    #[must_use]
    pub fn local(&self) -> &[Coord] {
        &self.local
    }

    /// The vertices' heads, elevation unit.
    #[must_use]
    pub fn heads(&self) -> &[f64] {
        &self.heads
    }

    /// The triangles.
    #[must_use]
    pub fn triangles(&self) -> &[Triangle] {
        &self.triangles
    }

    /// The outline's vertices, counter-clockwise, smallest index first. Wells that lie on a
    /// straight side of the outline are part of it.
    #[must_use]
    pub fn hull(&self) -> &[usize] {
        &self.hull
    }

    /// The three corners' positions of a triangle, m.
    #[must_use]
    pub fn corners(&self, t: &Triangle) -> [Coord; 3] {
        t.corners.map(|i| self.local[i])
    }

    /// An index of its triangles, to ask [`Self::around`] with.
    #[must_use]
    pub(crate) fn index(&self) -> TriangleIndex {
        TriangleIndex::new(self.triangles.iter().map(|t| self.corners(t)))
    }

    /// The triangle around a place, the first one on a side; `None` outside the outline.
    ///
    /// # Units
    /// - `p`: m in the local frame
    #[must_use]
    pub(crate) fn around(&self, index: &TriangleIndex, p: Coord) -> Option<usize> {
        index.around(p, |t| self.corners(&self.triangles[t])).map(|(t, _)| t)
    }

    /// The same triangles with other heads.
    ///
    /// # Panics
    /// When there is not one head for each vertex.
    #[must_use]
    pub(crate) fn with_heads(&self, heads: Vec<f64>) -> Self {
        assert_eq!(heads.len(), self.local.len(), "this is a bug in headfall: lengths differ");
        Self { heads, ..self.clone() }
    }

    /// A mesh of triangles made elsewhere, for tests of the stages downstream: nothing is checked.
    #[doc(hidden)]
    #[must_use]
    pub fn from_parts(local: Vec<Coord>, heads: Vec<f64>, triangles: Vec<Triangle>) -> Self {
        Self { local, heads, triangles, hull: Vec::new() }
    }
}

#[cfg(test)]
impl Mesh {
    /// A mesh made by hand, for the tests of later stages.
    pub(crate) const fn for_tests(
        local: Vec<Coord>,
        heads: Vec<f64>,
        triangles: Vec<Triangle>,
        hull: Vec<usize>,
    ) -> Self {
        Self { local, heads, triangles, hull }
    }
}
