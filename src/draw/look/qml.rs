//! The look in QML, the style files of a widespread general GIS: what makes it draw a layer so at once.
//!
//! Only what differs from the usual is written; properties are `prop` elements, which its versions from 2.0 on read.

use super::rules::Rule;
use super::symbols::{Beside, HALO, Label, Mark, Shape, Step, Symbol, web_colour};
use crate::draw::faces::FAMILY;
use crate::draw::scene::{Colour, Paint, Stroke};
use crate::draw::style;
use crate::units::fixed;
use crate::xml::Element;

/// The style of a layer.
pub(super) fn layer(rules: &[Rule]) -> String {
    let number = |i: usize| i.to_string();
    let drawn = rules
        .iter()
        .enumerate()
        .map(|(i, rule)| selecting(rule).with("symbol", number(i)).with("label", rule.title));
    let symbols = rules.iter().enumerate().map(|(i, rule)| symbol(rule).with("name", number(i)));
    let renderer =
        Element::of("renderer-v2", [Element::of("rules", drawn), Element::of("symbols", symbols)])
            .with("type", "RuleRenderer");
    let labels = rules.iter().flat_map(|rule| {
        let texts = rule.symbols.iter().filter_map(|symbol| match symbol {
            Symbol::Text(label) => Some(label),
            _ => None,
        });
        texts.map(|label| {
            let mut of = selecting(rule).with("description", rule.title);
            of.push(settings(label));
            of
        })
    });
    let labels: Vec<Element> = labels.collect();
    let shown = if labels.is_empty() { "0" } else { "1" };
    let labelling =
        Element::of("labeling", [Element::of("rules", labels)]).with("type", "rule-based");
    Element::of("qgis", [renderer, labelling]).with("labelsEnabled", shown).document()
}

/// The style of a raster.
pub(super) fn raster(steps: &[Step]) -> String {
    let item = |step: &Step| {
        Element::of("item", [])
            .with("alpha", "255")
            .with("value", step.value.as_str())
            .with("label", step.value.as_str())
            .with("color", web_colour(step.colour))
    };
    let shader = Element::of("colorrampshader", steps.iter().map(item))
        .with("colorRampType", "INTERPOLATED")
        .with("classificationMode", "1")
        .with("clip", "0");
    let renderer = Element::of("rasterrenderer", [Element::of("rastershader", [shader])])
        .with("type", "singlebandpseudocolor")
        .with("band", "1")
        .with("opacity", "1");
    Element::of("qgis", [Element::of("pipe", [renderer])]).document()
}

/// A rule that takes the features of this one.
fn selecting(rule: &Rule) -> Element {
    let Some((column, values)) = &rule.only else { return Element::of("rule", []) };
    let values: Vec<String> = values.iter().map(|value| format!("'{value}'")).collect();
    Element::of("rule", []).with("filter", format!("\"{column}\" IN ({})", values.join(", ")))
}

fn symbol(rule: &Rule) -> Element {
    let mut kind = "line";
    let mut layers = Vec::new();
    for symbol in &rule.symbols {
        let (class, properties) = match symbol {
            Symbol::Line(stroke) => ("SimpleLine", line(*stroke)),
            Symbol::Area(paint) => ("SimpleFill", area(*paint)),
            Symbol::Mark(drawn) => ("SimpleMarker", mark(drawn)),
            Symbol::Text(_) => continue,
        };
        kind = match symbol {
            Symbol::Mark(_) => "marker",
            Symbol::Area(_) => "fill",
            Symbol::Line(_) | Symbol::Text(_) => kind,
        };
        let property = |(name, value): (&'static str, String)| {
            Element::of("prop", []).with("k", name).with("v", value)
        };
        layers
            .push(Element::of("layer", properties.into_iter().map(property)).with("class", class));
    }
    Element::of("symbol", layers).with("type", kind).with("alpha", "1")
}

type Properties = Vec<(&'static str, String)>;

const POINT: &str = "Point";

fn colour(Colour(red, green, blue): Colour) -> String {
    format!("{red},{green},{blue},255")
}

fn points(length: f64) -> String {
    fixed(length, 2)
}

fn line(stroke: Stroke) -> Properties {
    let cap = if stroke.round { "round" } else { "flat" };
    let mut properties = vec![
        ("line_color", colour(stroke.colour)),
        ("line_width", points(stroke.width)),
        ("line_width_unit", POINT.into()),
        ("joinstyle", "round".into()),
        ("capstyle", cap.into()),
    ];
    if let Some(dash) = stroke.dash {
        properties.push(("use_custom_dash", "1".into()));
        properties.push(("customdash", dash.map(points).join(";")));
        properties.push(("customdash_unit", POINT.into()));
    }
    properties
}

/// The inside and the edge of an area or a mark.
fn painted(paint: Paint) -> Properties {
    let inside = paint.fill.unwrap_or(style::WHITE);
    let mut properties = vec![("color", colour(inside))];
    match paint.stroke {
        Some(stroke) => properties.extend([
            ("outline_color", colour(stroke.colour)),
            ("outline_width", points(stroke.width)),
            ("outline_width_unit", POINT.into()),
            ("outline_style", if stroke.dash.is_some() { "dash" } else { "solid" }.into()),
            ("joinstyle", "round".into()),
        ]),
        None => properties.push(("outline_style", "no".into())),
    }
    properties
}

fn area(paint: Paint) -> Properties {
    let mut properties = painted(paint);
    properties.push(("style", if paint.fill.is_some() { "solid" } else { "no" }.into()));
    properties
}

fn mark(mark: &Mark) -> Properties {
    let name = match mark.shape {
        Shape::Circle => "circle",
        Shape::Triangle => "triangle",
        Shape::Square => "square",
        Shape::Cross => "cross2",
    };
    let mut properties = painted(mark.paint);
    properties.extend([
        ("name", name.into()),
        ("size", points(mark.size)),
        ("size_unit", POINT.into()),
        ("angle", mark.turn_deg.to_string()),
    ]);
    properties
}

fn settings(label: &Label) -> Element {
    let letters = label.letters;
    let halo = Element::of("text-buffer", [])
        .with("bufferDraw", "1")
        .with("bufferSize", points(HALO))
        .with("bufferSizeUnits", POINT)
        .with("bufferColor", colour(style::WHITE));
    let text = Element::of("text-style", [halo])
        .with("fieldName", label.column)
        .with("fontFamily", FAMILY)
        .with("fontSize", points(letters.size))
        .with("fontSizeUnit", POINT)
        .with("fontWeight", if letters.bold { "75" } else { "50" })
        .with("textColor", colour(letters.colour));
    // Around a place, along a line, inside an area.
    let (placement, off) = match label.beside {
        Beside::Place(off) => ("0", off),
        Beside::Line => ("2", 0.0),
        Beside::Area => ("1", 0.0),
    };
    let placement = Element::of("placement", [])
        .with("placement", placement)
        .with("placementFlags", "1")
        .with("dist", points(off))
        .with("distUnits", POINT);
    Element::of("settings", [text, placement])
}
