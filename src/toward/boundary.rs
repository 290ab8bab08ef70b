//! Paths end at the boundary of the map.

use super::path::{End, FlowPath};
use super::target::in_frame;
use crate::geom::{Areas, distance};
use crate::map::Map;

/// The boundary of the map in the local frame.
pub(super) fn of(map: &Map) -> Areas {
    let (areas, frame) = (map.control.beside().boundary(), map.control.frame());
    Areas::new(areas.polygons().iter().map(|a| in_frame(a, frame)).collect())
}

/// A path up to where it first leaves the boundary; one that begins beyond it has not begun.
///
/// # Units
/// - `boundary`: m in the local frame
pub(super) fn cut(boundary: &Areas, path: FlowPath) -> FlowPath {
    if boundary.is_empty() || path.points.is_empty() {
        return path;
    }
    if !boundary.hold(path.points[0]) {
        return FlowPath::begin(path.way);
    }
    let mut before = 0.0;
    for w in path.points.windows(2) {
        let within = if boundary.cut(w[0], w[1]) {
            match boundary.parts(w[0], w[1]).first() {
                Some([from, to]) if *from <= 0.0 => *to,
                _ => 0.0,
            }
        } else {
            1.0
        };
        let length = distance(w[0], w[1]);
        if within < 1.0 {
            return path.first(before + within * length).ended(End::LeavesMap { well: None });
        }
        before += length;
    }
    path
}

#[cfg(test)]
mod tests {
    use geo::{Coord, Polygon, Rect};

    use super::*;
    use crate::toward::path::Way;

    fn path(points: &[(f64, f64)]) -> FlowPath {
        FlowPath {
            way: Way::Down,
            points: points.iter().map(|(x, y)| Coord { x: *x, y: *y }).collect(),
            heads: (0..points.len()).map(|k| 10.0 - k as f64).collect(),
            end: End::Stops { well: Some(3) },
        }
    }

    fn area(x: f64, y: f64) -> Polygon {
        Rect::new(Coord { x, y }, Coord { x: x + 10.0, y: y + 10.0 }).to_polygon()
    }

    #[test]
    fn a_path_ends_where_it_leaves_the_boundary_and_not_before() {
        let one = Areas::new(vec![area(0.0, 0.0)]);
        let left = cut(&one, path(&[(2.0, 2.0), (2.0, 8.0), (22.0, 8.0)]));
        assert_eq!(left.end, End::LeavesMap { well: None });
        assert!((left.length_m() - 14.0).abs() < 1e-12, "{left:?}");
        assert!((left.heads[2] - 8.6).abs() < 1e-12, "{left:?}");
        // From one area into the next there is no leaving.
        let two = Areas::new(vec![area(0.0, 0.0), area(10.0, 0.0)]);
        let whole = path(&[(2.0, 2.0), (18.0, 2.0)]);
        assert_eq!(cut(&two, whole.clone()), whole);
        assert_eq!(cut(&one, path(&[(12.0, 2.0), (2.0, 2.0)])).end, End::NotOnMap);
        assert_eq!(cut(&Areas::default(), whole.clone()), whole);
        // Along the boundary itself is still on the map.
        let along = path(&[(0.0, 0.0), (10.0, 0.0)]);
        assert_eq!(cut(&one, along.clone()), along);
    }
}
