//! The site plan below the map: quiet areas and lines, clipped to the frame.

use geo::{BooleanOps, Coord, Geometry, InteriorPoint, LineString, Orient, Polygon};
use rayon::prelude::*;

use super::lines::{inside, plain};
use super::panel::Block;
use super::room::Rect;
use super::scene::{Colour, Item, Paint, Picture, Run, Stroke, at};
use super::style;
use super::view::View;
use crate::geom::{Course, Frame};
use crate::read::{BaseFeature, BaseStyle};
use crate::report::Results;

/// Half the side of the sign of a point, points.
const HALF_POINT: f64 = 1.2;

/// How a style is drawn: what is within an area, and its edge or the line.
const fn paints(style: BaseStyle) -> (Option<Colour>, Option<Stroke>) {
    match style {
        BaseStyle::Picture => (Some(style::PICTURED), None),
        BaseStyle::Pavement => (Some(style::PAVED), None),
        BaseStyle::Water => (Some(style::POND), Some(Stroke::new(style::WATER, 0.35))),
        BaseStyle::Building => (Some(style::BUILT), Some(Stroke::new(style::GREY, 0.45))),
        BaseStyle::Tank => (Some(style::WHITE), Some(Stroke::new(style::GREY, 0.8))),
        BaseStyle::Road => (None, Some(Stroke::new(style::PAVED, 3.2))),
        BaseStyle::Rail => (None, Some(Stroke::new(style::GREY, 1.1).dashed([2.0, 1.6]))),
        BaseStyle::PropertyLine => (None, Some(Stroke::new(style::GREY, 0.7).dashed([13.0, 3.0]))),
        BaseStyle::Fence => (None, Some(Stroke::new(style::GREY, 0.45).dashed([3.2, 1.4]))),
        BaseStyle::Utility => (None, Some(Stroke::new(style::GREY, 0.45).dashed([7.0, 1.6]))),
        BaseStyle::Outline => (None, Some(Stroke::new(style::PALE, 0.6))),
    }
}

/// A label of the plan and where it would like to be.
#[derive(Debug)]
pub(super) struct Label {
    pub(super) text: String,
    pub(super) at: Coord,
}

/// What the frame shows of the plan.
#[derive(Debug, Default)]
pub(super) struct Base {
    pub(super) picture: Option<Picture>,
    pub(super) items: Vec<Item>,
    pub(super) labels: Vec<Label>,
    /// The names of its layers with their styles, in the order of the drawing.
    pub(super) layers: Vec<(BaseStyle, String)>,
}

/// Draws the plan: by style, areas before lines, then in the order of the files.
pub(super) fn drawn(results: &Results, view: &View) -> Base {
    let all = &results.site.features.base;
    let ground = results.control.frame();
    let mut parts: Vec<(Vec<Item>, Option<Label>)> =
        all.par_iter().map(|feature| part(feature, ground, view)).collect();
    let mut order: Vec<usize> = (0..all.len()).filter(|i| !parts[*i].0.is_empty()).collect();
    order.sort_by_key(|i| (all[*i].style, *i));
    let layers = each_once(order.iter().map(|i| &all[*i]));
    let items = order.into_iter().flat_map(|i| std::mem::take(&mut parts[i].0)).collect();
    let labels = parts.into_iter().filter_map(|(_, label)| label).collect();
    Base { picture: None, items, labels, layers }
}

impl Base {
    /// The plan above a picture, which has a name.
    pub(super) fn above(mut self, picture: Option<(Picture, String)>) -> Self {
        if let Some((picture, name)) = picture {
            self.layers.insert(0, (BaseStyle::Picture, name));
            self.picture = Some(picture);
        }
        self
    }
}

/// The layers of the plan, of which the frame shows some.
pub(super) fn layers(results: &Results) -> Vec<(BaseStyle, String)> {
    let features = &results.site.features;
    let picture = features.picture.iter().map(|p| (BaseStyle::Picture, p.words().to_owned()));
    picture.chain(each_once(features.base.iter())).collect()
}

/// The layers of some features with their styles, each once.
fn each_once<'f>(features: impl Iterator<Item = &'f BaseFeature>) -> Vec<(BaseStyle, String)> {
    let mut layers: Vec<(BaseStyle, String)> = Vec::new();
    for BaseFeature { style, layer, .. } in features {
        if !layers.iter().any(|(s, l)| (s, l) == (style, layer)) {
            layers.push((*style, layer.clone()));
        }
    }
    layers
}

/// What the frame shows of one part, and its label.
fn part(feature: &BaseFeature, ground: &Frame, view: &View) -> (Vec<Item>, Option<Label>) {
    let (fill, edge) = paints(feature.style);
    let to_sheet = |p: &Coord| view.to_sheet(ground.to_local(*p));
    let label = |at: Option<Coord>| {
        Some(Label { text: feature.label.clone()?, at: at.filter(|p| view.frame.holds(*p))? })
    };
    let line = |course: &LineString| -> Vec<Run> {
        inside(&plain(course.0.iter().map(to_sheet)), &view.frame)
    };
    let mut items = Vec::new();
    match &feature.geometry {
        Geometry::Point(p) => {
            let p = to_sheet(&p.0);
            if !view.frame.inset(HALF_POINT).holds(p) {
                return (items, None);
            }
            let colour = edge.map_or(style::GREY, |edge| edge.colour);
            items.push(Item::Circle(p, HALF_POINT, Paint::fill(colour)));
            (items, label(Some(p)))
        }
        Geometry::LineString(course) => {
            let runs = line(course);
            let longest = runs.iter().map(|run| Course::new(&run.points));
            let longest = longest.max_by(|a, b| a.length().total_cmp(&b.length()));
            let middle = longest.map(|course| course.place(course.length() / 2.0));
            let stroke = edge.or_else(|| fill.map(|colour| Stroke::new(colour, 1.0)));
            if let Some(stroke) = stroke.filter(|_| !runs.is_empty()) {
                items.push(Item::Path(runs, Paint::stroke(stroke)));
            }
            (items, label(middle))
        }
        Geometry::Polygon(area) => {
            let rings = || std::iter::once(area.exterior()).chain(area.interiors());
            let on_sheet: Vec<LineString> = rings()
                .map(|ring| LineString(plain(ring.0.iter().map(to_sheet))))
                .filter(|ring| ring.0.len() > 3)
                .collect();
            let Some((outer, holes)) = on_sheet.split_first() else { return (items, None) };
            let whole = Polygon::new(outer.clone(), holes.to_vec());
            let shown = within(&whole, &view.frame);
            if let Some(colour) = fill {
                items.extend(shown.iter().map(|area| filled(area, colour)));
            }
            let edges: Vec<Run> = rings().flat_map(line).collect();
            if let Some(stroke) = edge.filter(|_| !edges.is_empty()) {
                items.push(Item::Path(edges, Paint::stroke(stroke)));
            }
            let place = shown.first().and_then(InteriorPoint::interior_point).map(|p| p.0);
            (items, label(place))
        }
        _ => (items, None),
    }
}

/// The parts of an area within the frame.
fn within(area: &Polygon, frame: &Rect) -> Vec<Polygon> {
    let mut corners = frame.corners();
    corners.extend(corners.first().copied());
    area.intersection(&Polygon::new(LineString(corners), Vec::new())).0
}

/// An area filled: its holes go the other way around.
fn filled(area: &Polygon, colour: Colour) -> Item {
    let area = area.orient(geo::orient::Direction::Default);
    let rings = std::iter::once(area.exterior()).chain(area.interiors());
    let runs = rings.map(|ring| Run { points: ring.0.clone(), closed: true }).collect();
    Item::Path(runs, Paint::fill(colour))
}

/// A row of the legend for each layer of the plan.
pub(super) fn legend(block: &mut Block, layers: &[(BaseStyle, String)]) {
    const HALF: (f64, f64) = (11.5, 3.0);
    for (style, name) in layers {
        let (fill, edge) = paints(*style);
        let (x, y) = HALF;
        let sample = if fill.is_some() {
            let corners = vec![at(-x, -y), at(x, -y), at(x, y), at(-x, y)];
            Item::area(corners, Paint { fill, stroke: edge })
        } else {
            let stroke = edge.unwrap_or(style::RULE);
            Item::line(vec![at(-x, 0.0), at(x, 0.0)], stroke)
        };
        block.sign(vec![sample], name);
    }
}
