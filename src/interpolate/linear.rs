//! The linear surface: each triangle's plane at the nodes it covers.

use std::ops::Range;

use rayon::prelude::*;

use crate::geom::Frame;
use crate::interpolate::Grid;
use crate::interpolate::GridSpec;
use crate::interpolate::axis::Axis;
use crate::interpolate::axis::slack;
use crate::interpolate::scan::Scan;
use crate::triangulate::Mesh;
use crate::triangulate::Triangle;

/// Nodes that one thread paints before it takes up the next band of rows: about as many as its
/// cache holds.
const NODES_PER_BAND: usize = 1 << 17;

/// The head at every node: the plane through the three wells of the triangle the node lies in.
///
/// A node on the outline of the wells belongs to the surface, a node beyond it has no head; a
/// node at a well has that well's head, digit by digit. No head leaves the range of its
/// triangle's three. On a side that two triangles share both planes agree. Nodes within some
/// 2e-8 m of the outline or of a well count as on it, because their coordinates are known no
/// better (sixteen roundings at the magnitude of the CRS coordinates).
///
/// The result does not depend on the number of threads.
///
/// # Units
/// - `mesh`: positions in m in `frame`, heads in the elevation unit
/// - `spec`: CRS units, at least one node
/// - returns: elevation unit
///
/// # References
/// Piecewise linear interpolation on a triangulation; see for example de Berg et al. (2008),
/// Computational Geometry, 3rd ed., ch. 9. `docs/surface.md`.
#[must_use]
pub fn linear(mesh: &Mesh, frame: &Frame, spec: GridSpec) -> Grid {
    let columns = Axis::of_columns(&spec, frame);
    let rows = Axis::of_rows(&spec, frame);
    let slack = slack(&spec, frame);
    let bands = Bands::new(mesh, &rows, slack, (NODES_PER_BAND / spec.columns).max(1));
    // Zeroes cost nothing until they are touched, and each band is touched by its own thread.
    let mut heads = vec![0.0; spec.rows * spec.columns];
    heads.par_chunks_mut(bands.height * spec.columns).enumerate().for_each(|(band, nodes)| {
        nodes.fill(f64::NAN);
        let first = band * bands.height;
        for triangle in bands.triangles(band) {
            let triangle = &mesh.triangles()[triangle as usize];
            let scan = Scan::new(mesh, triangle);
            let reach = reach(mesh, triangle, &rows, slack);
            for row in reach.start.max(first)..reach.end.min(first + bands.height) {
                let start = (row - first) * spec.columns;
                let nodes = &mut nodes[start..start + spec.columns];
                scan.paint(rows.positions()[row], slack, &columns, nodes);
            }
        }
    });
    for (well, head) in mesh.local().iter().zip(mesh.heads()) {
        if let (Some(row), Some(column)) = (rows.at(well.y, slack), columns.at(well.x, slack)) {
            heads[row * spec.columns + column] = *head;
        }
    }
    Grid::new(spec, heads)
}

/// The rows a triangle has nodes in.
fn reach(mesh: &Mesh, triangle: &Triangle, rows: &Axis, slack: f64) -> Range<usize> {
    let [a, b, c] = mesh.corners(triangle).map(|p| p.y);
    rows.between(a.min(b).min(c) - slack, a.max(b).max(c) + slack)
}

/// Which triangles reach into which band of rows, each band's in the mesh's order.
struct Bands {
    /// Rows in a band.
    height: usize,
    starts: Vec<usize>,
    triangles: Vec<u32>,
}

impl Bands {
    fn new(mesh: &Mesh, rows: &Axis, slack: f64, height: usize) -> Self {
        let bands = |t: &Triangle| {
            let reach = reach(mesh, t, rows, slack);
            if reach.is_empty() { 0..0 } else { reach.start / height..(reach.end - 1) / height + 1 }
        };
        let mut starts = vec![0; rows.positions().len().div_ceil(height) + 1];
        for t in mesh.triangles() {
            for band in bands(t) {
                starts[band + 1] += 1;
            }
        }
        for band in 1..starts.len() {
            starts[band] += starts[band - 1];
        }
        let mut free = starts.clone();
        let mut triangles = vec![0; starts[starts.len() - 1]];
        for (i, t) in (0u32..).zip(mesh.triangles()) {
            for band in bands(t) {
                triangles[free[band]] = i;
                free[band] += 1;
            }
        }
        Self { height, starts, triangles }
    }

    fn triangles(&self, band: usize) -> impl Iterator<Item = u32> {
        self.triangles[self.starts[band]..self.starts[band + 1]].iter().copied()
    }
}
