//! What is drawn of which features of a layer.

use super::symbols::{Beside, Letters, Symbol, lines, sign, text};
use crate::draw::features::{SIZE, barrier_items, receptor, source};
use crate::draw::scene::{Colour, Item, Paint, Stroke, at};
use crate::draw::style;
use crate::draw::wells::{Posting, letters, symbol};
use crate::draw::{arrows, contours};
use crate::report::{ContourSign, FlowArrow, Results, WellSign};

/// From the edge of a sign to its text, points.
const ASIDE: f64 = 2.0;

/// The radius of a point that is no well, points.
const DOT: f64 = 1.2;

/// A rule: some features and how they are drawn, bottom first.
#[derive(Debug)]
pub(super) struct Rule {
    /// What they are, for a legend.
    pub(super) title: &'static str,
    /// The column that says which they are, and its values; all features where there is none.
    pub(super) only: Option<(&'static str, Vec<&'static str>)>,
    pub(super) symbols: Vec<Symbol>,
}

impl Rule {
    fn all(title: &'static str, symbols: Vec<Symbol>) -> Vec<Self> {
        vec![Self { title, only: None, symbols }]
    }

    fn of(
        title: &'static str,
        (column, values): (&'static str, &[&'static str]),
        symbols: Vec<Symbol>,
    ) -> Self {
        Self { title, only: Some((column, values.to_vec())), symbols }
    }
}

/// The rules of a layer; `None` for one that the sheet has no look for.
pub(super) fn rules(results: &Results, layer: &str) -> Option<Vec<Rule>> {
    // Only layers of wells need it, and the wells of a map are many.
    let posting = || Posting::of(results.posted().len());
    let named = |colour: Colour, beside: Beside| text("name", names(colour), beside);
    let with_name = |item: Item, colour: Colour| {
        let mut drawn = sign(&[item]);
        drawn.push(named(colour, Beside::Place(2.0 * SIZE)));
        drawn
    };
    let edge = |stroke: Stroke| {
        vec![Symbol::Area(Paint::stroke(stroke)), named(stroke.colour, Beside::Area)]
    };
    let course = |stroke: Stroke| vec![Symbol::Line(stroke), named(stroke.colour, Beside::Line)];
    Some(match layer {
        "wells" => wells(posting()),
        "contours" => lines_of_equal_head(),
        "triangles" => {
            Rule::all("triangle of wells", vec![Symbol::Area(Paint::stroke(style::RULE))])
        }
        "flow" => {
            let dot = Item::Circle(at(0.0, 0.0), DOT, Paint::fill(style::FLOW));
            Rule::all("middle of a triangle", sign(&[dot]))
        }
        "arrows" => flow(),
        "paths" => paths(),
        "reaches" => reaches(),
        "boundary" => Rule::all("boundary", vec![Symbol::Area(Paint::stroke(style::BOUNDARY))]),
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
        "judged_points" => {
            let radius = posting().radius;
            let mut drawn = sign(&symbol(WellSign::Judged, at(0.0, 0.0), radius));
            drawn.push(named(style::JUDGED, Beside::Place(2.0 * radius + ASIDE)));
            Rule::all("judged head", drawn)
        }
        "control_lines" => {
            let mut drawn = vec![Symbol::Line(style::CONTROL_LINE.rounded())];
            drawn.push(text("name", names(style::JUDGED), Beside::Line));
            Rule::all("control line", drawn)
        }
        "pumped_wells" => {
            let radius = posting().radius;
            let mut drawn = sign(&symbol(WellSign::Pumped, at(0.0, 0.0), radius));
            drawn.push(named(style::INK, Beside::Place(2.0 * radius + ASIDE)));
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

/// Wells and gauges by their sign on the sheet; those used for contouring are drawn last, on top.
fn wells(posting: Posting) -> Vec<Rule> {
    let rule = |(sign, title): (WellSign, &'static str)| {
        Rule::of(title, ("sign", &[sign.name()]), well(sign, posting))
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

/// A sign with what is posted at it.
fn well(kind: WellSign, posting: Posting) -> Vec<Symbol> {
    let mut drawn = sign(&symbol(kind, at(0.0, 0.0), posting.radius));
    let Some(size) = posting.size else { return drawn };
    let colour = letters(kind);
    let letters = Letters { size, bold: false, colour };
    drawn.push(text("label", letters, Beside::Place(posting.radius + ASIDE)));
    drawn
}

fn lines_of_equal_head() -> Vec<Rule> {
    let rule = |contour: ContourSign| {
        let set = Letters { size: style::LABEL, bold: contour.index, colour: style::CONTOUR };
        let drawn = vec![Symbol::Line(contours::stroke(contour)), text("level", set, Beside::Line)];
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
    let arrow = |title, sign, known| {
        Rule::of(title, ("sign", &[sign]), vec![Symbol::Area(arrows::paint(known))])
    };
    vec![
        arrow("flow, direction not known", FlowArrow::NOT_KNOWN, false),
        arrow("flow, direction known", FlowArrow::KNOWN, true),
    ]
}

fn paths() -> Vec<Rule> {
    let path = |stroke: Stroke| vec![Symbol::Line(style::PATH_UNDER), Symbol::Line(stroke)];
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
        Rule::of(title, ("water_flows", &[value]), vec![Symbol::Line(stroke)])
    };
    vec![
        rule("water flows toward the line", "toward", broad(style::WATER)),
        rule("water flows away from the line", "away", broad(style::FLOW)),
        rule("not resolved", "not resolved", broad(style::PALE).dashed(style::INFERRED)),
    ]
}
