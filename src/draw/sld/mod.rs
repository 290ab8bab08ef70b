//! The look of the sheet for programs that draw the layers: styles of the standards SLD 1.1 and SE 1.1.
//!
//! Colours, weights, dashes and signs are those that the sheet is drawn with, taken from the same
//! constants and functions. What is drawn of which layer is in `docs/layers.md`.

mod rules;
mod symbols;

use self::symbols::colour;
use super::shade::ramp;
use crate::report::Results;
use crate::units::fixed;
use crate::xml::Element;

/// Colours of a raster, between which a program interpolates.
const STEPS: u32 = 16;

/// The style of a layer; `None` for a layer that the sheet has no look for.
///
/// # Units
/// Lengths are pixels of the standard, 0.28 mm.
///
/// # References
/// OGC 05-078r4 (Styled Layer Descriptor 1.1.0), OGC 05-077r4 (Symbology Encoding 1.1.0), OGC 04-095
/// (Filter Encoding 1.1.0).
#[must_use]
pub fn layer_style(results: &Results, layer: &str) -> Option<String> {
    let rules = rules::rules(results, layer)?;
    let rules = rules.into_iter().map(rules::Rule::element);
    Some(descriptor(layer, Element::of("se:FeatureTypeStyle", rules)))
}

/// The style of the raster of heads: shaded as on the sheet; `None` where no node has a head.
///
/// # Units
/// Heads are in the site's elevation unit.
///
/// # References
/// As [`layer_style`].
#[must_use]
pub fn surface_style(results: &Results, layer: &str) -> Option<String> {
    let (low, high) = results.surface.heads.range()?;
    let steps = if high > low { STEPS } else { 0 };
    let point = |step: u32| {
        let share = f64::from(step) / f64::from(STEPS);
        let head = fixed(low + (high - low) * share, 6);
        let value = Element::text("se:Value", colour(ramp(share)));
        Element::of("se:InterpolationPoint", [Element::text("se:Data", head), value])
    };
    let lookup = Element::text("se:LookupValue", "Rasterdata");
    let points = std::iter::once(lookup).chain((0..=steps).map(point));
    let interpolate = Element::of("se:Interpolate", points)
        .with("fallbackValue", colour(super::style::WHITE))
        .with("mode", "linear")
        .with("method", "color");
    let map = Element::of("se:ColorMap", [interpolate]);
    let rule = Element::of("se:Rule", [Element::of("se:RasterSymbolizer", [map])]);
    Some(descriptor(layer, Element::of("se:CoverageStyle", [rule])))
}

/// The document about one layer.
fn descriptor(layer: &str, style: Element) -> String {
    let user_style = Element::of(
        "UserStyle",
        [
            Element::text("se:Name", layer),
            Element::of("se:Description", [Element::text("se:Title", "As on the map sheet")]),
            Element::text("IsDefault", "true"),
            style,
        ],
    );
    let named = Element::of("NamedLayer", [Element::text("se:Name", layer), user_style]);
    Element::of("StyledLayerDescriptor", [named])
        .with("version", "1.1.0")
        .with("xmlns", "http://www.opengis.net/sld")
        .with("xmlns:se", "http://www.opengis.net/se")
        .with("xmlns:ogc", "http://www.opengis.net/ogc")
        .with("xmlns:xsi", "http://www.w3.org/2001/XMLSchema-instance")
        .with(
            "xsi:schemaLocation",
            "http://www.opengis.net/sld \
             http://schemas.opengis.net/sld/1.1.0/StyledLayerDescriptor.xsd",
        )
        .document()
}
