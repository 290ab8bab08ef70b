//! Datum grids as geodetic TIFF ("Geodetic TIFF grids (GTG)", PROJ documentation), turned into NTv2:
//! the PROJ that is built in reads no
//! TIFF, and asks for the newer grids under such names.

use gdal::raster::RasterBand;
use gdal::{Dataset, DatasetOptions, GdalOpenFlags, Metadata};

use super::ntv2::{self, SubGrid};
use super::pixels::Quiet;

/// More nodes than any published grid has.
const MOST_NODES: usize = 50_000_000;

/// More grids in one file than any published one has.
const MOST_GRIDS: usize = 10_000;

/// The grids of a geodetic TIFF as NTv2.
///
/// # Errors
/// Why it cannot be used, in words that follow the file's name.
pub(in crate::read) fn to_ntv2(bytes: Vec<u8>) -> Result<Vec<u8>, String> {
    let _quiet = Quiet::please();
    let file = InMemory::new(bytes)?;
    let mut grids = Vec::new();
    let mut nodes = 0;
    while let Ok(dataset) = file.open(grids.len() + 1) {
        let grid = grid(&dataset, &mut nodes)?;
        grids.push(grid);
        if grids.len() > MOST_GRIDS {
            return Err(format!("has more than {MOST_GRIDS} grids"));
        }
    }
    if grids.is_empty() {
        return Err("is not a readable TIFF".to_owned());
    }
    ntv2::written(&grids)
}

/// A file that only GDAL sees, for as long as the value lives.
struct InMemory(String);

impl InMemory {
    fn new(bytes: Vec<u8>) -> Result<Self, String> {
        // One for each thread that reads a site.
        let name = format!("/vsimem/headfall/grid-{:p}.tif", bytes.as_ptr());
        gdal::vsi::create_mem_file(&name, bytes).map_err(|e| format!("cannot be read: {e}"))?;
        Ok(Self(name))
    }

    /// One of its grids, counted from 1.
    fn open(&self, number: usize) -> Result<Dataset, gdal::errors::GdalError> {
        let options = DatasetOptions {
            open_flags: GdalOpenFlags::GDAL_OF_RASTER | GdalOpenFlags::GDAL_OF_VERBOSE_ERROR,
            allowed_drivers: Some(&["GTiff"]),
            ..DatasetOptions::default()
        };
        Dataset::open_ex(format!("GTIFF_DIR:{number}:{}", self.0), options)
    }
}

impl Drop for InMemory {
    fn drop(&mut self) {
        let _ = gdal::vsi::unlink_mem_file(&self.0);
    }
}

fn grid(dataset: &Dataset, nodes: &mut usize) -> Result<SubGrid, String> {
    let item = |key: &str| dataset.metadata_item(key, "").filter(|word| !word.is_empty());
    if let Some(other) = item("TYPE").filter(|kind| kind != "HORIZONTAL_OFFSET") {
        return Err(format!("holds {other}, not horizontal offsets"));
    }
    if let Some(other) = item("interpolation_method").filter(|method| method != "bilinear") {
        return Err(format!("needs an interpolation ({other}) that NTv2 does not have"));
    }
    let (columns, rows) = dataset.raster_size();
    *nodes += columns.saturating_mul(rows);
    if *nodes > MOST_NODES {
        return Err(format!("has more than {MOST_NODES} nodes"));
    }
    let [x0, dx, skew_x, y0, skew_y, dy] = dataset
        .geo_transform()
        .map_err(|_| "does not give the positions of its nodes".to_owned())?;
    if skew_x != 0.0 || skew_y != 0.0 || dx <= 0.0 || dy == 0.0 {
        return Err("has nodes that do not lie along parallels and meridians".to_owned());
    }
    let latitude = Offsets::read(dataset, "latitude_offset", 1)?;
    let longitude = Offsets::read(dataset, "longitude_offset", 2)?;
    // Rows from the south, each from the east, as NTv2 has them.
    let row_from_south = |row: usize| if dy < 0.0 { rows - 1 - row } else { row };
    let mut offsets = Vec::with_capacity(columns * rows);
    for row in 0..rows {
        for column in (0..columns).rev() {
            let at = row_from_south(row) * columns + column;
            offsets.push([latitude.seconds[at], -longitude.east() * longitude.seconds[at]]);
        }
    }
    let (y_first, y_last) = (y0 + 0.5 * dy, y0 + (rows as f64 - 0.5) * dy);
    Ok(SubGrid {
        name: item("grid_name"),
        parent: item("parent_grid_name"),
        south: y_first.min(y_last),
        north: y_first.max(y_last),
        west: x0 + 0.5 * dx,
        east: x0 + (columns as f64 - 0.5) * dx,
        along_meridian: dy.abs(),
        along_parallel: dx,
        offsets,
    })
}

/// One of the two offsets at every node, from the first row of the file.
struct Offsets {
    /// Seconds of arc.
    seconds: Vec<f32>,
    is_west: bool,
}

impl Offsets {
    /// That of the band of a name, or of a number where the bands have no names.
    fn read(dataset: &Dataset, name: &str, number: usize) -> Result<Self, String> {
        let bands: Vec<RasterBand> =
            (1..=dataset.raster_count()).filter_map(|n| dataset.rasterband(n).ok()).collect();
        let described = |band: &RasterBand| band.description().unwrap_or_default();
        let named = bands.iter().any(|band| !described(band).is_empty());
        let band = if named {
            bands.iter().find(|band| described(band) == name)
        } else {
            bands.get(number - 1)
        };
        let band = band.ok_or_else(|| format!("has no {name}"))?;
        let in_seconds = match band.unit().as_str() {
            "" | "arc-second" => 1.0,
            "degree" => 3600.0,
            "radian" => 648_000.0 / std::f64::consts::PI,
            other => return Err(format!("has a {name} in {other}")),
        };
        let scale = in_seconds * band.scale().unwrap_or(1.0);
        let offset = in_seconds * band.offset().unwrap_or(0.0);
        let size = band.size();
        let values = band.read_as::<f64>((0, 0), size, size, None);
        let (_, values) = values.map_err(|e| format!("cannot be read: {e}"))?.into_shape_and_vec();
        let none = band.no_data_value();
        let missing = |v: &f64| !v.is_finite() || none.is_some_and(|none| (v - none).abs() <= 0.0);
        if values.iter().any(missing) {
            return Err(format!("has nodes without a {name}, which NTv2 does not allow"));
        }
        #[expect(clippy::cast_possible_truncation, reason = "NTv2 has offsets of seven digits")]
        let seconds = values.into_iter().map(|v| (v * scale + offset) as f32).collect();
        let positive = band.metadata_item("positive_value", "");
        Ok(Self { seconds, is_west: positive.is_some_and(|word| word == "west") })
    }

    /// The sign that turns an offset of longitude to the east.
    fn east(&self) -> f32 {
        if self.is_west { -1.0 } else { 1.0 }
    }
}
