//! What arrows follow, and which directions the readings resolve.

use geo::Coord;

use super::results::Results;
use crate::geom::Slope;
use crate::read::Fact;
use crate::uncertainty::{KnownDirection, LEVEL};
use crate::units::Azimuth;

impl<'a> Results<'a> {
    /// What the arrows of sheet and page follow: the planes of the triangles where the contours are
    /// lines of them, and where directions must not be read off the surface, which is that of
    /// inverse distance; the surface itself everywhere else.
    ///
    /// # References
    /// `docs/map-sheet.md` and, for inverse distance, `docs/other-surfaces.md`.
    #[must_use]
    pub fn arrows_follow(&self) -> Followed {
        if !self.map.surface.method.has(Fact::Directions) {
            Followed::Triangles
        } else if self.map.surface.is_planes() {
            Followed::Planes
        } else {
            Followed::Surface
        }
    }

    /// The slope of the surface at a place, m/m, from heads about `reach_m` to each side of it, or
    /// nearer: none is taken across a barrier, the boundary or a stream. `None` where the surface has
    /// no slope of its own side.
    ///
    /// # Units
    /// - `p`: m in the local frame; `reach_m`: m, at least a cell is taken
    #[must_use]
    pub fn slope(&self, p: Coord, reach_m: f64) -> Option<Slope> {
        let (control, grid) = (&self.map.control, &self.map.surface.heads);
        let (frame, lines) = (control.frame(), control.beside().lines());
        let per_unit = frame.metres_per_unit();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "casts of floats saturate"
        )]
        let reach = (reach_m / (grid.spec().cell * per_unit)).round().max(1.0) as usize;
        let joined = |a: Coord, b: Coord| !lines.part(frame.to_local(a), frame.to_local(b));
        let slope = grid.slope(frame.to_crs(p), reach, joined)?;
        let metres = control.elevation_unit().metres() / per_unit;
        Some(Slope { east: slope.east * metres, north: slope.north * metres })
    }

    /// Whether the readings rule out a level water table in a triangle. A triangle that is marked as
    /// a sliver, as on a long edge of the outline, as on one stream or as on one line resolves
    /// nothing.
    ///
    /// # Units
    /// - `triangle`: index into the mesh's triangles
    #[must_use]
    pub fn resolves(&self, triangle: usize) -> bool {
        let error = self.map.uncertainty.triangles.get(triangle).copied().flatten();
        !self.map.mesh.triangles()[triangle].is_thin() && error.is_some_and(|e| e.resolved)
    }

    /// Triangles that a direction may be read off, how many of them the readings resolve, and how
    /// many of these chance alone would make on a level water table.
    #[must_use]
    pub fn resolved(&self) -> Resolved {
        let triangles = self.map.mesh.triangles();
        let fit: Vec<usize> = (0..triangles.len()).filter(|t| !triangles[*t].is_thin()).collect();
        let resolved = fit.iter().filter(|t| self.resolves(**t)).count();
        Resolved { fit: fit.len(), resolved, by_chance: (1.0 - LEVEL) * fit.len() as f64 }
    }

    /// Whether the direction of flow is known in a triangle.
    ///
    /// # Units
    /// - `triangle`: index into the mesh's triangles
    #[must_use]
    pub fn known(&self, triangle: usize) -> Option<&'a KnownDirection> {
        self.map.uncertainty.directions.triangles.get(triangle)?.as_ref()
    }

    /// Whether a direction of flow on the surface is known, in the triangle around its place.
    ///
    /// # Units
    /// - `at`: m in the local frame; `triangle`: index into the mesh's triangles
    /// - `azimuth_grid`: degrees clockwise from grid north
    #[must_use]
    pub fn known_at(&self, at: Coord, triangle: usize, azimuth_grid: Azimuth) -> bool {
        self.map.uncertainty.directions.known_at(&self.map.mesh, at, triangle, azimuth_grid)
    }
}

/// How many triangles have a direction that the readings resolve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resolved {
    /// Triangles without a mark but that of the boundary.
    pub fit: usize,
    /// Those of them in which the readings rule out a level water table.
    pub resolved: usize,
    /// So many would be resolved on a level water table, by chance.
    pub by_chance: f64,
}

/// What the arrows of a map follow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Followed {
    /// The planes through three wells each, whose lines the contours are.
    Planes,
    /// The planes through three wells each, because no direction may be read off the surface.
    Triangles,
    /// The slope of the surface that the contours are lines of.
    Surface,
}
