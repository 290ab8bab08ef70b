//! What the sheet draws, as symbolizers.

use crate::draw::font::FAMILY;
use crate::draw::scene::{Colour, Item, Paint, Run, Stroke};
use crate::draw::style;
use crate::units::fixed;
use crate::xml::Element;

/// A pixel of the standard is 0.28 mm (OGC 05-077r4, 11.1.2, uom).
const PIXELS_PER_POINT: f64 = 25.4 / 72.0 / 0.28;

/// The white about a text on a line, points.
const HALO: f64 = 1.0;

/// A length of the sheet in pixels of the standard.
pub(super) fn pixels(points: f64) -> String {
    fixed(points * PIXELS_PER_POINT, 2)
}

/// A colour as the standard writes it.
pub(super) fn colour(Colour(red, green, blue): Colour) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}

fn parameter(name: &'static str, value: impl Into<String>) -> Element {
    Element::text("se:SvgParameter", value).with("name", name)
}

fn fill(inside: Colour) -> Element {
    Element::of("se:Fill", [parameter("fill", colour(inside))])
}

fn stroke(stroke: Stroke) -> Element {
    let mut parameters = vec![
        parameter("stroke", colour(stroke.colour)),
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

/// A line.
pub(super) fn line(along: Stroke) -> Element {
    Element::of("se:LineSymbolizer", [stroke(along)])
}

/// Lines as the sheet draws them, one upon the other.
pub(super) fn lines(items: &[Item]) -> Vec<Element> {
    let stroke = |item: &Item| match item {
        Item::Path(_, paint) => paint.stroke.map(line),
        _ => None,
    };
    items.iter().filter_map(stroke).collect()
}

/// An area.
pub(super) fn area(paint: Paint) -> Element {
    Element::of("se:PolygonSymbolizer", painted(paint))
}

/// A sign as the sheet draws it at a place, one mark upon the other.
pub(super) fn sign(items: &[Item]) -> Vec<Element> {
    items.iter().map(mark).collect()
}

/// A mark of the standard with the measures of what the sheet draws.
fn mark(item: &Item) -> Element {
    let (name, size, turn_deg, paint) = match item {
        Item::Circle(_, radius, paint) => ("circle", 2.0 * radius, None, paint),
        Item::Path(runs, paint) => {
            let (name, size, turn_deg) = shape(runs);
            (name, size, turn_deg, paint)
        }
        Item::Text(_) | Item::Picture(_) => {
            panic!("this is a bug in headfall: {item:?} is no sign")
        }
    };
    let known = Element::text("se:WellKnownName", name);
    let drawn = Element::of("se:Mark", std::iter::once(known).chain(painted(*paint)));
    let mut graphic = vec![drawn, Element::text("se:Size", pixels(size))];
    graphic.extend(turn_deg.map(|deg| Element::text("se:Rotation", deg)));
    Element::of("se:PointSymbolizer", [Element::of("se:Graphic", graphic)])
}

/// The name, the size and the turn (degrees) of the mark that has the shape of some lines.
fn shape(runs: &[Run]) -> (&'static str, f64, Option<&'static str>) {
    let xs = || runs.iter().flat_map(|run| run.points.iter().map(|p| p.x));
    let width = xs().fold(f64::NEG_INFINITY, f64::max) - xs().fold(f64::INFINITY, f64::min);
    match runs {
        // The third corner is below the others: the sheet counts downward.
        [Run { points, closed: true }] if points.len() == 3 && points[2].y > points[0].y => {
            ("triangle", width, Some("180"))
        }
        [Run { points, closed: true }]
            if points.len() == 4 && (points[0].x - points[2].x).abs() < width / 2.0 =>
        {
            ("square", width / std::f64::consts::SQRT_2, Some("45"))
        }
        [Run { points, closed: true }] if points.len() == 4 => ("square", width, None),
        [_, _] => ("x", width, None),
        other => panic!("this is a bug in headfall: no mark has the shape of {other:?}"),
    }
}

/// How a text is set.
#[derive(Debug, Clone, Copy)]
pub(super) struct Letters {
    /// The height of their em, points.
    pub(super) size: f64,
    pub(super) bold: bool,
    pub(super) colour: Colour,
}

/// Where a text is.
#[derive(Debug, Clone, Copy)]
pub(super) enum Beside {
    /// On the right of a place, so many points off, with its lower edge at its height.
    Above(f64),
    /// With its upper edge there.
    Below(f64),
    /// Along a line.
    Line,
}

/// The text of a column.
pub(super) fn text(column: &'static str, letters: Letters, beside: Beside) -> Element {
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
            Element::of("se:Label", [Element::text("ogc:PropertyName", column)]),
            Element::of("se:Font", font),
            Element::of("se:LabelPlacement", [placed(beside)]),
            Element::of("se:Halo", halo),
            fill(letters.colour),
        ],
    )
}

fn placed(beside: Beside) -> Element {
    let (anchor, off) = match beside {
        Beside::Above(off) => ("0", off),
        Beside::Below(off) => ("1", off),
        Beside::Line => {
            let on = Element::text("se:PerpendicularOffset", "0");
            return Element::of("se:LinePlacement", [on]);
        }
    };
    let anchor = [Element::text("se:AnchorPointX", "0"), Element::text("se:AnchorPointY", anchor)];
    let off =
        [Element::text("se:DisplacementX", pixels(off)), Element::text("se:DisplacementY", "0")];
    Element::of(
        "se:PointPlacement",
        [Element::of("se:AnchorPoint", anchor), Element::of("se:Displacement", off)],
    )
}
