//! The site-local frame: metres on the ground, near the origin.

use geo::Coord;
use serde::Serialize;

/// Shift and scale from CRS coordinates to local metres and back.
///
/// Doubles carry about 1e-9 m at a northing of 5 000 km; products of such numbers do not. All
/// geometry is therefore done close to the origin. `metres_per_unit` holds the CRS's unit and,
/// where the projection's scale matters, the division by that scale.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Frame {
    origin_easting: f64,
    origin_northing: f64,
    metres_per_unit: f64,
}

impl Frame {
    /// A frame about `origin`.
    ///
    /// # Units
    /// - `origin`: CRS units
    /// - `metres_per_unit`: ground metres in one CRS unit, positive
    #[must_use]
    pub const fn new(origin: Coord, metres_per_unit: f64) -> Self {
        Self { origin_easting: origin.x, origin_northing: origin.y, metres_per_unit }
    }

    /// From CRS coordinates to local metres.
    ///
    /// # Units
    /// - `p`: CRS units; returns: m
    #[must_use]
    pub fn to_local(&self, p: Coord) -> Coord {
        Coord {
            x: (p.x - self.origin_easting) * self.metres_per_unit,
            y: (p.y - self.origin_northing) * self.metres_per_unit,
        }
    }

    /// From local metres to CRS coordinates.
    ///
    /// # Units
    /// - `p`: m; returns: CRS units
    #[must_use]
    pub fn to_crs(&self, p: Coord) -> Coord {
        Coord {
            x: p.x / self.metres_per_unit + self.origin_easting,
            y: p.y / self.metres_per_unit + self.origin_northing,
        }
    }

    /// How far rounding can put a position near the origin off: half a digit of the position and
    /// half a digit of the origin, both as large as CRS coordinates are.
    ///
    /// # Units
    /// - returns: m
    #[must_use]
    pub fn rounding_m(&self) -> f64 {
        let size = self.origin_easting.abs().max(self.origin_northing.abs());
        f64::EPSILON * size * self.metres_per_unit
    }

    /// Ground metres in one CRS unit.
    #[must_use]
    pub const fn metres_per_unit(&self) -> f64 {
        self.metres_per_unit
    }

    /// The frame's origin in CRS units.
    #[must_use]
    pub const fn origin(&self) -> Coord {
        Coord { x: self.origin_easting, y: self.origin_northing }
    }
}
