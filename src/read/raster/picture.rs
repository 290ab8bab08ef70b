//! A raster of colours, through GDAL: what it is, and its dots over a frame.
//!
//! GDAL opens a file with the drivers listed here and no other, for the reason that `pixels` gives.

use std::path::Path;

use gdal::errors::GdalError;
use gdal::raster::{ColorInterpretation as Means, GdalDataType};
use gdal::{Dataset, DatasetOptions, GdalOpenFlags, GeoTransformEx, Metadata};

use super::colours::{Averaged, Fault, Fineness, Lattice, Opened, PictureDots, Plan, Rgba};
use super::pixels::{Quiet, files_of};

/// The formats, by GDAL's name of their driver.
const DRIVERS: &[&str] = &["GTiff", "HFA"];

/// More pixels than this about one site are refused.
const MOST_PIXELS: usize = 400_000_000;

/// So many pixels are read at once.
const AT_ONCE: usize = 1 << 22;

/// Which bands are the colours, counted from 1.
enum Bands {
    /// One band, and what the colour of each value is.
    One(usize, Vec<Rgba>),
    Three([usize; 3]),
}

impl Bands {
    fn numbers(&self) -> &[usize] {
        match self {
            Self::One(band, _) => std::slice::from_ref(band),
            Self::Three(bands) => bands,
        }
    }
}

fn broken(error: &GdalError) -> Fault {
    Fault::Broken(error.to_string())
}

fn open(path: &Path) -> Result<(Dataset, Opened), Fault> {
    let options = DatasetOptions {
        open_flags: GdalOpenFlags::GDAL_OF_RASTER | GdalOpenFlags::GDAL_OF_VERBOSE_ERROR,
        allowed_drivers: Some(DRIVERS),
        ..DatasetOptions::default()
    };
    let file = Dataset::open_ex(path, options).map_err(|e| Fault::Format(e.to_string()))?;
    // Without a frame GDAL counts pixels.
    let counted = [0.0, 1.0, 0.0, 0.0, 0.0, 1.0];
    let other = |frame: &[f64; 6]| frame.iter().zip(counted).any(|(a, b)| (a - b).abs() > 0.0);
    let frame = file.geo_transform().ok().filter(other);
    let to_pixels = frame.and_then(|frame| frame.invert().ok()).ok_or(Fault::NoFrame)?;
    let wkt = file.spatial_ref().and_then(|s| s.to_wkt()).ok().filter(|wkt| !wkt.is_empty());
    let opened = Opened { wkt, size: file.raster_size(), to_pixels, files: files_of(&file) };
    Ok((file, opened))
}

/// Opens a raster of colours, and reads none of its pixels.
///
/// # Errors
/// [`Fault::Format`], [`Fault::NoFrame`], [`Fault::Kind`].
pub(in crate::read) fn look(path: &Path) -> Result<Opened, Fault> {
    let _quiet = Quiet::please();
    let (file, opened) = open(path)?;
    bands(&file)?;
    Ok(opened)
}

/// The dots over a lattice; `None` where the raster has no colour there.
///
/// # Errors
/// Any [`Fault`].
pub(in crate::read) fn dots(
    path: &Path,
    lattice: &Lattice,
    fineness: Fineness,
) -> Result<Option<PictureDots>, Fault> {
    let _quiet = Quiet::please();
    let (file, opened) = open(path)?;
    let bands = bands(&file)?;
    let plan = Plan::of(lattice, fineness);
    // One more square each way than is shown, so that every dot has its neighbours.
    let Some([[left, right], [top, bottom]]) = lattice.window(opened.size, plan.averaged + 1)
    else {
        return Ok(None);
    };
    let (width, height) = (right - left, bottom - top);
    if width.saturating_mul(height) > MOST_PIXELS {
        return Err(Fault::TooLarge(width, height));
    }
    let mut averaged = Averaged::new([left, top], width, plan.averaged);
    let rows = (AT_ONCE / width / plan.averaged).max(1) * plan.averaged;
    for first in (top..bottom).step_by(rows) {
        let window = ([left, first], [width, rows.min(bottom - first)]);
        let pixels = pixels(&file, &bands, window).map_err(|e| broken(&e))?;
        averaged.add(width, &pixels);
    }
    Ok(averaged.dots(lattice, plan.dots))
}

/// The pixels of a window, which is given by its first column and row, and by its columns and rows.
#[expect(clippy::cast_possible_wrap, reason = "counts of pixels are far below 2^63")]
fn pixels(
    file: &Dataset,
    bands: &Bands,
    ([left, top], [width, height]): ([usize; 2], [usize; 2]),
) -> Result<Vec<Rgba>, GdalError> {
    let (from, size) = ((left as isize, top as isize), (width, height));
    let mut pixels = vec![[0, 0, 0, 0]; width * height];
    for (i, number) in bands.numbers().iter().enumerate() {
        let band = file.rasterband(*number)?;
        let values = band.read_as::<u8>(from, size, size, None)?;
        for (pixel, value) in pixels.iter_mut().zip(values.data()) {
            match bands {
                Bands::One(_, table) => *pixel = table[usize::from(*value)],
                Bands::Three(_) => pixel[i] = *value,
            }
        }
        let all = band.mask_flags()?.is_all_valid();
        let mask = if all { None } else { Some(band.open_mask_band()?) };
        let mask = mask.map(|mask| mask.read_as::<u8>(from, size, size, None)).transpose()?;
        let opacity = |k: usize| mask.as_ref().map_or(u8::MAX, |mask| mask.data()[k]);
        for (k, pixel) in pixels.iter_mut().enumerate() {
            pixel[3] = match bands {
                Bands::One(..) => pixel[3].min(opacity(k)),
                // A pixel is missing where all of its bands are.
                Bands::Three(_) => pixel[3].max(opacity(k)),
            };
        }
    }
    Ok(pixels)
}

/// Which bands are the colours of a raster.
fn bands(file: &Dataset) -> Result<Bands, Fault> {
    let kind = |words: String| Err(Fault::Kind(words));
    let mut known = Vec::new();
    for (i, band) in file.rasterbands().enumerate() {
        let band = band.map_err(|e| broken(&e))?;
        known.push((i + 1, band.color_interpretation()));
    }
    let all = known.len();
    known.retain(|(_, means)| *means != Means::AlphaBand);
    if known.iter().any(|(_, means)| matches!(means, Means::CyanBand | Means::BlackBand)) {
        return kind("has the inks of a print, and not red, green and blue".to_owned());
    }
    let named = |wanted: Means| known.iter().find(|(_, means)| *means == wanted).map(|(i, _)| *i);
    let by_name = [Means::RedBand, Means::GreenBand, Means::BlueBand].map(named);
    let numbers = match (known.as_slice(), by_name) {
        ([(only, _)], _) => vec![*only],
        ([..], [Some(red), Some(green), Some(blue)]) if known.len() <= 4 => vec![red, green, blue],
        ([(a, _), (b, _), (c, _)] | [(a, _), (b, _), (c, _), _], _) => vec![*a, *b, *c],
        _ => return kind(format!("has {all} bands, and not 1, 3 or 4")),
    };
    let mut bits = 8;
    for number in &numbers {
        let band = file.rasterband(*number).map_err(|e| broken(&e))?;
        if band.band_type() != GdalDataType::UInt8 {
            return kind(format!("has values of the type {}, and not of 8 bits", band.band_type()));
        }
        let stated = band.metadata_item("NBITS", "IMAGE_STRUCTURE");
        bits = stated.and_then(|n| n.parse().ok()).filter(|n| (1..8).contains(n)).unwrap_or(8);
    }
    match numbers[..] {
        [red, green, blue] => Ok(Bands::Three([red, green, blue])),
        _ => Ok(Bands::One(numbers[0], table(file, numbers[0], bits).map_err(|e| broken(&e))?)),
    }
}

/// The colour of each value of a band: as its colour table says, or from black to white.
fn table(file: &Dataset, number: usize, bits: u32) -> Result<Vec<Rgba>, GdalError> {
    let band = file.rasterband(number)?;
    let part = |v: i16| u8::try_from(v.clamp(0, 255)).unwrap_or(0);
    if let Some(colours) = band.color_table() {
        let entry = |i| colours.entry_as_rgb(i).map(|c| [c.r, c.g, c.b, c.a].map(part));
        return Ok((0..256).map(|i| entry(i).unwrap_or([0; 4])).collect());
    }
    let brightest = (1_u32 << bits) - 1;
    let grey = |v: u32| u8::try_from(v.min(brightest) * 255 / brightest).unwrap_or(u8::MAX);
    Ok((0..256).map(|v| [grey(v), grey(v), grey(v), u8::MAX]).collect())
}
