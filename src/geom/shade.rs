//! The shade of lines that let nothing through: how far a place is from where a point is seen.

use std::f64::consts::{PI, TAU};

use geo::Coord;
use rayon::prelude::*;

use super::bends::bends;
use super::obstacles::{Obstacles, side};
use super::pieces::{at, foot};
use super::spacing::distance;
use super::tolerance::{MOST_CORNERS, SAME_POSITION_M};

/// Which side of each piece a place lies on is worked out once for lines of so many pieces; of longer
/// ones the pieces in the way are looked for.
const FEW: usize = 100;

/// Points, and the shade in which lines put them.
///
/// Where a point is seen ends at lines and, past a corner of one, at the straight way from the point
/// past that corner: its *edge*. The shortest way out of the shade leads straight to an edge, or
/// from corner to corner to one. A corner is set off from its vertex by [`SAME_POSITION_M`] to the
/// side on which the line turns away, so that whether a way is free is asked of places on no line; a
/// gap narrower than that lets nothing through.
///
/// # References
/// The shortest way among obstacles bends at their corners alone: de Berg and others (2008),
/// Computational Geometry, 3rd ed., ch. 15.
#[derive(Debug)]
pub struct Shade {
    lines: Obstacles,
    points: Vec<Point>,
    corners: Vec<Coord>,
    /// Of each point's shade.
    edges: Vec<Vec<Edge>>,
    /// How deep each corner lies in the shade of each point, corner by corner; infinite where no way
    /// leads out.
    depths: Vec<f64>,
}

/// A point, and on which side of each piece of a line it lies.
#[derive(Debug)]
struct Point {
    at: Coord,
    sides: Vec<i8>,
}

/// Where the shade of a point begins past a corner, as far as the next line.
#[derive(Debug)]
struct Edge {
    from: Coord,
    direction: Coord,
    length: f64,
}

impl Edge {
    /// Its place nearest to another.
    fn nearest(&self, p: Coord) -> Coord {
        let off = p - self.from;
        let along = off.x * self.direction.x + off.y * self.direction.y;
        self.from + self.direction * along.clamp(0.0, self.length)
    }
}

impl Shade {
    /// Finds the corners of some lines and what they do to each point.
    ///
    /// Of more than [`MOST_CORNERS`] the sharpest are taken: along a line of very many vertices some
    /// ways are then not found, and none is found that does not exist.
    ///
    /// # Units
    /// - m
    #[must_use]
    pub fn new(points: &[Coord], lines: &Obstacles) -> Self {
        let corners = corners(lines);
        let point = |at: &Coord| Point { at: *at, sides: sides(lines, *at) };
        let points = points.iter().map(point).collect();
        let (edges, depths) = (Vec::new(), Vec::new());
        let mut shade = Self { lines: lines.clone(), points, corners, edges, depths };
        shade.edges = shade.points.par_iter().map(|point| shade.edges_of(point.at)).collect();
        shade.depths = shade.of_corners();
        shade
    }

    /// How far it is from a place to where each point is seen, m: 0 where it is seen from the place
    /// itself, infinite where that is `most` or farther. A point is seen when no line crosses or
    /// touches the straight way.
    ///
    /// # Units
    /// - `place`, `most`: m
    #[must_use]
    pub fn depths(&self, place: Coord, most: f64) -> Vec<f64> {
        let own = sides(&self.lines, place);
        let direct = |(point, edges): (&Point, &Vec<Edge>)| {
            if self.sees(place, &own, point) { 0.0 } else { self.to_edges(place, edges, most) }
        };
        let mut depths: Vec<f64> = self.points.iter().zip(&self.edges).map(direct).collect();
        let hidden: Vec<usize> = (0..depths.len()).filter(|i| depths[*i] > 0.0).collect();
        for (corner, onward) in self.corners.iter().zip(self.depths.chunks(self.points.len())) {
            let first = distance(place, *corner);
            let nearer = hidden.iter().any(|i| first + onward[*i] < depths[*i]);
            if nearer && !self.lines.part(place, *corner) {
                for i in &hidden {
                    depths[*i] = depths[*i].min(first + onward[*i]);
                }
            }
        }
        for depth in depths.iter_mut().filter(|d| **d >= most) {
            *depth = f64::INFINITY;
        }
        depths
    }

    /// How far it is straight to one of a point's edges, at the most `most`.
    fn to_edges(&self, place: Coord, edges: &[Edge], most: f64) -> f64 {
        edges.iter().fold(most, |depth, edge| {
            let foot = edge.nearest(place);
            let far = distance(place, foot);
            if far < depth && !self.lines.part(place, foot) { far } else { depth }
        })
    }

    /// Whether no line crosses or touches the straight way from a place to a point. As
    /// [`Obstacles::part`], and quicker where very many places are asked about.
    fn sees(&self, place: Coord, own: &[i8], point: &Point) -> bool {
        if own.is_empty() {
            return !self.lines.part(place, point.at);
        }
        let apart = |p: f64, q: f64, a: f64, b: f64| p.max(q) < a.min(b) || a.max(b) < p.min(q);
        let (p, q) = (place, point.at);
        let sides = own.iter().zip(&point.sides);
        !self.lines.pieces().iter().zip(sides).any(|([a, b], on)| {
            // Most pieces have both on one side, or lie elsewhere.
            if *on.0 * *on.1 > 0 || apart(p.x, q.x, a.x, b.x) || apart(p.y, q.y, a.y, b.y) {
                return false;
            }
            (*on.0 == 0 && *on.1 == 0) || side(p, q, *a) * side(p, q, *b) <= 0
        })
    }

    /// Where the shade of a point begins past each corner that it is seen from.
    fn edges_of(&self, point: Coord) -> Vec<Edge> {
        let edge = |corner: &Coord| {
            let direction = (*corner - point) / distance(*corner, point);
            let pieces = self.lines.pieces().iter();
            let stops = pieces.filter_map(|piece| meets(*corner, direction, *piece));
            let length = stops.fold(f64::INFINITY, f64::min) - SAME_POSITION_M;
            (length > 0.0).then_some(Edge { from: *corner, direction, length })
        };
        let seen = self.corners.iter().filter(|corner| !self.lines.part(point, **corner));
        seen.filter_map(edge).collect()
    }

    /// The depth of each corner in the shade of each point, corner by corner (Dijkstra 1959).
    fn of_corners(&self) -> Vec<f64> {
        let corners = &self.corners;
        let straight = |from: &Coord| -> Vec<f64> {
            let length = |to: &Coord| {
                let parted = self.lines.part(*from, *to);
                if parted { f64::INFINITY } else { distance(*from, *to) }
            };
            corners.iter().map(length).collect()
        };
        let lengths: Vec<Vec<f64>> = corners.par_iter().map(straight).collect();
        let of_point = |(point, edges): (&Point, &Vec<Edge>)| {
            let direct = |corner: &Coord| {
                let hidden = self.lines.part(*corner, point.at);
                if hidden { self.to_edges(*corner, edges, f64::INFINITY) } else { 0.0 }
            };
            let mut depths: Vec<f64> = corners.iter().map(direct).collect();
            let mut open: Vec<usize> = (0..corners.len()).collect();
            let least = |open: &[usize], depths: &[f64]| {
                (0..open.len()).min_by(|a, b| depths[open[*a]].total_cmp(&depths[open[*b]]))
            };
            while let Some(k) = least(&open, &depths) {
                let corner = open.swap_remove(k);
                for other in &open {
                    depths[*other] = depths[*other].min(depths[corner] + lengths[corner][*other]);
                }
            }
            depths
        };
        let by_point: Vec<Vec<f64>> =
            self.points.par_iter().zip(&self.edges).map(of_point).collect();
        let of_corner = |corner: usize| by_point.iter().map(move |depths| depths[corner]);
        (0..corners.len()).flat_map(of_corner).collect()
    }
}

/// -1, 0 or 1 as a place lies right of, on or left of each piece of some lines; nothing for lines of
/// more than [`FEW`] pieces.
fn sides(lines: &Obstacles, place: Coord) -> Vec<i8> {
    if lines.pieces().len() > FEW {
        return Vec::new();
    }
    lines.pieces().iter().map(|[a, b]| side(*a, *b, place)).collect()
}

/// How far a way may go from a place in a direction until it meets a piece.
///
/// Half the width of a corner is added to both ends of the piece: no way slips through where two
/// pieces join.
fn meets(from: Coord, direction: Coord, [a, b]: [Coord; 2]) -> Option<f64> {
    let (along, to) = (b - a, a - from);
    let crossed = direction.x * along.y - direction.y * along.x;
    let far = (to.x * along.y - to.y * along.x) / crossed;
    let share = (to.x * direction.y - to.y * direction.x) / crossed;
    let hair = 0.5 * SAME_POSITION_M / distance(a, b);
    // Neither is a number where the two are parallel.
    (far >= 0.0 && (-hair..=1.0 + hair).contains(&share)).then_some(far)
}

/// The corners of some lines: one beside each vertex around which more than a half turn is free.
///
/// A vertex that lies off the straight way by less than a corner is set off is none.
fn corners(lines: &Obstacles) -> Vec<Coord> {
    let pieces = lines.pieces();
    let mut vertices: Vec<Coord> = Vec::new();
    for line in pieces.chunk_by(|one, next| one[1] == next[0]) {
        let course: Vec<Coord> = line
            .first()
            .map(|piece| piece[0])
            .into_iter()
            .chain(line.iter().map(|p| p[1]))
            .collect();
        vertices.extend(bends(&course, 0.5 * SAME_POSITION_M).into_iter().map(|i| course[i]));
    }
    vertices.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    vertices.dedup();
    let corner = |vertex: &Coord| {
        let near = Coord { x: SAME_POSITION_M, y: SAME_POSITION_M };
        let around = lines.0.in_box(*vertex - near, *vertex + near);
        let mut turns: Vec<f64> = around.flat_map(|i| directions(*vertex, pieces[i])).collect();
        turns.sort_by(f64::total_cmp);
        turns.push(turns.first()? + TAU);
        let free = turns.windows(2).map(|w| (w[1] - w[0], f64::midpoint(w[0], w[1])));
        let (turn, middle) = free.max_by(|a, b| a.0.total_cmp(&b.0))?;
        let off = Coord { x: libm::cos(middle), y: libm::sin(middle) } * SAME_POSITION_M;
        (turn > PI).then_some((turn, *vertex + off))
    };
    let mut corners: Vec<(f64, Coord)> = vertices.par_iter().filter_map(corner).collect();
    if corners.len() > MOST_CORNERS {
        corners.sort_by(|a, b| b.0.total_cmp(&a.0));
        corners.truncate(MOST_CORNERS);
    }
    corners.into_iter().map(|c| c.1).collect()
}

/// The directions in which a piece leaves a vertex that it begins, ends or passes at, radians.
fn directions(vertex: Coord, [a, b]: [Coord; 2]) -> impl Iterator<Item = f64> {
    let is_at = distance(at([a, b], foot([a, b], vertex)), vertex) <= SAME_POSITION_M;
    let ends = [a, b].into_iter().filter(move |p| is_at && distance(*p, vertex) > SAME_POSITION_M);
    ends.map(move |p| libm::atan2(p.y - vertex.y, p.x - vertex.x))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::disallowed_methods, reason = "a test may be as exact as the platform")]
    use super::*;

    const fn at(x: f64, y: f64) -> Coord {
        Coord { x, y }
    }

    /// The depth of a place in the shade of a point behind some lines.
    fn depth(lines: &[&[(f64, f64)]], point: Coord, place: Coord) -> f64 {
        let lines: Vec<_> = lines.iter().map(|l| l.iter().copied().collect()).collect();
        Shade::new(&[point], &Obstacles::new(&lines)).depths(place, f64::INFINITY)[0]
    }

    #[track_caller]
    fn near(found: f64, expected: f64) {
        // Each corner is set off by a centimetre.
        assert!((found - expected).abs() < 0.08, "{found} is not {expected}");
    }

    const WALL: &[(f64, f64)] = &[(0.0, -100.0), (0.0, 0.0)];

    #[test]
    fn behind_a_wall_it_is_the_distance_to_the_line_of_sight_past_its_end() {
        // From 30 m east and 40 m south of the end the line of sight goes on to (-30, 40).
        let point = at(30.0, -40.0);
        for place in [at(-30.0, 40.1), at(-30.0, 90.0), at(0.0, 5.0), at(60.0, -40.0)] {
            near(depth(&[WALL], point, place), 0.0);
        }
        // The foot on the line of 3-4-5 is at (-18, 24), then at the end itself.
        near(depth(&[WALL], point, at(-58.0, -6.0)), 50.0);
        near(depth(&[WALL], point, at(-30.0, 0.0)), 24.0);
        near(depth(&[WALL], point, at(-4.0, -33.0)), 33.0_f64.hypot(4.0));
        // The other end is nearer.
        near(depth(&[WALL], point, at(-4.0, -80.0)), 20.0_f64.hypot(4.0));
    }

    #[test]
    fn the_way_out_of_a_pocket_bends_at_its_corners() {
        // Three sides of a square of 60 m, open to the north, with vertices along its sides, and a
        // point far to the south-west of it: its shade begins at the upper corner in the west.
        let pocket: &[(f64, f64)] = &[
            (-30.0, 30.0),
            (-30.0, 0.0),
            (-30.0, -30.0),
            (0.0, -30.0),
            (30.0, -30.0),
            (30.0, 30.0),
        ];
        let point = at(-1030.0, -970.0);
        // The edges run north-east, from (-30, 30) and from (30, -30).
        near(depth(&[pocket], point, at(0.0, 0.0)), 1800.0_f64.sqrt());
        near(depth(&[pocket], point, at(-30.0, 130.0)), 0.0);
        // East of the pocket the edge past (30, -30) is nearer: 1060 m east and 940 m north of the
        // point.
        let off = (1060.0 * 20.0 - 940.0 * 10.0) / 1060.0_f64.hypot(940.0);
        near(depth(&[pocket], point, at(40.0, -10.0)), off);
    }

    #[test]
    fn nothing_is_seen_through_a_bend_a_junction_or_a_ring() {
        // A full wall with a bend, looked at from both sides of the bend.
        let bent: &[(f64, f64)] = &[(-1e4, 0.0), (0.0, 5.0), (1e4, 0.0)];
        let ring: &[(f64, f64)] =
            &[(-10.0, -10.0), (10.0, -10.0), (10.0, 10.0), (-10.0, 10.0), (-10.0, -10.0)];
        let found = depth(&[bent], at(0.0, 50.0), at(0.0, -50.0));
        assert!(found > 9e3, "around an end and not through the bend: {found}");
        assert!(depth(&[ring], at(0.0, 0.0), at(40.0, 0.0)).is_infinite());
        assert!(depth(&[ring], at(40.0, 0.0), at(0.0, 0.0)).is_infinite());
        // A wall that ends at the middle of the ring's side, or some millimetres short of it.
        for gap in [0.0, 0.004] {
            let spur: &[(f64, f64)] = &[(10.0 + gap, 0.0), (1000.0, 0.0)];
            // Around the ring: over three of its corners to the line of sight past the fourth.
            let found = depth(&[ring, spur], at(12.0, 1.0), at(12.0, -1.0));
            let last = (400.0 - (20.0 * 2.0 / 2f64.hypot(9.0)).powi(2)).sqrt();
            near(found, 2f64.hypot(9.0) + 40.0 + last);
        }
    }

    #[test]
    fn deeper_than_asked_is_nowhere_and_the_depth_has_no_step() {
        let wall = WALL.iter().copied().collect();
        let shade = Shade::new(&[at(30.0, -40.0)], &Obstacles::new(&[wall]));
        near(shade.depths(at(-30.0, 0.0), 25.0)[0], 24.0);
        assert!(shade.depths(at(-30.0, 0.0), 23.0)[0].is_infinite());
        // From place to place, 10 cm apart, it changes by no more than their distance.
        let along = |y: f64| (0..2000).map(move |k| at(-100.0 + 0.1 * f64::from(k), y));
        for y in [-90.0, -60.0, -20.0, -1.0, 3.0, 40.0] {
            let places: Vec<Coord> = along(y).collect();
            for w in places.windows(2).filter(|w| w[0].x * w[1].x > 0.0 || y > 0.0) {
                let [a, b] = [w[0], w[1]].map(|p| shade.depths(p, f64::INFINITY)[0]);
                assert!((a - b).abs() < 0.13, "{a} beside {b} at {:?}", w[0]);
            }
        }
    }
}
