//! Lines and areas that stand beside the wells: boundary, barriers, streams, sources, receptors.
//!
//! | file | what it does |
//! |---|---|
//! | `keys` | `[features]`, `[[sources]]`, `[[receptors]]` to declarations |
//! | `layer` | what a vector file holds |
//! | `vector` | a vector file to layers, fields and geometries (GDAL) |
//! | `around` | what features are read against |
//! | `files` | declared files to features in the project CRS |
//! | `places` | sources and receptors of `site.toml` itself |
//! | `shape` | which geometry fits which role |
//! | `stage` | the stage along a stream |
//! | `points` | streams to control points |

mod around;
mod files;
#[cfg(feature = "formats")]
mod geopackage;
mod keys;
mod layer;
mod places;
mod points;
mod rings;
mod shape;
mod stage;
#[cfg(feature = "formats")]
mod vector;
#[cfg(not(feature = "formats"))]
mod without;

use geo::{Coord, Geometry, LineString, Polygon};

use crate::diag::Origin;

pub(super) use around::Surroundings;
pub(super) use files::read;
pub(super) use keys::{DeclaredFeatures, FeatureKeys, PlaceKeys};
pub(super) use places::tell_far;
pub(super) use points::stream_points;

#[cfg(not(feature = "formats"))]
use without as vector;

/// What the site's vector files hold, in the project CRS.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Features {
    /// The area the map is clipped to; empty when there is none.
    pub boundary: Vec<Polygon>,
    /// Lines no groundwater passes: slurry walls, sheet piles, faults.
    pub barriers: Vec<Barrier>,
    /// Streams and drains with known stage.
    pub streams: Vec<Stream>,
    /// The places along the streams that carry the map, stream by stream.
    pub stream_points: Vec<StreamPoint>,
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
    /// Its course, CRS units; one vertex alone for a place whose stage was read.
    pub line: LineString,
    /// The stage at each vertex of the course, elevation unit.
    pub stages: Vec<f64>,
    /// The aquifer unit it is in contact with, where declared; otherwise the one mapped.
    pub aquifer_unit: Option<String>,
    /// Where it stands.
    pub origin: Origin,
}

/// A place on a stream where it carries the map.
#[derive(Debug, Clone, PartialEq)]
pub struct StreamPoint {
    /// The stream's name and the distance along it, such as `Mill Creek @ 120 m`; no well has it.
    pub name: String,
    /// Where it lies, CRS units.
    pub position: Coord,
    /// The stage there, elevation unit.
    pub stage: f64,
    /// Index into [`Features::streams`].
    pub stream: usize,
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
