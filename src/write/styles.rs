//! `styles/LAYER.sld` and `surface.qml`: how programs are to draw the layers.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::fs;
use std::io;
use std::path::Path;

use super::context::Context;
use super::{sheet, vector};
use crate::report::Results;

/// How such files end.
const ENDING: &str = "sld";

/// The name of the raster of heads.
const SURFACE: &str = "surface";

/// Writes the folder: a file for each layer, and one for the raster of heads.
pub(super) fn styles(context: &Context, path: &Path) -> io::Result<()> {
    fs::create_dir(path)?;
    let results = context.results;
    let of_layer = |name| Some((name, sheet::layer_look(results, name)?));
    let of_layers = vector::names(context).into_iter().filter_map(of_layer);
    let surface = sheet::surface_look(results, SURFACE).map(|look| (SURFACE, look));
    let mut every = of_layers.chain(surface);
    every.try_for_each(|(name, look)| fs::write(path.join(name).with_extension(ENDING), look.sld))
}

/// Whether a map has heads at nodes to be shaded.
pub(super) fn has_shading(results: &Results) -> bool {
    sheet::wanted(results) && results.surface.heads.range().is_some()
}

/// Writes the style that lies beside the raster of heads: a raster has no table for it.
pub(super) fn shading(context: &Context, path: &Path) -> io::Result<()> {
    sheet::surface_look(context.results, SURFACE).map_or(Ok(()), |look| fs::write(path, look.qml))
}
