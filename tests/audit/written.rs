//! What was written, read again as anybody would.

use std::collections::BTreeMap;
use std::path::Path;

use gdal::Dataset;
use gdal::vector::{Feature, FieldValue, LayerAccess};
use serde_json::Value;

use crate::support::head_of;

pub(super) type Place = [f64; 2];

/// A control point.
#[derive(Debug, Clone)]
pub(super) struct Well {
    pub(super) place: Place,
    /// Its head as it was given, elevation unit.
    pub(super) head: f64,
    pub(super) of_stream: bool,
}

#[derive(Debug, Clone)]
pub(super) struct Triangle {
    pub(super) id: u64,
    pub(super) wells: [String; 3],
    pub(super) values: BTreeMap<String, Option<f64>>,
    pub(super) resolved: bool,
    pub(super) known: bool,
    pub(super) marks: String,
}

impl Triangle {
    pub(super) fn value(&self, column: &str) -> Option<f64> {
        *self.values.get(column).unwrap_or_else(|| panic!("triangles.csv has no {column}"))
    }
}

/// A contour, its stretches joined.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub(super) level: f64,
    pub(super) closed: bool,
    pub(super) points: Vec<Place>,
}

/// The nodes of `surface.tif`, from the south-west.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    pub(super) west: f64,
    pub(super) south: f64,
    pub(super) cell: f64,
    pub(super) columns: usize,
    pub(super) rows: usize,
    pub(super) heads: Vec<f64>,
}

impl Grid {
    pub(super) fn head(&self, row: usize, column: usize) -> Option<f64> {
        let inside = row < self.rows && column < self.columns;
        inside.then(|| self.heads[row * self.columns + column]).filter(|h| h.is_finite())
    }

    pub(super) fn node(&self, row: usize, column: usize) -> Place {
        [self.west + column as f64 * self.cell, self.south + row as f64 * self.cell]
    }

    /// Where a place is, in cells from the south-western node.
    pub(super) fn cells(&self, [x, y]: Place) -> [f64; 2] {
        [(x - self.west) / self.cell, (y - self.south) / self.cell]
    }
}

/// All of a set that the audit looks at.
#[derive(Debug, Clone)]
pub(super) struct Written {
    pub(super) wells: BTreeMap<String, Well>,
    pub(super) triangles: Vec<Triangle>,
    pub(super) lines: Vec<Line>,
    pub(super) grid: Grid,
    pub(super) summary: Value,
    /// The GeoJSON layers by name.
    pub(super) layers: BTreeMap<String, Value>,
}

impl Written {
    pub(super) fn read(out: &Path) -> Self {
        let json = |name: &str| -> Value {
            let text = std::fs::read(out.join(name)).expect(name);
            serde_json::from_slice(&text).expect(name)
        };
        let layers = ["wells", "contours", "triangles", "flow"];
        let layers = layers.map(|name| (name.to_owned(), json(&format!("{name}.geojson"))));
        Self {
            wells: wells(out),
            triangles: triangles(out),
            lines: lines(out),
            grid: grid(out),
            summary: json("summary.json"),
            layers: layers.into(),
        }
    }

    pub(super) fn corners(&self, triangle: &Triangle) -> [&Well; 3] {
        [0, 1, 2].map(|k| &self.wells[&triangle.wells[k]])
    }
}

fn table(out: &Path, name: &str) -> Vec<BTreeMap<String, String>> {
    let mut table = csv::Reader::from_path(out.join(name)).expect(name);
    table.deserialize().collect::<Result<_, _>>().expect(name)
}

fn wells(out: &Path) -> BTreeMap<String, Well> {
    let rows =
        table(out, "heads.csv").into_iter().filter(|row| row["used_for_contouring"] == "yes");
    rows.map(|row| {
        let number = |column: &str| row[column].parse::<f64>().expect(column);
        let place = [number("easting"), number("northing")];
        let of_stream = row["kind"] == "stream";
        (row["well"].clone(), Well { place, head: head_of(&row), of_stream })
    })
    .collect()
}

fn triangles(out: &Path) -> Vec<Triangle> {
    const WORDS: [&str; 14] = [
        "id",
        "well_1",
        "well_2",
        "well_3",
        "direction_resolved",
        "direction_known",
        "marks",
        "site",
        "round",
        "read_from",
        "read_to",
        "mapped_unit",
        "vertical_datum",
        "elevation_unit",
    ];
    let triangle = |row: BTreeMap<String, String>| Triangle {
        id: row["id"].parse().expect("a number"),
        wells: [1, 2, 3].map(|k| row[&format!("well_{k}")].clone()),
        resolved: row["direction_resolved"] == "true",
        known: row["direction_known"] == "true",
        marks: row["marks"].clone(),
        values: row
            .into_iter()
            .filter(|(column, _)| !WORDS.contains(&column.as_str()))
            .map(|(column, cell)| {
                let value = (!cell.is_empty()).then(|| cell.parse().expect("a number"));
                (column, value)
            })
            .collect(),
    };
    table(out, "triangles.csv").into_iter().map(triangle).collect()
}

fn number(feature: &Feature, column: &str) -> f64 {
    let at = feature.field_index(column).expect(column);
    match feature.field(at).expect(column) {
        Some(FieldValue::RealValue(v)) => v,
        Some(FieldValue::IntegerValue(v)) => f64::from(v),
        Some(FieldValue::Integer64Value(v)) => v as f64,
        other => panic!("{column}: {other:?}"),
    }
}

fn lines(out: &Path) -> Vec<Line> {
    let layers = Dataset::open(out.join("layers.gpkg")).expect("a GeoPackage");
    let mut layer = layers.layer_by_name("contours").expect("contours");
    let mut lines: BTreeMap<u64, Line> = BTreeMap::new();
    for feature in layer.features() {
        let mut points = Vec::new();
        feature.geometry().expect("a line").get_points(&mut points);
        let points = points.into_iter().map(|(x, y, _)| [x, y]);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count")]
        let id = number(&feature, "line") as u64;
        let (level, closed) = (number(&feature, "level"), number(&feature, "closed") != 0.0);
        let line = lines.entry(id).or_insert(Line { level, closed, points: Vec::new() });
        // A stretch begins where the one before it ends.
        line.points.extend(points);
        line.points.dedup();
    }
    lines.into_values().collect()
}

fn grid(out: &Path) -> Grid {
    let raster = Dataset::open(out.join("surface.tif")).expect("a raster");
    let (columns, rows) = raster.raster_size();
    let [left, cell, _, top, _, down] = raster.geo_transform().expect("where it lies");
    let band = raster.rasterband(1).expect("a band");
    let read = band.read_as::<f32>((0, 0), (columns, rows), (columns, rows), None).expect("nodes");
    // Pixels are centred on nodes, and the northern row comes first.
    let heads = read.data().chunks(columns).rev().flatten().map(|h| f64::from(*h)).collect();
    let south = top + down * (rows as f64 - 0.5);
    Grid { west: left + cell / 2.0, south, cell, columns, rows, heads }
}
