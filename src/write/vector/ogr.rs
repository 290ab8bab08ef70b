//! Layers to files, through GDAL.

use std::ffi::CString;
use std::io;
use std::path::Path;

use gdal::Dataset;
use gdal::DriverManager;
use gdal::errors::GdalError;
use gdal::errors::Result;
use gdal::raster::RasterCreationOptions;
use gdal::spatial_ref::SpatialRef;
use gdal::vector::Defn;
use gdal::vector::Feature;
use gdal::vector::LayerAccess;
use gdal::vector::LayerOptions;
use gdal::vector::OGRFieldType;
use gdal::vector::OGRwkbGeometryType;
use gdal::vector::ToGdal;
use geo::Geometry;

use super::fields::Field;
use super::fields::Kind;
use super::format::Format;
use super::layer::Belonging;
use super::layer::Layer;
use super::layer::Shape;
use super::row::Value;
use crate::diag::printable;
use crate::geom::Crs;
use crate::write::manners::Manners;
use crate::write::manners::spatial_ref;

/// The day and time that files claim to be of, so that the same inputs give the same bytes.
pub(super) const MOMENT: &str = "1970-01-01T00:00:00.000Z";

/// Layers of more features than this get a spatial index.
const INDEXED: usize = 1000;

/// Writes layers into one dataset, each with what its features belong to.
///
/// # Units
/// - `crs`: the project CRS, which positions are in
pub(super) fn dataset(
    format: &Format,
    crs: &Crs,
    layers: &[(&Layer, &Belonging)],
    path: &Path,
) -> io::Result<()> {
    if path.to_str().is_none() {
        return Err(io::Error::other("the folder's name is not UTF-8, which GDAL needs"));
    }
    let _manners = Manners::teach(&[
        ("OGR_CURRENT_DATE", MOMENT),
        // The file is made in a staging folder and never opened before it is whole.
        ("OGR_SQLITE_SYNCHRONOUS", "OFF"),
        ("OGR_SQLITE_JOURNAL", "OFF"),
    ])
    .map_err(io::Error::other)?;
    write(format, crs, layers, path).map_err(io::Error::other)
}

fn write(format: &Format, crs: &Crs, layers: &[(&Layer, &Belonging)], path: &Path) -> Result<()> {
    let (srs, place) = if crs.is_on_earth() {
        (Some(spatial_ref(crs.definition())?), String::new())
    } else {
        let undefined = format.undefined.map(spatial_ref).transpose()?;
        (undefined, format!("; local coordinates, {}", crs.unit_name()))
    };
    let driver = DriverManager::get_driver_by_name(format.driver)?;
    let mut dataset = if format.dataset_options.is_empty() {
        driver.create_vector_only(path)?
    } else {
        let options: RasterCreationOptions = format.dataset_options.iter().copied().collect();
        driver.create_with_band_type_with_options::<u8, _>(path, 0, 0, 0, &options)?
    };
    if format.transactions {
        begin(&dataset)?;
    }
    for layer in layers {
        fill(format, (srs.as_ref(), &place), *layer, &mut dataset)?;
    }
    if format.transactions {
        commit(&dataset)?;
    }
    dataset.flush_cache()?;
    dataset.close()
}

fn fill(
    format: &Format,
    (srs, place): (Option<&SpatialRef>, &str),
    (layer, of): (&Layer, &Belonging),
    dataset: &mut Dataset,
) -> Result<()> {
    let is_table = layer.shape == Shape::Table;
    let (own, srs, place) = if is_table {
        (format.table_options, None, "")
    } else {
        (format.layer_options, srs, place)
    };
    let mut options: Vec<String> = own.iter().map(|o| (*o).to_owned()).collect();
    if format.describes {
        options.push(format!("DESCRIPTION={}{place}", layer.about));
    }
    if format.describes && !is_table {
        let index = if layer.count > INDEXED { "YES" } else { "NO" };
        options.push(format!("SPATIAL_INDEX={index}"));
    }
    let options: Vec<&str> = options.iter().map(String::as_str).collect();
    let target = dataset.create_layer(LayerOptions {
        name: layer.name,
        srs,
        ty: geometry_type(layer.shape),
        options: Some(&options),
    })?;
    for field in layer.fields.iter().chain(of.fields) {
        define(format, field, &target)?;
    }
    let defn = Defn::from_layer(&target);
    for i in 0..layer.count {
        let (geometry, values) = (layer.feature)(i);
        let mut feature = Feature::new(&defn)?;
        if !is_table {
            feature.set_geometry(geometry.to_gdal()?)?;
        }
        for (k, value) in values.iter().chain(&of.values).enumerate() {
            match value {
                Value::Null => feature.set_field_null(k)?,
                Value::Text(text) => feature.set_field_string(k, &format.text(&printable(text)))?,
                Value::Integer(v) => feature.set_field_integer64(k, *v)?,
                Value::Real(v) => feature.set_field_double(k, *v)?,
                Value::Flag(v) => feature.set_field_integer(k, i32::from(*v))?,
            }
        }
        feature.create(&target)?;
    }
    Ok(())
}

/// A column with its description, for which the crate has no safe way.
fn define(format: &Format, field: &Field, layer: &impl LayerAccess) -> Result<()> {
    let name = CString::new(if format.short_names { field.short } else { field.name })?;
    let about = CString::new(field.about)?;
    let kind = match field.kind {
        Kind::Text => OGRFieldType::OFTString,
        Kind::Real => OGRFieldType::OFTReal,
        Kind::Integer => OGRFieldType::OFTInteger64,
        Kind::Flag => OGRFieldType::OFTInteger,
        Kind::Moment => OGRFieldType::OFTDateTime,
    };
    let is_flag = field.kind == Kind::Flag && format.flags;
    #[expect(unsafe_code, reason = "made here, destroyed here; the layer copies it; texts outlive")]
    let error = unsafe {
        let definition = gdal_sys::OGR_Fld_Create(name.as_ptr(), kind);
        if is_flag {
            let subtype = gdal_sys::OGRFieldSubType::OFSTBoolean;
            gdal_sys::OGR_Fld_SetSubType(definition, subtype);
        }
        if format.comments {
            gdal_sys::OGR_Fld_SetComment(definition, about.as_ptr());
        }
        if let Some((width, precision)) = format.width(field) {
            gdal_sys::OGR_Fld_SetWidth(definition, width);
            gdal_sys::OGR_Fld_SetPrecision(definition, precision);
        }
        let error = gdal_sys::OGR_L_CreateField(layer.c_layer(), definition, 0);
        gdal_sys::OGR_Fld_Destroy(definition);
        error
    };
    succeeded(error, "OGR_L_CreateField")
}

fn begin(dataset: &Dataset) -> Result<()> {
    #[expect(unsafe_code, reason = "the dataset is open; the crate's way would hold on to it")]
    let error = unsafe { gdal_sys::GDALDatasetStartTransaction(dataset.c_dataset(), 0) };
    succeeded(error, "GDALDatasetStartTransaction")
}

fn commit(dataset: &Dataset) -> Result<()> {
    #[expect(unsafe_code, reason = "the dataset is open and a transaction has begun")]
    let error = unsafe { gdal_sys::GDALDatasetCommitTransaction(dataset.c_dataset()) };
    succeeded(error, "GDALDatasetCommitTransaction")
}

fn succeeded(err: gdal_sys::OGRErr::Type, method_name: &'static str) -> Result<()> {
    if err == gdal_sys::OGRErr::OGRERR_NONE {
        Ok(())
    } else {
        Err(GdalError::OgrError { err, method_name })
    }
}

const fn geometry_type(shape: Shape) -> OGRwkbGeometryType::Type {
    match shape {
        Shape::Point => OGRwkbGeometryType::wkbPoint,
        Shape::Line => OGRwkbGeometryType::wkbLineString,
        Shape::Area => OGRwkbGeometryType::wkbPolygon,
        Shape::Points => OGRwkbGeometryType::wkbMultiPoint,
        Shape::Lines => OGRwkbGeometryType::wkbMultiLineString,
        Shape::Areas => OGRwkbGeometryType::wkbMultiPolygon,
        Shape::Table => OGRwkbGeometryType::wkbNone,
    }
}

/// A geometry as well-known binary.
pub(super) fn well_known_binary(geometry: &Geometry) -> io::Result<Vec<u8>> {
    geometry.to_gdal().and_then(|geometry| geometry.wkb()).map_err(io::Error::other)
}

/// A CRS on earth as PROJJSON.
pub(super) fn projjson(crs: &Crs) -> io::Result<String> {
    spatial_ref(crs.definition()).and_then(|srs| srs.to_projjson()).map_err(io::Error::other)
}
