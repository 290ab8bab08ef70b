//! A feature with its name, its columns and its place.

use geo::{Coord, Geometry, LineString, Point, Polygon};

use super::look;
use crate::diag::printable;
use crate::units::finite;
use crate::write::vector::layer::{Belonging, Layer};
use crate::write::vector::row::Value;
use crate::xml::Element;

/// Columns that name a feature, the first that a layer has.
const NAMES: [&str; 4] = ["id", "name", "from_place", "line"];

/// Where the columns of a layer are described.
pub(super) fn columns_id(layer: &Layer) -> String {
    format!("columns-{}", layer.name)
}

/// A feature by its number, with its row; `shape` is in degrees.
pub(super) fn placemark(
    layer: &Layer,
    of: &Belonging,
    (i, row): (usize, &[Value]),
    shape: &Geometry,
) -> Element {
    let fields = layer.fields.iter().chain(of.fields);
    let cells = fields.zip(row.iter().chain(&of.values)).filter_map(|(field, value)| {
        Some(Element::text("SimpleData", text(value)?).with("name", field.name))
    });
    let data =
        Element::of("SchemaData", cells).with("schemaUrl", format!("#{}", columns_id(layer)));
    let mut parts = vec![
        Element::text("name", name(layer, i, row)),
        Element::text("styleUrl", format!("#{}", look::of(layer, row))),
        Element::of("ExtendedData", [data]),
    ];
    parts.extend(placed(shape));
    Element::of("Placemark", parts)
}

/// What a feature is called: a contour by its level, others by their names, or by the layer and a number.
fn name(layer: &Layer, i: usize, row: &[Value]) -> String {
    let cell = |name: &str| {
        let column = layer.fields.iter().position(|field| field.name == name);
        column.map(|column| &row[column])
    };
    if let [Some(Value::Real(level)), Some(Value::Text(unit))] = ["level", "unit"].map(cell) {
        return format!("{} {unit}", finite(*level));
    }
    let text = |column: &str| match cell(column) {
        Some(Value::Text(name)) => Some(printable(name).into_owned()),
        _ => None,
    };
    let numbered = || format!("{} {}", layer.name.trim_end_matches('s'), i + 1);
    NAMES.into_iter().find_map(text).unwrap_or_else(numbered)
}

/// What is in a cell; `None` for an empty one.
fn text(value: &Value) -> Option<String> {
    Some(match value {
        Value::Null => return None,
        Value::Text(text) => printable(text).into_owned(),
        Value::Integer(value) => value.to_string(),
        Value::Real(value) => finite(*value).to_string(),
        Value::Flag(value) => value.to_string(),
    })
}

/// A geometry on the ground; several parts as one.
fn placed(shape: &Geometry) -> Option<Element> {
    let parts: Vec<Element> = match shape {
        Geometry::Point(p) => return Some(point(p)),
        Geometry::LineString(l) => return Some(line(l)),
        Geometry::Polygon(p) => return Some(area(p)),
        Geometry::MultiPoint(m) => m.0.iter().map(point).collect(),
        Geometry::MultiLineString(m) => m.0.iter().map(line).collect(),
        Geometry::MultiPolygon(m) => m.0.iter().map(area).collect(),
        _ => return None,
    };
    Some(Element::of("MultiGeometry", parts))
}

fn on_ground() -> Element {
    Element::text("altitudeMode", "clampToGround")
}

fn point(p: &Point) -> Element {
    Element::of("Point", [on_ground(), coordinates(&[p.0])])
}

fn line(line: &LineString) -> Element {
    let along = Element::text("tessellate", "1");
    Element::of("LineString", [along, on_ground(), coordinates(&line.0)])
}

fn area(area: &Polygon) -> Element {
    let ring = |ring: &LineString| Element::of("LinearRing", [coordinates(&ring.0)]);
    let mut parts = vec![Element::text("tessellate", "1"), on_ground()];
    parts.push(Element::of("outerBoundaryIs", [ring(area.exterior())]));
    let holes = area.interiors().iter();
    parts.extend(holes.map(|hole| Element::of("innerBoundaryIs", [ring(hole)])));
    Element::of("Polygon", parts)
}

/// Longitude before latitude; no altitude.
fn coordinates(places: &[Coord]) -> Element {
    let place = |p: &Coord| format!("{},{}", finite(p.x), finite(p.y));
    Element::text("coordinates", places.iter().map(place).collect::<Vec<_>>().join(" "))
}
