//! How a globe draws the layers: bright, as what lies below is a picture of the ground.

use crate::report::{ContourSign, FlowArrow, WellSign};
use crate::write::vector::layer::{Layer, Shape};
use crate::write::vector::row::Value;
use crate::xml::Element;

/// Colours as KML writes them without their opacity: blue, green, red.
const BLUE: &str = "ffcc66";
const GREEN: &str = "99ff99";
const GREY: &str = "b0b0b0";
const MAGENTA: &str = "ff66ff";
const ORANGE: &str = "33aaff";
const RED: &str = "5555ff";
const WHITE: &str = "ffffff";
const YELLOW: &str = "66ffff";

/// Opaque, and half of that.
const WHOLE: &str = "ff";
const FAINT: &str = "80";

/// Widths of lines, pixels; signs, in sizes of the program's own.
const USUAL: &str = "2";
const HEAVY: &str = "4";
const SIGN: &str = "0.8";

/// The column that says which of its styles a feature has.
const BY: &str = "sign";

/// The styles of a layer, each with an id.
pub(super) fn styles(layer: &Layer) -> Vec<Element> {
    let signs: Vec<&'static str> = match layer.name {
        "wells" => {
            use WellSign::{Gauge, LeftOut, NotUsed, Pumped, Well};
            [Well, Gauge, Pumped, NotUsed, LeftOut].map(WellSign::name).to_vec()
        }
        "contours" => ContourSign::ALL.map(ContourSign::name).to_vec(),
        "arrows" => vec![FlowArrow::KNOWN, FlowArrow::NOT_KNOWN],
        _ => return vec![style(layer, layer.name.to_owned(), "")],
    };
    signs.into_iter().map(|sign| style(layer, id(layer, sign), sign)).collect()
}

/// The id of the style of a feature.
pub(super) fn of(layer: &Layer, row: &[Value]) -> String {
    let column = layer.fields.iter().position(|field| field.name == BY);
    match column.map(|column| &row[column]) {
        Some(Value::Text(sign)) => id(layer, sign),
        _ => layer.name.to_owned(),
    }
}

fn id(layer: &Layer, sign: &str) -> String {
    format!("{}-{sign}", layer.name)
}

fn style(layer: &Layer, id: String, sign: &str) -> Element {
    let faint = sign.ends_with("inferred");
    let heavy = sign.starts_with("index") || ["barriers", "paths"].contains(&layer.name);
    let colour = format!("{}{}", if faint { FAINT } else { WHOLE }, colour(layer.name, sign));
    let width = if heavy { HEAVY } else { USUAL };
    let colour = || Element::text("color", colour.clone());
    let line = || Element::of("LineStyle", [colour(), Element::text("width", width)]);
    let parts = match layer.shape {
        Shape::Point | Shape::Points => {
            vec![Element::of("IconStyle", [colour(), Element::text("scale", SIGN)])]
        }
        Shape::Area | Shape::Areas => {
            let filled = if sign == FlowArrow::KNOWN { "1" } else { "0" };
            let inside = [colour(), Element::text("fill", filled)];
            vec![line(), Element::of("PolyStyle", inside)]
        }
        Shape::Line | Shape::Lines | Shape::Table => vec![line()],
    };
    Element::of("Style", parts).with("id", id)
}

/// The colour of a layer, or of the features of it with this sign.
fn colour(layer: &str, sign: &str) -> &'static str {
    let begins = |beginnings: &[&str]| beginnings.iter().any(|b| layer.starts_with(b));
    if [WellSign::NotUsed, WellSign::LeftOut].iter().any(|unused| unused.name() == sign)
        || begins(&["triangles", "flow"])
    {
        GREY
    } else if sign == WellSign::Gauge.name() || begins(&["contours", "stream", "reaches"]) {
        BLUE
    } else if begins(&["judged_points", "control_lines"]) {
        RED
    } else if begins(&["barriers"]) {
        MAGENTA
    } else if begins(&["source", "paths"]) {
        ORANGE
    } else if begins(&["receptor"]) {
        GREEN
    } else if begins(&["arrows"]) {
        YELLOW
    } else {
        WHITE
    }
}
