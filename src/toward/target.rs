//! What a path meets: points, lines and areas.

use geo::{Contains, Coord, Geometry, LineString, Polygon};

use super::path::{End, FlowPath};
use crate::geom::distance;
use crate::geom::{Frame, Obstacles, tolerance};
use crate::uncertainty::DirectionInterval;
use crate::units::Azimuth;

/// A source or a receptor in the local frame.
#[derive(Debug, Clone, Default)]
pub struct Target {
    points: Vec<Coord>,
    lines: Vec<Vec<Coord>>,
    areas: Vec<Polygon>,
    /// Lines that are reached too, and are no lines of its own.
    also: Vec<Vec<Coord>>,
}

/// Where a path first reaches a target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reached {
    /// The place, m.
    pub at: Coord,
    /// How far along the path, m.
    pub along_m: f64,
    /// The head there, elevation unit.
    pub head: f64,
}

/// How near a path comes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// The distance, m; 0 where it is reached, unless that is at the edge of a grid's surface.
    pub distance_m: f64,
    /// How far along the path, m.
    pub along_m: f64,
    /// The place on the path, m.
    pub at: Coord,
    /// The place on the target, m.
    pub there: Coord,
}

/// What becomes of a path with one target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meeting {
    /// Where it is first reached.
    pub reached: Option<Reached>,
    /// How near the path comes.
    pub nearest: Nearest,
}

impl Target {
    /// A geometry of the project CRS in the local frame, multi-part ones taken apart.
    #[must_use]
    pub fn new(geometry: &Geometry, frame: &Frame) -> Self {
        let mut target = Self::default();
        target.add(geometry, frame);
        target
    }

    /// The same, reached on this line too.
    pub(super) fn reached_on(mut self, line: Option<Vec<Coord>>) -> Self {
        self.also.extend(line);
        self
    }

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

    /// Its lines and the outlines of its areas.
    pub(super) fn courses(&self) -> impl Iterator<Item = &[Coord]> {
        let rings = self.areas.iter().flat_map(|a| {
            std::iter::once(a.exterior()).chain(a.interiors()).map(|ring| ring.0.as_slice())
        });
        self.lines.iter().map(Vec::as_slice).chain(rings)
    }

    /// Where paths begin: at points, along lines and along the outlines of areas, no farther apart
    /// than `spacing_m` and no more than about sixty on each, vertices among them.
    ///
    /// # Units
    /// - `spacing_m`: m
    #[must_use]
    pub fn starts(&self, spacing_m: f64) -> Vec<Coord> {
        const MOST: f64 = 60.0;
        let mut starts = self.points.clone();
        for course in self.courses() {
            let length: f64 = course.windows(2).map(|w| distance(w[0], w[1])).sum();
            let step = spacing_m.max(length / MOST);
            let mut since = f64::INFINITY;
            for w in course.windows(2) {
                let long = distance(w[0], w[1]);
                let mut along = if since >= 0.5 * step { 0.0 } else { step - since };
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

    /// The distance from a place to its points and courses, m; infinite when it has none.
    pub(super) fn distance(&self, p: Coord) -> f64 {
        let points = self.points.iter().map(|q| distance(p, *q));
        let courses = self.courses().flat_map(|c| {
            let whole =
                c.windows(2).map(|w| distance(p, w[0] + (w[1] - w[0]) * foot(w[0], w[1], p)));
            let lone = c.iter().take(usize::from(c.len() == 1)).map(|q| distance(p, *q));
            whole.chain(lone)
        });
        points.chain(courses.collect::<Vec<_>>()).fold(f64::INFINITY, f64::min)
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
                crossing(p, p + Coord { x: far * sin, y: far * cos }, a, b).is_some()
            })
        };
        self.points.iter().any(|q| holds(*q))
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
        let first = *path.points.first()?;
        let mut reached: Option<Reached> = None;
        if self.areas.iter().any(|a| a.contains(&first)) {
            reached = Some(Reached { at: first, along_m: 0.0, head: path.heads[0] });
        }
        let mut near = Nearest { distance_m: f64::INFINITY, along_m: 0.0, at: first, there: first };
        let mut before = 0.0;
        let count = path.points.len();
        for i in 0..count.max(2) - 1 {
            let (p, q) = (path.points[i], path.points[(i + 1).min(count - 1)]);
            let (h, k) = (path.heads[i], path.heads[(i + 1).min(count - 1)]);
            let long = distance(p, q);
            let mut take = |share: f64| {
                if reached.is_none_or(|r| before + share * long < r.along_m) {
                    let at = p + (q - p) * share;
                    let along_m = before + share * long;
                    reached = Some(Reached { at, along_m, head: h + share * (k - h) });
                }
            };
            for point in &self.points {
                let share = foot(p, q, *point);
                near.take(p + (q - p) * share, *point, before + share * long);
                if let Some(share) = into_circle(p, q, *point, capture_m) {
                    take(share);
                }
            }
            for course in self.courses().chain(self.also.iter().map(Vec::as_slice)) {
                // A course of one vertex is a place.
                for j in 0..course.len().max(2) - 1 {
                    let (a, b) = (course[j], course[(j + 1).min(course.len() - 1)]);
                    if let Some(share) = crossing(p, q, a, b) {
                        take(share);
                        let at = p + (q - p) * share;
                        near.take(at, at, before + share * long);
                    }
                    for (at, there) in [
                        (p, a + (b - a) * foot(a, b, p)),
                        (q, a + (b - a) * foot(a, b, q)),
                        (p + (q - p) * foot(p, q, a), a),
                        (p + (q - p) * foot(p, q, b), b),
                    ] {
                        near.take(at, there, before + distance(p, at));
                        if distance(at, there) <= tolerance::SAME_POSITION_M {
                            take(if long > 0.0 { distance(p, at) / long } else { 0.0 });
                        }
                    }
                }
            }
            before += long;
        }
        if let Some(r) = reached {
            let there = if near.distance_m <= capture_m { near.there } else { r.at };
            near = Nearest { distance_m: 0.0, along_m: r.along_m, at: r.at, there };
        }
        Some(Meeting { reached, nearest: near })
    }
}

impl Target {
    /// What becomes of a path over a surface that ends somewhere within `edge_m` of its support, as a
    /// grid's does within a cell: where the path ends at that edge and the target lies no farther
    /// from there, with no barrier between, it is reached as far as the surface can tell, and `true`
    /// is given beside it. The distance is kept. Without `edge_m`, and in every other case, as
    /// [`Self::meet`].
    ///
    /// # Units
    /// - `capture_m`, `edge_m`, `barriers`: m
    #[must_use]
    pub fn meet_to(
        &self,
        path: &FlowPath,
        capture_m: f64,
        edge_m: Option<f64>,
        barriers: &Obstacles,
    ) -> Option<(Meeting, bool)> {
        let met = self.meet(path, capture_m)?;
        let at_edge = met.reached.is_none() && matches!(path.end, End::LeavesMap { .. });
        let Some(edge_m) = edge_m.filter(|_| at_edge) else { return Some((met, false)) };
        let (at, head) = (*path.points.last()?, *path.heads.last()?);
        let end = FlowPath { points: vec![at], heads: vec![head], ..path.clone() };
        let nearest = self.meet(&end, capture_m)?.nearest;
        if nearest.distance_m > edge_m || barriers.part(at, nearest.there) {
            return Some((met, false));
        }
        let along_m = path.length_m();
        let reached = Some(Reached { at, along_m, head });
        Some((Meeting { reached, nearest: Nearest { along_m, ..nearest } }, true))
    }
}

/// An area of the project CRS in the local frame.
pub(super) fn in_frame(area: &Polygon, frame: &Frame) -> Polygon {
    let ring = |r: &LineString| LineString(r.0.iter().map(|p| frame.to_local(*p)).collect());
    Polygon::new(ring(area.exterior()), area.interiors().iter().map(ring).collect())
}

impl Nearest {
    fn take(&mut self, at: Coord, there: Coord, along_m: f64) {
        let distance_m = distance(at, there);
        if distance_m < self.distance_m {
            *self = Self { distance_m, along_m, at, there };
        }
    }
}

/// The share of the way from `a` to `b` at which a place is nearest.
pub(super) fn foot(a: Coord, b: Coord, p: Coord) -> f64 {
    let d = b - a;
    let square = d.x * d.x + d.y * d.y;
    if square > 0.0 {
        (((p.x - a.x) * d.x + (p.y - a.y) * d.y) / square).clamp(0.0, 1.0)
    } else {
        0.0
    }
}

/// The share of the way from `p` to `q` at which it crosses the way from `a` to `b`.
fn crossing(p: Coord, q: Coord, a: Coord, b: Coord) -> Option<f64> {
    let (r, s, d) = (q - p, b - a, a - p);
    let across = r.x * s.y - r.y * s.x;
    if across == 0.0 {
        return None;
    }
    let share = (d.x * s.y - d.y * s.x) / across;
    let other = (d.x * r.y - d.y * r.x) / across;
    let within = 0.0..=1.0;
    (within.contains(&share) && within.contains(&other)).then_some(share)
}

/// The share of the way from `p` to `q` at which it comes within a distance of a place.
fn into_circle(p: Coord, q: Coord, centre: Coord, radius: f64) -> Option<f64> {
    if distance(p, centre) <= radius {
        return Some(0.0);
    }
    let share = foot(p, q, centre);
    let off = distance(p + (q - p) * share, centre);
    if off > radius {
        return None;
    }
    let back = (radius * radius - off * off).sqrt() / distance(p, q);
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
        let (met, at_edge) = edge(54.0).meet_to(&path(), 5.0, Some(5.0), &none).expect("a path");
        let reached = met.reached.expect("4 m off, a cell of 5 m");
        assert!(at_edge && reached.at == c(100.0, 50.0) && (reached.along_m - 150.0).abs() < 1e-9);
        assert_eq!((reached.head, met.nearest.distance_m), (8.5, 4.0));
        let exact = |y: f64, cell: Option<f64>, path: &FlowPath| {
            let (met, at_edge) = edge(y).meet_to(path, 5.0, cell, &none).expect("a path");
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
        assert_eq!(target(Point::new(1.0, 2.0)).starts(5.0), [c(1.0, 2.0)]);
        let starts = target(LineString(vec![c(0.0, 0.0), c(10.0, 0.0), c(10.0, 4.0)])).starts(3.0);
        assert_eq!(starts.first(), Some(&c(0.0, 0.0)));
        assert_eq!(starts.last(), Some(&c(10.0, 4.0)));
        for w in starts.windows(2) {
            assert!(distance(w[0], w[1]) <= 4.5 && w[0] != w[1], "{starts:?}");
        }
        let square = target(Rect::new(c(0.0, 0.0), c(100.0, 100.0))).starts(0.1);
        assert!((50..=70).contains(&square.len()), "{}", square.len());
        let mut sorted = square.clone();
        sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
        sorted.dedup();
        assert_eq!(sorted.len(), square.len());
    }
}
