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
    /// No layers: all tables in one workbook (Office Open XML).
    Xlsx,
}

impl VectorFormat {
    /// All of them, in the order they are told.
    pub const ALL: [Self; 7] = [
        Self::Shapefile,
        Self::FlatGeobuf,
        Self::Csv,
        Self::GeoParquet,
        Self::Dxf,
        Self::Kml,
        Self::Xlsx,
    ];

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
            Self::Xlsx => "xlsx",
        }
    }
}

/// `[output]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct OutputKeys {
    pub(in crate::read) formats: Vec<VectorFormat>,
    pub(in crate::read) byte_order_mark: bool,
}

/// How tables of text are written: as the site declares its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TableMarks {
    /// What is between two cells.
    pub delimiter: u8,
    /// Whether numbers have a decimal comma.
    pub decimal_comma: bool,
    /// Whether the file begins with a UTF-8 byte order mark.
    pub byte_order_mark: bool,
}

impl Default for TableMarks {
    fn default() -> Self {
        Self { delimiter: b',', decimal_comma: false, byte_order_mark: false }
    }
}

impl TableMarks {
    /// What a site declares; with decimal commas cells are parted by semicolons unless it says otherwise.
    pub(in crate::read) fn declared(
        delimiter: Option<u8>,
        decimal_comma: Option<bool>,
        byte_order_mark: bool,
    ) -> Self {
        let decimal_comma = decimal_comma == Some(true);
        let usual = if decimal_comma { b';' } else { b',' };
        Self { delimiter: delimiter.unwrap_or(usual), decimal_comma, byte_order_mark }
    }

    /// A number that is written with a point, with the mark of these tables.
    #[must_use]
    pub fn number(self, text: String) -> String {
        if self.decimal_comma { text.replace('.', ",") } else { text }
    }
}
