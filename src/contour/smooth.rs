//! Lines as they are drawn: as computed, or rounded where planes meet.

use geo::{Coord, Intersects, Line, Point, Triangle};
use rayon::prelude::*;
use rstar::primitives::{GeomWithData, Line as Piece};
use rstar::{AABB, RTree};

use super::types::{ContourLine, Spacings};
use crate::geom::{Frame, Obstacles};
use crate::interpolate::{HeadsOfPlanes, Sloping};

/// The surface's head along a rounded line is within so much of the distance to the next level.
pub(crate) const WITHIN: f64 = 0.1;

/// How much of the way to the middle of the pieces beside it a corner is rounded, tried in this order.
const SHARES: [f64; 5] = [1.0, 0.75, 0.5, 0.25, 0.125];

/// A rounded corner has so many pieces on each side of its middle.
const PIECES: u8 = 4;

/// Heads are looked at in so many places of a piece, and may be off by so much of [`WITHIN`] there: between them they may be
/// off by a little more.
const LOOKS: u8 = 8;
const THERE: f64 = 0.95;

/// A line as it is drawn.
#[derive(Debug, Clone)]
pub(crate) struct DrawnLine(Vec<Corner>);

/// What is drawn for a vertex of a line.
#[derive(Debug, Clone)]
struct Corner {
    before: Vec<Coord>,
    middle: Coord,
    after: Vec<Coord>,
}

impl Corner {
    const fn sharp(at: Coord) -> Self {
        Self { before: Vec::new(), middle: at, after: Vec::new() }
    }
}

impl DrawnLine {
    fn as_computed(line: &ContourLine) -> Self {
        Self(line.points.iter().copied().map(Corner::sharp).collect())
    }

    /// All of it.
    ///
    /// # Units
    /// - returns: CRS units
    pub(crate) fn points(&self) -> Vec<Coord> {
        self.along(0..self.0.len())
    }

    /// What is drawn for some of the vertices of the computed line, which follow each other.
    ///
    /// # Units
    /// - returns: CRS units
    pub(crate) fn along(&self, vertices: impl Iterator<Item = usize>) -> Vec<Coord> {
        let mut points: Vec<Coord> = Vec::new();
        let mut after: &[Coord] = &[];
        for (i, k) in vertices.enumerate() {
            let corner = &self.0[k];
            points.extend(after);
            if i > 0 {
                points.extend(&corner.before);
            }
            points.push(corner.middle);
            after = &corner.after;
        }
        points
    }
}

/// What a rounded line keeps clear of, and where: m in the local frame.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ground<'a> {
    pub(crate) frame: &'a Frame,
    /// Wells and all other places whose heads are known.
    pub(crate) known: &'a [Coord],
    /// Barriers, streams, the boundary.
    pub(crate) lines: &'a Obstacles,
}

/// Lines of a surface of planes with their corners rounded.
///
/// A corner becomes a parabola that touches both pieces of the line, at most at their middles. It stays sharp, or is rounded
/// less, where the head of the surface along the parabola would be farther from the level than [`WITHIN`] of the distance to
/// the next level, and where the triangle of the corner and both ends of the parabola meets another piece of a line, a place
/// whose head is known, a barrier, a stream or the boundary. So no line comes to lie on another side of a well, and none
/// crosses another or itself.
///
/// # Units
/// - returns: CRS units
///
/// # References
/// A parabola lies in the triangle of its ends and the point where its tangents meet: each of its places is their mean with
/// weights (1 - t)^2, t^2 and 2 t (1 - t), none below 0, whose sum is 1.
pub(crate) fn rounded(
    lines: &[ContourLine],
    planes: &Sloping,
    spacings: &Spacings,
    ground: Ground,
) -> Vec<DrawnLine> {
    let local: Vec<Vec<Coord>> = lines
        .iter()
        .map(|line| line.points.iter().map(|p| ground.frame.to_local(*p)).collect())
        .collect();
    let pieces = local.iter().enumerate().flat_map(|(line, points)| {
        points.windows(2).enumerate().map(move |(k, w)| {
            GeomWithData::new(Piece::new([w[0].x, w[0].y], [w[1].x, w[1].y]), (line, k))
        })
    });
    let around = Around {
        heads: planes.heads(),
        pieces: RTree::bulk_load(pieces.collect()),
        known: RTree::bulk_load(ground.known.iter().map(|p| [p.x, p.y]).collect()),
        lines: ground.lines,
    };
    let rounded = |(number, line): (usize, &ContourLine)| {
        let within = THERE * WITHIN * spacings.at(line.level);
        let corner = |k: usize| around.corner(&local[number], number, k, (line.level, within));
        let last = line.points.len() - 1;
        let mut corners: Vec<Corner> = (0..=last)
            .map(|k| match corner(k) {
                Some(corner) => corner.moved(|p| ground.frame.to_crs(p)),
                None => Corner::sharp(line.points[k]),
            })
            .collect();
        if line.is_closed() {
            corners[last] = corners[0].clone();
        }
        DrawnLine(corners)
    };
    lines.par_iter().enumerate().map(rounded).collect()
}

/// Lines as they were computed.
pub(crate) fn as_computed(lines: &[ContourLine]) -> Vec<DrawnLine> {
    lines.iter().map(DrawnLine::as_computed).collect()
}

impl Corner {
    fn moved(self, to: impl Fn(Coord) -> Coord) -> Self {
        let all = |points: Vec<Coord>| points.into_iter().map(&to).collect();
        Self { before: all(self.before), middle: to(self.middle), after: all(self.after) }
    }
}

/// A piece of a line, with the line's number and its own.
type Numbered = GeomWithData<Piece<[f64; 2]>, (usize, usize)>;

/// What is around the corners of the lines.
struct Around<'a> {
    heads: HeadsOfPlanes<'a>,
    pieces: RTree<Numbered>,
    known: RTree<[f64; 2]>,
    lines: &'a Obstacles,
}

impl Around<'_> {
    /// The corner at a vertex, as round as may be; `None` at an end and where it stays sharp.
    fn corner(
        &self,
        points: &[Coord],
        line: usize,
        k: usize,
        (level, within): (f64, f64),
    ) -> Option<Corner> {
        let last = points.len() - 1;
        let closed = points[0] == points[last];
        let (k, before) = match k {
            0 if closed => (0, last - 1),
            k if closed && k == last => (0, last - 1),
            0 => return None,
            k if k == last => return None,
            k => (k, k - 1),
        };
        let (from, at, to) = (points[before], points[k], points[k + 1]);
        SHARES.into_iter().find_map(|share| {
            let ends = [at + (from - at) * (share / 2.0), at + (to - at) * (share / 2.0)];
            let corners = [ends[0], at, ends[1]];
            let own = |other: usize, piece: usize| other == line && (piece == before || piece == k);
            if self.is_in_the_way(corners, own) {
                return None;
            }
            let curve = parabola(corners);
            let is_near =
                |p: &Coord| self.heads.at(*p).is_some_and(|head| (head - level).abs() <= within);
            along(&curve).all(|p| is_near(&p)).then(|| {
                let half = usize::from(PIECES);
                Corner {
                    before: curve[..half].to_vec(),
                    middle: curve[half],
                    after: curve[half + 1..].to_vec(),
                }
            })
        })
    }

    /// Whether the triangle of a corner meets a piece of a line that is not its own, a place whose head is known, or
    /// a line that no line of equal head is rounded across.
    fn is_in_the_way(&self, corners: [Coord; 3], own: impl Fn(usize, usize) -> bool) -> bool {
        let triangle = Triangle::from(corners);
        let about = AABB::from_points(corners.map(|p| [p.x, p.y]).iter());
        let meets = |piece: &Numbered| {
            let [from, to] = [piece.geom().from, piece.geom().to].map(|[x, y]| Coord { x, y });
            !own(piece.data.0, piece.data.1) && triangle.intersects(&Line::new(from, to))
        };
        self.pieces.locate_in_envelope_intersecting(&about).any(meets)
            || self
                .known
                .locate_in_envelope(&about)
                .any(|[x, y]| triangle.intersects(&Point::new(*x, *y)))
            || self.lines.run_into(corners)
    }
}

/// Places along a line, several on each piece: the head turns where the planes meet, which is between vertices.
fn along(line: &[Coord]) -> impl Iterator<Item = Coord> {
    let places = |w: &[Coord]| {
        let (from, to) = (w[0], w[1]);
        (0..LOOKS).map(move |k| from + (to - from) * (f64::from(k) / f64::from(LOOKS)))
    };
    line.windows(2).flat_map(places)
}

/// The parabola from the first to the last of three places, whose tangents meet in the second.
fn parabola([from, control, to]: [Coord; 3]) -> Vec<Coord> {
    let steps = 2 * PIECES;
    let place = |step: u8| {
        let t = f64::from(step) / f64::from(steps);
        let (a, b) = (from + (control - from) * t, control + (to - control) * t);
        a + (b - a) * t
    };
    (0..=steps).map(place).collect()
}

#[cfg(test)]
mod tests {
    use geo::LineString;

    use super::*;
    use crate::contour::planes;
    use crate::triangulate::mesh_of;

    /// Heads of hills and hollows at scattered wells: numbers of a linear congruential generator (Knuth, TAOCP 2,
    /// section 3.3.4, line 26).
    fn scattered(seed: u64, wells: usize) -> (Vec<Coord>, Vec<f64>) {
        let mut state = seed;
        let mut number = move || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            f64::from(u32::try_from(state >> 32).expect("32 bits")) / f64::from(u32::MAX)
        };
        (0..wells)
            .map(|_| {
                let (x, y) = (400.0 * number(), 300.0 * number());
                let hills = 3.0 * libm::sin(x / 60.0) * libm::cos(y / 50.0);
                (Coord { x, y }, 100.0 + hills + 0.2 * number())
            })
            .unzip()
    }

    /// Whether a place is within a closed line, by crossings of the ray to the east.
    fn within(ring: &[Coord], p: Coord) -> bool {
        let crosses = |w: &&[Coord]| {
            let (a, b) = (w[0], w[1]);
            (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
        };
        ring.windows(2).filter(crosses).count() % 2 == 1
    }

    #[test]
    fn rounded_lines_keep_to_their_level_pass_no_well_and_cross_no_line() {
        let mut moved = 0;
        for seed in 1..=20 {
            let (wells, heads) = scattered(seed, 45);
            let frame = Frame::new(Coord { x: 0.0, y: 0.0 }, 1.0);
            let sloping = Sloping::new(&mesh_of(wells.clone(), heads), None, frame);
            let levels: Vec<f64> = (0..40).map(|k| 95.0 + 0.25 * f64::from(k)).collect();
            let spacings = Spacings::every(0.25);
            let lines = planes::lines(&sloping, &levels);
            let none = Obstacles::default();
            let ground = Ground { frame: &frame, known: &wells, lines: &none };
            let drawn = rounded(&lines, &sloping, &spacings, ground);
            let at = sloping.heads();
            let smooth: Vec<Vec<Coord>> = drawn.iter().map(DrawnLine::points).collect();
            for (line, points) in lines.iter().zip(&smooth) {
                // Everywhere along it, not at its vertices alone.
                for w in points.windows(2) {
                    for t in 0..23 {
                        let p = w[0] + (w[1] - w[0]) * (f64::from(t) / 23.0);
                        if let Some(head) = at.at(p) {
                            let off = (head - line.level).abs();
                            assert!(off < WITHIN * 0.25, "{off} off {}", line.level);
                        }
                    }
                }
                let way_round: Vec<Coord> = line
                    .points
                    .iter()
                    .chain(points.iter().rev())
                    .chain(&line.points[..1])
                    .copied()
                    .collect();
                assert!(wells.iter().all(|well| !within(&way_round, *well)), "a well was passed");
                moved += usize::from(points.len() > line.points.len());
            }
            let strings: Vec<LineString> = smooth.into_iter().map(LineString).collect();
            for (i, a) in strings.iter().enumerate() {
                for b in &strings[..i] {
                    assert!(!a.intersects(b), "seed {seed}: two lines meet");
                }
            }
        }
        assert!(moved > 300, "{moved} lines were rounded");
    }

    #[test]
    fn a_corner_at_a_well_or_a_stream_stays_sharp() {
        // Two planes that meet along x = 10; the level 1 turns there.
        let wells =
            [(0.0, 0.0), (10.0, -8.0), (20.0, 0.0), (10.0, 12.0)].map(|(x, y)| Coord { x, y });
        let heads = vec![0.0, 0.0, 0.6, 2.0];
        let frame = Frame::new(Coord { x: 0.0, y: 0.0 }, 1.0);
        let sloping = Sloping::new(&mesh_of(wells.to_vec(), heads), None, frame);
        let spacings = Spacings::every(1.0);
        let lines = planes::lines(&sloping, &[1.0]);
        let corner = lines[0].points[1];
        let vertices = |known: &[Coord], lines_beside: &Obstacles| {
            let ground = Ground { frame: &frame, known, lines: lines_beside };
            rounded(&lines, &sloping, &spacings, ground)[0].points().len()
        };
        let none = Obstacles::default();
        assert_eq!(vertices(&wells, &none), 2 + 2 * usize::from(PIECES) + 1);
        assert_eq!(vertices(&[corner], &none), 3, "a well in the corner");
        let stream =
            Obstacles::new(&[LineString(vec![corner, corner + Coord { x: 0.0, y: -3.0 }])]);
        assert_eq!(vertices(&wells, &stream), 3, "a stream in the corner");
    }
}
