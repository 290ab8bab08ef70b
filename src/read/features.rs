//! Lines and areas that stand beside the wells: boundary, barriers, streams, sources, receptors.

use geo::{Geometry, LineString, Polygon};

use crate::diag::Origin;

/// What the site's vector files hold, in the project CRS.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Features {
    /// The area the map is clipped to; empty when there is none.
    pub boundary: Vec<Polygon>,
    /// Lines no groundwater passes: slurry walls, sheet piles, faults.
    pub barriers: Vec<Barrier>,
    /// Streams and drains with known stage.
    pub streams: Vec<Stream>,
    /// Where a plume may start.
    pub sources: Vec<Place>,
    /// What must be kept from it: supply wells, creeks, property lines.
    pub receptors: Vec<Place>,
}

/// A line no groundwater passes.
#[derive(Debug, Clone, PartialEq)]
pub struct Barrier {
    /// Its name, or its number in the file.
    pub name: String,
    /// Its course, CRS units.
    pub line: LineString,
    /// Where it stands.
    pub origin: Origin,
}

/// A stream or drain whose stage is the head of the aquifer beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct Stream {
    /// Its name, or its number in the file.
    pub name: String,
    /// Its course, CRS units.
    pub line: LineString,
    /// The stage at each vertex of the course, elevation unit.
    pub stages: Vec<f64>,
    /// Where it stands.
    pub origin: Origin,
}

/// A source or a receptor.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Its name, or its number in the file.
    pub name: String,
    /// A point, a line or an area, CRS units.
    pub geometry: Geometry,
    /// Where it stands.
    pub origin: Origin,
}
