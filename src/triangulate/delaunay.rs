//! The one place that calls the Delaunay library.

use geo::Coord;
use spade::{DelaunayTriangulation, HasPosition, Point2, Triangulation};

use crate::geom::doubled_area;

/// A vertex that remembers which control point it is.
struct Vertex {
    position: Point2<f64>,
    index: usize,
}

impl HasPosition for Vertex {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        self.position
    }
}

/// Corners of the Delaunay triangles and the outline of a set of distinct points.
///
/// Points must come in a canonical order: where four or more lie on one circle, any diagonal is
/// Delaunay, and the one taken follows the order of insertion.
///
/// # Units
/// - `points`: m
///
/// # Panics
/// When the library loses a point or refuses one; a control set rules both out.
pub(super) fn triangles_and_hull(points: &[Coord]) -> (Vec<[usize; 3]>, Vec<usize>) {
    let vertices = points
        .iter()
        .enumerate()
        .map(|(index, p)| Vertex { position: Point2::new(p.x, p.y), index })
        .collect();
    let net = DelaunayTriangulation::<Vertex>::bulk_load_stable(vertices)
        .expect("this is a bug in headfall: a control point is not finite");
    assert_eq!(
        net.num_vertices(),
        points.len(),
        "this is a bug in headfall: the triangulation has not one vertex for each control point"
    );
    let mut triangles: Vec<[usize; 3]> =
        net.inner_faces().map(|face| canonical(face.vertices().map(|v| v.data().index))).collect();
    triangles.sort_unstable();
    debug_assert!(
        triangles.iter().all(|t| doubled_area(t.map(|i| points[i])) > 0.0),
        "this is a bug in headfall: a triangle is not counter-clockwise"
    );
    // The library walks the outline clockwise; maps and GeoJSON want it the other way.
    let mut hull: Vec<usize> = net.convex_hull().map(|edge| edge.from().data().index).collect();
    if signed_area(&hull, points) < 0.0 {
        hull.reverse();
    }
    if let Some(smallest) = hull.iter().enumerate().min_by_key(|(_, v)| **v).map(|(i, _)| i) {
        hull.rotate_left(smallest);
    }
    (triangles, hull)
}

/// The same triangle with its smallest index first, in the same sense of rotation.
fn canonical([a, b, c]: [usize; 3]) -> [usize; 3] {
    if a < b && a < c {
        [a, b, c]
    } else if b < c {
        [b, c, a]
    } else {
        [c, a, b]
    }
}

/// Twice the signed area of a ring of point indices.
fn signed_area(ring: &[usize], points: &[Coord]) -> f64 {
    let origin = points[ring[0]];
    ring.windows(2).map(|w| doubled_area([origin, points[w[0]], points[w[1]]])).sum()
}
