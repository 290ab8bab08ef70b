//! A layer as GeoParquet: columns of a table, the geometry as well-known binary.
//!
//! # References
//! GeoParquet 1.1.0 (geoparquet.org, looked up): the key `geo` of the file's metadata, encoding `WKB`, `crs` as PROJJSON or null
//! where it is not known, coordinates in the order easting, northing.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::collections::BTreeSet;
use std::fs::File;
use std::io;
use std::path::Path;
use std::sync::Arc;

use geo::{CoordsIter, Geometry};
use parquet::basic::{LogicalType, Repetition, Type as Physical};
use parquet::data_type::{BoolType, ByteArray, ByteArrayType, DataType, DoubleType, Int64Type};
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::types::{Type, TypePtr};
use serde_json::{Value as Json, json};

use super::fields::{Field, Kind};
use super::layer::{Belonging, Layer};
use super::ogr;
use super::row::Value;
use crate::diag::printable;
use crate::geom::{Crs, bounds};
use crate::units::finite;
use crate::write::manners::Manners;

/// The column of the geometry.
const GEOMETRY: &str = "geometry";

/// Writes a layer; `of` is what its features belong to.
///
/// # Units
/// - `crs`: the project CRS, which positions are in
pub(in crate::write) fn write(
    crs: &Crs,
    of: &Belonging,
    layer: &Layer,
    path: &Path,
) -> io::Result<()> {
    let _manners = Manners::teach(&[]).map_err(io::Error::other)?;
    let features: Vec<(Geometry, Vec<Value>)> = (0..layer.count).map(&layer.feature).collect();
    let fields: Vec<&Field> = layer.fields.iter().chain(of.fields).collect();
    let about = about(crs, &features)?;
    let properties = WriterProperties::builder()
        .set_created_by(format!("headfall {}", env!("CARGO_PKG_VERSION")))
        .set_key_value_metadata(Some(vec![KeyValue::new("geo".to_owned(), about)]))
        .build();
    let table = schema(layer.name, &fields).map_err(io::Error::other)?;
    let file = File::create_new(path)?;
    let mut writer = SerializedFileWriter::new(file, table, Arc::new(properties))?;
    let mut rows = writer.next_row_group()?;
    let geometry = |(geometry, _): &(Geometry, Vec<Value>)| -> io::Result<ByteArray> {
        Ok(ByteArray::from(ogr::well_known_binary(geometry)?))
    };
    let geometries = features.iter().map(geometry).collect::<io::Result<Vec<_>>>()?;
    put::<ByteArrayType>(&mut rows, &geometries, None)?;
    for (k, field) in fields.iter().enumerate() {
        let own = layer.fields.len();
        let cell = |row: &'_ (Geometry, Vec<Value>)| -> Value {
            if k < own { row.1[k].clone() } else { of.values[k - own].clone() }
        };
        column(&mut rows, field.kind, features.iter().map(cell).collect())?;
    }
    rows.close()?;
    writer.close()?;
    Ok(())
}

/// The columns: the geometry is always there, any other cell may be empty.
fn schema(name: &str, fields: &[&Field]) -> parquet::errors::Result<TypePtr> {
    let mut columns = vec![Arc::new(
        Type::primitive_type_builder(GEOMETRY, Physical::BYTE_ARRAY)
            .with_repetition(Repetition::REQUIRED)
            .build()?,
    )];
    for field in fields {
        let (physical, logical) = match field.kind {
            Kind::Text | Kind::Moment => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
            Kind::Integer => (Physical::INT64, None),
            Kind::Real => (Physical::DOUBLE, None),
            Kind::Flag => (Physical::BOOLEAN, None),
        };
        let column = Type::primitive_type_builder(field.name, physical)
            .with_repetition(Repetition::OPTIONAL)
            .with_logical_type(logical)
            .build()?;
        columns.push(Arc::new(column));
    }
    Ok(Arc::new(Type::group_type_builder(name).with_fields(columns).build()?))
}

/// What the file says of its geometry.
fn about(crs: &Crs, features: &[(Geometry, Vec<Value>)]) -> io::Result<String> {
    let kinds: BTreeSet<&str> = features.iter().map(|(geometry, _)| kind(geometry)).collect();
    let crs = if crs.is_on_earth() {
        serde_json::from_str::<Json>(&ogr::projjson(crs)?)?
    } else {
        Json::Null
    };
    let mut column = json!({ "encoding": "WKB", "geometry_types": kinds, "crs": crs });
    let (low, high) = bounds(features.iter().flat_map(|(geometry, _)| geometry.coords_iter()));
    if !features.is_empty() {
        column["bbox"] = json!([low.x, low.y, high.x, high.y].map(finite));
    }
    let about = json!({
        "version": "1.1.0",
        "primary_column": GEOMETRY,
        "columns": { GEOMETRY: column },
    });
    Ok(about.to_string())
}

/// The name of a geometry's kind.
const fn kind(geometry: &Geometry) -> &'static str {
    match geometry {
        Geometry::Point(_) => "Point",
        Geometry::LineString(_) | Geometry::Line(_) => "LineString",
        Geometry::Polygon(_) | Geometry::Rect(_) | Geometry::Triangle(_) => "Polygon",
        Geometry::MultiPoint(_) => "MultiPoint",
        Geometry::MultiLineString(_) => "MultiLineString",
        Geometry::MultiPolygon(_) => "MultiPolygon",
        Geometry::GeometryCollection(_) => "GeometryCollection",
    }
}

/// One column of cells.
fn column(
    rows: &mut SerializedRowGroupWriter<'_, File>,
    kind: Kind,
    cells: Vec<Value>,
) -> io::Result<()> {
    let levels: Vec<i16> = cells.iter().map(|cell| i16::from(*cell != Value::Null)).collect();
    let cells = cells.into_iter();
    match kind {
        Kind::Text | Kind::Moment => {
            let texts: Vec<ByteArray> = cells.filter_map(text).collect();
            put::<ByteArrayType>(rows, &texts, Some(&levels))
        }
        Kind::Integer => {
            let of = |cell| if let Value::Integer(v) = cell { Some(v) } else { None };
            put::<Int64Type>(rows, &cells.filter_map(of).collect::<Vec<_>>(), Some(&levels))
        }
        Kind::Real => {
            let of = |cell| match cell {
                Value::Real(v) => Some(v),
                // A whole number that was read again from GeoJSON.
                #[expect(clippy::cast_precision_loss, reason = "it was written as such a number")]
                Value::Integer(v) => Some(v as f64),
                _ => None,
            };
            put::<DoubleType>(rows, &cells.filter_map(of).collect::<Vec<_>>(), Some(&levels))
        }
        Kind::Flag => {
            let of = |cell| if let Value::Flag(v) = cell { Some(v) } else { None };
            put::<BoolType>(rows, &cells.filter_map(of).collect::<Vec<_>>(), Some(&levels))
        }
    }
}

fn text(cell: Value) -> Option<ByteArray> {
    if let Value::Text(text) = cell {
        Some(printable(&text).as_bytes().to_vec().into())
    } else {
        None
    }
}

/// Writes the values of the next column; `levels` says of each row whether it has one.
///
/// # Panics
/// When values and levels do not match.
fn put<T: DataType>(
    rows: &mut SerializedRowGroupWriter<'_, File>,
    values: &[T::T],
    levels: Option<&[i16]>,
) -> io::Result<()> {
    let filled = levels.map(|levels| levels.iter().filter(|level| **level == 1).count());
    assert!(
        filled.is_none_or(|filled| filled == values.len()),
        "this is a bug in headfall: a column of another kind"
    );
    let Some(mut column) = rows.next_column()? else {
        return Err(io::Error::other("the table has fewer columns than its rows"));
    };
    column.typed::<T>().write_batch(values, levels, None)?;
    column.close()?;
    Ok(())
}
