//! What stands beside the wells: boundary, barriers, streams, sources, receptors.

use geo::{Coord, Geometry, LineString};

use super::base::Label;
use super::faces::Letters;
use super::font::{CAPITALS, width};
use super::lines::{inside, outside, plain};
use super::room::{Patch, Pieces, Room};
use super::scene::{Colour, Item, Paint, Run, Stroke, Text, at};
use super::shortened::fitted_apart;
use super::style;
use super::view::View;
use super::wells::OnSheet;
use crate::geom::Course;
use crate::geom::{Frame, distance};
use crate::read::Place;
use crate::report::{Results, measures};

/// The size of names.
pub(super) const SIZE: f64 = 6.2;

/// The longest name that is written whole, points.
const LONGEST_NAME: f64 = 90.0;

/// A source or receptor this near to a well stands at it, points.
const SAME_PLACE: f64 = 1.0;

/// Names of points go before those of wells, names of lines wait until wells and contours have
/// theirs.
#[derive(Debug)]
pub(super) struct Features {
    /// Lines and areas, below the contours.
    pub(super) below: Vec<Item>,
    /// Barriers, which no label interrupts.
    barriers: Vec<Item>,
    /// The streams among the lines.
    streams: Vec<Vec<Coord>>,
    /// Points, above them.
    pub(super) above: Vec<Item>,
    /// What the points and the barriers cover.
    pub(super) cover: Vec<Patch>,
    names: Vec<Name>,
    letters: Letters,
}

/// A name of something beside the wells.
#[derive(Debug)]
struct Name {
    text: String,
    /// Where it would like to stand.
    places: Vec<Coord>,
    colour: Colour,
    /// Whether it is that of a point.
    point: bool,
    /// Whether it would best be in the very place, as that of an area.
    within: bool,
}

/// Names that have found room, and how many have not.
#[derive(Debug, Default, Clone)]
pub(super) struct Named {
    pub(super) items: Vec<Item>,
    pub(super) patches: Vec<Patch>,
    pub(super) left_out: usize,
    /// How many have characters that no font has.
    pub(super) unwritten: usize,
}

/// Everything beside the wells that the frame shows.
pub(super) fn drawn(results: &Results, view: &View) -> Features {
    let features = &results.site.features;
    let ground = results.control.frame();
    let mut drawn = Features {
        below: Vec::new(),
        barriers: Vec::new(),
        streams: Vec::new(),
        above: Vec::new(),
        cover: Vec::new(),
        names: Vec::new(),
        letters: results.site.fonts.clone(),
    };
    for area in &features.boundary {
        let rings = std::iter::once(area.exterior()).chain(area.interiors());
        for ring in rings {
            let runs = on_sheet(ring, ground, view);
            drawn.below.push(Item::Path(runs, Paint::stroke(style::BOUNDARY)));
        }
    }
    for judged in results.control.judged() {
        let own = judged.points.first().and_then(|p| features.judged_points[*p].line);
        let Some(control) = own.map(|line| &features.control_lines[line]) else { continue };
        let runs = on_sheet(&control.line, ground, view);
        let name = format!("{} {} judged", control.name, measures::posted(control.head));
        drawn.name(&name, &runs, style::JUDGED);
        drawn.below.push(Item::Path(runs, Paint::stroke(style::CONTROL_LINE.rounded())));
    }
    for stream in &features.streams {
        let runs = on_sheet(&stream.line, ground, view);
        drawn.name(&stream.name, &runs, style::WATER);
        drawn.streams.extend(runs.iter().map(|run| run.points.clone()));
        drawn.below.push(Item::Path(runs, Paint::stroke(style::STREAM.rounded())));
    }
    for barrier in &features.barriers {
        let runs = on_sheet(&barrier.line, ground, view);
        drawn.name(&barrier.name, &runs, style::INK);
        drawn.cover.extend(runs.iter().flat_map(along));
        drawn.barriers.extend(barrier_items(runs));
    }
    for (places, edge, symbol) in [
        (&features.sources, style::SOURCE_EDGE, source as fn(Coord) -> Item),
        (&features.receptors, style::RECEPTOR_EDGE, receptor),
    ] {
        for place in places {
            drawn.place(place, ground, view, edge, symbol);
        }
    }
    drawn.below.retain(|item| !matches!(item, Item::Path(runs, _) if runs.is_empty()));
    drawn
}

/// Where features stand, local m, for the frame to show them.
pub(super) fn extent(results: &Results) -> Vec<Coord> {
    use geo::CoordsIter as _;
    let features = &results.site.features;
    let ground = results.control.frame();
    let places = features.sources.iter().chain(&features.receptors);
    features
        .boundary
        .iter()
        .flat_map(|area| area.exterior().0.iter().copied())
        .chain(places.flat_map(|place| place.geometry.coords_iter().collect::<Vec<_>>()))
        .map(|p| ground.to_local(p))
        .collect()
}

/// What a barrier covers.
fn along(run: &Run) -> Vec<Patch> {
    let piece = |w: &[Coord]| {
        let way = w[1] - w[0];
        let turn = libm::atan2(way.y, way.x).to_degrees();
        Patch::turned((w[0] + w[1]) / 2.0, distance(w[0], w[1]), style::BARRIER.width, turn)
    };
    run.points.windows(2).map(piece).collect()
}

fn on_sheet(line: &LineString, ground: &Frame, view: &View) -> Vec<Run> {
    let points = plain(line.0.iter().map(|p| view.to_sheet(ground.to_local(*p))));
    inside(&points, &view.frame)
}

/// A barrier: a heavy line with a pale heart.
pub(super) fn barrier_items(runs: Vec<Run>) -> [Item; 2] {
    [
        Item::Path(runs.clone(), Paint::stroke(style::BARRIER)),
        Item::Path(runs, Paint::stroke(Stroke::new(style::WHITE, 0.7).dashed([2.4, 2.4]))),
    ]
}

/// A source: a filled square on its corner, so large that the sign of a well does not cover it.
pub(super) fn source(p: Coord) -> Item {
    const HALF: f64 = 5.2;
    let points = vec![p + at(0.0, -HALF), p + at(HALF, 0.0), p + at(0.0, HALF), p + at(-HALF, 0.0)];
    Item::area(points, Paint::both(style::SOURCE, Stroke::new(style::WHITE, 0.5)))
}

/// A receptor: an open square, so large that the sign of a well does not cover it.
pub(super) fn receptor(p: Coord) -> Item {
    const HALF: f64 = 4.2;
    let points =
        vec![p + at(-HALF, -HALF), p + at(HALF, -HALF), p + at(HALF, HALF), p + at(-HALF, HALF)];
    Item::area(points, Paint::both(style::WHITE, Stroke::new(style::RECEPTOR, 1.3)))
}

impl Features {
    fn place(
        &mut self,
        place: &Place,
        ground: &Frame,
        view: &View,
        edge: Stroke,
        symbol: fn(Coord) -> Item,
    ) {
        let colour = edge.colour;
        let mut lines = Vec::new();
        let mut points = Vec::new();
        parts(&place.geometry, &mut lines, &mut points);
        let mut runs = Vec::new();
        for line in &lines {
            runs.extend(on_sheet(line, ground, view));
        }
        self.name(&place.name, &runs, colour);
        let (on_stream, beside): (Vec<Run>, Vec<Run>) =
            runs.into_iter().partition(|run| self.is_stream(run));
        let wide = if edge == style::RECEPTOR_EDGE { style::RECEPTOR_ON_STREAM } else { edge };
        for (runs, edge) in [(beside, edge), (on_stream, wide)] {
            if !runs.is_empty() {
                self.below.push(Item::Path(runs, Paint::stroke(edge)));
            }
        }
        for p in points {
            let p = view.to_sheet(ground.to_local(p));
            if view.frame.inset(4.0).holds(p) {
                self.above.push(symbol(p));
                self.cover.push(Patch::upright(p, 10.0, 10.0));
                self.names.push(Name {
                    text: place.name.clone(),
                    places: vec![p],
                    colour,
                    point: true,
                    within: false,
                });
            }
        }
    }

    /// Whether a line is one of the streams, or a part of one.
    fn is_stream(&self, run: &Run) -> bool {
        let near = |p: &Coord| {
            self.streams.iter().any(|stream| {
                let course = Course::new(stream);
                let foot = course.nearest(*p).map(|found| course.place(course.way_to(found)));
                foot.is_some_and(|foot| distance(*p, foot) < SAME_PLACE)
            })
        };
        run.points.iter().all(near)
    }

    /// Remembers the labels of the site plan, which wait until all others have their places.
    pub(super) fn plan(&mut self, labels: &[Label]) {
        self.names.extend(labels.iter().map(|label| Name {
            text: label.text.clone(),
            places: vec![label.at],
            colour: style::GREY,
            point: false,
            within: true,
        }));
    }

    /// Remembers a name and the places along its lines where it may stand.
    fn name(&mut self, name: &str, runs: &[Run], colour: Colour) {
        let longest = runs.iter().max_by(|a, b| {
            Course::new(&a.points).length().total_cmp(&Course::new(&b.points).length())
        });
        // A creek may be both a stream and a receptor.
        let known = self.names.iter().any(|known| known.text == name);
        if let Some(run) = longest.filter(|_| !known) {
            let course = Course::new(&run.points);
            let places = [0.5, 0.3, 0.7, 0.15, 0.85].map(|s| course.place(s * course.length()));
            let text = name.to_owned();
            let places = places.to_vec();
            self.names.push(Name { text, places, colour, point: false, within: false });
        }
    }

    /// The lines, for labels to cross as few of them as they can.
    pub(super) fn lines(&self) -> impl Iterator<Item = &[Coord]> {
        self.below
            .iter()
            .chain(&self.barriers)
            .flat_map(|item| match item {
                Item::Path(runs, _) => runs.as_slice(),
                _ => &[],
            })
            .map(|run| run.points.as_slice())
    }

    /// The lines, interrupted under labels but for barriers.
    pub(super) fn interrupted(&self, labels: &[Patch]) -> Vec<Item> {
        let cut = |item: &Item| match item {
            Item::Path(runs, paint) => {
                let runs = runs.iter().flat_map(|run| outside(&run.points, labels)).collect();
                Item::Path(runs, *paint)
            }
            other => other.clone(),
        };
        self.below.iter().map(cut).chain(self.barriers.iter().cloned()).collect()
    }

    /// Takes back the names of points that a well's own label says already.
    pub(super) fn said_by(&mut self, wells: &[OnSheet]) {
        let said = |name: &Name| {
            let here = |w: &&OnSheet| {
                w.id == name.text && name.places.iter().any(|p| distance(*p, w.at) < SAME_PLACE)
            };
            name.point && wells.iter().any(|w| here(&w))
        };
        self.names.retain(|name| !said(name));
    }

    /// The names of points, or those of lines and areas, that have room; they take it.
    pub(super) fn names(&self, points: bool, room: &mut Room, pieces: &Pieces) -> Named {
        let mut named = Named::default();
        let names: Vec<&Name> = self.names.iter().filter(|n| n.point == points).collect();
        let texts = names.iter().map(|n| n.text.as_str());
        let words = fitted_apart(texts, &self.letters, LONGEST_NAME, SIZE);
        for (Name { places, colour, within, .. }, words) in names.into_iter().zip(words) {
            let (length, height) = (width(&words, SIZE, true) + 2.0, SIZE * CAPITALS + 2.4);
            let mut best: Option<(f64, Patch)> = None;
            for (rank, p) in places.iter().enumerate() {
                let around = within.then_some((0.0, 0.0)).into_iter().chain(AROUND);
                for (turn, (east, south)) in around.enumerate() {
                    let off = at(east * (length / 2.0 + 6.0), south * (height / 2.0 + 6.0));
                    let patch = Patch::upright(*p + off, length, height);
                    if !room.is_free(&patch) {
                        continue;
                    }
                    let crossed = pieces.across(&patch, None) as f64;
                    let cost = 0.5 * rank as f64 + 0.2 * turn as f64 + crossed;
                    if best.is_none_or(|b| cost < b.0) {
                        best = Some((cost, patch));
                    }
                }
            }
            named.unwritten += usize::from(words.is_unwritten());
            let Some((_, patch)) = best else {
                named.left_out += 1;
                continue;
            };
            room.take(patch);
            let text = Text::new(
                patch.middle + at(0.0, SIZE * CAPITALS / 2.0),
                words,
                SIZE,
                true,
                *colour,
            );
            named.items.push(Item::Text(text.centred()));
            named.patches.push(patch);
        }
        named
    }
}

/// Directions about a place, the best first.
const AROUND: [(f64, f64); 8] = [
    (1.0, 0.0),
    (0.0, -1.0),
    (0.0, 1.0),
    (-1.0, 0.0),
    (0.8, -1.0),
    (0.8, 1.0),
    (-0.8, -1.0),
    (-0.8, 1.0),
];

/// The lines and the points of a geometry; an area counts as its outline.
fn parts(geometry: &Geometry, lines: &mut Vec<LineString>, points: &mut Vec<Coord>) {
    match geometry {
        Geometry::Point(p) => points.push(p.0),
        Geometry::MultiPoint(many) => points.extend(many.0.iter().map(|p| p.0)),
        Geometry::Line(line) => lines.push(LineString(vec![line.start, line.end])),
        Geometry::LineString(line) => lines.push(line.clone()),
        Geometry::MultiLineString(many) => lines.extend(many.0.iter().cloned()),
        Geometry::Polygon(area) => {
            lines.push(area.exterior().clone());
            lines.extend(area.interiors().iter().cloned());
        }
        Geometry::MultiPolygon(many) => {
            many.0.iter().for_each(|area| parts(&area.clone().into(), lines, points));
        }
        Geometry::Rect(rect) => lines.push(rect.to_polygon().exterior().clone()),
        Geometry::Triangle(t) => lines.push(t.to_polygon().exterior().clone()),
        Geometry::GeometryCollection(all) => {
            all.0.iter().for_each(|one| parts(one, lines, points));
        }
    }
}
