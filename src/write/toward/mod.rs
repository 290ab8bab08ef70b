//! Where the water goes, as files beside those of the map.

mod layers;

use std::borrow::Cow;
use std::io;
use std::path::Path;

use crate::report::{Results, Rows};
use crate::write::context::Context;
use crate::write::geotiff;
use crate::write::tables::{self, Grid};

/// Whether the question was asked.
pub(super) fn asked(results: &Results) -> bool {
    results.toward.is_some()
}

/// The same where positions have a longitude and latitude.
pub(super) fn asked_on_earth(results: &Results) -> bool {
    asked(results) && results.control.crs().is_on_earth()
}

/// Whether the site has a land surface, too.
pub(super) fn has_ground(results: &Results) -> bool {
    results.toward.is_some_and(|t| t.ground.is_some())
}

/// The rows of an answer; without one a file of it is not written.
pub(super) fn rows<'a>(context: &Context<'a>) -> io::Result<Rows<'a>> {
    let toward = context.results.toward.ok_or(io::ErrorKind::NotFound)?;
    Ok(Rows::new(context.results, toward))
}

/// `paths.geojson`: flow paths down from sources, up from receptors and pumped wells.
pub(super) fn paths(context: &Context, path: &Path) -> io::Result<()> {
    layers::paths(&rows(context)?, &context.of, path)
}

/// `reaches.geojson`: what the water does along lines.
pub(super) fn reaches(context: &Context, path: &Path) -> io::Result<()> {
    layers::reaches(&rows(context)?, &context.of, path)
}

/// `receptors.geojson`: sources, receptors and pumped wells.
pub(super) fn receptors(context: &Context, path: &Path) -> io::Result<()> {
    layers::receptors(&rows(context)?, &context.of, path)
}

/// Every source with every receptor.
pub(super) fn verdicts<'a>(context: &'a Context<'a>) -> io::Result<Grid<'a>> {
    let rows = rows(context)?;
    let count = rows.toward.verdicts.len();
    tables::grid(context.of.made_safe(tables::safe), count, move |i| {
        let mut row = rows.verdict(&rows.toward.verdicts[i]);
        for name in [&mut row.source, &mut row.receptor] {
            *name = Cow::Owned(tables::safe(name));
        }
        row
    })
}

/// `depth-to-water.tif`: ground less surface.
pub(super) fn depth(context: &Context, path: &Path) -> io::Result<()> {
    let Some(ground) = context.results.toward.and_then(|t| t.ground.as_ref()) else {
        return Err(io::ErrorKind::NotFound.into());
    };
    geotiff::depth_to_water(context, &ground.depth, path)
}
