//! Paths end in streams: where a stream gains, the groundwater becomes surface water.

use geo::Coord;

use super::approach::crossing;
use super::path::{End, FlowPath, Nearness, Way};
use super::stream::through_points;
use crate::geom::{Course, Obstacles, Pieces, Stretch, at, distance, foot, tolerance};
use crate::map::Map;

/// How far the own bank is looked at, as a share of the pair distance, where the map ends nearer.
const NEARER: [f64; 3] = [1.0, 0.5, 0.25];

/// The streams of a site with their stages, as paths meet them.
///
/// A stream is taken as in full contact with the groundwater and as deep as it: nothing flows under it.
#[derive(Debug)]
pub(super) struct Streams<'a> {
    pieces: Pieces,
    /// Water does not pass these on its way to a stream.
    barriers: &'a Obstacles,
    /// Of each piece its stream and the stages at its ends, elevation unit.
    of: Vec<(usize, [f64; 2])>,
    /// Nearer than this a path is at the stream, m: a cell on a grid.
    at_m: f64,
    /// Nearer than this a path that comes nearer still goes to the stream, m.
    near_m: f64,
    /// How far to each side its banks are looked at, m.
    bank_m: f64,
    /// Over so much of its way to a stream the fall of a path is even, m.
    even_m: f64,
}

impl<'a> Streams<'a> {
    /// The streams of a map. On triangles a path is at a stream where it crosses it, or the straight lines
    /// between its control points; on a grid within a cell of it, or within a tenth of the usual spacing of wells
    /// where it comes nearer still.
    ///
    /// # Units
    /// - `cell_m`: a cell, m, on a grid
    pub(super) fn new(map: &'a Map, cell_m: Option<f64>, near: Nearness) -> Self {
        let frame = map.control.frame();
        let (mut pieces, mut of) = (Vec::new(), Vec::new());
        for (stream, given) in map.site.features.streams.iter().enumerate() {
            let course: Vec<Coord> = given.line.0.iter().map(|p| frame.to_local(*p)).collect();
            if course.len() < 2 {
                continue;
            }
            let mut add = |course: &[Coord], stages: &[f64]| {
                for (w, s) in course.windows(2).zip(stages.windows(2)) {
                    pieces.push([w[0], w[1]]);
                    of.push((stream, [s[0], s[1]]));
                }
            };
            add(&course, &given.stages);
            // On triangles the stream runs straight from one of its control points to the next.
            if cell_m.is_none()
                && let Some(points) = through_points(map, &given.line.clone().into(), near.gauge_m)
            {
                let course = Course::new(&course);
                let stage = |p: &Coord| {
                    course.nearest(*p).map_or(f64::NAN, |(i, share)| {
                        given.stages[i] + share * (given.stages[i + 1] - given.stages[i])
                    })
                };
                let stages: Vec<f64> = points.iter().map(stage).collect();
                add(&points, &stages);
            }
        }
        Self {
            pieces: Pieces::new(pieces),
            barriers: map.control.beside().barriers(),
            of,
            at_m: cell_m.unwrap_or(tolerance::SAME_POSITION_M),
            near_m: cell_m.map_or(tolerance::SAME_POSITION_M, |cell| cell.max(near.gauge_m)),
            bank_m: near.pair_m,
            even_m: near.spacing_m,
        }
    }

    pub(super) const fn is_empty(&self) -> bool {
        self.pieces.is_empty()
    }

    /// A path up to where it comes to a stream whose water it joins; upgradient, where it comes from one.
    ///
    /// Water joins a stream where the bank that it comes from is higher than the stage. A reach whose bank is
    /// lower loses water, and what comes along it goes on.
    ///
    /// # Units
    /// - `head`: of the surface, m to elevation unit
    pub(super) fn cut(&self, path: FlowPath, head: impl Fn(Coord) -> Option<f64>) -> FlowPath {
        if self.is_empty() || path.points.is_empty() {
            return path;
        }
        // A path that begins at a stream is first to leave it.
        let mut at_stream = self.around(path.points[0], self.at_m).is_some();
        let mut before = 0.0;
        for i in 1..path.points.len() {
            let (from, to) = (path.points[i - 1], path.points[i]);
            let contact = self.contact(from, to, at_stream);
            if let Some((share, piece)) = contact
                && self.joins(piece, at([from, to], share), &path, i, &head)
            {
                let stream = self.of[piece].0;
                let along = before + share * distance(from, to);
                let along = if along <= tolerance::SAME_POSITION_M { 0.0 } else { along };
                return self.led_to(path.first(along), piece).ended(End::Stream { stream });
            }
            at_stream = match (contact, at_stream) {
                (Some(_), _) => true,
                (None, true) => self.around(to, 2.0 * self.at_m).is_some(),
                (None, false) => false,
            };
            before += distance(from, to);
        }
        // One that ends beside it: it creeps along its valley, or the surface ends at it.
        let last = path.points[path.points.len() - 1];
        let ends_there = matches!(
            path.end,
            End::Stops { .. } | End::Low { .. } | End::LeavesMap { .. } | End::Level
        );
        match self.around(last, self.at_m) {
            Some((piece, _)) if ends_there && path.way == Way::Down => {
                let stream = self.of[piece].0;
                path.ended(End::Stream { stream })
            }
            _ => path,
        }
    }

    /// A path that is near to a stream, led straight to it: the surface is too round there to lead it.
    fn led_to(&self, mut path: FlowPath, piece: usize) -> FlowPath {
        let (line, last) = (self.pieces.all()[piece], path.points.last().copied());
        let Some((from, head)) = last.zip(path.heads.last().copied()) else { return path };
        let share = foot(line, from);
        let there = at(line, share);
        if distance(from, there) > tolerance::SAME_POSITION_M {
            let stage = self.stage(piece, share);
            let falls = path.way.sign() * (head - stage) > 0.0;
            path.push(there, if falls { stage } else { head });
        }
        path
    }

    /// A path to a stream with an even fall over its last usual spacing of wells, to the stage. A smooth surface is round
    /// where the water table has the kink of a stream: it stays above the stage between the points of the stream that it
    /// knows, it is level in the valley, and water would hardly get there. At a stream in full contact with the groundwater
    /// the head is its stage. Planes are as they are.
    pub(super) fn evened(&self, mut path: FlowPath) -> FlowPath {
        if self.at_m <= tolerance::SAME_POSITION_M || !matches!(path.end, End::Stream { .. }) {
            return path;
        }
        let from_m = (path.length_m() - self.even_m).max(0.0);
        let begins = path.first(from_m).heads.last().copied();
        let ends = path.points.last().and_then(|last| self.stage_near(*last));
        let (Some(begins), Some(stage), Some(own)) = (begins, ends, path.heads.last().copied())
        else {
            return path;
        };
        let falls = path.way.sign() * (begins - stage) > 0.0;
        let ends = if falls { stage } else { own };
        let long = path.length_m() - from_m;
        let mut along = 0.0;
        for i in 1..path.points.len() {
            along += distance(path.points[i - 1], path.points[i]);
            if along > from_m && long > 0.0 {
                path.heads[i] = begins + (ends - begins) * ((along - from_m) / long).min(1.0);
            }
        }
        path
    }

    /// The piece nearest to a place, no farther than `within_m`, the first of equals.
    fn around(&self, p: Coord, within_m: f64) -> Option<(usize, f64)> {
        let number = self.pieces.nearest_number(p)?;
        let nearest = self.pieces.all()[number];
        let off = distance(p, at(nearest, foot(nearest, p)));
        (off <= within_m).then_some((number, off))
    }

    /// The stage where a stream is nearest to a place, elevation unit.
    fn stage_near(&self, p: Coord) -> Option<f64> {
        let piece = self.pieces.nearest_number(p)?;
        Some(self.stage(piece, foot(self.pieces.all()[piece], p)))
    }

    /// The stage at a share of a piece, elevation unit.
    fn stage(&self, piece: usize, share: f64) -> f64 {
        let [from, to] = self.of[piece].1;
        from + share * (to - from)
    }

    /// Where a step first comes to a stream: the share of it, and the piece.
    fn contact(&self, from: Coord, to: Coord, at_stream: bool) -> Option<(f64, usize)> {
        let near = Coord { x: self.near_m, y: self.near_m };
        let low = Coord { x: from.x.min(to.x), y: from.y.min(to.y) } - near;
        let high = Coord { x: from.x.max(to.x), y: from.y.max(to.y) } + near;
        let way = Stretch::new(from, to);
        let mut first: Option<(f64, usize)> = None;
        let mut take = |share: f64, piece: usize| {
            if first.is_none_or(|f| (share, piece) < f) {
                first = Some((share, piece));
            }
        };
        let mut beside: Vec<usize> = self.pieces.in_box(low, high).collect();
        beside.sort_unstable();
        for piece in beside {
            let line = self.pieces.all()[piece];
            if let Some(share) = crossing(way, line).filter(|s| !at_stream || *s > 1e-9) {
                take(share, piece);
            } else if !at_stream {
                let there = at(line, foot(line, to));
                let off = distance(to, there);
                let comes = || off < distance(from, at(line, foot(line, from)));
                if off <= self.at_m
                    || (off <= self.near_m && comes() && !self.barriers.part(to, there))
                {
                    take(1.0, piece);
                }
            }
        }
        first
    }

    /// Whether the water of a path joins a stream at a place on it.
    fn joins(
        &self,
        piece: usize,
        there: Coord,
        path: &FlowPath,
        step: usize,
        head: &impl Fn(Coord) -> Option<f64>,
    ) -> bool {
        let line = self.pieces.all()[piece];
        let share = foot(line, there);
        let stage = self.stage(piece, share);
        let long = distance(line[0], line[1]);
        if long <= 0.0 {
            return true;
        }
        let along = (line[1] - line[0]) / long;
        let came = path.points[step - 1] - at(line, share);
        let left = along.x * came.y - along.y * came.x;
        let side = if left >= 0.0 { 1.0 } else { -1.0 };
        let aside = Coord { x: -along.y * side, y: along.x * side };
        let bank =
            NEARER.iter().find_map(|part| head(at(line, share) + aside * (self.bank_m * part)));
        // Where the map ends at the bank a path that comes down to it says that it is higher.
        bank.map_or(path.way == Way::Down, |bank| path.way.sign() * (bank - stage) > 0.0)
    }
}

#[cfg(test)]
mod tests {
    use geo::LineString;

    use super::*;

    fn c(x: f64, y: f64) -> Coord {
        Coord { x, y }
    }

    /// Heads rise by a hundredth from a stream along y = 0 with a stage of 10.
    fn head(p: Coord) -> f64 {
        10.0 + 0.01 * p.y.abs()
    }

    /// A path from the north that turns aside 5 m from the stream, as on a surface that is round there.
    fn turned_aside() -> FlowPath {
        let mut path = FlowPath::begin(Way::Down);
        let down = (0..48).map(|k| c(0.0, 100.0 - 2.0 * f64::from(k)));
        let aside = (1..20).map(|k| c(2.0 * f64::from(k), 5.5));
        for p in down.chain(aside) {
            path.push(p, 10.3 + 0.002 * p.y - 1e-5 * p.x);
        }
        path.ended(End::LeavesMap { well: None })
    }

    fn streams(barriers: &Obstacles) -> Streams<'_> {
        let pieces = Pieces::new(vec![[c(-100.0, 0.0), c(100.0, 0.0)]]);
        let of = vec![(3, [10.0, 10.0])];
        Streams { pieces, barriers, of, at_m: 2.0, near_m: 8.0, bank_m: 25.0, even_m: 60.0 }
    }

    #[test]
    fn a_path_near_a_stream_is_led_to_it_and_falls_evenly_to_its_stage() {
        let none = Obstacles::new(&[]);
        let streams = streams(&none);
        let path = streams.evened(streams.cut(turned_aside(), |p| Some(head(p))));
        assert_eq!(path.end, End::Stream { stream: 3 });
        assert_eq!(path.points.last(), Some(&c(0.0, 0.0)));
        assert!((path.length_m() - 100.0).abs() < 1e-9);
        for (p, h) in path.points.iter().zip(&path.heads) {
            // From 60 m off, where the surface has 10.42, to the stage.
            let expected = if p.y < 60.0 { 10.0 + 0.42 * p.y / 60.0 } else { 10.3 + 0.002 * p.y };
            assert!((h - expected).abs() < 1e-9, "{p:?} {h}");
        }
    }

    #[test]
    fn no_path_is_led_to_a_stream_through_a_barrier() {
        let wall = Obstacles::new(&[LineString(vec![c(-100.0, 3.0), c(100.0, 3.0)])]);
        let streams = streams(&wall);
        assert_eq!(streams.evened(streams.cut(turned_aside(), |p| Some(head(p)))), turned_aside());
    }
}
