//! A receptor that is a stream, as the map has it.

use geo::{Coord, Geometry, LineLocatePoint, LineString, Point};

use super::target::pieces;
use crate::geom::{Pieces, distance};
use crate::map::Map;
use crate::read::WellKind;

/// The stream that a line is: index into [`crate::read::Features::streams`].
pub(super) fn of(map: &Map, place: &Geometry, near_m: f64) -> Option<usize> {
    let Geometry::LineString(line) = place else { return None };
    let frame = map.control.frame();
    let local = |l: &LineString| -> Vec<Coord> { l.0.iter().map(|p| frame.to_local(*p)).collect() };
    let line = local(line);
    map.site.features.streams.iter().position(|s| is_same(&local(&s.line), &line, near_m))
}

/// The course of a stream through its control points, m in the local frame, where a receptor is
/// that stream. Between its points the map knows the stream by straight lines only, and where it
/// is the outline of the map a path ends on these, short of the digitised course.
///
/// A gauge nearer to the stream than `near_m` stands for the stream's own point there.
pub(super) fn through_points(map: &Map, place: &Geometry, near_m: f64) -> Option<Vec<Coord>> {
    let Geometry::LineString(line) = place else { return None };
    let frame = map.control.frame();
    let local = |l: &LineString| LineString(l.0.iter().map(|p| frame.to_local(*p)).collect());
    let receptor = local(line);
    let streams = map.site.features.streams.iter().map(|s| local(&s.line));
    let (stream, course) = streams.enumerate().find(|(_, s)| is_same(&s.0, &receptor.0, near_m))?;
    let index = Pieces::new(pieces(&course.0).collect());
    let mut points: Vec<(f64, Coord)> = map
        .control
        .points()
        .iter()
        .filter_map(|point| {
            let p = frame.to_local(point.crs);
            let share = course.line_locate_point(&Point(p))?;
            let own = point.stream() == Some(stream);
            let gauge = || point.kind() == Some(WellKind::Gauge) && index.distance(p) <= near_m;
            (own || gauge()).then_some((share, p))
        })
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    (points.len() > 1).then(|| points.into_iter().map(|(_, p)| p).collect())
}

/// Whether two lines are one: no vertex of either is farther than `near_m` from the other. Two files
/// of one creek differ by roundings and by the ways of their CRS.
pub(super) fn is_same(a: &[Coord], b: &[Coord], near_m: f64) -> bool {
    let beside = |line: &[Coord], of: &Pieces| line.iter().all(|p| of.distance(*p) <= near_m);
    // Most lines are told apart by the boxes about them.
    box_of(a)
        .zip(box_of(b))
        .is_some_and(|(a, b)| (0..2).all(|k| distance(a[k], b[k]) <= 2.0 * near_m))
        && beside(a, &Pieces::new(pieces(b).collect()))
        && beside(b, &Pieces::new(pieces(a).collect()))
}

/// The corners of the box about some places.
fn box_of(places: &[Coord]) -> Option<[Coord; 2]> {
    let [low, high] = [f64::min, f64::max].map(|far: fn(f64, f64) -> f64| {
        places.iter().copied().reduce(|p, q| Coord { x: far(p.x, q.x), y: far(p.y, q.y) })
    });
    Some([low?, high?])
}
