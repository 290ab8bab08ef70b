//! The land surface from a raster, through GDAL: elevations at places of the map.
//!
//! GDAL opens a file with the drivers listed here and no other: a virtual format could name
//! files, databases or services elsewhere, and a result must depend on the files it lists.

use std::collections::BTreeSet;
use std::ffi::CStr;
use std::path::{Path, PathBuf};

use gdal::Dataset;
use gdal::DatasetOptions;
use gdal::GdalOpenFlags;
use gdal::GeoTransformEx;
use gdal::errors::GdalError;
use gdal::raster::RasterBand;
use geo::Coord;

use crate::diag::{Code, Diagnostic};
use crate::error::Error;
use crate::geom::Crs;
use crate::geom::tolerance::{DEEPEST_LEVEL_M, HIGHEST_ELEVATION_M};
use crate::read::files::input_file::InputFile;
use crate::read::files::record::Named;
use crate::read::settings::aquifer::GroundSettings;
use crate::sealed::seal;
use crate::units::{LengthUnit, as_given, brief_to};

/// The formats, by GDAL's name of their driver.
const DRIVERS: &[&str] = &["GTiff", "AAIGrid", "HFA"];

/// More pixels than this about one site are refused.
const MOST_PIXELS: usize = 200_000_000;

/// The lowest and the highest that the ground can be, m.
const GROUND_M: [f64; 2] = [-DEEPEST_LEVEL_M, HIGHEST_ELEVATION_M];

/// The elevation of the ground at places, one for each, and the files that it was read from: see
/// [`super::land_surface::LandSurface::at`].
pub(super) fn elevations(
    folder: &Path,
    settings: &GroundSettings,
    crs: &Crs,
    places: &[Coord],
    unit: LengthUnit,
) -> Result<(Vec<Option<f64>>, Vec<InputFile>), Error> {
    let path = folder.join(&settings.raster);
    let refuse = |code: Code, message: String, advice: &str| {
        let told = Diagnostic::new(code, message).at(&settings.origin).advice(advice);
        Error::Read(vec![told])
    };
    let GroundSettings { raster: file, origin, .. } = settings;
    let named = Named { file, folder, what: "the raster of [ground]", origin };
    let told = |told: Box<Diagnostic>| Error::Read(vec![*told]);
    let record = named.record().map_err(told)?;
    let raster = Raster::open(&path, !crs.is_on_earth()).map_err(|fault| match fault {
        Fault::Gdal(cause) => refuse(
            Code::FileUnreadable,
            format!("the raster {} cannot be read: {cause}", settings.raster),
            "give a GeoTIFF, an ASCII grid or an Erdas Imagine file",
        ),
        Fault::Crs(cause) => refuse(
            Code::CrsUnknown,
            format!("the raster {} has no usable CRS: {cause}", settings.raster),
            "store the CRS in the file, or in a .prj file beside an ASCII grid",
        ),
        Fault::Plan(name) => refuse(
            Code::LocalMeetsCrs,
            format!(
                "the raster {} is in {name}, but the map is in local coordinates",
                settings.raster
            ),
            "tie the local coordinates to a CRS with [[tie]] in site.toml, or give a raster in local \
             coordinates, without a CRS",
        ),
    })?;
    if let Some(stated) = raster.unit.filter(|stated| *stated != settings.unit) {
        return Err(refuse(
            Code::UnitConflict,
            format!(
                "the raster {} has elevations in {stated}, but [ground] says {}",
                settings.raster, settings.unit
            ),
            "correct unit under [ground]",
        ));
    }
    let (elevations, beyond) = raster.at(crs, places, settings.unit).map_err(|cause| {
        refuse(
            Code::FileUnreadable,
            format!("the raster {} cannot be read around the site: {cause}", settings.raster),
            "clip it to the site, or give one in a CRS that covers the site",
        )
    })?;
    if let Some(beyond) = beyond {
        return Err(refuse(Code::Implausible, beyond.words(settings), BEYOND_ADVICE));
    }
    let elevations =
        elevations.into_iter().map(|z| z.map(|z| settings.unit.convert(z, unit))).collect();
    let inputs = named.was(record, &files_of(&raster.file)).map_err(told)?;
    Ok((elevations, inputs))
}

enum Fault {
    Gdal(String),
    Crs(String),
    /// A CRS where a plan was expected, by its name.
    Plan(String),
}

impl From<GdalError> for Fault {
    fn from(error: GdalError) -> Self {
        Self::Gdal(error.to_string())
    }
}

struct Raster {
    file: Dataset,
    /// `None` for a raster in local coordinates.
    crs: Option<Crs>,
    /// From CRS units to pixels, whose corners are whole numbers.
    to_pixels: [f64; 6],
    /// The unit of elevations, where the file states one that headfall knows.
    unit: Option<LengthUnit>,
}

impl Raster {
    /// Opens a raster that has a CRS, or one in local coordinates that has none.
    fn open(path: &Path, local: bool) -> Result<Self, Fault> {
        let options = DatasetOptions {
            open_flags: GdalOpenFlags::GDAL_OF_RASTER | GdalOpenFlags::GDAL_OF_VERBOSE_ERROR,
            allowed_drivers: Some(DRIVERS),
            ..DatasetOptions::default()
        };
        let _quiet = Quiet::please();
        let file = Dataset::open_ex(path, options)?;
        let to_pixels = file.geo_transform()?.invert()?;
        let wkt = file.spatial_ref().and_then(|s| s.to_wkt());
        let crs = match wkt {
            Ok(wkt) if local && !wkt.is_empty() && !Crs::is_plan(&wkt) => {
                let named = Crs::lookup(&wkt).map(|crs| crs.name().to_owned());
                return Err(Fault::Plan(named.unwrap_or_else(|_| "a CRS".to_owned())));
            }
            _ if local => None,
            Ok(wkt) => Some(Crs::lookup(&wkt).map_err(|e| Fault::Crs(e.to_string()))?),
            Err(e) => return Err(Fault::Crs(e.to_string())),
        };
        let stated = file.rasterband(1)?.unit().trim().to_lowercase();
        let unit = match stated.as_str() {
            "m" | "metre" | "meter" | "metres" | "meters" => Some(LengthUnit::Metre),
            "us survey foot" | "ftus" | "us-ft" | "us_survey_foot" | "foot_us" => {
                Some(LengthUnit::UsSurveyFoot)
            }
            _ => None,
        };
        Ok(Self { file, crs, to_pixels, unit })
    }

    /// The elevations at places, in the raster's unit, and the pixels that no ground has.
    fn at(
        &self,
        crs: &Crs,
        places: &[Coord],
        unit: LengthUnit,
    ) -> Result<(Vec<Option<f64>>, Option<Beyond>), String> {
        let _quiet = Quiet::please();
        let mut points = places.to_vec();
        if let Some(own) = &self.crs {
            own.convert_from(crs, &mut points).map_err(|e| e.to_string())?;
        }
        // Counted from the middle of the first pixel.
        for p in &mut points {
            let (x, y) = self.to_pixels.apply(p.x, p.y);
            *p = Coord { x: x - 0.5, y: y - 0.5 };
        }
        let band = self.file.rasterband(1).map_err(|e| e.to_string())?;
        let (columns, rows) = band.size();
        let inside = |p: &Coord| {
            p.x >= -0.5 && p.y >= -0.5 && p.x <= columns as f64 - 0.5 && p.y <= rows as f64 - 0.5
        };
        let span = |of: fn(&Coord) -> f64, count: usize| {
            let ends = points
                .iter()
                .filter(|p| inside(p))
                .map(of)
                .fold((f64::INFINITY, f64::NEG_INFINITY), |ends, at| {
                    (ends.0.min(at), ends.1.max(at))
                });
            (ends.0 <= ends.1).then(|| {
                let (first, last) = (pixel(ends.0, count), pixel(ends.1 + 1.0, count));
                (first, last - first + 1)
            })
        };
        let (Some((left, wide)), Some((top, high))) = (span(|p| p.x, columns), span(|p| p.y, rows))
        else {
            return Ok((vec![None; places.len()], None));
        };
        if wide.saturating_mul(high) > MOST_PIXELS {
            return Err(format!(
                "it has {wide} by {high} pixels there; the limit is {MOST_PIXELS}"
            ));
        }
        let window = Window::read(&band, (left, top), (wide, high)).map_err(|e| e.to_string())?;
        let beyond = window.beyond(unit, points.iter().filter(|p| inside(p)), (columns, rows));
        let elevations = points
            .iter()
            .map(|p| if inside(p) { window.at(*p, columns, rows) } else { None })
            .collect();
        Ok((elevations, beyond))
    }
}

/// Pixels whose elevation no ground has.
#[derive(Debug)]
struct Beyond {
    count: usize,
    /// Column, row and elevation of the first, counted from 1 at the upper left.
    first: (usize, usize, f64),
}

const BEYOND_ADVICE: &str = "set the no-data value of the raster, correct unit under [ground], or \
                             use an undamaged copy of the raster";

impl Beyond {
    fn words(&self, settings: &GroundSettings) -> String {
        let (column, row, value) = self.first;
        let unit = settings.unit;
        let [low, high] = GROUND_M.map(|bound| brief_to(bound / unit.metres(), 0));
        format!(
            "the raster {} has an impossible ground elevation at {} of its pixels around the map, the \
             first in column {column} and row {row}: {} {unit} is not from {low} to {high} {unit}",
            settings.raster,
            self.count,
            as_given(value)
        )
    }
}

/// The part of a band about the site.
struct Window {
    left: usize,
    top: usize,
    wide: usize,
    values: Vec<f64>,
}

impl Window {
    #[expect(clippy::cast_possible_wrap, reason = "counts of pixels are far below 2^63")]
    fn read(
        band: &RasterBand,
        (left, top): (usize, usize),
        size: (usize, usize),
    ) -> Result<Self, GdalError> {
        let buffer = band.read_as::<f64>((left as isize, top as isize), size, size, None)?;
        let none = band.no_data_value();
        let (scale, offset) = (band.scale().unwrap_or(1.0), band.offset().unwrap_or(0.0));
        let (_, mut values) = buffer.into_shape_and_vec();
        for v in &mut values {
            // A mark of -0 means 0 too; one that is not a number is missing as it is.
            let missing = none.is_some_and(|none| (*v - none).abs() <= 0.0);
            *v = if missing { f64::NAN } else { *v * scale + offset };
        }
        Ok(Self { left, top, wide: size.0, values })
    }

    /// The pixels about places that have a value which no ground has.
    fn beyond<'p>(
        &self,
        unit: LengthUnit,
        places: impl Iterator<Item = &'p Coord>,
        (columns, rows): (usize, usize),
    ) -> Option<Beyond> {
        let [low, high] = GROUND_M.map(|bound| bound / unit.metres());
        let is_beyond = |v: f64| v.is_finite() && !(low..=high).contains(&v);
        if !self.values.iter().any(|v| is_beyond(*v)) {
            return None;
        }
        let mut found = BTreeSet::new();
        for p in places {
            let ((left, right, _), (upper, lower, _)) = (between(p.x, columns), between(p.y, rows));
            for (row, column) in [(upper, left), (upper, right), (lower, left), (lower, right)] {
                if is_beyond(self.values[self.index(column, row)]) {
                    found.insert((row, column));
                }
            }
        }
        let (row, column) = *found.first()?;
        let value = self.values[self.index(column, row)];
        Some(Beyond { count: found.len(), first: (column + 1, row + 1, value) })
    }

    fn index(&self, column: usize, row: usize) -> usize {
        (row - self.top) * self.wide + (column - self.left)
    }

    fn at(&self, p: Coord, columns: usize, rows: usize) -> Option<f64> {
        let (left, right, fx) = between(p.x, columns);
        let (upper, lower, fy) = between(p.y, rows);
        let value = |column: usize, row: usize| self.values[self.index(column, row)];
        let across = |row: usize| mixed(value(left, row), value(right, row), fx);
        let z = mixed(across(upper), across(lower), fy);
        z.is_finite().then_some(z)
    }
}

/// Between two values; the one alone where the place is on it.
fn mixed(a: f64, b: f64, share: f64) -> f64 {
    if share == 0.0 { a } else { a + share * (b - a) }
}

/// The pixels before and after a place, and the share of the way; the outer half of the outermost
/// pixels has their value.
fn between(at: f64, count: usize) -> (usize, usize, f64) {
    let first = pixel(at, count);
    let last = (first + 1).min(count - 1);
    (first, last, (at - first as f64).clamp(0.0, 1.0))
}

/// The pixel whose middle is at or before a place.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held within the count of pixels"
)]
fn pixel(at: f64, count: usize) -> usize {
    (at.max(0.0) as usize).min(count - 1)
}

/// The files that GDAL took a raster or layers from, as it knows them: a raster may name one that
/// holds its values.
pub(in crate::read) fn files_of(data: &Dataset) -> Vec<PathBuf> {
    let mut files = Vec::new();
    #[expect(unsafe_code, reason = "the crate has no way to the list")]
    // SAFETY: GDAL gives a list of texts that ends with a null, or null, and it is let go of once.
    unsafe {
        let list = gdal_sys::GDALGetFileList(data.c_dataset());
        let mut at = list;
        while !at.is_null() && !(*at).is_null() {
            files.push(CStr::from_ptr(*at).to_string_lossy().into_owned().into());
            at = at.add(1);
        }
        gdal_sys::CSLDestroy(list);
    }
    files
}

/// GDAL behind its seal, and kept from printing on this thread what it returns as an error, for as
/// long as the value lives. Whoever calls GDAL holds one.
pub(crate) struct Quiet;

impl Quiet {
    pub(crate) fn please() -> Self {
        seal();
        #[expect(unsafe_code, reason = "the handler is GDAL's own and lives as long as GDAL")]
        // SAFETY: popped when the value is dropped, on the same thread.
        unsafe {
            gdal_sys::CPLPushErrorHandler(Some(gdal_sys::CPLQuietErrorHandler));
        }
        Self
    }
}

impl Drop for Quiet {
    fn drop(&mut self) {
        #[expect(unsafe_code, reason = "takes back what `please` pushed on this thread")]
        // SAFETY: `please` pushed it.
        unsafe {
            gdal_sys::CPLPopErrorHandler();
        }
    }
}
