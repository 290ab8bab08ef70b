//! Pumped wells that a site declares.

use geo::Coord;
use schemars::JsonSchema;
use serde::Serialize;

use crate::geom::Similarity;

/// A pumped well that the site declares: `[[pumped_wells]]`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PumpedWell {
    /// Its name; a well of the register unless a position is given.
    pub well: String,
    /// Easting and northing, CRS units, where it is not in the register.
    pub position: Option<(f64, f64)>,
    /// Pumping rate, negative for recharge, in any unit that all wells share; a well without one
    /// has a cone whose depth is found from the heads alone.
    pub rate: Option<f64>,
    /// Radius of the well, CRS units.
    pub radius: f64,
}

impl PumpedWell {
    /// The same with lengths in CRS units.
    ///
    /// # Units
    /// - `factor`: CRS units in one length unit of the site; `tie`: from local coordinates to the CRS, where
    ///   wells tie them
    pub(in crate::read) fn in_crs_units(mut self, factor: f64, tie: Option<&Similarity>) -> Self {
        self.position = self.position.map(|(x, y)| match tie.map(|t| t.apply(Coord { x, y })) {
            Some(there) => (there.x, there.y),
            None => (x * factor, y * factor),
        });
        self.radius *= factor;
        self
    }
}
