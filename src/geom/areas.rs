//! Areas that a map ends at: what lies within them, and which parts of a line do.

use geo::{Coord, LineString, Polygon};

use super::obstacles::{Obstacles, pieces_of, side};
use super::pieces::Pieces;

/// Crossings of a straight way nearer to each other than this share of it are one: below the
/// rounding of a crossing, at which two sides of an outline that meet would be parted.
const SAME_CROSSING: f64 = 1e-12;

/// Areas, with holes or without; where there are none a map ends at its wells alone, and every place
/// lies within.
#[derive(Debug, Clone, Default)]
pub struct Areas {
    polygons: Vec<Polygon>,
    sides: Obstacles,
    /// The number of the first piece of each area's outlines.
    first: Vec<usize>,
}

impl Areas {
    /// The areas with some outlines.
    ///
    /// # Units
    /// - any, the same as of the places asked about later
    #[must_use]
    pub fn new(polygons: Vec<Polygon>) -> Self {
        let (mut pieces, mut first) = (Vec::new(), Vec::new());
        for area in &polygons {
            first.push(pieces.len());
            pieces.extend(rings(area).flat_map(pieces_of));
        }
        Self { polygons, sides: Obstacles(Pieces::new(pieces)), first }
    }

    /// The outlines of all areas and of their holes.
    pub fn rings(&self) -> impl Iterator<Item = &LineString> {
        self.polygons.iter().flat_map(rings)
    }

    /// Whether there are none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.polygons.is_empty()
    }

    /// The areas.
    #[must_use]
    pub(crate) fn polygons(&self) -> &[Polygon] {
        &self.polygons
    }

    /// Whether a place lies within one of them or on an outline. Exact.
    #[must_use]
    pub fn hold(&self, p: Coord) -> bool {
        // On an outline first: along one that runs due east all of it would lie in the row.
        let on = || {
            let mut around = self.sides.0.in_box(p, p).map(|i| self.sides.pieces()[i]);
            around.any(|[a, b]| side(a, b, p) == 0)
        };
        self.is_empty() || on() || self.row(p).holds(p)
    }

    /// What of the outlines lies at the height of a place and to the east of it: enough to tell
    /// whether they hold places of this row.
    #[must_use]
    pub fn row(&self, from: Coord) -> Row {
        let end = Coord { x: f64::INFINITY, y: from.y };
        let mut numbers: Vec<usize> = self.sides.0.in_box(from, end).collect();
        numbers.sort_unstable();
        let area = |i: &usize| self.first.partition_point(|first| first <= i);
        let pieces = |of: &[usize]| of.iter().map(|i| self.sides.pieces()[*i]).collect();
        Row(numbers.chunk_by(|a, b| area(a) == area(b)).map(pieces).collect())
    }

    /// Whether the straight way from `a` to `b` meets an outline.
    #[must_use]
    pub fn cut(&self, a: Coord, b: Coord) -> bool {
        self.sides.part(a, b)
    }

    /// The parts of the straight way from `a` to `b` that lie within, ascending, as shares of it;
    /// parts that touch are one.
    #[must_use]
    pub fn parts(&self, a: Coord, b: Coord) -> Vec<[f64; 2]> {
        let mut parts: Vec<[f64; 2]> = Vec::new();
        let mut from = 0.0;
        for to in self.sides.crossings(a, b).into_iter().chain([1.0]) {
            if to - from <= SAME_CROSSING && to < 1.0 {
                continue;
            }
            if self.hold(a + (b - a) * f64::midpoint(from, to)) {
                match parts.last_mut() {
                    Some(last) if last[1] >= from => last[1] = to,
                    _ => parts.push([from, to]),
                }
            }
            from = to;
        }
        parts
    }

    /// What lies within of a line, piece by piece in its direction. A closed line, whose first vertex
    /// is repeated at its end, is whole where no outline cuts it, and no piece of it is cut at that
    /// vertex.
    #[must_use]
    pub fn within(&self, line: &[Coord]) -> Vec<Vec<Coord>> {
        let Some(first) = line.first() else { return Vec::new() };
        let (mut pieces, mut piece) = (Vec::new(), Vec::new());
        // Whether the way goes on within from the vertex it has come to.
        let mut inside = self.hold(*first);
        for w in line.windows(2) {
            let at = |share: f64| if share < 1.0 { w[0] + (w[1] - w[0]) * share } else { w[1] };
            let crossed;
            let parts = if self.cut(w[0], w[1]) {
                crossed = self.parts(w[0], w[1]);
                &crossed[..]
            } else if inside {
                &[[0.0, 1.0]][..]
            } else {
                &[]
            };
            for [from, to] in parts {
                if *from > 0.0 {
                    pieces.push(std::mem::take(&mut piece));
                }
                if piece.is_empty() {
                    piece.push(at(*from));
                }
                piece.push(at(*to));
            }
            inside = parts.last().is_some_and(|[_, to]| *to >= 1.0);
            if !inside {
                pieces.push(std::mem::take(&mut piece));
            }
        }
        pieces.push(piece);
        for piece in &mut pieces {
            piece.dedup();
        }
        pieces.retain(|piece| piece.len() > 1);
        let closed = line.len() > 2 && line.last() == Some(first);
        if closed && pieces.len() > 1 && pieces[0].first() == pieces[pieces.len() - 1].last() {
            let rest = pieces.swap_remove(0);
            pieces[0].extend_from_slice(&rest[1..]);
        }
        pieces
    }
}

/// What some areas have at one height, area by area.
#[derive(Debug, Clone)]
pub struct Row(Vec<Vec<[Coord; 2]>>);

impl Row {
    /// Whether a place of this height lies within one of the areas or on an outline. Exact.
    #[must_use]
    pub fn holds(&self, p: Coord) -> bool {
        self.0.iter().any(|pieces| holds(pieces, p))
    }
}

/// The outline of an area and those of its holes.
fn rings(area: &Polygon) -> impl Iterator<Item = &LineString> {
    std::iter::once(area.exterior()).chain(area.interiors())
}

/// Whether a place lies within the rings whose pieces at its height are given, or on one of them:
/// it does when a ray to the east crosses an odd number of them. Exact.
fn holds(pieces: &[[Coord; 2]], p: Coord) -> bool {
    let mut inside = false;
    for [a, b] in pieces {
        let level = |a: f64, b: f64| a <= b && b <= a;
        if level(a.y, b.y) {
            if level(p.y, a.y) && a.x.min(b.x) <= p.x && p.x <= a.x.max(b.x) {
                return true;
            }
            continue;
        }
        let (low, high) = if a.y < b.y { (*a, *b) } else { (*b, *a) };
        match side(low, high, p) {
            0 if low.y <= p.y && p.y <= high.y => return true,
            // The lower end belongs to a piece, the upper one to the next.
            1 if low.y <= p.y && p.y < high.y => inside = !inside,
            _ => {}
        }
    }
    inside
}

#[cfg(test)]
mod tests {
    use geo::{Intersects, Point, Validation};
    use proptest::prelude::*;

    use super::*;
    use crate::geom::work;

    const fn at(x: f64, y: f64) -> Coord {
        Coord { x, y }
    }

    fn ring(points: &[(f64, f64)]) -> LineString {
        points.iter().copied().collect()
    }

    /// A square of 10 with a slit of 0.01 in it, and a square of 10 beside it, a hair of 0.5 apart.
    fn areas() -> Areas {
        let slit = ring(&[(4.0, 2.0), (4.01, 2.0), (4.01, 8.0), (4.0, 8.0)]);
        let outer = ring(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        let beside = ring(&[(10.5, 0.0), (20.5, 0.0), (20.5, 10.0), (10.5, 10.0)]);
        Areas::new(vec![Polygon::new(outer, vec![slit]), Polygon::new(beside, Vec::new())])
    }

    fn places(pieces: &[Vec<Coord>]) -> Vec<Vec<(f64, f64)>> {
        let place = |p: &Coord| ((p.x * 1e9).round() / 1e9, (p.y * 1e9).round() / 1e9);
        pieces.iter().map(|piece| piece.iter().map(place).collect()).collect()
    }

    #[test]
    fn a_line_is_cut_at_outlines_however_near_they_lie() {
        let found = areas().within(&[at(-5.0, 5.0), at(2.0, 5.0), at(30.0, 5.0)]);
        assert_eq!(
            places(&found),
            [
                vec![(0.0, 5.0), (2.0, 5.0), (4.0, 5.0)],
                vec![(4.01, 5.0), (10.0, 5.0)],
                vec![(10.5, 5.0), (20.5, 5.0)],
            ]
        );
        assert!(areas().within(&[at(-5.0, 5.0), at(-2.0, 50.0)]).is_empty());
        assert!(areas().within(&[at(4.005, 3.0), at(4.005, 7.0)]).is_empty(), "along the slit");
        let whole = vec![at(-5.0, 5.0), at(2.0, 50.0)];
        assert_eq!(Areas::default().within(&whole), [whole]);
    }

    #[test]
    fn areas_that_touch_cut_nothing_between_them() {
        let square = |x: f64| ring(&[(x, 0.0), (x + 1.0, 0.0), (x + 1.0, 1.0), (x, 1.0)]);
        let two = Areas::new([0.0, 1.0].map(|x| Polygon::new(square(x), Vec::new())).to_vec());
        assert_eq!(two.parts(at(0.5, 0.5), at(1.5, 0.5)), [[0.0, 1.0]]);
        assert_eq!(two.parts(at(-1.0, 0.5), at(3.0, 0.5)), [[0.25, 0.75]]);
        // Along a side and at a corner.
        assert_eq!(two.parts(at(-1.0, 0.0), at(3.0, 0.0)), [[0.25, 0.75]]);
        assert!(two.parts(at(-1.0, 1.0), at(1.0, -1.0)).is_empty(), "at one place alone");
    }

    #[test]
    fn a_closed_line_is_cut_where_outlines_are_and_not_at_its_seam() {
        let loop_of = |points: &[(f64, f64)]| ring(points).0;
        let inside = loop_of(&[(1.0, 1.0), (3.0, 1.0), (2.0, 3.0), (1.0, 1.0)]);
        assert_eq!(areas().within(&inside), std::slice::from_ref(&inside));
        // Its seam is inside; it leaves over the southern side.
        let crossing = loop_of(&[(1.0, 1.0), (1.0, -1.0), (3.0, -1.0), (3.0, 1.0), (1.0, 1.0)]);
        assert_eq!(
            places(&areas().within(&crossing)),
            [[(3.0, 0.0), (3.0, 1.0), (1.0, 1.0), (1.0, 0.0)]]
        );
        // Out in the west, and through the slit twice; its seam is inside.
        let twice = loop_of(&[(1.0, 5.0), (-1.0, 5.0), (-1.0, 6.0), (8.0, 6.0), (1.0, 5.0)]);
        let found = areas().within(&twice);
        let ends: Vec<[f64; 2]> =
            found.iter().map(|piece| [piece[0].x, piece[piece.len() - 1].x]).collect();
        assert_eq!(ends, [[4.0, 0.0], [0.0, 4.0], [4.01, 4.01]]);
        assert!(found[0].contains(&at(1.0, 5.0)) && found[2].contains(&at(8.0, 6.0)), "{found:?}");
    }

    proptest! {
        /// The geometry library's own predicate is the reference; the lattice has many places on
        /// sides and corners.
        #[test]
        fn a_place_is_held_as_by_the_library(
            rings in prop::collection::vec(
                prop::collection::vec((0..8, 0..8), 3..9), 1..4),
            x in 0..8,
            y in 0..8,
        ) {
            let corner = |(x, y): &(i32, i32)| (f64::from(*x), f64::from(*y));
            let area = |r: &Vec<(i32, i32)>| {
                Polygon::new(r.iter().map(corner).collect(), Vec::new())
            };
            let polygons: Vec<Polygon> = rings.iter().map(area).filter(Polygon::is_valid).collect();
            let p = at(f64::from(x), f64::from(y));
            let expected =
                polygons.is_empty() || polygons.iter().any(|a| a.intersects(&Point(p)));
            prop_assert_eq!(Areas::new(polygons).hold(p), expected);
        }
    }

    #[test]
    fn a_long_outline_is_not_walked_along_for_each_place() {
        let looked_at = |sides: u32| {
            let turn = |k: u32| std::f64::consts::TAU * f64::from(k) / f64::from(sides);
            let round = (0..sides).map(|k| (libm::cos(turn(k)), libm::sin(turn(k)))).collect();
            let areas = Areas::new(vec![Polygon::new(round, Vec::new())]);
            let places = [(0.1, 0.3), (-0.7, 0.2), (0.0, 0.999), (1.5, 0.4)];
            work::of(|| places.iter().filter(|(x, y)| areas.hold(at(*x, *y))).count())
        };
        let ((held, few), (also, many)) = (looked_at(1000), looked_at(1_000_000));
        assert_eq!((held, also), (3, 3));
        assert!(many < 4 * few, "{few} {many}");
    }
}
