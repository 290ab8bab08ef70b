//! How a path comes to pieces of lines: where it first reaches one, and how near it comes.

use std::cell::Cell;

use geo::Coord;

use super::meeting::{Nearest, Reached};
use super::path::FlowPath;
use crate::geom::{Areas, Pieces, Stretch, at, distance, foot};

/// Far below what any place is known to and far above rounding, m: of distances that differ by less
/// the one that is earlier on the path counts.
const HAIR_M: f64 = 1e-9;

/// A path, and what has been found of it.
pub(super) struct Approach<'a> {
    path: &'a FlowPath,
    /// Along the path to each of its places, m.
    before: Vec<f64>,
    /// Where it first reaches a piece, and the place of it that is reached.
    pub(super) reached: Option<(Reached, Coord)>,
    /// How near it comes.
    pub(super) nearest: Nearest,
    /// How far from the pieces it begins and ends, m.
    pub(super) ends_m: [f64; 2],
}

/// Pieces to which a path may come.
pub(super) struct Aim<'a> {
    pub(super) pieces: &'a Pieces,
    /// None is reached from farther off, m.
    pub(super) reach_m: f64,
    /// The share of a stretch of the path at which it first reaches a piece, and the place of the
    /// piece.
    pub(super) touch: &'a dyn Fn(Stretch, [Coord; 2]) -> Option<(f64, Coord)>,
}

impl<'a> Approach<'a> {
    /// `None` for a path that has not begun.
    pub(super) fn new(path: &'a FlowPath) -> Option<Self> {
        let first = *path.points.first()?;
        let mut before = Vec::with_capacity(path.points.len());
        before.push(0.0);
        for w in path.points.windows(2) {
            before.push(before[before.len() - 1] + distance(w[0], w[1]));
        }
        let nearest = Nearest { distance_m: f64::INFINITY, along_m: 0.0, at: first, there: first };
        Some(Self { path, before, reached: None, nearest, ends_m: [f64::INFINITY; 2] })
    }

    /// A path that begins in an area has reached it.
    pub(super) fn begin_in(&mut self, areas: &Areas) {
        let first = self.path.points[0];
        if !areas.is_empty() && areas.hold(first) {
            let reached = Reached { at: first, along_m: 0.0, head: self.path.heads[0] };
            self.reached = Some((reached, first));
        }
    }

    /// Finds what there is to be found of these pieces.
    pub(super) fn to(&mut self, aim: &Aim) {
        if aim.pieces.is_empty() {
            return;
        }
        let last = self.before.len() - 1;
        let off = [0, last].map(|i| self.off(aim.pieces, i));
        for (end, off) in self.ends_m.iter_mut().zip(off) {
            *end = end.min(off);
        }
        self.between(aim, [0, last], off);
    }

    /// The distance of one of its places from the pieces, m.
    fn off(&mut self, pieces: &Pieces, i: usize) -> f64 {
        let p = self.path.points[i];
        let Some(piece) = pieces.nearest(p) else { return f64::INFINITY };
        let there = at(piece, foot(piece, p));
        self.nearest.take(p, there, self.before[i]);
        distance(p, there)
    }

    /// Goes through the path between two of its places as far off the pieces as given, and leaves out
    /// what is too far from them for its length.
    fn between(&mut self, aim: &Aim, [from, to]: [usize; 2], off: [f64; 2]) {
        let long = self.before[to] - self.before[from];
        let least = 0.5 * (off[0] + off[1] - long) - HAIR_M;
        let early = self.reached.is_none_or(|(r, _)| self.before[from] < r.along_m);
        let may_reach = early && least <= aim.reach_m;
        if !may_reach && least + HAIR_M >= self.nearest.distance_m - HAIR_M {
            return;
        }
        if to - from > 1 {
            let middle = usize::midpoint(from, to);
            let off_middle = self.off(aim.pieces, middle);
            self.between(aim, [from, middle], [off[0], off_middle]);
            self.between(aim, [middle, to], [off_middle, off[1]]);
            return;
        }
        let way = Stretch::new(self.path.points[from], self.path.points[to]);
        if may_reach {
            self.touched(aim, way, [from, to]);
        }
        self.neared(aim.pieces, way, self.before[from]);
    }

    fn touched(&mut self, aim: &Aim, way: Stretch, [from, to]: [usize; 2]) {
        let mut first: Option<(f64, Coord)> = None;
        // What lies wholly beyond the first need not be looked at.
        let (reach, until) = (Cell::new(aim.reach_m + HAIR_M), Cell::new(f64::INFINITY));
        for piece in aim.pieces.beside(way, &reach, &until) {
            if let Some((share, there)) = (aim.touch)(way, piece)
                && first.is_none_or(|(f, _)| share < f)
            {
                first = Some((share, there));
                until.set(share * way.length);
            }
        }
        let Some((share, there)) = first else { return };
        let along_m = self.before[from] + share * way.length;
        if self.reached.is_none_or(|(r, _)| along_m < r.along_m) {
            let (h, k) = (self.path.heads[from], self.path.heads[to]);
            let reached =
                Reached { at: at([way.from, way.to], share), along_m, head: h + share * (k - h) };
            self.reached = Some((reached, there));
        }
    }

    /// Takes the places on a stretch where a piece is nearer than any has been before.
    fn neared(&mut self, pieces: &Pieces, way: Stretch, before: f64) {
        let reach = Cell::new(self.nearest.distance_m - HAIR_M);
        let end = Cell::new(f64::INFINITY);
        for piece in pieces.beside(way, &reach, &end) {
            for (at, there) in approaches(way, piece) {
                self.nearest.take(at, there, before + distance(way.from, at));
            }
            if let Some(share) = crossing(way, piece) {
                let crossed = at([way.from, way.to], share);
                self.nearest.take(crossed, crossed, before + share * way.length);
            }
            reach.set(self.nearest.distance_m - HAIR_M);
        }
    }
}

impl Nearest {
    fn take(&mut self, at: Coord, there: Coord, along_m: f64) {
        let distance_m = distance(at, there);
        let (nearer, same) =
            (distance_m < self.distance_m - HAIR_M, distance_m <= self.distance_m + HAIR_M);
        if nearer || (same && along_m < self.along_m) {
            *self = Self { distance_m, along_m, at, there };
        }
    }
}

/// Where two straight ways that do not cross may be nearest to each other: at one of their ends.
pub(super) fn approaches(way: Stretch, piece: [Coord; 2]) -> [(Coord, Coord); 4] {
    let own = [way.from, way.to];
    let onto = |line: [Coord; 2], p: Coord| at(line, foot(line, p));
    let [a, b] = piece;
    [
        (own[0], onto(piece, own[0])),
        (own[1], onto(piece, own[1])),
        (onto(own, a), a),
        (onto(own, b), b),
    ]
}

/// The share of a way at which it crosses a piece.
pub(super) fn crossing(way: Stretch, [a, b]: [Coord; 2]) -> Option<f64> {
    let (r, s, d) = (way.to - way.from, b - a, a - way.from);
    let across = r.x * s.y - r.y * s.x;
    if across == 0.0 {
        return None;
    }
    let share = (d.x * s.y - d.y * s.x) / across;
    let other = (d.x * r.y - d.y * r.x) / across;
    let within = 0.0..=1.0;
    (within.contains(&share) && within.contains(&other)).then_some(share)
}

#[cfg(test)]
mod tests {
    use geo::{Distance, Euclidean, Geometry, Line, LineString, MultiLineString};
    use proptest::prelude::*;

    use super::*;
    use crate::geom::{Frame, work};
    use crate::toward::path::{End, Way};
    use crate::toward::target::Target;

    fn path(points: Vec<Coord>) -> FlowPath {
        let heads = (0..points.len()).map(|k| 10.0 - k as f64).collect();
        FlowPath { way: Way::Down, points, heads, end: End::LeavesMap { well: None } }
    }

    fn target(lines: Vec<Vec<Coord>>) -> Target {
        let lines = MultiLineString(lines.into_iter().map(LineString).collect());
        Target::new(&Geometry::from(lines), &Frame::new(Coord { x: 0.0, y: 0.0 }, 1.0))
    }

    fn places(most: usize) -> impl Strategy<Value = Vec<Coord>> {
        let place = (0.0..40.0, 0.0..40.0).prop_map(|(x, y)| Coord { x, y });
        prop::collection::vec(place, 2..most)
    }

    proptest! {
        /// Every stretch of the path against every piece, by the geometry library's distances and
        /// crossings.
        #[test]
        fn the_nearest_and_the_first_are_found(
            points in places(12),
            lines in prop::collection::vec(places(6), 1..4),
        ) {
            let pieces: Vec<Line> =
                lines.iter().flat_map(|l| LineString(l.clone()).lines().collect::<Vec<_>>()).collect();
            let met = target(lines).meet(&path(points.clone()), 1.0).expect("it begins");
            let (mut least, mut before, mut first) = (f64::INFINITY, 0.0, None);
            for w in points.windows(2) {
                let way = Line::new(w[0], w[1]);
                for piece in &pieces {
                    least = Euclidean.distance(&way, piece).min(least);
                    if let Some(share) =
                        crossing(Stretch::new(w[0], w[1]), [piece.start, piece.end])
                    {
                        let along = before + share * distance(w[0], w[1]);
                        first = Some(first.map_or(along, |f: f64| f.min(along)));
                    }
                }
                before += distance(w[0], w[1]);
            }
            prop_assert!((met.nearest.distance_m - least).abs() < 0.011);
            // A line is reached a centimetre before it is crossed.
            prop_assert!(met.reached.is_some() || first.is_none());
            if let (Some(reached), Some(first)) = (met.reached, first) {
                prop_assert!(reached.along_m <= first + 1e-9);
                prop_assert!(pieces.iter().any(|l| Euclidean.distance(reached.at, l) < 0.0101));
            }
            if met.reached.is_none() {
                let (at, there) = (met.nearest.at, met.nearest.there);
                prop_assert!((met.nearest.distance_m - least).abs() < 1e-8);
                prop_assert!((distance(at, there) - least).abs() < 1e-8);
            }
        }
    }

    /// A line that paths pass, cross and follow, in ten and in a hundred thousand vertices: the same
    /// answers, and less to look at than a single walk over it.
    #[test]
    fn a_line_of_very_many_vertices_is_met_as_one_of_few_without_a_walk_over_them() {
        let line = |count: usize| {
            let at = |k: usize| {
                let t = k as f64 / (count - 1) as f64;
                Coord { x: 1000.0 * t, y: 30.0 * t }
            };
            target(vec![(0..count).map(at).collect()])
        };
        let way = |from: (f64, f64), to: (f64, f64)| {
            let at = |k: u32| {
                let t = f64::from(k) / 60.0;
                Coord { x: from.0 + t * (to.0 - from.0), y: from.1 + t * (to.1 - from.1) }
            };
            path((0..=60).map(at).collect())
        };
        let paths = [
            way((100.0, 300.0), (420.0, 60.0)),
            way((100.0, 300.0), (420.0, -60.0)),
            way((-50.0, 80.0), (900.0, 100.0)),
            way((30.0, 41.0), (940.0, 69.0)),
            way((500.0, 15.0), (800.0, 24.0)),
        ];
        let (few, many) = (line(10), line(100_000));
        for path in &paths {
            let (a, looked_at) = work::of(|| few.meet(path, 5.0).expect("it begins"));
            let (b, looks) = work::of(|| many.meet(path, 5.0).expect("it begins"));
            assert_eq!(a.reached.is_some(), b.reached.is_some());
            if let (Some(a), Some(b)) = (a.reached, b.reached) {
                // It is reached a centimetre off, too, beside any of its vertices.
                assert!((a.along_m - b.along_m).abs() < 0.03, "{a:?} {b:?}");
            }
            assert!((a.nearest.distance_m - b.nearest.distance_m).abs() < 1e-6, "{a:?} {b:?}");
            // One walk over the line for each of the sixty stretches would be six million.
            assert!(looks < 25_000, "{looked_at} {looks}");
        }
    }
}
