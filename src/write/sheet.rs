//! `map.pdf`, `map.png`, `map.svg`: one drawing in three formats. The sheets of a record: `record.pdf`.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::draw;
use crate::report::{ComparisonResults, Results, SiteRecord};

/// The sheet's files.
pub(super) const FILES: [&str; 3] = ["map.pdf", "map.png", "map.svg"];

/// Whether a run has them.
pub(super) fn wanted(results: &Results) -> bool {
    results.site.settings.sheet.drawn
}

/// Draws the sheet and writes it, the formats side by side.
///
/// # Errors
/// The first file that could not be made, its name, and why.
pub(super) fn write(
    results: &Results,
    path: impl Fn(&'static str) -> PathBuf + Sync,
) -> Result<(), (&'static str, io::Error)> {
    let [pdf, png, svg] = FILES;
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

/// The sheets of a site's record.
pub(super) const RECORD_SHEETS: [&str; 1] = ["record.pdf"];

/// Draws and writes them.
pub(super) fn record_sheets(record: &SiteRecord, path: &Path) -> io::Result<()> {
    fs::write(path, draw::pdf_of(&draw::site_record(record))?)
}

/// The drawing of a comparison, as SVG.
#[expect(clippy::unnecessary_wraps, reason = "none where the sheet is not built in")]
pub(super) fn comparison(results: &ComparisonResults) -> Option<String> {
    Some(draw::comparison(results).svg())
}
