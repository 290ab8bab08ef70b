//! The look of the sheet for programs that draw the layers.
//!
//! Colours, weights, dashes and signs are those that the sheet is drawn with, taken from the same
//! constants and functions. What is drawn of which layer is in `docs/layers.md`.

mod qml;
mod rules;
mod sld;
mod symbols;

use self::symbols::Step;
use super::shade::ramp;
use crate::report::{Look, Results};
use crate::units::fixed;

/// Colours of a raster, between which a program interpolates.
const STEPS: u32 = 16;

/// The look of a layer; `None` for a layer that the sheet has no look for.
#[must_use]
pub fn layer_look(results: &Results, layer: &str) -> Option<Look> {
    let rules = rules::rules(results, layer)?;
    Some(Look { qml: qml::layer(&rules), sld: sld::layer(layer, rules) })
}

/// The look of the raster of heads: shaded as on the sheet; `None` where no node has a head.
///
/// # Units
/// Heads are in the site's elevation unit.
#[must_use]
pub fn surface_look(results: &Results, name: &str) -> Option<Look> {
    let (low, high) = results.surface.heads.range()?;
    let steps = if high > low { STEPS } else { 0 };
    let step = |i: u32| {
        let share = f64::from(i) / f64::from(STEPS);
        Step { value: fixed(low + (high - low) * share, 6), colour: ramp(share) }
    };
    let steps: Vec<Step> = (0..=steps).map(step).collect();
    Some(Look { sld: sld::raster(name, &steps), qml: qml::raster(&steps) })
}
