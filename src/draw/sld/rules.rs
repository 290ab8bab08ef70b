//! What is drawn of which features of a layer.

use super::symbols::{Beside, Letters, area, line, lines, sign, text};
use crate::draw::features::{SIZE, barrier_items, receptor, source};
use crate::draw::scene::{Colour, Item, Paint, Stroke, at};
use crate::draw::style;
use crate::draw::wells::{Posting, letters, symbol};
use crate::draw::{arrows, contours};
use crate::report::{ContourSign, FlowArrow, Results, WellSign};
use crate::units::LengthUnit;
use crate::xml::Element;

/// From the edge of a sign to its text, points.
const ASIDE: f64 = 2.0;

/// The radius of a point that is no well, points.
const DOT: f64 = 1.2;

/// A rule: some features and how they are drawn, bottom first.
#[derive(Debug)]
pub(super) struct Rule {
    /// What they are, for a legend.
    title: &'static str,
    /// The column that says which they are, and its values; all features where there is none.
    only: Option<(&'static str, Vec<&'static str>)>,
    symbolizers: Vec<Element>,
}

impl Rule {
    fn all(title: &'static str, symbolizers: Vec<Element>) -> Vec<Self> {
        vec![Self { title, only: None, symbolizers }]
    }

    fn of(
        title: &'static str,
        (column, values): (&'static str, &[&'static str]),
        symbolizers: Vec<Element>,
    ) -> Self {
        Self { title, only: Some((column, values.to_vec())), symbolizers }
    }

    /// The rule as the standard writes it.
    pub(super) fn element(self) -> Element {
        let title = Element::of("se:Description", [Element::text("se:Title", self.title)]);
        let mut parts = vec![Element::text("se:Name", self.title), title];
        parts.extend(self.only.map(|(column, values)| filter(column, &values)));
        parts.extend(self.symbolizers);
        Element::of("se:Rule", parts)
    }
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

/// The rules of a layer; `None` for one that the sheet has no look for.
pub(super) fn rules(results: &Results, layer: &str) -> Option<Vec<Rule>> {
    let posting = Posting::of(results.posted().len());
    let head = match results.control.elevation_unit() {
        LengthUnit::Metre => "head_m",
        LengthUnit::Foot | LengthUnit::UsSurveyFoot => "head_ft",
    };
    let named = |colour: Colour, beside: Beside| text("name", names(colour), beside);
    let with_name = |item: Item, colour: Colour| {
        let mut drawn = sign(&[item]);
        drawn.push(named(colour, Beside::Above(2.0 * SIZE)));
        drawn
    };
    let edge = |stroke: Stroke| {
        vec![area(Paint::stroke(stroke)), named(stroke.colour, Beside::Above(0.0))]
    };
    let course = |stroke: Stroke| vec![line(stroke), named(stroke.colour, Beside::Line)];
    Some(match layer {
        "wells" => wells(posting, head),
        "contours" => lines_of_equal_head(),
        "triangles" => Rule::all("triangle of wells", vec![area(Paint::stroke(style::RULE))]),
        "flow" => {
            let dot = Item::Circle(at(0.0, 0.0), DOT, Paint::fill(style::FLOW));
            Rule::all("middle of a triangle", sign(&[dot]))
        }
        "arrows" => flow(),
        "paths" => paths(),
        "reaches" => reaches(),
        "boundary" => Rule::all("boundary", vec![area(Paint::stroke(style::BOUNDARY))]),
        "barriers" => {
            let mut drawn = lines(&barrier_items(Vec::new()));
            drawn.push(named(style::INK, Beside::Line));
            Rule::all("barrier", drawn)
        }
        "streams" => Rule::all("stream", course(style::STREAM.rounded())),
        "stream_points" => {
            let dot = Item::Circle(at(0.0, 0.0), DOT, Paint::fill(style::WATER));
            Rule::all("stage used as a head", sign(&[dot]))
        }
        "judged_points" => Rule::all("judged head", well(WellSign::Judged, posting, head)),
        "control_lines" => {
            let mut drawn = vec![line(style::CONTROL_LINE.rounded())];
            drawn.push(text("name", names(style::JUDGED), Beside::Line));
            Rule::all("control line", drawn)
        }
        "pumped_wells" => {
            let mut drawn = sign(&symbol(WellSign::Pumped, at(0.0, 0.0), posting.radius));
            drawn.push(named(style::INK, Beside::Above(2.0 * posting.radius + ASIDE)));
            Rule::all("pumped well", drawn)
        }
        "source_points" => Rule::all("source", with_name(source(at(0.0, 0.0)), style::SOURCE)),
        "source_lines" => Rule::all("source", course(style::SOURCE_EDGE)),
        "source_areas" => Rule::all("source", edge(style::SOURCE_EDGE)),
        "receptor_points" => {
            Rule::all("receptor", with_name(receptor(at(0.0, 0.0)), style::RECEPTOR))
        }
        "receptor_lines" => Rule::all("receptor", course(style::RECEPTOR_EDGE)),
        "receptor_areas" => Rule::all("receptor", edge(style::RECEPTOR_EDGE)),
        _ => return None,
    })
}

const fn names(colour: Colour) -> Letters {
    Letters { size: SIZE, bold: true, colour }
}

/// Wells and gauges by what they are on the sheet; those that carry the map come last, on top.
fn wells(posting: Posting, head: &'static str) -> Vec<Rule> {
    let rule = |(sign, title): (WellSign, &'static str)| {
        Rule::of(title, ("sign", &[sign.name()]), well(sign, posting, head))
    };
    [
        (WellSign::NotUsed, "well not used"),
        (WellSign::LeftOut, "well left out by decision"),
        (WellSign::Pumped, "pumped well"),
        (WellSign::Well, "well"),
        (WellSign::Gauge, "gauge"),
    ]
    .map(rule)
    .into()
}

/// A sign with its name, and with the head where it carries the map.
fn well(kind: WellSign, posting: Posting, head: &'static str) -> Vec<Element> {
    let mut drawn = sign(&symbol(kind, at(0.0, 0.0), posting.radius));
    let Some(size) = posting.size else { return drawn };
    let colour = letters(kind);
    let off = 2.0 * posting.radius + ASIDE;
    drawn.push(text("id", Letters { size, bold: true, colour }, Beside::Above(off)));
    if matches!(kind, WellSign::Well | WellSign::Gauge | WellSign::Pumped | WellSign::Judged) {
        drawn.push(text(head, Letters { size, bold: false, colour }, Beside::Below(off)));
    }
    drawn
}

fn lines_of_equal_head() -> Vec<Rule> {
    let rule = |contour: ContourSign| {
        let set = Letters { size: style::LABEL, bold: contour.index, colour: style::CONTOUR };
        let drawn = vec![line(contours::stroke(contour)), text("level", set, Beside::Line)];
        let title = match (contour.index, contour.inferred) {
            (true, false) => "index contour",
            (true, true) => "index contour, inferred",
            (false, false) => "contour",
            (false, true) => "contour, inferred",
        };
        Rule::of(title, ("sign", &[contour.name()]), drawn)
    };
    ContourSign::ALL.map(rule).into()
}

fn flow() -> Vec<Rule> {
    let arrow =
        |title, sign, known| Rule::of(title, ("sign", &[sign]), vec![area(arrows::paint(known))]);
    vec![
        arrow("flow, direction not known", FlowArrow::NOT_KNOWN, false),
        arrow("flow, direction known", FlowArrow::KNOWN, true),
    ]
}

fn paths() -> Vec<Rule> {
    let path = |stroke: Stroke| vec![line(style::PATH_UNDER), line(stroke)];
    vec![
        Rule::of(
            "path followed back",
            ("role", &["receptor", "pumped well"]),
            path(style::PATH_BACK),
        ),
        Rule::of("path from a source", ("role", &["source"]), path(style::PATH)),
    ]
}

/// The sheet has none of these lines; its words say what they do.
fn reaches() -> Vec<Rule> {
    let broad = |colour: Colour| Stroke::new(colour, style::PATH_UNDER.width);
    let rule = |title, value, stroke: Stroke| {
        Rule::of(title, ("water_flows", &[value]), vec![line(stroke)])
    };
    vec![
        rule("water flows toward the line", "toward", broad(style::WATER)),
        rule("water flows away from the line", "away", broad(style::FLOW)),
        rule("not resolved", "not resolved", broad(style::PALE).dashed(style::INFERRED)),
    ]
}
