//! What a path meets: points, lines and areas.

use geo::{Coord, Geometry, LineString, Polygon};

use super::approach::{Aim, Approach, approaches, crossing};
use super::meeting::{Meeting, Nearest, Reached};
use super::path::{End, FlowPath};
use crate::geom::{
    Areas, Frame, Obstacles, Pieces, Stretch, at, bends, bounds, distance, foot, tolerance,
};
use crate::uncertainty::DirectionInterval;
use crate::units::Azimuth;

/// A source or a receptor in the local frame.
#[derive(Debug, Clone, Default)]
pub struct Target {
    points: Pieces,
    lines: Vec<Vec<Coord>>,
    areas: Areas,
    /// The pieces of its lines and of the outlines of its areas.
    courses: Pieces,
    /// Those of a line that is reached too, and is no line of its own.
    also: Pieces,
}

/// The parts of a geometry.
#[derive(Default)]
struct Parts {
    points: Vec<Coord>,
    lines: Vec<Vec<Coord>>,
    areas: Vec<Polygon>,
}

impl Target {
    /// A geometry of the project CRS in the local frame, multi-part ones taken apart.
    #[must_use]
    pub fn new(geometry: &Geometry, frame: &Frame) -> Self {
        let mut parts = Parts::default();
        parts.add(geometry, frame);
        let points = Pieces::new(parts.points.iter().map(|p| [*p; 2]).collect());
        let mut target = Self {
            points,
            lines: parts.lines,
            areas: Areas::new(parts.areas),
            courses: Pieces::default(),
            also: Pieces::default(),
        };
        target.courses = Pieces::new(target.courses().flat_map(pieces).collect());
        target
    }

    /// The same, reached on this line too.
    pub(super) fn reached_on(mut self, line: Option<&[Coord]>) -> Self {
        self.also = Pieces::new(line.into_iter().flat_map(pieces).collect());
        self
    }

    /// Its lines and the outlines of its areas.
    pub(super) fn courses(&self) -> impl Iterator<Item = &[Coord]> {
        let rings = self.areas.rings().map(|ring| ring.0.as_slice());
        self.lines.iter().map(Vec::as_slice).chain(rings)
    }

    /// Where paths begin: at points, along lines and along the outlines of areas, no farther apart
    /// than `spacing_m` and no more than about sixty on each, among them the vertices at which they
    /// bend by more than `bend_m`.
    ///
    /// # Units
    /// - `spacing_m`, `bend_m`: m
    #[must_use]
    pub fn starts(&self, spacing_m: f64, bend_m: f64) -> Vec<Coord> {
        const MOST: f64 = 60.0;
        let mut starts: Vec<Coord> = self.places().collect();
        for course in self.courses() {
            let length: f64 = course.windows(2).map(|w| distance(w[0], w[1])).sum();
            let step = spacing_m.max(length / MOST);
            let mut since = f64::INFINITY;
            let mut bends = bends(course, bend_m).into_iter().peekable();
            for (i, w) in course.windows(2).enumerate() {
                let long = distance(w[0], w[1]);
                let bent = bends.next_if_eq(&i).is_some();
                let mut along = if bent && since >= 0.5 * step { 0.0 } else { step - since };
                while along < long {
                    starts.push(w[0] + (w[1] - w[0]) * (along / long));
                    since = 0.0;
                    along += step;
                }
                since =
                    if since.is_finite() { since + long - (along - step).max(0.0) } else { since };
            }
            if let (Some(first), Some(last)) = (course.first(), course.last())
                && (first != last || course.len() == 1)
            {
                starts.push(*last);
            }
        }
        starts
    }

    /// The box about all of it, m; upside down without a place.
    pub(super) fn bounds(&self) -> (Coord, Coord) {
        let pieces = [&self.points, &self.courses, &self.also];
        bounds(pieces.into_iter().flat_map(|p| p.all().iter().flatten().copied()))
    }

    /// The distance from a place to its points and courses, m; infinite when it has none.
    pub(super) fn distance(&self, p: Coord) -> f64 {
        self.points.distance(p).min(self.courses.distance(p))
    }

    /// Its points.
    fn places(&self) -> impl Iterator<Item = Coord> {
        self.points.all().iter().map(|[p, _]| *p)
    }

    /// Whether any of its places is seen from `p` in a direction that the interval holds.
    pub(super) fn seen_within(&self, p: Coord, interval: &DirectionInterval) -> bool {
        let holds = |q: Coord| {
            let d = q - p;
            Azimuth::of_vector(d.x, d.y).is_some_and(|bearing| interval.holds(bearing))
        };
        let rays = match *interval {
            DirectionInterval::Arc { from, to } => vec![from, to],
            DirectionInterval::WholeCircle => Vec::new(),
        };
        let met = |a: Coord, b: Coord| {
            let far = 2.0 * (distance(p, a) + distance(p, b));
            rays.iter().any(|ray| {
                let (sin, cos) = libm::sincos(ray.degrees().to_radians());
                let way = Stretch::new(p, p + Coord { x: far * sin, y: far * cos });
                crossing(way, [a, b]).is_some()
            })
        };
        self.places().any(holds)
            || self.courses().any(|course| {
                course.iter().any(|q| holds(*q)) || course.windows(2).any(|w| met(w[0], w[1]))
            })
    }

    /// What becomes of a path; `None` for one that has not begun.
    ///
    /// A point is reached within `capture_m`, a line where it is crossed, an area where it is
    /// entered, and both also within [`tolerance::SAME_POSITION_M`].
    ///
    /// # Units
    /// - `capture_m`: m
    #[must_use]
    pub fn meet(&self, path: &FlowPath, capture_m: f64) -> Option<Meeting> {
        self.meet_between(path, capture_m).map(|(meeting, _)| meeting)
    }

    /// The same, and how far from the target the path begins and ends, m.
    pub(super) fn meet_between(
        &self,
        path: &FlowPath,
        capture_m: f64,
    ) -> Option<(Meeting, [f64; 2])> {
        let approach = self.approached(Approach::new(path)?, capture_m);
        let (mut nearest, reached) = (approach.nearest, approach.reached);
        if let Some((r, there)) = reached {
            nearest = Nearest { distance_m: 0.0, along_m: r.along_m, at: r.at, there };
        }
        Some((Meeting { reached: reached.map(|(r, _)| r), nearest }, approach.ends_m))
    }

    fn approached<'a>(&self, mut approach: Approach<'a>, capture_m: f64) -> Approach<'a> {
        approach.begin_in(&self.areas);
        approach.to(&Aim {
            pieces: &self.points,
            reach_m: capture_m,
            touch: &|way, [point, _]| into_circle(way, point, capture_m).map(|s| (s, point)),
        });
        for pieces in [&self.courses, &self.also] {
            approach.to(&Aim { pieces, reach_m: tolerance::SAME_POSITION_M, touch: &onto_line });
        }
        approach
    }

    /// What becomes of a path over a surface that ends somewhere within `edge_m` of its support, as a
    /// grid's does within a cell: where the path ends at that edge and the target lies no farther
    /// from there, with no barrier between, it is reached as far as the surface can tell, and `true`
    /// is given beside it. The distance is kept. Without `edge_m`, and in every other case, as
    /// [`Self::meet`].
    ///
    /// # Units
    /// - `capture_m`, `edge_m`, `barriers`: m
    #[must_use]
    pub(crate) fn meet_to(
        &self,
        path: &FlowPath,
        capture_m: f64,
        edge_m: Option<f64>,
        barriers: &Obstacles,
    ) -> Option<(Meeting, bool, [f64; 2])> {
        let (met, ends_m) = self.meet_between(path, capture_m)?;
        let at_edge = met.reached.is_none() && matches!(path.end, End::LeavesMap { .. });
        let Some(edge_m) = edge_m.filter(|_| at_edge) else { return Some((met, false, ends_m)) };
        let (at, head) = (*path.points.last()?, *path.heads.last()?);
        let end = FlowPath { points: vec![at], heads: vec![head], ..path.clone() };
        let nearest = self.meet(&end, capture_m)?.nearest;
        if nearest.distance_m > edge_m || barriers.part(at, nearest.there) {
            return Some((met, false, ends_m));
        }
        let along_m = path.length_m();
        let reached = Some(Reached { at, along_m, head });
        Some((Meeting { reached, nearest: Nearest { along_m, ..nearest } }, true, ends_m))
    }
}

impl Parts {
    fn add(&mut self, geometry: &Geometry, frame: &Frame) {
        let line = |l: &LineString| l.0.iter().map(|p| frame.to_local(*p)).collect::<Vec<_>>();
        let area = |p: &Polygon| in_frame(p, frame);
        match geometry {
            Geometry::Point(p) => self.points.push(frame.to_local(p.0)),
            Geometry::MultiPoint(m) => self.points.extend(m.0.iter().map(|p| frame.to_local(p.0))),
            Geometry::Line(l) => {
                self.lines.push(line(&LineString::from(l)));
            }
            Geometry::LineString(l) => self.lines.push(line(l)),
            Geometry::MultiLineString(m) => self.lines.extend(m.0.iter().map(line)),
            Geometry::Polygon(p) => self.areas.push(area(p)),
            Geometry::MultiPolygon(m) => self.areas.extend(m.0.iter().map(area)),
            Geometry::Rect(r) => self.areas.push(area(&r.to_polygon())),
            Geometry::Triangle(t) => self.areas.push(area(&t.to_polygon())),
            Geometry::GeometryCollection(all) => all.0.iter().for_each(|g| self.add(g, frame)),
        }
    }
}

/// An area of the project CRS in the local frame.
pub(super) fn in_frame(area: &Polygon, frame: &Frame) -> Polygon {
    let ring = |r: &LineString| LineString(r.0.iter().map(|p| frame.to_local(*p)).collect());
    Polygon::new(ring(area.exterior()), area.interiors().iter().map(ring).collect())
}

/// The pieces of a line; of a line of one vertex the place.
pub(super) fn pieces(line: &[Coord]) -> impl Iterator<Item = [Coord; 2]> {
    let lone = line.first().filter(|_| line.len() == 1).map(|p| [*p; 2]);
    line.windows(2).map(|w| [w[0], w[1]]).chain(lone)
}

/// The share of a way at which it first crosses a piece of a line or comes to within
/// [`tolerance::SAME_POSITION_M`] of it.
fn onto_line(way: Stretch, piece: [Coord; 2]) -> Option<(f64, Coord)> {
    let share = |p: Coord| if way.length > 0.0 { distance(way.from, p) / way.length } else { 0.0 };
    let near = approaches(way, piece)
        .into_iter()
        .filter(|(at, there)| distance(*at, *there) <= tolerance::SAME_POSITION_M)
        .map(|(at, there)| (share(at), there));
    let crossed = crossing(way, piece).map(|share| (share, at([way.from, way.to], share)));
    crossed.into_iter().chain(near).min_by(|a, b| a.0.total_cmp(&b.0))
}

/// The share of a way at which it comes within a distance of a place.
fn into_circle(way: Stretch, centre: Coord, radius: f64) -> Option<f64> {
    if distance(way.from, centre) <= radius {
        return Some(0.0);
    }
    let line = [way.from, way.to];
    let share = foot(line, centre);
    let off = distance(at(line, share), centre);
    if off > radius {
        return None;
    }
    let back = (radius * radius - off * off).sqrt() / way.length;
    Some((share - back).clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use geo::{Point, Rect};

    use super::*;
    use crate::toward::path::Way;

    fn c(x: f64, y: f64) -> Coord {
        Coord { x, y }
    }

    /// East along y = 0 from 0 to 100, then north to 50; the head falls by 1 in 100.
    fn path() -> FlowPath {
        FlowPath {
            way: Way::Down,
            points: vec![c(0.0, 0.0), c(100.0, 0.0), c(100.0, 50.0)],
            heads: vec![10.0, 9.0, 8.5],
            end: End::LeavesMap { well: None },
        }
    }

    fn target(geometry: impl Into<Geometry>) -> Target {
        Target::new(&geometry.into(), &Frame::new(c(0.0, 0.0), 1.0))
    }

    fn met(target: &Target) -> Meeting {
        target.meet(&path(), 5.0).expect("a path")
    }

    #[test]
    fn a_point_is_reached_where_the_path_comes_within_the_capture_distance() {
        let m = met(&target(Point::new(60.0, 3.0)));
        let reached = m.reached.expect("3 m off, 5 m will do");
        // 3, 4, 5.
        assert!(distance(reached.at, c(56.0, 0.0)) < 1e-9 && (reached.along_m - 56.0).abs() < 1e-9);
        assert!((reached.head - 9.44).abs() < 1e-12);
        let m = met(&target(Point::new(60.0, 7.0)));
        assert!(m.reached.is_none());
        assert_eq!((m.nearest.distance_m, m.nearest.along_m), (7.0, 60.0));
        let m = met(&target(Point::new(103.0, 54.0)));
        assert!((m.reached.expect("5 m off").along_m - 150.0).abs() < 1e-9);
    }

    #[test]
    fn a_line_is_reached_where_it_is_first_crossed() {
        let creek = LineString(vec![c(120.0, 20.0), c(80.0, 20.0), c(80.0, -20.0), c(20.0, -20.0)]);
        let m = met(&target(creek));
        assert_eq!(m.reached.map(|r| (r.at, r.along_m)), Some((c(80.0, 0.0), 80.0)));
        // A line at which the path ends is reached, one a metre on is not.
        let edge = |y: f64| target(LineString(vec![c(0.0, y), c(200.0, y)]));
        assert!((met(&edge(50.0)).reached.expect("reached").along_m - 150.0).abs() < 1e-9);
        let m = met(&edge(51.0));
        assert!(m.reached.is_none());
        assert_eq!((m.nearest.distance_m, m.nearest.along_m), (1.0, 150.0));
    }

    #[test]
    fn what_lies_within_a_cell_of_the_end_at_the_edge_is_reached_as_far_as_a_grid_can_tell() {
        let none = Obstacles::default();
        // The path ends at (100, 50).
        let edge = |y: f64| target(LineString(vec![c(0.0, y), c(200.0, y)]));
        let (met, at_edge, _) = edge(54.0).meet_to(&path(), 5.0, Some(5.0), &none).expect("a path");
        let reached = met.reached.expect("4 m off, a cell of 5 m");
        assert!(at_edge && reached.at == c(100.0, 50.0) && (reached.along_m - 150.0).abs() < 1e-9);
        assert_eq!((reached.head, met.nearest.distance_m), (8.5, 4.0));
        let exact = |y: f64, cell: Option<f64>, path: &FlowPath| {
            let (met, at_edge, _) = edge(y).meet_to(path, 5.0, cell, &none).expect("a path");
            assert!(!at_edge);
            met
        };
        // Beyond a cell, on triangles, and where the path ends for another reason it is not.
        assert!(exact(56.0, Some(5.0), &path()).reached.is_none());
        assert!(exact(54.0, None, &path()).reached.is_none());
        let stops = FlowPath { end: End::Stops { well: None }, ..path() };
        assert!(exact(54.0, Some(5.0), &stops).reached.is_none());
        // What is crossed is reached there.
        assert_eq!(exact(20.0, Some(5.0), &path()).reached.map(|r| r.along_m), Some(120.0));
    }

    #[test]
    fn an_area_is_reached_where_it_is_entered_and_a_start_within_is_there_already() {
        let area = target(Rect::new(c(40.0, -10.0), c(60.0, 10.0)));
        assert_eq!(met(&area).reached.map(|r| r.along_m), Some(40.0));
        let area = target(Rect::new(c(-40.0, -10.0), c(60.0, 10.0)));
        assert_eq!(met(&area).reached.map(|r| r.along_m), Some(0.0));
        let area = target(Rect::new(c(103.0, 60.0), c(110.0, 70.0)));
        let m = met(&area);
        assert!(m.reached.is_none());
        assert!((m.nearest.distance_m - libm::hypot(3.0, 10.0)).abs() < 1e-12);
        assert_eq!(m.nearest.there, c(103.0, 60.0));
    }

    /// A line far to both sides of where the flow points: its ends are not in the interval, the
    /// middle of it is.
    #[test]
    fn a_line_across_the_flow_lies_in_its_direction_though_its_ends_do_not() {
        let across = target(LineString(vec![c(-500.0, -100.0), c(500.0, -100.0)]));
        let arc = |from: f64, to: f64| DirectionInterval::Arc {
            from: Azimuth::from_degrees(from),
            to: Azimuth::from_degrees(to),
        };
        assert!(across.seen_within(c(0.0, 0.0), &arc(175.0, 178.0)));
        assert!(across.seen_within(c(0.0, 0.0), &arc(90.0, 120.0)));
        assert!(!across.seen_within(c(0.0, 0.0), &arc(300.0, 60.0)));
        assert!(!across.seen_within(c(0.0, -200.0), &arc(175.0, 178.0)));
        let point = target(Point::new(0.0, -50.0));
        assert!(point.seen_within(c(0.0, 0.0), &arc(175.0, 185.0)));
        assert!(!point.seen_within(c(0.0, 0.0), &arc(170.0, 178.0)));
        assert!(point.seen_within(c(0.0, 0.0), &DirectionInterval::WholeCircle));
    }

    #[test]
    fn starts_stand_along_lines_and_outlines() {
        assert_eq!(target(Point::new(1.0, 2.0)).starts(5.0, 0.1), [c(1.0, 2.0)]);
        let starts =
            target(LineString(vec![c(0.0, 0.0), c(10.0, 0.0), c(10.0, 4.0)])).starts(3.0, 0.1);
        assert_eq!(starts.first(), Some(&c(0.0, 0.0)));
        assert_eq!(starts.last(), Some(&c(10.0, 4.0)));
        for w in starts.windows(2) {
            assert!(distance(w[0], w[1]) <= 4.5 && w[0] != w[1], "{starts:?}");
        }
        let square = target(Rect::new(c(0.0, 0.0), c(100.0, 100.0))).starts(0.1, 0.1);
        assert!((50..=70).contains(&square.len()), "{}", square.len());
        let mut sorted = square.clone();
        sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
        sorted.dedup();
        assert_eq!(sorted.len(), square.len());
    }
}
