//! Lines and triangles in longitude and latitude, cut where they cross the antimeridian.
//!
//! RFC 7946, section 3.1.9: a geometry that crosses it is cut in two, so that neither part does.
//! Two neighbouring positions further apart than 180 degrees of longitude are joined the short
//! way round; no side of a site is longer than that.

use std::cell::Cell;

use geo::orient::Direction;
use geo::{Coord, Geometry, LineString, MapCoordsInPlace, MultiLineString, MultiPolygon, Orient};
use geo::{Polygon, Winding};

use crate::report::digits;

/// A line. `None` when all of it rounds to one position.
///
/// # Units
/// - `points`: degrees, not yet rounded
pub(super) fn line(points: &[Coord]) -> Option<Geometry> {
    let mut parts: Vec<LineString> =
        parts_of(points).into_iter().filter_map(rounded_line).collect();
    match parts.len() {
        0 => None,
        1 => parts.pop().map(Geometry::from),
        _ => Some(MultiLineString(parts).into()),
    }
}

/// A triangle, its outline counter-clockwise (RFC 7946, section 3.1.6). `None` when it rounds to
/// less than three positions.
///
/// # Units
/// - `corners`: degrees, not yet rounded
pub(super) fn triangle(corners: [Coord; 3]) -> Option<Geometry> {
    convex(&corners)
}

/// A convex polygon, likewise.
///
/// # Units
/// As for [`triangle`].
pub(super) fn convex(corners: &[Coord]) -> Option<Geometry> {
    let first = corners.first()?;
    let near: Vec<Coord> =
        corners.iter().map(|p| Coord { x: unwrapped(first.x, p.x), y: p.y }).collect();
    let side = if near.iter().any(|p| p.x > 180.0) {
        180.0
    } else if near.iter().any(|p| p.x < -180.0) {
        -180.0
    } else {
        return rounded_ring(near).map(Geometry::from);
    };
    let within = half(&near, |p| (side - p.x) * side.signum());
    let mut beyond = half(&near, |p| (p.x - side) * side.signum());
    for p in &mut beyond {
        p.x -= 2.0 * side;
    }
    let mut parts: Vec<Polygon> = [within, beyond].into_iter().filter_map(rounded_ring).collect();
    match parts.len() {
        0 => None,
        1 => parts.pop().map(Geometry::from),
        _ => Some(MultiPolygon(parts).into()),
    }
}

/// Rounded, outlines counter-clockwise; lines cut where they cross the antimeridian. Of an area
/// across it the outline is given. `None` for a line all of which rounds to one position.
///
/// # Units
/// - `shape`: degrees, not yet rounded
pub(super) fn cut(shape: &Geometry) -> Option<Geometry> {
    let all = |lines: &[&LineString]| {
        let mut parts = Vec::new();
        for one in lines {
            match line(&one.0)? {
                Geometry::LineString(l) => parts.push(l),
                Geometry::MultiLineString(m) => parts.extend(m.0),
                _ => {}
            }
        }
        Some(MultiLineString(parts).into())
    };
    let crosses = |l: &LineString| l.0.windows(2).any(|w| (w[1].x - w[0].x).abs() > 180.0);
    match shape {
        Geometry::LineString(l) => line(&l.0),
        Geometry::MultiLineString(m) => all(&m.0.iter().collect::<Vec<_>>()),
        Geometry::Polygon(p) if crosses(p.exterior()) => all(&[p.exterior()]),
        Geometry::MultiPolygon(m) if m.0.iter().any(|p| crosses(p.exterior())) => {
            all(&m.0.iter().map(geo::Polygon::exterior).collect::<Vec<_>>())
        }
        other => {
            let mut rounded = other.clone();
            rounded.map_coords_in_place(digits::lon_lat);
            Some(match rounded {
                Geometry::Polygon(p) => p.orient(Direction::Default).into(),
                Geometry::MultiPolygon(m) => m.orient(Direction::Default).into(),
                other => other,
            })
        }
    }
}

/// Puts the vertices of some geometries at other places: those of `all`, in the order of `CoordsIter`.
pub(super) fn place(shapes: &mut [Geometry], all: &[Coord]) {
    // Both walks visit the vertices in the same order.
    let next = Cell::new(0);
    for shape in shapes {
        shape.map_coords_in_place(|p| all.get(next.replace(next.get() + 1)).copied().unwrap_or(p));
    }
}

/// `longitude` by the way that is short from `from`; it may lie beyond 180 degrees.
pub(super) fn unwrapped(from: f64, longitude: f64) -> f64 {
    match longitude - from {
        d if d > 180.0 => longitude - 360.0,
        d if d < -180.0 => longitude + 360.0,
        _ => longitude,
    }
}

/// The parts of a line between its crossings.
fn parts_of(points: &[Coord]) -> Vec<Vec<Coord>> {
    let Some(&first) = points.first() else { return Vec::new() };
    let mut parts = Vec::new();
    let mut part = Vec::with_capacity(points.len());
    part.push(first);
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let x = unwrapped(a.x, b.x);
        if x.to_bits() != b.x.to_bits() {
            let side = if x > a.x { 180.0 } else { -180.0 };
            // A step from +180 to -180 is no way at all.
            let share = if x.to_bits() == a.x.to_bits() { 0.0 } else { (side - a.x) / (x - a.x) };
            let y = a.y + share * (b.y - a.y);
            part.push(Coord { x: side, y });
            parts.push(std::mem::replace(&mut part, vec![Coord { x: -side, y }]));
        }
        part.push(b);
    }
    // A closed line goes on where it began.
    match parts.first_mut() {
        Some(start) if first == points[points.len() - 1] => {
            part.extend_from_slice(&start[1..]);
            *start = part;
        }
        _ => parts.push(part),
    }
    parts
}

/// The part of a convex outline where `inside` is not negative.
fn half(outline: &[Coord], inside: impl Fn(&Coord) -> f64) -> Vec<Coord> {
    let mut kept = Vec::with_capacity(outline.len() + 1);
    for (i, a) in outline.iter().enumerate() {
        let b = &outline[(i + 1) % outline.len()];
        let (da, db) = (inside(a), inside(b));
        if da >= 0.0 {
            kept.push(*a);
        }
        if (da > 0.0 && db < 0.0) || (da < 0.0 && db > 0.0) {
            kept.push(*a + (*b - *a) * (da / (da - db)));
        }
    }
    kept
}

fn rounded_line(mut part: Vec<Coord>) -> Option<LineString> {
    for p in &mut part {
        *p = digits::lon_lat(*p);
    }
    part.dedup();
    (part.len() > 1).then_some(LineString(part))
}

fn rounded_ring(mut part: Vec<Coord>) -> Option<Polygon> {
    for p in &mut part {
        *p = digits::lon_lat(*p);
    }
    part.dedup();
    if part.len() > 1 && part.first() == part.last() {
        part.pop();
    }
    if part.len() < 3 {
        return None;
    }
    let mut ring = LineString(part);
    ring.close();
    ring.make_ccw_winding();
    Some(Polygon::new(ring, Vec::new()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn c(x: f64, y: f64) -> Coord {
        Coord { x, y }
    }

    #[test]
    fn the_line_of_rfc_7946_is_cut_as_the_rfc_cuts_it() {
        // RFC 7946, section 3.1.9: "a LineString extending from 45 degrees N, 170 degrees E across
        // the antimeridian to 45 degrees N, 170 degrees W".
        let expected = MultiLineString(vec![
            LineString(vec![c(170.0, 45.0), c(180.0, 45.0)]),
            LineString(vec![c(-180.0, 45.0), c(-170.0, 45.0)]),
        ]);
        assert_eq!(line(&[c(170.0, 45.0), c(-170.0, 45.0)]), Some(expected.into()));
    }

    #[test]
    fn the_polygon_of_rfc_7946_is_cut_into_two_counter_clockwise_rings() {
        // RFC 7946, section 3.1.9: the polygon 40 to 50 degrees N, 170 degrees E to 170 degrees W.
        // Half of it, as a triangle: a quarter of its area lies west, three quarters east.
        let found = triangle([c(170.0, 40.0), c(-170.0, 40.0), c(-170.0, 50.0)]);
        let expected = MultiPolygon(vec![
            Polygon::new(
                LineString(vec![c(170.0, 40.0), c(180.0, 40.0), c(180.0, 45.0), c(170.0, 40.0)]),
                Vec::new(),
            ),
            Polygon::new(
                LineString(vec![
                    c(-180.0, 40.0),
                    c(-170.0, 40.0),
                    c(-170.0, 50.0),
                    c(-180.0, 45.0),
                    c(-180.0, 40.0),
                ]),
                Vec::new(),
            ),
        ]);
        assert_eq!(found, Some(expected.into()));
    }

    #[test]
    fn a_triangle_is_written_counter_clockwise_whichever_way_it_comes() {
        let ring = LineString(vec![c(1.0, 1.0), c(2.0, 1.0), c(1.0, 2.0), c(1.0, 1.0)]);
        for corners in
            [[c(1.0, 1.0), c(2.0, 1.0), c(1.0, 2.0)], [c(1.0, 1.0), c(1.0, 2.0), c(2.0, 1.0)]]
        {
            let expected = Polygon::new(ring.clone(), Vec::new());
            assert_eq!(triangle(corners), Some(expected.into()));
        }
    }

    #[test]
    fn a_corner_on_the_antimeridian_does_not_cut_a_triangle() {
        for on in [180.0, -180.0] {
            for turn in 0..3 {
                let mut corners = [c(179.0, 0.0), c(on, 0.0), c(179.0, 1.0)];
                corners.rotate_left(turn);
                let Some(Geometry::Polygon(p)) = triangle(corners) else { panic!("one polygon") };
                assert!(p.exterior().0.iter().all(|q| q.x >= 179.0), "{p:?}");
            }
        }
    }

    #[test]
    fn a_ring_across_the_antimeridian_becomes_two_lines() {
        let ring = [c(179.0, 0.0), c(-179.0, 0.0), c(-179.0, 2.0), c(179.0, 2.0), c(179.0, 0.0)];
        let expected = MultiLineString(vec![
            LineString(vec![c(-180.0, 2.0), c(-179.0, 2.0), c(-179.0, 0.0), c(-180.0, 0.0)]),
            LineString(vec![c(180.0, 0.0), c(179.0, 0.0), c(179.0, 2.0), c(180.0, 2.0)]),
        ]);
        let Some(Geometry::MultiLineString(mut found)) = line(&ring) else { panic!("two lines") };
        assert_eq!(found.0.len(), 2);
        found.0.sort_by(|a, b| a.0[0].x.total_cmp(&b.0[0].x));
        // The ring runs east along 0 and back west along 2: the parts keep that direction.
        let reversed: Vec<LineString> =
            expected.0.iter().map(|l| LineString(l.0.iter().rev().copied().collect())).collect();
        assert_eq!(found.0, reversed);
    }

    #[test]
    fn a_line_that_only_touches_the_antimeridian_has_no_part_of_one_position() {
        for on in [180.0, -180.0] {
            let Some(g) = line(&[c(179.0, 0.0), c(on, 1.0), c(179.0, 2.0)]) else {
                panic!("a line")
            };
            let parts = match g {
                Geometry::LineString(l) => vec![l],
                Geometry::MultiLineString(m) => m.0,
                other => panic!("{other:?}"),
            };
            assert!(parts.iter().all(|l| l.0.len() > 1 && l.0.iter().all(|p| p.x >= 179.0)));
            assert_eq!(parts.iter().map(|l| l.0.len() - 1).sum::<usize>(), 2);
        }
    }

    #[test]
    fn a_line_below_the_last_decimal_is_left_out() {
        assert_eq!(line(&[c(1.0, 1.0), c(1.0 + 1e-9, 1.0)]), None);
        assert_eq!(line(&[]), None);
    }
}
