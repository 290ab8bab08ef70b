//! The layers of many results: those that are in GeoJSON, whose positions are all on WGS 84.

#![expect(clippy::disallowed_methods, reason = "results are read again here")]

use std::cell::Cell;
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use geo::{Coord, Geometry, MapCoordsInPlace, MultiLineString, MultiPolygon, Point};
use geojson::{Feature, FeatureCollection, JsonObject};
use serde_json::Value as Json;

use super::rounds::GatheredRound;
use crate::geom::{Crs, CrsKind};
use crate::report::digits;
use crate::write::vector::{self, Belonging, Field, Layer, Shape, Value, fields};

/// A layer, the file that it is read from, and its columns behind those of the round.
const LAYERS: &[(&str, &str, Shape, &[Field], &str)] = &[
    ("wells", "wells.geojson", Shape::Point, fields::WELLS, "wells and gauges that were read"),
    ("contours", "contours.geojson", Shape::Lines, fields::CONTOURS, "lines of equal head"),
    ("triangles", "triangles.geojson", Shape::Areas, fields::TRIANGLES, "triangles of wells"),
    ("flow", "flow.geojson", Shape::Point, fields::FLOW, "gradient and direction of triangles"),
    ("paths", "paths.geojson", Shape::Lines, fields::PATHS, "flow paths"),
];

/// The layer of the rounds themselves.
const ROUNDS: &str = "rounds";

/// The names of all layers.
pub(super) fn layer_names() -> impl Iterator<Item = &'static str> {
    std::iter::once(ROUNDS).chain(LAYERS.iter().map(|layer| layer.0))
}

/// A feature of a layer.
type Row = (Geometry, Vec<Value>);

/// Writes the layers of some rounds, and one of the rounds themselves, into a GeoPackage; and each as GeoParquet into the file
/// that `parquet` says for it.
pub(super) fn write(
    rounds: &[GatheredRound],
    crs: &Crs,
    path: &Path,
    parquet: impl Fn(&'static str) -> Option<PathBuf>,
) -> io::Result<()> {
    let mut middles: Vec<Option<Point>> = vec![None; rounds.len()];
    let mut all: Vec<Vec<Row>> = LAYERS.iter().map(|_| Vec::new()).collect();
    for (round, middle) in rounds.iter().zip(&mut middles) {
        if round.without_layers.is_some() {
            continue;
        }
        for ((name, file, shape, fields, _), rows) in LAYERS.iter().zip(&mut all) {
            let path = round.folder.join(file);
            let mut read = read(&path, *shape, fields, round, crs)
                .map_err(|e| io::Error::other(format!("{}: {e}", path.display())))?;
            if *name == "wells" {
                *middle = self::middle(&read);
            }
            rows.append(&mut read);
        }
    }
    let own: Vec<Vec<Field>> =
        LAYERS.iter().map(|(_, _, _, of, _)| [fields::OF_ROUND, of].concat()).collect();
    let layer = |i: usize| {
        let ((name, _, shape, _, about), rows) = (LAYERS[i], &all[i]);
        let feature = move |k: usize| rows[k].clone();
        Layer { name, about, shape, fields: &own[i], count: rows.len(), feature: Box::new(feature) }
    };
    let columns_of_rounds = [fields::OF_ROUND, fields::ROUNDS].concat();
    let with_place: Vec<usize> = (0..rounds.len()).filter(|i| middles[*i].is_some()).collect();
    let of_rounds = Layer {
        name: ROUNDS,
        about: "a point for each round at the middle of its wells",
        shape: Shape::Point,
        fields: &columns_of_rounds,
        count: with_place.len(),
        feature: Box::new(|k| {
            let i = with_place[k];
            let at = middles[i].unwrap_or_default();
            let mut values = Belonging::to_round(&rounds[i].of).values;
            values.extend(vector::row(&rounds[i], fields::ROUNDS));
            (at.into(), values)
        }),
    };
    let mut layers = vec![of_rounds];
    layers.extend((0..LAYERS.len()).filter(|i| !all[*i].is_empty()).map(layer));
    for layer in &layers {
        if let Some(path) = parquet(layer.name) {
            vector::geoparquet(crs, &Belonging::NONE, layer, &path)?;
        }
    }
    vector::package(crs, &Belonging::NONE, &layers, path)
}

/// The features of a file; none where a result has no such file.
fn read(
    path: &Path,
    shape: Shape,
    fields: &[Field],
    round: &GatheredRound,
    crs: &Crs,
) -> io::Result<Vec<Row>> {
    let text = match fs::read_to_string(path) {
        Ok(text) => text,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(e) => return Err(e),
    };
    let features: FeatureCollection = text.parse().map_err(io::Error::other)?;
    let of = Belonging::to_round(&round.of).values;
    let mut rows = Vec::with_capacity(features.features.len());
    for Feature { geometry, properties, .. } in features.features {
        let Some(geometry) = geometry else { continue };
        let geometry = Geometry::try_from(geometry).map_err(io::Error::other)?;
        let mut values = of.clone();
        values.extend(self::values(&properties.unwrap_or_default(), fields));
        rows.push((geometry, values));
    }
    let mut places: Vec<Coord> = Vec::new();
    for (geometry, _) in &rows {
        places.extend(geo::CoordsIter::coords_iter(geometry));
    }
    let lon_lat = Crs::lookup("OGC:CRS84").map_err(|e| io::Error::other(e.to_string()))?;
    crs.convert_from(&lon_lat, &mut places).map_err(|e| io::Error::other(e.to_string()))?;
    let is_projected = crs.kind() == CrsKind::Projected;
    let next = Cell::new(0);
    for (geometry, _) in &mut rows {
        geometry.map_coords_in_place(|_| {
            let p = places[next.replace(next.get() + 1)];
            if is_projected {
                Coord { x: digits::position(p.x), y: digits::position(p.y) }
            } else {
                digits::lon_lat(p)
            }
        });
        *geometry = many(geometry.clone(), shape);
    }
    Ok(rows)
}

/// Lines and areas as the layer has them: several in one.
fn many(geometry: Geometry, shape: Shape) -> Geometry {
    match (geometry, shape) {
        (Geometry::LineString(line), Shape::Lines) => MultiLineString(vec![line]).into(),
        (Geometry::Polygon(area), Shape::Areas) => MultiPolygon(vec![area]).into(),
        (geometry, _) => geometry,
    }
}

/// The columns of a feature's properties: a list that has as many columns as entries has one in each, another one its
/// words in one.
fn values(properties: &JsonObject, fields: &[Field]) -> Vec<Value> {
    let mut taken: BTreeMap<&str, usize> = BTreeMap::new();
    let columns = |of: &str| fields.iter().filter(|field| field.of == of).count();
    let value = |field: &Field| {
        let nth = taken.entry(field.of).or_default();
        *nth += 1;
        match properties.get(field.of) {
            Some(Json::Array(list)) if columns(field.of) > 1 => {
                list.get(*nth - 1).map_or(Value::Null, of_json)
            }
            Some(Json::Array(list)) => {
                let words: Vec<&str> = list.iter().filter_map(Json::as_str).collect();
                Value::Text(words.join(" "))
            }
            Some(one) => of_json(one),
            None => Value::Null,
        }
    };
    fields.iter().map(value).collect()
}

fn of_json(value: &Json) -> Value {
    match value {
        Json::Bool(flag) => Value::Flag(*flag),
        Json::Number(number) => match number.as_i64() {
            Some(whole) => Value::Integer(whole),
            None => number.as_f64().map_or(Value::Null, Value::Real),
        },
        Json::String(text) => Value::Text(text.clone()),
        Json::Null | Json::Array(_) | Json::Object(_) => Value::Null,
    }
}

/// The middle of the box about some points.
fn middle(rows: &[Row]) -> Option<Point> {
    let points = rows.iter().filter_map(|(geometry, _)| match geometry {
        Geometry::Point(point) => Some(point.0),
        _ => None,
    });
    let (low, high) = crate::geom::bounds(points);
    low.x.is_finite().then(|| Point((low + high) / 2.0))
}
