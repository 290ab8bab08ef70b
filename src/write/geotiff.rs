//! Rasters as GeoTIFF, through GDAL.

use std::io;
use std::path::Path;

use gdal::Dataset;
use gdal::DriverManager;
use gdal::Metadata;
use gdal::errors::Result;
use gdal::raster::Buffer;
use gdal::raster::RasterBand;
use gdal::raster::RasterCreationOptions;
use gdal::spatial_ref::AxisMappingStrategy;
use gdal::spatial_ref::SpatialRef;

use super::context::Context;
use super::manners::Manners;
use crate::diag::printable;
use crate::interpolate::Grid;
use crate::interpolate::GridSpec;
use crate::results::Fields;
use crate::results::Results;
use crate::units::LengthUnit;

/// Rows and columns of a tile.
const TILE: usize = 256;

/// What marks a node without support. Not a number, because every number is a possible head
/// somewhere and a program that overlooks the mark must not average it into one.
const NO_DATA: f32 = f32::NAN;

/// What one raster shows.
struct Shown<'a> {
    grid: &'a Grid,
    /// The band's name.
    band: &'static str,
    unit: &'static str,
}

/// Writes the grid of heads.
pub(super) fn surface(fields: &Fields, path: &Path) -> io::Result<()> {
    of_heads(fields, path, Some(&fields.surface.heads), "head")
}

/// Writes depths to water below the land surface.
pub(super) fn depth_to_water(context: &Context, grid: &Grid, path: &Path) -> io::Result<()> {
    let band = "depth to water below the land surface";
    of_heads(&context.results.fields(), path, Some(grid), band)
}

/// Writes the standard deviation of the heads, where the surface has one.
pub(super) fn sd(fields: &Fields, path: &Path) -> io::Result<()> {
    of_heads(fields, path, fields.surface.sd.as_ref(), "standard deviation of the head")
}

/// Whether the standard deviation of the linear surface was asked for.
pub(super) fn has_head_sd(results: &Results) -> bool {
    results.uncertainty.rasters.as_ref().is_some_and(|r| r.head_sd.is_some())
}

/// Writes the standard deviation of the linear surface.
pub(super) fn head_sd(context: &Context, path: &Path) -> io::Result<()> {
    let grid = context.results.uncertainty.rasters.as_ref().and_then(|r| r.head_sd.as_ref());
    of_heads(&context.results.fields(), path, grid, "standard deviation of the head")
}

/// Whether the spread of directions was asked for.
pub(super) fn has_spread(results: &Results) -> bool {
    results.uncertainty.rasters.is_some()
}

/// Writes the spread of directions.
pub(super) fn spread(context: &Context, path: &Path) -> io::Result<()> {
    let Some(rasters) = &context.results.uncertainty.rasters else { return Ok(()) };
    let band = "spread of the direction of flow";
    let shown = Shown { grid: &rasters.direction_spread, band, unit: "degree" };
    raster(&context.results.fields(), path, &shown)
}

fn of_heads(
    fields: &Fields,
    path: &Path,
    grid: Option<&Grid>,
    band: &'static str,
) -> io::Result<()> {
    let unit = unit_name(fields.site.settings.elevation_unit);
    grid.map_or(Ok(()), |grid| raster(fields, path, &Shown { grid, band, unit }))
}

fn raster(fields: &Fields, path: &Path, shown: &Shown) -> io::Result<()> {
    // GDAL would turn other names into something else.
    if path.to_str().is_none() {
        return Err(io::Error::other("the folder's name is not UTF-8, which GDAL needs"));
    }
    let _manners = Manners::teach(&[]).map_err(io::Error::other)?;
    write(fields, path, shown).map_err(io::Error::other)?;
    // GDAL may lose the error of a tile that was still being packed when the file was closed.
    if is_complete(path).map_err(io::Error::other)? {
        Ok(())
    } else {
        Err(io::Error::other("the file is shorter than its tiles; the disk may be full"))
    }
}

/// Whether every tile lies within the file.
fn is_complete(path: &Path) -> Result<bool> {
    let length = std::fs::metadata(path).map_or(0, |m| m.len());
    let dataset = Dataset::open(path)?;
    let (columns, rows) = dataset.raster_size();
    let band = dataset.rasterband(1)?;
    let number = |what: &str, x: usize, y: usize| {
        band.metadata_item(&format!("BLOCK_{what}_{x}_{y}"), "TIFF")?.parse::<u64>().ok()
    };
    Ok((0..rows.div_ceil(TILE)).all(|y| {
        (0..columns.div_ceil(TILE)).all(|x| match (number("OFFSET", x, y), number("SIZE", x, y)) {
            (Some(offset), Some(size)) => size > 0 && offset + size <= length,
            _ => false,
        })
    }))
}

fn write(fields: &Fields, path: &Path, shown: &Shown) -> Result<()> {
    let grid = shown.grid;
    let GridSpec { west, south, cell, columns, rows } = *grid.spec();
    let mut options = RasterCreationOptions::from_iter([
        "TILED=YES",
        "BLOCKXSIZE=256",
        "BLOCKYSIZE=256",
        "COMPRESS=DEFLATE",
        // Of the words that neighbours are, not of their bytes: a fifth smaller for heads, in half
        // the time.
        "PREDICTOR=2",
        "ZLEVEL=1",
        "ENDIANNESS=LITTLE",
    ]);
    options.set_name_value("NUM_THREADS", &rayon::current_num_threads().to_string())?;
    let mut dataset = DriverManager::get_driver_by_name("GTiff")?
        .create_with_band_type_with_options::<f32, _>(path, columns, rows, 1, &options)?;
    let mut crs = SpatialRef::from_definition(fields.control.crs().definition())?;
    crs.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
    dataset.set_spatial_ref(&crs)?;
    // GDAL counts from the corner of the north-western pixel, half a cell out from its node.
    #[expect(clippy::cast_precision_loss, reason = "counts are far below 2^52")]
    let north = south + (rows - 1) as f64 * cell;
    dataset.set_geo_transform(&[west - cell / 2.0, cell, 0.0, north + cell / 2.0, 0.0, -cell])?;
    // Heads belong to points, not to areas. GDAL then moves the tie point of the file to the
    // node itself and gives readers the same corner as before.
    dataset.set_metadata_item("AREA_OR_POINT", "Point", "")?;
    for (key, value) in notes(fields) {
        dataset.set_metadata_item(key, &printable(&value), "")?;
    }
    let mut band = dataset.rasterband(1)?;
    band.set_description(shown.band)?;
    band.set_no_data_value(Some(f64::from(NO_DATA)))?;
    set_unit(&band, shown.unit)?;
    fill(&mut band, grid)?;
    dataset.flush_cache()?;
    dataset.close()
}

/// What the file says about itself.
fn notes(fields: &Fields) -> Vec<(&'static str, String)> {
    let settings = &fields.site.settings;
    let mut notes = vec![
        ("TIFFTAG_SOFTWARE", format!("headfall {}", env!("CARGO_PKG_VERSION"))),
        ("SITE", settings.name.clone()),
        ("ROUND", fields.site.round.clone()),
        ("HEAD_UNIT", unit_name(settings.elevation_unit).to_owned()),
        ("METHOD", fields.surface.words.clone()),
    ];
    if let Some(datum) = &settings.vertical_datum {
        notes.push(("VERTICAL_DATUM", datum.clone()));
    }
    if let Some(unit) = fields.control.aquifer_unit() {
        notes.push(("AQUIFER_UNIT", unit.to_owned()));
    }
    notes
}

/// The unit as GIS programs write it: the survey foot by its name in the EPSG dataset.
const fn unit_name(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::UsSurveyFoot => "US survey foot",
        other => other.name(),
    }
}

/// Tile after tile, north-western first, so that tiles stand in the file in this order on any
/// number of threads and no second copy of the grid is made. The part of a tile beyond the grid
/// is filled with the no-data mark.
fn fill(band: &mut RasterBand, grid: &Grid) -> Result<()> {
    let GridSpec { columns, rows, .. } = *grid.spec();
    let mut tile = Buffer::new((TILE, TILE), vec![NO_DATA; TILE * TILE]);
    for top in (0..rows).step_by(TILE) {
        for left in (0..columns).step_by(TILE) {
            tile.data_mut().fill(NO_DATA);
            let right = columns.min(left + TILE);
            for (line, row) in tile.data_mut().chunks_exact_mut(TILE).zip(top..rows) {
                let heads = &grid.row(rows - 1 - row)[left..right];
                for (pixel, head) in line.iter_mut().zip(heads) {
                    if head.is_finite() {
                        #[expect(
                            clippy::cast_possible_truncation,
                            reason = "24 bits carry a head of 1000 m to 0.06 mm"
                        )]
                        let narrow = *head as f32;
                        *pixel = narrow;
                    }
                }
            }
            band.write_block((left / TILE, top / TILE), &mut tile)?;
        }
    }
    Ok(())
}

/// The unit of a band, for which the crate has no safe way.
fn set_unit(band: &RasterBand, unit: &str) -> Result<()> {
    let name = std::ffi::CString::new(unit)?;
    #[expect(
        unsafe_code,
        reason = "the band is open and the text outlives the call, which copies it"
    )]
    let error = unsafe { gdal_sys::GDALSetRasterUnitType(band.c_rasterband(), name.as_ptr()) };
    if error == gdal_sys::CPLErr::CE_None {
        Ok(())
    } else {
        Err(gdal::errors::GdalError::BadArgument(format!("the unit {name:?} was refused")))
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test may panic")]

    use super::*;
    use crate::write::fixture::lattice;

    #[test]
    fn a_file_cut_short_by_one_byte_is_not_complete() {
        let origin = geo::Coord { x: 480_000.0, y: 4_980_000.0 };
        let fixture = lattice("EPSG:26915", origin, 100.0, 2, 600);
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("surface.tif");
        surface(&fixture.results().fields(), &path).unwrap();
        assert!(is_complete(&path).unwrap());
        let file = std::fs::OpenOptions::new().write(true).open(&path).unwrap();
        file.set_len(file.metadata().unwrap().len() - 1).unwrap();
        assert!(!is_complete(&path).unwrap());
    }
}
