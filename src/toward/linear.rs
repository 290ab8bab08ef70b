//! Flow paths on the linear surface, exactly.

use geo::Coord;
use rayon::prelude::*;

use super::net::{Net, Spot};
use super::path::{End, FlowPath, Way};
use crate::geom::distance;
use crate::geom::{doubled_area, slope_of_triangle};

/// A path that meets a side this near to its end, as a share of the side, passes through the well
/// there. A thousand roundings of a coordinate within a site.
const AT_THE_WELL: f64 = 1e-10;

/// The path of the water from a place, over planes on triangles.
///
/// Within a triangle it is a straight line down the plane. From a side it goes on into the next
/// triangle; where both triangles flow toward their side it follows the side down. From a well,
/// and from a start on a side, it takes the steepest way down of all around. It ends where it
/// leaves the outline, at a well lower than all its neighbours, and in a triangle that is level.
/// Nothing is stepped: the only errors are those of rounding.
///
/// A triangle with its corners on one line has no slope of its own ([`crate::triangulate::Mark`]): a
/// start within begins on the nearest of its sides, and from a side or well such a triangle is taken
/// only where no other leads on.
///
/// # Units
/// - `heads`: one for each vertex, any one unit; `start`: m in the mesh's frame
///
/// # References
/// The steepest path on a polyhedral surface; see for example de Berg et al. (1996), "Trekking in
/// the Alps without freezing or getting tired", Algorithmica 15, 306-323 (from memory).
/// `docs/toward.md`.
#[must_use]
pub fn trace(net: &Net, heads: &[f64], start: Coord, way: Way) -> FlowPath {
    let mut path = FlowPath::begin(way);
    let walk = Walk { net, heads, sign: way.sign() };
    let Some(mut spot) = net.locate(start) else { return path };
    if let Spot::Inside(t) = spot
        && net.is_line(t)
    {
        spot = net.beside(t, start).unwrap_or(spot);
    }
    let mut at = start;
    let (mut point, mut head) = walk.place(spot, at);
    at = point;
    path.push(point, head);
    for _ in 0..64 + 16 * net.count() {
        let next = match spot {
            Spot::Inside(t) => walk.leave_inside(t, at),
            Spot::Side { triangle, side, share } => walk.leave_side(triangle, side, share),
            Spot::Vertex(v) => walk.leave_vertex(v),
        };
        match next {
            Ok(next) => {
                spot = next;
                (point, head) = walk.place(spot, at);
                at = point;
                path.push(point, head);
            }
            Err(end) => return path.ended(end),
        }
    }
    path.ended(End::Unfinished)
}

/// The paths from many places, in their order, worked out side by side.
///
/// # Units
/// See [`trace`].
#[must_use]
pub fn traces(net: &Net, heads: &[f64], starts: &[Coord], way: Way) -> Vec<FlowPath> {
    starts.par_iter().map(|start| trace(net, heads, *start, way)).collect()
}

/// The head of the planes at a place; `None` beyond the outline.
///
/// # Units
/// See [`trace`].
#[must_use]
pub(super) fn head(net: &Net, heads: &[f64], at: Coord) -> Option<f64> {
    let spot = net.locate(at)?;
    Some(Walk { net, heads, sign: 1.0 }.place(spot, at).1)
}

struct Walk<'a> {
    net: &'a Net,
    heads: &'a [f64],
    sign: f64,
}

impl Walk<'_> {
    /// Position and head of a spot; one inside a triangle is where it says it is.
    fn place(&self, spot: Spot, at: Coord) -> (Coord, f64) {
        match spot {
            Spot::Inside(t) => {
                let corners = self.net.corners(t);
                let points = corners.map(|v| self.net.point(v));
                let area = doubled_area(points);
                let base = self.heads[corners[0]];
                let rise = |k: usize| self.heads[corners[k]] - base;
                let second = doubled_area([points[2], points[0], at]) / area;
                let third = doubled_area([points[0], points[1], at]) / area;
                (at, base + second * rise(1) + third * rise(2))
            }
            Spot::Side { triangle, side, share } => {
                let corners = self.net.corners(triangle);
                let (a, b) = (corners[side], corners[(side + 1) % 3]);
                let (p, q) = (self.net.point(a), self.net.point(b));
                let (h, k) = (self.heads[a], self.heads[b]);
                (p + (q - p) * share, h + share * (k - h))
            }
            Spot::Vertex(v) => (self.net.point(v), self.heads[v]),
        }
    }

    /// The direction of the walk in a triangle; its length is how steep the triangle is.
    fn direction(&self, triangle: usize) -> Coord {
        let corners = self.net.corners(triangle);
        let slope =
            slope_of_triangle(corners.map(|v| self.net.point(v)), corners.map(|v| self.heads[v]));
        slope.map_or(Coord { x: 0.0, y: 0.0 }, |s| Coord {
            x: -self.sign * s.east,
            y: -self.sign * s.north,
        })
    }

    /// How steeply the walk goes from one vertex to another.
    fn fall(&self, from: usize, to: usize) -> f64 {
        self.sign * (self.heads[from] - self.heads[to])
            / distance(self.net.point(from), self.net.point(to))
    }

    fn leave_inside(&self, triangle: usize, at: Coord) -> Result<Spot, End> {
        let d = self.direction(triangle);
        let corners = self.net.corners(triangle).map(|v| self.net.point(v));
        let mut first: Option<(f64, usize)> = None;
        for side in 0..3 {
            let (a, e) = (corners[side], corners[(side + 1) % 3] - corners[side]);
            if cross(e, d) < 0.0 {
                let ahead = cross(a - at, e) / cross(d, e);
                if first.is_none_or(|(nearest, _)| ahead < nearest) {
                    first = Some((ahead, side));
                }
            }
        }
        let (_, side) = first.ok_or(End::Level)?;
        Ok(self.met(triangle, side, at, d))
    }

    fn leave_side(&self, triangle: usize, side: usize, share: f64) -> Result<Spot, End> {
        let corners = self.net.corners(triangle);
        let (a, b) = (corners[side], corners[(side + 1) % 3]);
        let (p, q) = (self.net.point(a), self.net.point(b));
        let at = p + (q - p) * share;
        let beyond = self.net.across(triangle, side);
        // The steepest of the triangles that lead away from the side.
        let mut best: Option<((bool, f64), usize, usize, Coord)> = None;
        let mut level = false;
        for (t, k, along) in [Some((triangle, side, q - p)), beyond.map(|(t, k)| (t, k, p - q))]
            .into_iter()
            .flatten()
        {
            let d = self.direction(t);
            let steep = libm::hypot(d.x, d.y);
            level |= steep == 0.0;
            let rank = (!self.net.is_line(t), steep);
            if cross(along, d) > 0.0 && best.is_none_or(|b| rank > b.0) {
                best = Some((rank, t, k, d));
            }
        }
        if let Some((_, t, k, d)) = best {
            return Ok(self.through(t, k, at, d));
        }
        if beyond.is_none() {
            return Err(End::LeavesMap { well: None });
        }
        match self.fall(a, b) {
            fall if fall > 0.0 => Ok(Spot::Vertex(b)),
            fall if fall < 0.0 => Ok(Spot::Vertex(a)),
            _ if level => Err(End::Level),
            _ => Err(End::Stops { well: None }),
        }
    }

    /// From a place on a side through the triangle to another side or to the corner across.
    fn through(&self, triangle: usize, side: usize, at: Coord, d: Coord) -> Spot {
        let across = self.net.corners(triangle)[(side + 2) % 3];
        let to_corner = self.net.point(across) - at;
        let next = if cross(d, to_corner) > 0.0 { (side + 1) % 3 } else { (side + 2) % 3 };
        self.met(triangle, next, at, d)
    }

    /// Where a line from `at` along `d` meets a side.
    fn met(&self, triangle: usize, side: usize, at: Coord, d: Coord) -> Spot {
        let corners = self.net.corners(triangle);
        let (a, b) = (corners[side], corners[(side + 1) % 3]);
        let (p, q) = (self.net.point(a), self.net.point(b));
        let share = cross(at - p, d) / cross(q - p, d);
        if share <= AT_THE_WELL {
            Spot::Vertex(a)
        } else if share >= 1.0 - AT_THE_WELL {
            Spot::Vertex(b)
        } else {
            Spot::Side { triangle, side, share }
        }
    }

    fn leave_vertex(&self, vertex: usize) -> Result<Spot, End> {
        let outside = End::LeavesMap { well: Some(vertex) };
        let at = self.net.point(vertex);
        let mut best = ((false, 0.0), None);
        let mut take = |rank: (bool, f64), next: Result<Spot, End>| {
            if rank.1 > 0.0 && rank > best.0 {
                best = (rank, Some(next));
            }
        };
        for &t in self.net.around(vertex) {
            let corners = self.net.corners(t);
            let Some(k) = corners.iter().position(|v| *v == vertex) else { continue };
            let (b, c) = (corners[(k + 1) % 3], corners[(k + 2) % 3]);
            let d = self.direction(t);
            if cross(self.net.point(b) - at, d) > 0.0 && cross(d, self.net.point(c) - at) > 0.0 {
                let rank = (!self.net.is_line(t), libm::hypot(d.x, d.y));
                take(rank, Ok(self.met(t, (k + 1) % 3, at, d)));
            }
            for (to, side) in [(b, k), (c, (k + 2) % 3)] {
                let inside = self.net.across(t, side).is_some();
                take(
                    (true, self.fall(vertex, to)),
                    if inside { Ok(Spot::Vertex(to)) } else { Err(outside) },
                );
            }
        }
        match best.1 {
            Some(next) => next,
            None if self.net.on_outline(vertex) => Err(outside),
            None => Err(End::Stops { well: Some(vertex) }),
        }
    }
}

fn cross(a: Coord, b: Coord) -> f64 {
    a.x * b.y - a.y * b.x
}
