//! `map.pdf`, `map.png`, `map.svg`: one drawing in three formats, with a world file `map.pgw`. The sheets of a record: `record.pdf`.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::fs;
use std::io;
use std::path::Path;

use rayon::prelude::*;

use super::place::Staging;
use crate::draw;
use crate::error::Error;
use crate::report::{ComparisonResults, Look, Results, SiteRecord};

/// The sheet's files. The second is the world file of the third.
pub(super) const FILES: [&str; 4] = ["map.pdf", "map.pgw", "map.png", "map.svg"];

/// Those of the sheet of changes between two rounds.
pub(super) const CHANGE: [&str; 4] = ["change.pdf", "change.pgw", "change.png", "change.svg"];

/// Whether a run has them.
pub(super) fn wanted(results: &Results) -> bool {
    results.site.settings.sheet.drawn
}

/// Those of such files that a run has: none without a sheet, no world file in local coordinates.
pub(super) fn files<'n>(results: &Results, names: &[&'n str]) -> Vec<&'n str> {
    let placed = results.control.crs().is_on_earth();
    let names = names.iter().filter(|name| placed || !name.ends_with(WORLD));
    names.filter(|_| wanted(results)).copied().collect()
}

/// How the name of a world file ends.
const WORLD: &str = ".pgw";

/// Draws the sheet and writes it into these files, the formats side by side.
///
/// # Errors
/// Those of [`draw::sheet`], and [`Error::Write`] for the first file that could not be made.
pub(super) fn write(
    results: &Results,
    [pdf, world, png, svg]: [&str; 4],
    staging: &Staging,
) -> Result<(), Error> {
    let sheet = draw::sheet(results)?;
    let raster = || {
        staging.make_of(png, sheet.png())?;
        if let Some(text) = sheet.world_file() {
            staging.make_of(world, Ok(text))?;
        }
        staging.make_of(svg, Ok(sheet.svg()))
    };
    let (raster, document) = rayon::join(raster, || staging.make_of(pdf, sheet.pdf()));
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
///
/// # Errors
/// Those of [`draw::sheet`], and [`Error::Write`].
pub(super) fn surface_sheets(record: &SiteRecord, staging: &Staging) -> Result<(), Error> {
    let maps: Vec<_> = record.surfaces.iter().filter_map(|one| one.map.as_ref().ok()).collect();
    let drawn = maps.par_iter().map(|map| draw::sheet(&Results::of(map, &[])));
    let sheets = drawn.collect::<Vec<_>>().into_iter().collect::<Result<Vec<_>, _>>()?;
    let [name] = SURFACE_SHEETS;
    staging.make_of(name, draw::pdf_of(&sheets))
}

/// The drawing of a comparison, as SVG.
#[expect(clippy::unnecessary_wraps, reason = "none where the sheet is not built in")]
pub(super) fn comparison(results: &ComparisonResults) -> Option<String> {
    Some(draw::comparison(results).svg())
}
