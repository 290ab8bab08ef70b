//! Vector files as GDAL reads them. The only file of this folder that speaks to GDAL.
//!
//! GDAL opens a file with the drivers listed here and no other: a virtual format could name
//! files, databases or services elsewhere, and a map must depend on the files it lists.

use std::path::{Path, PathBuf};

use gdal::Dataset;
use gdal::DatasetOptions;
use gdal::GdalOpenFlags;
use gdal::errors::GdalError;
use gdal::spatial_ref::SpatialRef;
use gdal::vector::FieldValue;
use gdal::vector::Layer as GdalLayer;
use gdal::vector::LayerAccess;
use gdal::vector::OGRFieldType as field_types;
use gdal::vector::OGRwkbGeometryType as kinds;
use gdal::vector::geometry_type_flatten;
use gdal::vector::geometry_type_has_z;

use super::layer::{Cell, Fault, Feature, Layer, MOST_CELLS, MOST_VERTICES, Part};
use crate::read::features::geopackage;
use crate::read::raster::pixels::{Quiet, files_of};

/// The formats, by GDAL's name of their driver.
const DRIVERS: &[&str] = &[
    "GeoJSON",
    "ESRI Shapefile",
    "GPKG",
    "FlatGeobuf",
    "OpenFileGDB",
    "MapInfo File",
    "DXF",
    "CSV",
];

/// A database that cannot be opened without a file being laid beside it.
const LOGGED: Fault = Fault::Closed(
    "uses a write-ahead log and its path has a % sign: it cannot be read without creating files beside it",
    "remove the % sign from the names of the file and its folders",
);

/// Reads one layer of a file: the one named, else the only one that has features.
///
/// In a drawing (DXF) the name is that of a layer of the drawing.
pub(super) fn read(path: &Path, wanted: Option<&str>) -> Result<Layer, Fault> {
    let _quiet = Quiet::please();
    // SQLite would lay files of its own beside a database that was written through a log, and
    // another run would take them for changes. Its way of naming files takes % for an escape.
    let found = geopackage::look(path);
    let immutable = found.is_database && !path.to_string_lossy().contains('%');
    if let Some(table) = found.of_the_format() {
        return Err(Fault::Computed(table.to_owned()));
    }
    if found.logged && !immutable {
        return Err(LOGGED);
    }
    let options = DatasetOptions {
        open_options: immutable.then_some(&["IMMUTABLE=YES"]),
        open_flags: GdalOpenFlags::GDAL_OF_VECTOR | GdalOpenFlags::GDAL_OF_VERBOSE_ERROR,
        allowed_drivers: Some(DRIVERS),
        ..DatasetOptions::default()
    };
    let file = Dataset::open_ex(path, options).map_err(|e| Fault::Format(reason(&e)))?;
    let driver = file.driver().short_name();
    let names = names(&file);
    if driver == "DXF" {
        let mut layer = file.layer(0).map_err(|e| Fault::Broken(reason(&e)))?;
        let mut read = of(&mut layer, &driver, files_of(&file))?;
        if let Some(wanted) = wanted {
            of_drawing(&mut read, wanted)?;
        }
        return Ok(read);
    }
    let chosen = match wanted {
        Some(name) => names.iter().position(|n| n == name),
        None if names.len() == 1 => Some(0),
        None => {
            // To count the features of a view would be to read it.
            let full: Vec<usize> = (0..names.len())
                .filter(|i| !found.is_computed(&names[*i]))
                .filter(|i| file.layer(*i).is_ok_and(|l| l.feature_count() > 0))
                .collect();
            match full[..] {
                [only] => Some(only),
                [] => names.iter().position(|name| found.is_computed(name)),
                _ => None,
            }
        }
    };
    let Some(chosen) = chosen else { return Err(Fault::Layers(names)) };
    if found.is_computed(&names[chosen]) {
        return Err(Fault::Computed(names[chosen].clone()));
    }
    let mut layer = file.layer(chosen).map_err(|e| Fault::Broken(reason(&e)))?;
    of(&mut layer, &driver, files_of(&file))
}

/// The names of the layers. The crate's way to a layer asks for its columns, which runs a view.
fn names(file: &Dataset) -> Vec<String> {
    let data = file.c_dataset();
    #[expect(unsafe_code, reason = "the crate has no way to the name alone")]
    // SAFETY: the dataset is open and owns its layers; each name is copied before the next call.
    let name = |number| unsafe {
        let name = gdal_sys::OGR_L_GetName(gdal_sys::GDALDatasetGetLayer(data, number));
        std::ffi::CStr::from_ptr(name).to_string_lossy().into_owned()
    };
    (0..i32::try_from(file.layer_count()).unwrap_or(i32::MAX)).map(name).collect()
}

/// Keeps the features of one layer of a drawing.
fn of_drawing(read: &mut Layer, wanted: &str) -> Result<(), Fault> {
    let column = read.fields.iter().position(|f| f == "Layer");
    let layer_of = |f: &Feature| match column.map(|c| &f.cells[c]) {
        Some(Cell::Text(name)) => name.clone(),
        _ => String::new(),
    };
    let mut names: Vec<String> = read.features.iter().map(layer_of).collect();
    names.sort_unstable();
    names.dedup();
    if !names.iter().any(|n| n == wanted) {
        return Err(Fault::Layers(names));
    }
    read.features.retain(|f| layer_of(f) == wanted);
    wanted.clone_into(&mut read.name);
    Ok(())
}

fn of(layer: &mut GdalLayer<'_>, driver: &str, files: Vec<PathBuf>) -> Result<Layer, Fault> {
    let (fields, types): (Vec<String>, Vec<_>) =
        layer.defn().fields().map(|f| (f.name(), f.field_type())).unzip();
    let is_time = |at: usize| {
        matches!(types[at], field_types::OFTDate | field_types::OFTTime | field_types::OFTDateTime)
    };
    let system = layer.spatial_ref();
    let crs = system.as_ref().and_then(|s| s.to_wkt().ok()).filter(|wkt| !wkt.is_empty());
    let code = |s: SpatialRef| Some(format!("{}:{}", s.auth_name()?, s.auth_code().ok()?));
    let crs_code = system.and_then(code);
    let name = layer.name();
    let mut features = Vec::new();
    let mut vertices = 0;
    forget_errors();
    for (number, feature) in (1..).zip(layer.features()) {
        let cells = (0..fields.len())
            .map(|i| match feature.field(i) {
                // As GDAL writes it: with an offset from UTC where the file has one.
                _ if is_time(i) => match feature.field_as_string(i) {
                    Ok(Some(text)) if !text.is_empty() => Cell::Text(text.replace('/', "-")),
                    _ => Cell::Empty,
                },
                Ok(Some(FieldValue::RealValue(v))) => Cell::Number(v),
                Ok(Some(FieldValue::IntegerValue(v))) => Cell::Number(f64::from(v)),
                Ok(Some(FieldValue::Integer64Value(v))) => Cell::Number(v as f64),
                Ok(Some(FieldValue::StringValue(v))) if !v.trim().is_empty() => {
                    Cell::Text(v.trim().to_owned())
                }
                _ => Cell::Empty,
            })
            .collect();
        let mut taken =
            Feature { number, cells, parts: Vec::new(), odd: Vec::new(), has_heights: false };
        if let Some(geometry) = feature.geometry().filter(|g| exists(g)) {
            taken.has_heights = geometry_type_has_z(geometry.geometry_type());
            take(geometry, &mut taken);
        }
        vertices += taken.parts.iter().map(Part::vertices).sum::<usize>().max(1);
        if vertices > MOST_VERTICES || number * fields.len() > MOST_CELLS {
            return Err(Fault::TooLarge);
        }
        features.push(taken);
    }
    if let Some(error) = last_error() {
        return Err(Fault::Broken(error));
    }
    let geojson = driver == "GeoJSON";
    Ok(Layer { name, crs, crs_code, geojson, fields, features, files })
}

/// Takes a geometry apart into points, lines and areas.
fn take(geometry: &gdal::vector::Geometry, into: &mut Feature) {
    let vertices = |g: &gdal::vector::Geometry| {
        let mut points = Vec::new();
        g.get_points(&mut points);
        points
    };
    let parts = || (0..geometry.geometry_count()).map(|i| geometry.get_geometry(i));
    match geometry_type_flatten(geometry.geometry_type()) {
        _ if geometry.is_empty() => {}
        kinds::wkbPoint => into.parts.extend(vertices(geometry).into_iter().map(Part::Point)),
        kinds::wkbLineString | kinds::wkbLinearRing => {
            into.parts.push(Part::Line(vertices(geometry)));
        }
        kinds::wkbPolygon => {
            into.parts.push(Part::Area(parts().map(|ring| vertices(&ring)).collect()));
        }
        kinds::wkbMultiPoint
        | kinds::wkbMultiLineString
        | kinds::wkbMultiPolygon
        | kinds::wkbGeometryCollection => parts().for_each(|part| take(&part, into)),
        _ => into.odd.push(geometry.geometry_name()),
    }
}

/// Whether there is a geometry behind the value: a feature may have none.
fn exists(geometry: &gdal::vector::Geometry) -> bool {
    #[expect(unsafe_code, reason = "the pointer is looked at and not followed")]
    // SAFETY: nothing is done with the pointer.
    unsafe {
        !geometry.c_geometry().is_null()
    }
}

/// GDAL's own words where it has some.
fn reason(error: &GdalError) -> String {
    match error {
        GdalError::NullPointer { msg, .. } | GdalError::CplError { msg, .. } if !msg.is_empty() => {
            plain(msg)
        }
        GdalError::NullPointer { .. } => "its format is not recognised".to_owned(),
        other => other.to_string(),
    }
}

/// GDAL's words without what they tell of GDAL's own settings, which are sealed off.
fn plain(message: &str) -> String {
    let kept: Vec<&str> = message
        .split(". ")
        .filter(|sentence| !sentence.contains("config option") && !sentence.contains("CPL_"))
        .collect();
    if kept.is_empty() { "it is damaged".to_owned() } else { kept.join(". ") }
}

fn forget_errors() {
    #[expect(unsafe_code, reason = "GDAL keeps an error for each thread and has no safe way to it")]
    // SAFETY: touches this thread's state alone.
    unsafe {
        gdal_sys::CPLErrorReset();
    }
}

/// What GDAL last failed at on this thread: its iteration ends there without a word.
fn last_error() -> Option<String> {
    #[expect(unsafe_code, reason = "GDAL keeps an error for each thread and has no safe way to it")]
    // SAFETY: the text is copied before GDAL is called again.
    unsafe {
        if gdal_sys::CPLGetLastErrorType() < gdal_sys::CPLErr::CE_Failure {
            return None;
        }
        let text = std::ffi::CStr::from_ptr(gdal_sys::CPLGetLastErrorMsg());
        Some(plain(&text.to_string_lossy()))
    }
}
