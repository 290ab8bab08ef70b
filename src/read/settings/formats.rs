//! Further formats that the layers of a map are written in.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A vector format beside GeoJSON and GeoPackage, which are always written.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum VectorFormat {
    /// ESRI shapefiles.
    Shapefile,
    /// FlatGeobuf.
    #[serde(rename = "flatgeobuf")]
    FlatGeobuf,
    /// CSV with the geometry as well-known text.
    Csv,
    /// GeoParquet: columns, the geometry as well-known binary.
    #[serde(rename = "geoparquet")]
    GeoParquet,
    /// One drawing for drawing offices (DXF).
    Dxf,
    /// One file for a globe (KML).
    Kml,
}

impl VectorFormat {
    /// All of them, in the order they are told.
    pub const ALL: [Self; 6] =
        [Self::Shapefile, Self::FlatGeobuf, Self::Csv, Self::GeoParquet, Self::Dxf, Self::Kml];

    /// The name in `site.toml` and on the command line.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Shapefile => "shapefile",
            Self::FlatGeobuf => "flatgeobuf",
            Self::Csv => "csv",
            Self::GeoParquet => "geoparquet",
            Self::Dxf => "dxf",
            Self::Kml => "kml",
        }
    }
}

/// `[output]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct OutputKeys {
    pub(in crate::read) formats: Vec<VectorFormat>,
}
