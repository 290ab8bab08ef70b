//! Arrows of flow: along the steepest fall, as long as the gradient says, thinned out.

use geo::Coord;
use rstar::RTree;

use super::room::{Patch, Pieces, Room};
use super::scene::{Item, Paint, Run, at};
use super::style;
use super::view::View;
use crate::geom::distance;
use crate::report::{ArrowScale, FlowArrow, Followed, Results};

/// Length of an arrow of the gradient that the legend shows, points.
pub(super) const REFERENCE: f64 = 22.0;

/// The shortest arrow, points.
pub(super) const SHORTEST: f64 = REFERENCE * ArrowScale::SHORTEST;
/// The longest arrow, points.
pub(super) const LONGEST: f64 = REFERENCE * ArrowScale::LONGEST;

/// Arrows that go before the wells' names on crowded maps are so many times as far apart as others.
const FAR_APART: f64 = 2.0;

/// More arrows than this are not drawn.
const MOST: usize = 160;

/// The slope at an arrow is taken this far to each side, points, or over a cell where that is more.
const REACH: f64 = 3.0;

/// Half the width of an arrow's head, points.
const HALF_HEAD: f64 = 2.5;

/// An arrow that may be drawn.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    middle: Coord,
    /// Down the slope, on the sheet, of length one.
    way: Coord,
    length: f64,
    known: bool,
}

impl Candidate {
    fn new(flow: &FlowArrow, scale: ArrowScale, view: &View) -> Self {
        Self {
            middle: view.to_sheet(flow.at),
            way: view.direction(at(-flow.slope.east, -flow.slope.north)) / flow.gradient,
            length: REFERENCE * scale.length(flow.gradient),
            known: flow.known,
        }
    }

    const fn arrow(&self) -> Arrow {
        let Self { middle, way, length, known } = *self;
        Arrow { middle, way, length, known }
    }
}

/// An arrow on the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Arrow {
    middle: Coord,
    way: Coord,
    length: f64,
    /// Whether the direction is known.
    pub(super) known: bool,
}

impl Arrow {
    /// An arrow of the legend.
    pub(super) const fn level(middle: Coord, length: f64, known: bool) -> Self {
        Self { middle, way: at(1.0, 0.0), length, known }
    }

    /// Its tail and its tip.
    fn ends(&self) -> [Coord; 2] {
        let half = self.way * (self.length / 2.0);
        [self.middle - half, self.middle + half]
    }

    /// A slender blade that widens toward its head.
    fn outline(&self) -> [Coord; 7] {
        let head = (0.45 * self.length).min(7.0);
        let half = HALF_HEAD * (head / 7.0).max(0.75);
        let neck = self.length - head;
        let across = at(-self.way.y, self.way.x);
        let [tail, _] = self.ends();
        let place = |along: f64, aside: f64| tail + self.way * along + across * aside;
        [
            place(0.0, 0.25),
            place(neck, 0.8),
            place(neck - 0.8, half),
            place(self.length, 0.0),
            place(neck - 0.8, -half),
            place(neck, -0.8),
            place(0.0, -0.25),
        ]
    }

    /// The same in triangles: both halves of the shaft, and the head.
    fn parts(&self) -> [[Coord; 3]; 3] {
        let [left, left_neck, left_barb, tip, right_barb, right_neck, right] = self.outline();
        [[left, right, right_neck], [left, right_neck, left_neck], [left_barb, right_barb, tip]]
    }

    fn patch(&self) -> Patch {
        let angle = libm::atan2(self.way.y, self.way.x).to_degrees();
        Patch::turned(self.middle, self.length + 2.0, 2.0 * HALF_HEAD + 1.5, angle)
    }
}

/// The arrows of a sheet and the gradient of one that is [`REFERENCE`] long.
#[derive(Debug, Clone)]
pub(super) struct Arrows {
    candidates: Vec<Candidate>,
    pub(super) drawn: Vec<Arrow>,
    pub(super) reference: Option<f64>,
    /// The least distance of their middles, points.
    apart: f64,
}

impl Arrows {
    /// What may be drawn on a sheet: at each triangle that deserves trust, the largest first, or
    /// on a lattice of the sheet where arrows follow the surface.
    pub(super) fn candidates(results: &Results, view: &View) -> Self {
        // Values of several rounds have no flow.
        let apart = results.site.settings.sheet.arrow_spacing_mm / 25.4 * 72.0 / view.enlarged;
        let flows = match results.arrows_follow() {
            _ if results.across().is_some() => Vec::new(),
            Followed::Planes | Followed::Triangles => of_triangles(results),
            Followed::Surface => of_surface(results, view, apart),
        };
        let scale = ArrowScale::of(&flows);
        let candidate = |flow| Some(Candidate::new(flow, scale?, view));
        let candidates = flows.iter().filter_map(candidate).collect();
        Self { candidates, drawn: Vec::new(), reference: scale.map(|s| s.gradient), apart }
    }

    /// Leaves out what would cross one of these paths, a barrier, the boundary or a stream, and what
    /// would begin or end where no head is known.
    pub(super) fn keep_clear(&mut self, paths: &Pieces, results: &Results, view: &View) {
        let lines = results.control.beside().lines();
        let known = |p: Coord| {
            let on_ground = results.control.frame().to_crs(view.to_ground(p));
            results.surface.heads.nearest(on_ground).is_some()
        };
        self.candidates.retain(|c| {
            let arrow = c.arrow();
            let covers = |part: [Coord; 3]| lines.run_into(part.map(|p| view.to_ground(p)));
            paths.across(&arrow.patch(), None) == 0
                && arrow.ends().into_iter().all(known)
                && !arrow.parts().into_iter().any(covers)
        });
    }

    /// Adds arrows far from each other before the names of wells, where there is room; they take it.
    pub(super) fn place_few(&mut self, room: &mut Room) {
        self.place_apart(room, FAR_APART * self.apart);
    }

    /// Adds arrows where there is room and no other is too near.
    pub(super) fn place(&mut self, room: &mut Room) {
        self.place_apart(room, self.apart);
    }

    fn place_apart(&mut self, room: &mut Room, apart: f64) {
        let middles = self.drawn.iter().map(|a| [a.middle.x, a.middle.y]);
        let mut taken: RTree<[f64; 2]> = RTree::bulk_load(middles.collect());
        for c in &self.candidates {
            if self.drawn.len() == MOST {
                break;
            }
            let near = taken.nearest_neighbor(&[c.middle.x, c.middle.y]);
            if near.is_some_and(|p| distance(at(p[0], p[1]), c.middle) < apart) {
                continue;
            }
            let arrow = c.arrow();
            let patch = arrow.patch();
            if room.is_free(&patch) {
                room.take(patch);
                taken.insert([c.middle.x, c.middle.y]);
                self.drawn.push(arrow);
            }
        }
    }
}

/// One for each triangle that deserves trust, the largest first.
fn of_triangles(results: &Results) -> Vec<FlowArrow> {
    let area = |a: &FlowArrow| a.triangle.map_or(0.0, |t| results.mesh.triangles()[t].area_m2);
    let mut flows = results.triangle_arrows();
    flows.sort_by(|a, b| area(b).total_cmp(&area(a)));
    flows
}

/// On a lattice of the sheet, from the surface's own slope: its planes are not the triangles'.
fn of_surface(results: &Results, view: &View, apart: f64) -> Vec<FlowArrow> {
    let triangles = results.mesh.index();
    let mut flows = Vec::new();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a sheet is a few thousand points wide"
    )]
    let [rows, columns] =
        [view.frame.height(), view.frame.width()].map(|side| (side / apart) as usize);
    for row in 0..rows {
        for column in 0..columns {
            // Every second row is shifted: arrows then stand on no visible columns.
            let shift = if row % 2 == 0 { 0.25 } else { 0.75 };
            let middle = at(
                view.frame.left + (column as f64 + shift) * apart,
                view.frame.top + (row as f64 + 0.5) * apart,
            );
            let reach = REACH / view.points_per_m();
            flows.extend(results.surface_arrow(&triangles, view.to_ground(middle), reach));
        }
    }
    flows
}

/// Filled or hollow.
pub(super) const fn paint(known: bool) -> Paint {
    Paint::both(if known { style::FLOW } else { style::WHITE }, style::ARROW)
}

/// The arrows: filled where the direction is known, hollow where it is not.
pub(super) fn items(arrows: &[Arrow]) -> Vec<Item> {
    arrows
        .iter()
        .map(|arrow| {
            let outline = Run { points: arrow.outline().to_vec(), closed: true };
            Item::Path(vec![outline], paint(arrow.known))
        })
        .collect()
}
