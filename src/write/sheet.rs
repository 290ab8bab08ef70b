//! `map.svg`, `map.pdf`, `map.png`: one drawing in three formats.

use std::fs;
use std::io;
use std::path::PathBuf;

use crate::draw;
use crate::results::Results;

const SVG: &str = "map.svg";
const PDF: &str = "map.pdf";
const PNG: &str = "map.png";

/// The sheet's files, none where the site wants data only.
pub(super) fn files(results: &Results) -> &'static [&'static str] {
    if results.site.settings.sheet.drawn { &[SVG, PDF, PNG] } else { &[] }
}

/// Draws the sheet and writes it, the formats side by side.
///
/// # Errors
/// The file that could not be written, and why.
pub(super) fn write(
    results: &Results,
    path: &(impl Fn(&str) -> PathBuf + Sync),
) -> Result<(), (&'static str, io::Error)> {
    if files(results).is_empty() {
        return Ok(());
    }
    let sheet = draw::sheet(results);
    let raster = || {
        let svg = sheet.svg();
        fs::write(path(SVG), &svg).map_err(|e| (SVG, e))?;
        sheet.png(&svg).and_then(|png| fs::write(path(PNG), png)).map_err(|e| (PNG, e))
    };
    let document = || sheet.pdf().and_then(|pdf| fs::write(path(PDF), pdf)).map_err(|e| (PDF, e));
    let (raster, document) = rayon::join(raster, document);
    raster.and(document)
}
