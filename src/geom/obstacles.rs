//! Lines in the way: whether they part two points, or run into a triangle.

use geo::kernels::{Kernel, Orientation, RobustKernel};
use geo::{Coord, LineString};

use super::pieces::Pieces;

/// Pieces of lines, found quickly.
#[derive(Debug, Clone, Default)]
pub struct Obstacles(pub(super) Pieces);

impl Obstacles {
    /// The pieces of some lines.
    ///
    /// # Units
    /// - any, the same as of the points asked about later
    #[must_use]
    pub fn new(lines: &[LineString]) -> Self {
        Self(Pieces::new(lines.iter().flat_map(pieces_of).collect()))
    }

    /// Whether there are none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The pieces, each from one vertex to the next.
    #[must_use]
    pub fn pieces(&self) -> &[[Coord; 2]] {
        self.0.all()
    }

    /// Whether the straight way from `a` to `b` crosses or touches one of the lines. Exact.
    #[must_use]
    pub fn part(&self, a: Coord, b: Coord) -> bool {
        self.near(&[a, b]).any(|[c, d]| meet([a, b], [c, d]))
    }

    /// Where the straight way from `a` to `b` meets the lines, ascending, as shares of it: of a piece
    /// that lies along it both ends.
    #[must_use]
    pub fn crossings(&self, a: Coord, b: Coord) -> Vec<f64> {
        let mut shares: Vec<f64> = self
            .near(&[a, b])
            .filter(|piece| meet([a, b], *piece))
            .flat_map(|piece| shares([a, b], piece))
            .map(|share| share.clamp(0.0, 1.0))
            .collect();
        shares.sort_unstable_by(f64::total_cmp);
        shares
    }

    /// Whether one of the lines crosses, touches or runs within a triangle. Exact.
    #[must_use]
    pub(crate) fn run_into(&self, corners: [Coord; 3]) -> bool {
        let [p, q, r] = corners;
        self.near(&corners).any(|piece| {
            [[p, q], [q, r], [r, p]].into_iter().any(|side| meet(side, piece))
                || inside(corners, piece[0])
        })
    }

    /// The distance from a place to the nearest line; infinite when there is none.
    #[must_use]
    pub fn distance(&self, p: Coord) -> f64 {
        self.0.distance(p)
    }

    /// The pieces whose box meets the box of some points.
    fn near(&self, points: &[Coord]) -> impl Iterator<Item = [Coord; 2]> {
        let bound = |least: fn(f64, f64) -> f64| {
            points.iter().copied().reduce(|p, q| Coord { x: least(p.x, q.x), y: least(p.y, q.y) })
        };
        let corners = bound(f64::min).zip(bound(f64::max));
        let numbers = corners.into_iter().flat_map(|(low, high)| self.0.in_box(low, high));
        numbers.map(|i| self.0.all()[i])
    }
}

/// The pieces of a line, without those of no length.
pub(super) fn pieces_of(line: &LineString) -> impl Iterator<Item = [Coord; 2]> {
    line.lines().filter(|l| l.start != l.end).map(|l| [l.start, l.end])
}

/// -1, 0 or 1 as `c` lies right of, on or left of the way from `a` to `b`. Exact.
#[must_use]
pub fn side(a: Coord, b: Coord, c: Coord) -> i8 {
    match RobustKernel::orient2d(a, b, c) {
        Orientation::CounterClockwise => 1,
        Orientation::Clockwise => -1,
        Orientation::Collinear => 0,
    }
}

/// Whether two pieces have a point in common. Exact.
fn meet([a, b]: [Coord; 2], [c, d]: [Coord; 2]) -> bool {
    let (of_c, of_d) = (side(a, b, c), side(a, b, d));
    let (of_a, of_b) = (side(c, d, a), side(c, d, b));
    if [of_a, of_b, of_c, of_d] == [0; 4] {
        let overlap = |a: f64, b: f64, c: f64, d: f64| a.min(b) <= c.max(d) && c.min(d) <= a.max(b);
        return overlap(a.x, b.x, c.x, d.x) && overlap(a.y, b.y, c.y, d.y);
    }
    of_a * of_b <= 0 && of_c * of_d <= 0
}

/// Where the way from `a` to `b` meets a piece that it is known to meet, as shares of it.
fn shares([a, b]: [Coord; 2], [c, d]: [Coord; 2]) -> Vec<f64> {
    let (way, piece, off) = (b - a, d - c, c - a);
    let across = way.x * piece.y - way.y * piece.x;
    let share = (off.x * piece.y - off.y * piece.x) / across;
    if share.is_finite() && side(a, b, c) != side(a, b, d) {
        return vec![share];
    }
    let along = |p: Coord| (p.x * way.x + p.y * way.y) / (way.x * way.x + way.y * way.y);
    vec![along(off), along(d - a)]
}

/// Whether a place lies in a triangle or on its sides. Exact.
fn inside([p, q, r]: [Coord; 3], place: Coord) -> bool {
    let sides = [side(p, q, place), side(q, r, place), side(r, p, place)];
    sides.iter().all(|s| *s >= 0) || sides.iter().all(|s| *s <= 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn at(x: f64, y: f64) -> Coord {
        Coord { x, y }
    }

    fn wall(points: &[(f64, f64)]) -> Obstacles {
        Obstacles::new(&[points.iter().copied().collect()])
    }

    #[test]
    fn a_wall_parts_what_lies_on_its_two_sides_and_nothing_else() {
        let wall = wall(&[(0.0, -1.0), (0.0, 1.0), (2.0, 1.0)]);
        assert!(wall.part(at(-1.0, 0.0), at(1.0, 0.0)));
        assert!(wall.part(at(1.0, 0.0), at(1.0, 2.0)));
        assert!(!wall.part(at(-1.0, 0.0), at(-1.0, 5.0)));
        assert!(!wall.part(at(-1.0, 2.0), at(5.0, 2.0)), "past its end");
        assert!(!wall.part(at(3.0, 0.0), at(3.0, 3.0)));
        // Touching counts: at its end, at its corner, along it.
        assert!(wall.part(at(-1.0, -1.0), at(1.0, -1.0)));
        assert!(wall.part(at(-1.0, 1.0), at(0.0, 1.0)));
        assert!(wall.part(at(0.0, 0.5), at(0.0, 9.0)));
        assert!(!wall.part(at(0.0, 1.5), at(0.0, 9.0)), "in line with it and beyond");
        assert!(!Obstacles::default().part(at(0.0, 0.0), at(1.0, 1.0)));
    }

    #[test]
    fn a_wall_runs_into_a_triangle_by_a_side_or_by_lying_within() {
        let triangle = [at(0.0, 0.0), at(10.0, 0.0), at(0.0, 10.0)];
        assert!(wall(&[(2.0, 2.0), (3.0, 3.0)]).run_into(triangle));
        assert!(wall(&[(2.0, 2.0), (20.0, 3.0)]).run_into(triangle));
        assert!(wall(&[(-1.0, 5.0), (20.0, 5.0)]).run_into(triangle));
        assert!(wall(&[(10.0, 0.0), (20.0, 5.0)]).run_into(triangle), "at a corner");
        assert!(!wall(&[(6.0, 6.0), (20.0, 5.0)]).run_into(triangle));
        assert!((wall(&[(6.0, 8.0), (6.0, 20.0)]).distance(at(0.0, 0.0)) - 10.0).abs() < 1e-15);
    }
}
