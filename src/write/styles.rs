//! `styles/LAYER.sld`: how programs are to draw the layers.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::fs;
use std::io;
use std::path::Path;

use super::context::Context;
use super::{sheet, vector};

/// How such files end.
const ENDING: &str = "sld";

/// Writes the folder: a file for each layer, and one for the raster of heads.
pub(super) fn styles(context: &Context, path: &Path) -> io::Result<()> {
    fs::create_dir(path)?;
    let results = context.results;
    let of_layer = |name| Some((name, sheet::layer_style(results, name)?));
    let of_layers = vector::names(context).into_iter().filter_map(of_layer);
    let surface = sheet::surface_style(results, "surface").map(|style| ("surface", style));
    let mut every = of_layers.chain(surface);
    every.try_for_each(|(name, style)| fs::write(path.join(name).with_extension(ENDING), style))
}
