//! What a vector file holds: a layer with fields and geometries, or why it gives none.

use std::path::PathBuf;

/// More vertices than this in one layer are refused: a boundary or a creek has thousands. A feature
/// without any counts for one.
pub(super) const MOST_VERTICES: usize = 1_000_000;

/// More cells than this in one layer are refused: a file may claim columns that hold nothing.
pub(super) const MOST_CELLS: usize = 10_000_000;

/// One layer of a file.
#[derive(Debug)]
pub(super) struct Layer {
    pub(super) name: String,
    /// WKT of its CRS, where the file gives one.
    pub(super) crs: Option<String>,
    /// The code of that CRS, such as `EPSG:26915`, where the file gives it.
    pub(super) crs_code: Option<String>,
    /// Whether the format is GeoJSON.
    pub(super) geojson: bool,
    /// The names of its fields.
    pub(super) fields: Vec<String>,
    pub(super) features: Vec<Feature>,
    /// The files that GDAL took it from.
    pub(super) files: Vec<PathBuf>,
}

/// One feature of a layer.
#[derive(Debug)]
pub(super) struct Feature {
    /// Its number in the layer, counted from 1.
    pub(super) number: usize,
    /// One for each field of the layer.
    pub(super) cells: Vec<Cell>,
    /// Its parts; multi-part geometries are taken apart.
    pub(super) parts: Vec<Part>,
    /// Parts that are none of point, line and area, by GDAL's name.
    pub(super) odd: Vec<String>,
    /// Whether its vertices have a height.
    pub(super) has_heights: bool,
}

/// What stands in a field.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Cell {
    Empty,
    Number(f64),
    Text(String),
}

/// East, north, height; the height is 0 where there is none.
pub(super) type Vertex = (f64, f64, f64);

/// A point, a line, or an area with its outline first and its holes after it.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Part {
    Point(Vertex),
    Line(Vec<Vertex>),
    Area(Vec<Vec<Vertex>>),
}

/// Why a file gives no layer.
#[derive(Debug, PartialEq)]
pub(super) enum Fault {
    /// GDAL cannot open it as any of the formats.
    Format(String),
    /// There is no layer, none of the name wanted, or several; their names.
    Layers(Vec<String>),
    /// GDAL met an error on the way; features may be lost.
    Broken(String),
    /// More than [`MOST_VERTICES`] or [`MOST_CELLS`].
    TooLarge,
    /// A table that is worked out while it is read: a view, or one with such columns.
    Computed(String),
    /// It is not opened: why, in words that follow its name, and what to do.
    Closed(&'static str, &'static str),
}

/// The CRS of GeoJSON.
const GEOJSON_CRS: &str = "OGC:CRS84";

impl Layer {
    /// The CRS of its coordinates, where the file gives one; GeoJSON has one by its standard.
    pub(super) fn crs_definition(&self) -> Option<&str> {
        if self.geojson && self.crs.as_deref().is_none_or(is_wgs_84) {
            return Some(GEOJSON_CRS);
        }
        self.crs.as_deref()
    }
}

/// Whether a WKT names the CRS that GeoJSON has by its standard.
fn is_wgs_84(wkt: &str) -> bool {
    ["GEOGCS[\"WGS 84\"", "GEOGCRS[\"WGS 84\""].iter().any(|start| wkt.starts_with(start))
}

impl Part {
    /// How many vertices it has.
    pub(super) fn vertices(&self) -> usize {
        match self {
            Self::Point(_) => 1,
            Self::Line(line) => line.len(),
            Self::Area(rings) => rings.iter().map(Vec::len).sum(),
        }
    }
}
