//! `map.pdf`, `map.png`, `map.svg`: one drawing in three formats. The sheets of a record: `record.pdf`.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::draw;
use crate::report::{ComparisonResults, Look, Results, SiteRecord};

/// The sheet's files.
pub(super) const FILES: [&str; 3] = ["map.pdf", "map.png", "map.svg"];

/// Those of the sheet of changes between two rounds.
pub(super) const CHANGE: [&str; 3] = ["change.pdf", "change.png", "change.svg"];

/// Whether a run has them.
pub(super) fn wanted(results: &Results) -> bool {
    results.site.settings.sheet.drawn
}

/// Draws the sheet and writes it into these files, the formats side by side.
///
/// # Errors
/// The first file that could not be made, its name, and why.
pub(super) fn write(
    results: &Results,
    [pdf, png, svg]: [&'static str; 3],
    path: impl Fn(&'static str) -> PathBuf + Sync,
) -> Result<(), (&'static str, io::Error)> {
    let place = |name: &'static str, bytes: io::Result<Vec<u8>>| {
        bytes.and_then(|bytes| fs::write(path(name), bytes)).map_err(|e| (name, e))
    };
    let sheet = draw::sheet(results);
    let raster = || {
        place(png, sheet.png())?;
        place(svg, Ok(sheet.svg().into_bytes()))
    };
    let (raster, document) = rayon::join(raster, || place(pdf, sheet.pdf()));
    raster.and(document)
}

/// The look of a layer, where people look at the results and it has one.
pub(super) fn layer_look(results: &Results, layer: &str) -> Option<Look> {
    if wanted(results) { draw::layer_look(results, layer) } else { None }
}

/// The same of the raster of heads.
pub(super) fn surface_look(results: &Results, name: &str) -> Option<Look> {
    if wanted(results) { draw::surface_look(results, name) } else { None }
}

/// The sheets of a site's record.
pub(super) const RECORD_SHEETS: [&str; 1] = ["record.pdf"];

/// Draws and writes them.
pub(super) fn record_sheets(record: &SiteRecord, path: &Path) -> io::Result<()> {
    fs::write(path, draw::pdf_of(&draw::site_record(record))?)
}

/// The sheets of the highest, the lowest and the mean heads of years and seasons.
pub(super) const SURFACE_SHEETS: [&str; 1] = ["record-surfaces.pdf"];

/// Draws and writes them, a page each.
pub(super) fn surface_sheets(record: &SiteRecord, path: &Path) -> io::Result<()> {
    let maps: Vec<_> = record.surfaces.iter().filter_map(|one| one.map.as_ref().ok()).collect();
    let sheets: Vec<_> = maps.par_iter().map(|map| draw::sheet(&Results::of(map, &[]))).collect();
    fs::write(path, draw::pdf_of(&sheets)?)
}

/// The drawing of a comparison, as SVG.
#[expect(clippy::unnecessary_wraps, reason = "none where the sheet is not built in")]
pub(super) fn comparison(results: &ComparisonResults) -> Option<String> {
    Some(draw::comparison(results).svg())
}
