//! All layers in the project CRS: `layers.gpkg`, and the further formats that are asked for.
//!
//! The columns are the properties of the GeoJSON layers under the same names, with lists spread
//! over columns of their own. `docs/layers.md` lists every layer, column and what a format loses.

mod arrows;
mod drawing;
pub(super) mod fields;
mod format;
mod kml;
mod layer;
mod layers;
mod ogr;
mod parquet;
mod proportions;
mod row;
mod site_record;
mod styles;

use std::fs;
use std::io;
use std::path::Path;

use super::all_tables;
use super::context::Context;
use super::sheet;
use crate::check::ControlSet;
use crate::geom::Crs;
use crate::read::VectorFormat;
use crate::report::{OfSite, SiteRecord};

pub(super) use fields::Field;
pub(super) use layer::{Belonging, Layer, Shape};
pub(super) use parquet::write as geoparquet;
pub(super) use row::{Value, row};

/// How files of GeoParquet end.
pub(super) const PARQUET: &str = "parquet";

/// Writes layers into a GeoPackage.
pub(super) fn package(crs: &Crs, of: &Belonging, layers: &[Layer], path: &Path) -> io::Result<()> {
    let layers: Vec<_> = layers.iter().map(|layer| (layer, of)).collect();
    ogr::dataset(&format::GEOPACKAGE, crs, &layers, path)
}

/// The names of the layers of a map.
pub(super) fn names(context: &Context) -> Vec<&'static str> {
    layers::layers(context).iter().map(|layer| layer.name).collect()
}

/// Writes `layers.gpkg`, with the styles of its layers where people look at the results.
pub(super) fn geopackage(context: &Context, path: &Path) -> io::Result<()> {
    let (of, layers) = (Belonging::to_round(&context.of), layers::layers(context));
    let style = |layer: &Layer| Some((layer.name, sheet::layer_look(context.results, layer.name)?));
    let styles: Vec<styles::Style> = layers.iter().filter_map(style).collect();
    let (table, alone) = (styles::table(&styles), Belonging::NONE);
    let mut all: Vec<_> = layers.iter().map(|layer| (layer, &of)).collect();
    if !styles.is_empty() {
        all.push((&table, &alone));
    }
    ogr::dataset(&format::GEOPACKAGE, context.results.control.crs(), &all, path)
}

/// Writes `record.gpkg`, in the CRS of these control points.
pub(super) fn record_geopackage(
    record: &SiteRecord,
    ground: &ControlSet,
    path: &Path,
) -> io::Result<()> {
    let of = Belonging::to_site(&OfSite::new(&record.site));
    package(ground.crs(), &of, &site_record::layers(record, ground), path)
}

/// The folder, below the results, that holds a further format; a drawing, a globe's layers and a workbook of the tables are one
/// file.
pub(super) const fn target(format: VectorFormat) -> &'static str {
    match format {
        VectorFormat::Shapefile => "layers-shapefile",
        VectorFormat::FlatGeobuf => "layers-flatgeobuf",
        VectorFormat::Csv => "layers-csv",
        VectorFormat::GeoParquet => "layers-geoparquet",
        VectorFormat::Dxf => "layers.dxf",
        VectorFormat::Kml => "layers.kml",
        VectorFormat::Xlsx => all_tables::WORKBOOK,
    }
}

/// Writes all layers in a further format: `path` is the folder or file that is to hold them.
#[expect(clippy::disallowed_methods, reason = "results are written here")]
pub(super) fn further(context: &Context, wanted: VectorFormat, path: &Path) -> io::Result<()> {
    let format = match wanted {
        VectorFormat::Shapefile => Some(&format::SHAPEFILE),
        VectorFormat::FlatGeobuf => Some(&format::FLATGEOBUF),
        VectorFormat::Csv => Some(&format::CSV),
        VectorFormat::GeoParquet => None,
        VectorFormat::Dxf => return drawing::drawing(context, path),
        VectorFormat::Kml => return kml::globe(context, path),
        VectorFormat::Xlsx => return all_tables::workbook(context, path),
    };
    let crs = context.results.control.crs();
    let (of, layers) = (Belonging::to_round(&context.of), layers::layers(context));
    fs::create_dir(path)?;
    for layer in &layers {
        let file = path.join(layer.name);
        match format {
            Some(format) => {
                let file = file.with_extension(format.endings[0]);
                ogr::dataset(format, crs, &[(layer, &of)], &file)?;
            }
            None => geoparquet(crs, &of, layer, &file.with_extension(PARQUET))?,
        }
    }
    Ok(())
}
