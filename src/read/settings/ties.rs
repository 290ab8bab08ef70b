//! `[[tie]]`: wells whose place in the project CRS is known beside that in local coordinates.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use toml::Spanned;

use super::bounds::Bound;
use super::reader::Reader;
use crate::diag::Origin;
use crate::schema::Positive;

/// `[[tie]]`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::read) struct TieKeys {
    well: Spanned<String>,
    easting: Spanned<f64>,
    northing: Spanned<f64>,
}

/// A tie, as it is declared and where.
#[derive(Debug, Clone)]
pub(in crate::read) struct DeclaredTie {
    pub(in crate::read) well: String,
    /// CRS units of the project.
    pub(in crate::read) easting: f64,
    pub(in crate::read) northing: f64,
    pub(in crate::read) origin: Origin,
}

/// How local coordinates were tied to the project CRS: a similarity transformation by least squares.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Tie {
    /// Distance in the project CRS over distance in local coordinates, both in m.
    #[schemars(with = "Positive")]
    pub scale: f64,
    /// Where site north points, degrees clockwise from grid north.
    pub site_north_azimuth_grid_deg: f64,
    /// The wells that it rests on, by name.
    #[schemars(length(min = 2))]
    pub points: Vec<TiePoint>,
}

/// A well that ties local coordinates to the project CRS.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TiePoint {
    /// The well.
    pub well: String,
    /// In local coordinates, length unit.
    pub local_easting: f64,
    /// In local coordinates, length unit.
    pub local_northing: f64,
    /// As declared, CRS units.
    pub easting: f64,
    /// As declared, CRS units.
    pub northing: f64,
    /// How far the transformed place lies from the declared one, m.
    #[schemars(range(min = 0))]
    pub residual_m: f64,
}

impl Reader<'_> {
    /// A tie; nothing where a coordinate is out of bounds, which is said.
    pub(in crate::read) fn tie(&mut self, keys: TieKeys) -> Option<DeclaredTie> {
        let origin = self.origin(&keys.well.span());
        let well = self.words("well", Some(keys.well)).unwrap_or_default();
        let easting = self.number("easting", Some(keys.easting), Bound::POSITION);
        let northing = self.number("northing", Some(keys.northing), Bound::POSITION);
        Some(DeclaredTie { well, easting: easting?, northing: northing?, origin })
    }
}
