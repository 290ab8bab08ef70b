//! Rasters as cloud-optimised GeoTIFF: all of a file but its tiles and their places is GDAL's.

mod directory;
mod levels;
mod tiles;

use std::borrow::Cow;
use std::io;
use std::path::Path;

use gdal::DriverManager;
use gdal::Metadata;
use gdal::errors::Result;
use gdal::raster::RasterBand;
use gdal::raster::RasterCreationOptions;

use crate::diag::printable;
use crate::geom::Crs;
use crate::interpolate::Grid;
use crate::interpolate::GridSpec;
use crate::map::Surfaced;
use crate::report::{OfRound, Results};
use crate::units::LengthUnit;
use crate::write::context::Context;
use crate::write::manners::Manners;
use crate::write::manners::spatial_ref;
use levels::NO_DATA;

/// What one raster shows.
struct Shown<'a> {
    of: OfRound,
    grid: &'a Grid,
    /// The band's name.
    band: &'static str,
    unit: &'static str,
}

/// Writes the grid of heads.
pub(super) fn surface(surfaced: &Surfaced, path: &Path) -> io::Result<()> {
    of_heads(surfaced, path, Some(&surfaced.surface.heads), "head")
}

/// Writes the grid of values that were worked out from several rounds.
pub(super) fn across(
    surfaced: &Surfaced,
    band: &'static str,
    of: OfRound,
    path: &Path,
) -> io::Result<()> {
    let unit = unit_name(surfaced.control.elevation_unit());
    raster(surfaced, path, &Shown { of, grid: &surfaced.surface.heads, band, unit })
}

/// Writes depths to water below the land surface.
pub(super) fn depth_to_water(context: &Context, grid: &Grid, path: &Path) -> io::Result<()> {
    let band = "depth to water below the land surface";
    of_heads(&context.results.map.surfaced, path, Some(grid), band)
}

/// Writes the standard deviation of the heads, where the surface has one.
pub(super) fn sd(surfaced: &Surfaced, path: &Path) -> io::Result<()> {
    of_heads(surfaced, path, surfaced.surface.sd.as_ref(), "standard deviation of the head")
}

/// Whether the standard deviation of the linear surface was asked for.
pub(super) fn has_head_sd(results: &Results) -> bool {
    results.uncertainty.rasters.as_ref().is_some_and(|r| r.head_sd.is_some())
}

/// Writes the standard deviation of the linear surface.
pub(super) fn head_sd(context: &Context, path: &Path) -> io::Result<()> {
    let grid = context.results.uncertainty.rasters.as_ref().and_then(|r| r.head_sd.as_ref());
    of_heads(&context.results.map.surfaced, path, grid, "standard deviation of the head")
}

/// Whether the spread of directions was asked for.
pub(super) fn has_spread(results: &Results) -> bool {
    results.uncertainty.rasters.is_some()
}

/// Writes the spread of directions.
pub(super) fn spread(context: &Context, path: &Path) -> io::Result<()> {
    let Some(rasters) = &context.results.uncertainty.rasters else { return Ok(()) };
    let band = "spread of the direction of flow";
    let (of, grid) = (context.of.clone(), &rasters.direction_spread);
    let shown = Shown { of, grid, band, unit: "degree" };
    raster(&context.results.map.surfaced, path, &shown)
}

fn of_heads(
    surfaced: &Surfaced,
    path: &Path,
    grid: Option<&Grid>,
    band: &'static str,
) -> io::Result<()> {
    let unit = unit_name(surfaced.control.elevation_unit());
    let of = OfRound::new(&surfaced.site, &surfaced.round, &surfaced.control);
    grid.map_or(Ok(()), |grid| raster(surfaced, path, &Shown { of, grid, band, unit }))
}

fn raster(surfaced: &Surfaced, path: &Path, shown: &Shown) -> io::Result<()> {
    // GDAL would turn other names into something else.
    if path.to_str().is_none() {
        return Err(io::Error::other("the folder's name is not UTF-8, which GDAL needs"));
    }
    let _manners = Manners::teach(&[]).map_err(io::Error::other)?;
    frame(surfaced, path, shown).map_err(io::Error::other)?;
    tiles::put(path, shown.grid)
}

/// Writes all of a raster but its tiles.
fn frame(surfaced: &Surfaced, path: &Path, shown: &Shown) -> Result<()> {
    let grid = shown.grid;
    let GridSpec { west, south, cell, columns, rows } = *grid.spec();
    let mut options = RasterCreationOptions::from_iter([
        "TILED=YES",
        "SPARSE_OK=TRUE",
        "COMPRESS=DEFLATE",
        // Of the words that neighbours are, not of their bytes: a fifth smaller for heads, in half
        // the time.
        "PREDICTOR=2",
        "ENDIANNESS=LITTLE",
        "BIGTIFF=NO",
    ]);
    for side in ["BLOCKXSIZE", "BLOCKYSIZE"] {
        options.set_name_value(side, &tiles::TILE.to_string())?;
    }
    let mut dataset = DriverManager::get_driver_by_name("GTiff")?
        .create_with_band_type_with_options::<f32, _>(path, columns, rows, 1, &options)?;
    dataset.set_spatial_ref(&spatial_ref(&definition(surfaced.control.crs()))?)?;
    // GDAL counts from the corner of the north-western pixel, half a cell out from its node.
    #[expect(clippy::cast_precision_loss, reason = "counts are far below 2^52")]
    let north = south + (rows - 1) as f64 * cell;
    dataset.set_geo_transform(&[west - cell / 2.0, cell, 0.0, north + cell / 2.0, 0.0, -cell])?;
    // Heads belong to points, not to areas. GDAL then moves the tie point of the file to the
    // node itself and gives readers the same corner as before.
    dataset.set_metadata_item("AREA_OR_POINT", "Point", "")?;
    for (key, value) in notes(surfaced, &shown.of) {
        dataset.set_metadata_item(key, &printable(&value), "")?;
    }
    let mut band = dataset.rasterband(1)?;
    band.set_description(shown.band)?;
    band.set_no_data_value(Some(f64::from(NO_DATA)))?;
    set_unit(&band, shown.unit)?;
    for (name, value) in levels::statistics(grid) {
        band.set_metadata_item(name, &value, "")?;
    }
    dataset.close()
}

/// The CRS as the file is told: of local coordinates the name and the unit.
fn definition(crs: &Crs) -> Cow<'_, str> {
    if crs.is_on_earth() {
        return Cow::Borrowed(crs.definition());
    }
    let (name, unit, metres) = (crs.name(), crs.unit_name(), crs.metres_per_unit());
    Cow::Owned(format!("LOCAL_CS[\"{name}\",UNIT[\"{unit}\",{metres}]]"))
}

/// What the file says about itself.
fn notes(surfaced: &Surfaced, of: &OfRound) -> Vec<(&'static str, String)> {
    let unit = unit_name(surfaced.control.elevation_unit()).to_owned();
    let notes = [
        ("TIFFTAG_SOFTWARE", Some(format!("headfall {}", env!("CARGO_PKG_VERSION")))),
        ("SITE", Some(of.site.clone())),
        ("ROUND", Some(of.round.clone())),
        ("READ_FROM", of.read_from.clone()),
        ("READ_TO", of.read_to.clone()),
        ("HEAD_UNIT", Some(unit)),
        ("METHOD", Some(surfaced.surface.words.clone())),
        ("VERTICAL_DATUM", of.vertical_datum.clone()),
        ("AQUIFER_UNIT", surfaced.control.aquifer_unit().map(str::to_owned)),
    ];
    notes.into_iter().filter_map(|(key, value)| Some((key, value?))).collect()
}

/// The unit as GIS programs write it: the survey foot by its name in the EPSG dataset.
const fn unit_name(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::UsSurveyFoot => "US survey foot",
        other => other.name(),
    }
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
    #![expect(clippy::disallowed_methods, reason = "a test looks at what was written")]
    #![expect(clippy::unwrap_used, reason = "a test may panic")]

    use gdal::Dataset;

    use super::*;
    use crate::write::fixture::lattice;

    const ORIGIN: geo::Coord = geo::Coord { x: 480_000.0, y: 4_980_000.0 };

    #[test]
    fn gdal_reads_every_node_of_many_tiles_whatever_the_threads() {
        let fixture = lattice("EPSG:26915", ORIGIN, 100.0, 2, 600);
        let folder = tempfile::tempdir().unwrap();
        let grid = &fixture.results().surface.heads;
        assert_eq!((grid.spec().columns, grid.spec().rows), (601, 601), "nine tiles, five cut");
        let mut files = Vec::new();
        for threads in [1, 3] {
            let path = folder.path().join(format!("{threads}.tif"));
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| surface(&fixture.map.surfaced, &path)).unwrap();
            files.push(std::fs::read(path).unwrap());
        }
        assert!(files[0] == files[1], "the bytes follow the threads");
        let dataset = Dataset::open(folder.path().join("1.tif")).unwrap();
        let band = dataset.rasterband(1).unwrap();
        let read = band.read_as::<f32>((0, 0), (601, 601), (601, 601), None).unwrap();
        for (line, row) in read.data().chunks(601).enumerate() {
            for (node, head) in row.iter().zip(grid.row(600 - line)) {
                #[expect(clippy::cast_possible_truncation, reason = "as the file has them")]
                let head = *head as f32;
                let same = node.to_bits() == head.to_bits() || node.is_nan() && head.is_nan();
                assert!(same, "line {line}: {node} is not {head}");
            }
        }
        holds_statistics(&band, read.data());
        holds_overviews(&dataset, read.data());
        assert!(read.data().iter().any(|node| node.is_nan()), "one node has no support");
        assert!(read.data().iter().any(|node| node.is_finite()), "the others have a head");
    }

    /// The statistics are those of the pixels, worked out here in one line.
    fn holds_statistics(band: &RasterBand, pixels: &[f32]) {
        let values: Vec<f64> =
            pixels.iter().filter(|v| v.is_finite()).map(|v| (*v).into()).collect();
        let count = values.len() as f64;
        let mean = values.iter().sum::<f64>() / count;
        let sd = (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / count).sqrt();
        let found = band.get_statistics(false, false).unwrap().unwrap();
        // GDAL looks at every pixel by itself.
        let by_gdal = band.compute_raster_min_max(false).unwrap();
        assert_eq!((found.min, found.max), (by_gdal.min, by_gdal.max));
        assert!((found.mean - mean).abs() < 1e-9 && (found.std_dev - sd).abs() < 1e-9, "{found:?}");
        let share = band.metadata_item("STATISTICS_VALID_PERCENT", "").unwrap();
        let share: f64 = share.parse().unwrap();
        assert!((share - 100.0 * count / pixels.len() as f64).abs() < 1e-9, "{share}");
    }

    /// The layout is what GDAL calls COG, and there is one overview with the mean of each two by two nodes.
    fn holds_overviews(dataset: &Dataset, pixels: &[f32]) {
        let item = |name: &str, domain: &str| dataset.metadata_item(name, domain);
        assert_eq!(item("LAYOUT", "IMAGE_STRUCTURE").as_deref(), Some("COG"));
        let band = dataset.rasterband(1).unwrap();
        assert_eq!(band.overview_count().unwrap(), 1);
        let place = |band: &RasterBand, tile: &str| -> u64 {
            band.metadata_item(&format!("BLOCK_OFFSET_{tile}"), "TIFF").unwrap().parse().unwrap()
        };
        let overview = band.overview(0).unwrap();
        assert_eq!(overview.size(), (301, 301));
        assert!(place(&overview, "1_1") < place(&band, "0_0"), "overviews come first");
        let read = overview.read_as::<f32>((0, 0), (301, 301), (301, 301), None).unwrap();
        let (mut none, mut half) = (0, 0);
        for (i, found) in read.data().iter().enumerate() {
            let (line, column) = (i / 301, i % 301);
            let block: Vec<f32> = [(0, 0), (0, 1), (1, 0), (1, 1)]
                .into_iter()
                .map(|(l, c)| (2 * line + l, 2 * column + c))
                .filter(|(l, c)| *l < 601 && *c < 601)
                .map(|(l, c)| pixels[l * 601 + c])
                .collect();
            half += usize::from(block.len() == 2);
            if block.iter().any(|pixel| pixel.is_nan()) {
                none += 1;
                assert!(found.is_nan(), "{line} {column}: a mean beyond the surface");
                continue;
            }
            let mean =
                block.iter().map(|pixel| f64::from(*pixel)).sum::<f64>() / block.len() as f64;
            assert!((f64::from(*found) - mean).abs() < 1e-4, "{line} {column}: {found} for {mean}");
        }
        assert!(none > 0 && half == 600, "{none} {half}");
        assert!(band.metadata_item("STATISTICS_APPROXIMATE", "").is_none());
    }

    #[test]
    fn a_small_raster_has_no_overview_and_the_same_layout() {
        let fixture = lattice("EPSG:26915", ORIGIN, 100.0, 2, 512 - 1);
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("surface.tif");
        surface(&fixture.map.surfaced, &path).unwrap();
        let dataset = Dataset::open(&path).unwrap();
        assert_eq!(dataset.raster_size(), (512, 512));
        let layout = dataset.metadata_item("LAYOUT", "IMAGE_STRUCTURE");
        assert_eq!(layout.as_deref(), Some("COG"));
        assert_eq!(dataset.rasterband(1).unwrap().overview_count().unwrap(), 0);
    }

    #[test]
    fn a_file_that_is_not_what_was_asked_for_stays_as_it_is() {
        let fixture = lattice("EPSG:26915", ORIGIN, 100.0, 2, 600);
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("surface.tif");
        let grid = &fixture.results().surface.heads;
        surface(&fixture.map.surfaced, &path).unwrap();
        let other = lattice("EPSG:26915", ORIGIN, 100.0, 2, 100);
        let raster = std::fs::read(&path).unwrap();
        for (bytes, grid) in [
            (&raster[..], &other.results().surface.heads),
            (b"MM\0*\0\0\0\x08 of the other byte order", grid),
            (b"II*\0\x08\0\0\0\0\0", grid),
            (b"II*\0", grid),
        ] {
            std::fs::write(&path, bytes).unwrap();
            tiles::put(&path, grid).unwrap_err();
            assert_eq!(std::fs::read(&path).unwrap(), bytes);
        }
    }
}
