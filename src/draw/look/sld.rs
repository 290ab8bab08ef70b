//! The look by the standards SLD 1.1 and SE 1.1.

use super::rules::Rule;
use super::symbols::{Beside, HALO, Label, Mark, Shape, Step, Symbol, web_colour};
use crate::draw::faces::FAMILY;
use crate::draw::scene::{Colour, Paint, Stroke};
use crate::draw::style;
use crate::units::fixed;
use crate::xml::Element;

/// A pixel of the standard is 0.28 mm (OGC 05-077r4, 11.1.2, uom).
const PIXELS_PER_POINT: f64 = 25.4 / 72.0 / 0.28;

/// The style of a layer.
pub(super) fn layer(name: &str, rules: Vec<Rule>) -> String {
    descriptor(name, Element::of("se:FeatureTypeStyle", rules.into_iter().map(rule)))
}

/// The style of a raster.
pub(super) fn raster(name: &str, steps: &[Step]) -> String {
    let point = |step: &Step| {
        let data = Element::text("se:Data", step.value.as_str());
        Element::of(
            "se:InterpolationPoint",
            [data, Element::text("se:Value", web_colour(step.colour))],
        )
    };
    let lookup = Element::text("se:LookupValue", "Rasterdata");
    let points = std::iter::once(lookup).chain(steps.iter().map(point));
    let interpolate = Element::of("se:Interpolate", points)
        .with("fallbackValue", web_colour(style::WHITE))
        .with("mode", "linear")
        .with("method", "color");
    let map = Element::of("se:ColorMap", [interpolate]);
    let rule = Element::of("se:Rule", [Element::of("se:RasterSymbolizer", [map])]);
    descriptor(name, Element::of("se:CoverageStyle", [rule]))
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

fn rule(rule: Rule) -> Element {
    let title = Element::of("se:Description", [Element::text("se:Title", rule.title)]);
    let mut parts = vec![Element::text("se:Name", rule.title), title];
    parts.extend(rule.only.map(|(column, values)| filter(column, &values)));
    parts.extend(rule.symbols.iter().map(symbolizer));
    Element::of("se:Rule", parts)
}

fn filter(column: &'static str, values: &[&'static str]) -> Element {
    let is = |value: &&'static str| {
        let pair =
            [Element::text("ogc:PropertyName", column), Element::text("ogc:Literal", *value)];
        Element::of("ogc:PropertyIsEqualTo", pair)
    };
    let mut every: Vec<Element> = values.iter().map(is).collect();
    if every.len() > 1 {
        every = vec![Element::of("ogc:Or", every)];
    }
    Element::of("ogc:Filter", every)
}

fn symbolizer(symbol: &Symbol) -> Element {
    match symbol {
        Symbol::Line(along) => Element::of("se:LineSymbolizer", [stroke(*along)]),
        Symbol::Area(paint) => Element::of("se:PolygonSymbolizer", painted(*paint)),
        Symbol::Mark(drawn) => mark(drawn),
        Symbol::Text(label) => text(label),
    }
}

/// A length of the sheet in pixels of the standard.
fn pixels(points: f64) -> String {
    fixed(points * PIXELS_PER_POINT, 2)
}

fn parameter(name: &'static str, value: impl Into<String>) -> Element {
    Element::text("se:SvgParameter", value).with("name", name)
}

fn fill(inside: Colour) -> Element {
    Element::of("se:Fill", [parameter("fill", web_colour(inside))])
}

fn stroke(stroke: Stroke) -> Element {
    let mut parameters = vec![
        parameter("stroke", web_colour(stroke.colour)),
        parameter("stroke-width", pixels(stroke.width)),
        parameter("stroke-linejoin", "round"),
    ];
    if stroke.round {
        parameters.push(parameter("stroke-linecap", "round"));
    }
    if let Some(dash) = stroke.dash {
        parameters.push(parameter("stroke-dasharray", dash.map(pixels).join(" ")));
    }
    Element::of("se:Stroke", parameters)
}

fn painted(paint: Paint) -> impl Iterator<Item = Element> {
    paint.fill.map(fill).into_iter().chain(paint.stroke.map(stroke))
}

fn mark(mark: &Mark) -> Element {
    let name = match mark.shape {
        Shape::Circle => "circle",
        Shape::Triangle => "triangle",
        Shape::Square => "square",
        Shape::Cross => "x",
    };
    let known = Element::text("se:WellKnownName", name);
    let drawn = Element::of("se:Mark", std::iter::once(known).chain(painted(mark.paint)));
    let mut graphic = vec![drawn, Element::text("se:Size", pixels(mark.size))];
    if mark.turn_deg != 0 {
        graphic.push(Element::text("se:Rotation", mark.turn_deg.to_string()));
    }
    Element::of("se:PointSymbolizer", [Element::of("se:Graphic", graphic)])
}

fn text(label: &Label) -> Element {
    let letters = label.letters;
    let weight = if letters.bold { "bold" } else { "normal" };
    let font = [
        parameter("font-family", FAMILY),
        parameter("font-size", pixels(letters.size)),
        parameter("font-weight", weight),
    ];
    let halo = [Element::text("se:Radius", pixels(HALO)), fill(style::WHITE)];
    Element::of(
        "se:TextSymbolizer",
        [
            Element::of("se:Label", [Element::text("ogc:PropertyName", label.column)]),
            Element::of("se:Font", font),
            Element::of("se:LabelPlacement", [placed(label.beside)]),
            Element::of("se:Halo", halo),
            fill(letters.colour),
        ],
    )
}

fn placed(beside: Beside) -> Element {
    let (anchor_x, off) = match beside {
        Beside::Place(off) => ("0", off),
        Beside::Area => ("0.5", 0.0),
        Beside::Line => {
            let on = Element::text("se:PerpendicularOffset", "0");
            return Element::of("se:LinePlacement", [on]);
        }
    };
    let anchor =
        [Element::text("se:AnchorPointX", anchor_x), Element::text("se:AnchorPointY", "0.5")];
    let off =
        [Element::text("se:DisplacementX", pixels(off)), Element::text("se:DisplacementY", "0")];
    Element::of(
        "se:PointPlacement",
        [Element::of("se:AnchorPoint", anchor), Element::of("se:Displacement", off)],
    )
}
