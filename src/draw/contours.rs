//! Lines of equal head on the sheet.

use geo::Coord;
use rayon::prelude::*;
use rstar::{AABB, RTree};

use super::lines::{inside, outside, plain};
use super::room::{Patch, Rect};
use super::scene::{Item, Paint, Run, Stroke};
use super::style;
use super::view::View;
use crate::contour::is_index;
use crate::geom::Course;
use crate::report::{ContourSign, Results};

/// A line shorter than this is a speck, points.
const SPECK: f64 = 2.0;

/// A contour on the sheet.
#[derive(Debug)]
pub(super) struct Drawn {
    /// The level, elevation unit.
    pub(super) level: f64,
    /// Whether it is an index contour.
    pub(super) index: bool,
    /// The whole line; higher heads are on the left of its direction on the ground.
    pub(super) points: Vec<Coord>,
    pub(super) closed: bool,
    /// Whether it closes around lower heads.
    pub(super) depression: bool,
    /// Its parts and whether each is inferred.
    stretches: Vec<(Vec<Coord>, bool)>,
    /// Its length, points.
    pub(super) length: f64,
}

impl Drawn {
    /// Whether any part of it is inferred.
    pub(super) fn has_inferred(&self) -> bool {
        self.stretches.iter().any(|s| s.1)
    }

    /// Its parts within a frame that are no specks, each a line of its own for labels; the first has all stretches.
    fn in_frame(self, frame: &Rect) -> Vec<Self> {
        if self.points.iter().all(|p| frame.holds(*p)) {
            let is_line = self.points.len() > 1 && self.length >= SPECK;
            return is_line.then_some(self).into_iter().collect();
        }
        let clipped = |(points, inferred): &(Vec<Coord>, bool)| {
            let inferred = *inferred;
            inside(points, frame).into_iter().map(move |run| (run.points, inferred))
        };
        let mut stretches: Vec<(Vec<Coord>, bool)> =
            self.stretches.iter().flat_map(clipped).collect();
        let part = |run: Run| Self {
            length: Course::new(&run.points).length(),
            points: run.points,
            closed: false,
            stretches: std::mem::take(&mut stretches),
            ..self
        };
        let runs = inside(&self.points, frame).into_iter();
        runs.filter(|run| Course::new(&run.points).length() >= SPECK).map(part).collect()
    }
}

/// The contours as the sheet needs them, specks left out, in the order of the levels.
pub(super) fn drawn(results: &Results, view: &View) -> Vec<Drawn> {
    let frame = results.control.frame();
    let to_sheet = |p: &Coord| view.to_sheet(frame.to_local(*p));
    let base = results.site.settings.base_level;
    let lines = &results.contours.lines;
    let supports = &results.uncertainty.contours;
    let as_drawn = results.drawn_contours();
    lines
        .par_iter()
        .enumerate()
        .map(|(i, line)| {
            let points = plain(as_drawn[i].points().iter().map(to_sheet));
            let stretches: Vec<(Vec<Coord>, bool)> = match supports.get(i) {
                Some(support) => support
                    .stretches
                    .iter()
                    .map(|s| {
                        let vertices = s.vertices(line.points.len());
                        (plain(as_drawn[i].along(vertices).iter().map(to_sheet)), s.inferred)
                    })
                    .collect(),
                None => vec![(points.clone(), true)],
            };
            let whole = Drawn {
                level: line.level,
                index: is_index(results.contours.steps(line.level, base)),
                depression: line.is_depression(),
                closed: line.is_closed(),
                length: Course::new(&points).length(),
                points,
                stretches,
            };
            whole.in_frame(&view.frame)
        })
        .flatten()
        .collect()
}

/// Heavy or light, dashed or whole.
pub(super) const fn stroke(sign: ContourSign) -> Stroke {
    let stroke = if sign.index { style::INDEX_LINE } else { style::LIGHT_LINE };
    if sign.inferred { stroke.dashed(style::INFERRED) } else { stroke }
}

/// The lines, interrupted under labels, with ticks on the low side of depressions.
pub(super) fn items(contours: &[Drawn], labels: &[Patch]) -> Vec<Item> {
    let labels = RTree::bulk_load(labels.to_vec());
    let near = |points: &[Coord]| -> Vec<Patch> {
        let places: Vec<[f64; 2]> = points.iter().map(|p| [p.x, p.y]).collect();
        let about = AABB::from_points(places.iter());
        labels.locate_in_envelope_intersecting(&about).copied().collect()
    };
    contours
        .par_iter()
        .map(|contour| {
            let mut items = Vec::new();
            for inferred in [false, true] {
                let stretches = contour.stretches.iter().filter(|s| s.1 == inferred);
                let runs: Vec<Run> =
                    stretches.flat_map(|(points, _)| outside(points, &near(points))).collect();
                let stroke = stroke(ContourSign { index: contour.index, inferred });
                if !runs.is_empty() {
                    items.push(Item::Path(runs, Paint::stroke(stroke)));
                }
            }
            if contour.depression {
                let ticks = ticks(contour, &near(&contour.points));
                if !ticks.is_empty() {
                    items.push(Item::Path(ticks, Paint::stroke(style::LIGHT_LINE)));
                }
            }
            items
        })
        .collect::<Vec<_>>()
        .into_iter()
        .flatten()
        .collect()
}

/// Short lines toward lower heads, on the right of the line's direction.
fn ticks(contour: &Drawn, patches: &[Patch]) -> Vec<Run> {
    let mut runs = Vec::new();
    for (foot, along) in Course::new(&contour.points).at_steps(style::TICK_STEP, f64::INFINITY) {
        // A quarter turn to the right of north-up directions.
        let end = foot + Coord { x: -along.y, y: along.x } * style::TICK;
        if patches.iter().all(|p| p.cut(foot, end).is_none()) {
            runs.push(Run { points: vec![foot, end], closed: false });
        }
    }
    runs
}
