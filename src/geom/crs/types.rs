//! What is known of a coordinate reference system, and why one cannot be used.

use geo::Coord;
use serde::Serialize;

use crate::sealed::Grids;

/// Why a CRS cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CrsError {
    /// PROJ does not know it.
    #[error("PROJ does not know the CRS \"{definition}\" ({cause})")]
    Unknown {
        /// As the user wrote it.
        definition: String,
        /// PROJ's word.
        cause: String,
    },
    /// It is neither projected nor geographic: geocentric, vertical, engineering.
    #[error("the CRS \"{definition}\" is a {kind}, which has no map coordinates")]
    NotAMap {
        /// As the user wrote it.
        definition: String,
        /// PROJ's word for its kind.
        kind: String,
    },
    /// It takes PROJ, which is not built in.
    #[error(
        "the CRS \"{definition}\" cannot be used: this headfall was built without PROJ, which the feature `crs` adds"
    )]
    NotBuiltIn {
        /// As the user wrote it.
        definition: String,
    },
    /// Local coordinates stand nowhere on earth.
    #[error("local coordinates have no longitude and latitude, and no way to another CRS")]
    Local,
    /// Local coordinates whose unit is not known.
    #[error("local coordinates have no unit: give the length unit")]
    NoUnit,
    /// A coordinate cannot be transformed.
    #[error("the position ({x}, {y}) cannot be transformed")]
    Untransformable {
        /// Easting or longitude.
        x: f64,
        /// Northing or latitude.
        y: f64,
    },
}

/// Projected, geographic or local.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum CrsKind {
    /// Eastings and northings.
    Projected,
    /// Longitudes and latitudes.
    Geographic,
    /// Eastings and northings of a plan, which says nothing of where on earth they are.
    Local,
}

/// The area a CRS is meant for, in degrees of longitude and latitude. West may exceed east across
/// the antimeridian.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[expect(missing_docs, reason = "the names say it")]
pub struct Area {
    pub west: f64,
    pub south: f64,
    pub east: f64,
    pub north: f64,
}

impl Area {
    /// How far a position lies outside, in degrees of the larger difference; 0 inside.
    #[must_use]
    pub(crate) fn degrees_outside(&self, lon_lat: Coord) -> f64 {
        let width = (self.east - self.west).rem_euclid(360.0);
        let from_west = (lon_lat.x - self.west).rem_euclid(360.0);
        let lon = if from_west <= width || width == 0.0 {
            0.0
        } else {
            (from_west - width).min(360.0 - from_west)
        };
        let lat = (self.south - lon_lat.y).max(lon_lat.y - self.north).max(0.0);
        lon.max(lat)
    }
}

/// How the projection behaves at one place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Factors {
    /// Meridian convergence in degrees, positive when grid north lies east of true north:
    /// true azimuth = grid azimuth + convergence. In local coordinates the azimuth of site north, 0 where
    /// nobody knows it.
    pub convergence_deg: f64,
    /// Grid distance over ground distance on the ellipsoid: square root of the areal scale.
    pub scale: f64,
}

/// What is asked of a CRS, as plain data.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Known {
    pub(super) name: String,
    pub(super) kind: CrsKind,
    pub(super) unit_name: String,
    /// Metres in one unit of easting or northing; radians in one unit of a geographic CRS.
    pub(super) metres_per_unit: f64,
    pub(super) area: Option<Area>,
    /// Whether coordinates grow to the west or to the south.
    pub(super) turned: bool,
    /// Whether X may be its name for northings.
    pub(super) x_may_be_north: bool,
    /// The earth below it; `None` for local coordinates.
    pub(super) earth: Option<Earth>,
}

/// The datum that a CRS stands on.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Earth {
    /// The geographic CRS of the datum.
    pub(super) base: String,
    pub(super) semi_major_m: f64,
    pub(super) flattening: f64,
}

/// Along a transformation or against it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    Forth,
    Back,
}

/// From one definition to another.
#[derive(Debug, Clone, Copy)]
pub(super) struct Path<'a> {
    pub(super) from: &'a str,
    pub(super) to: &'a str,
    /// The datum grids that may be used.
    pub(super) grids: Option<&'a Grids>,
}
