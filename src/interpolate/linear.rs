//! The linear surface: each triangle's plane at the nodes it covers.

use std::ops::Range;

use geo::Coord;
use rayon::prelude::*;

use crate::geom::Frame;
use crate::geom::{distance, doubled_area};
use crate::interpolate::axis::Axis;
use crate::interpolate::axis::slack;
use crate::interpolate::grid::Grid;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::scan::Scan;
use crate::interpolate::scattered::AT_WELL_M;
use crate::triangulate::{Mesh, Planes};

/// Nodes that one thread paints before it takes up the next band of rows: about as many as its
/// cache holds.
const NODES_PER_BAND: usize = 1 << 17;

/// Rows of a band where nothing is painted.
const ROWS_PER_BAND: usize = 16;

/// The head at every node: the plane through the three wells of the triangle the node lies in.
///
/// A node on the outline of the wells belongs to the surface, a node beyond it has no head; a
/// node at a well has that well's head, digit by digit. Along the outline the head runs straight
/// from well to well, also past one that stands on a side of it: see `Planes`. No head leaves the range of its
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
        bands.scan(band, |scan, row| {
            let start = row % bands.height * spec.columns;
            let nodes = &mut nodes[start..start + spec.columns];
            scan.paint(rows.positions()[row], slack, &columns, nodes);
        });
    });
    for (well, head) in mesh.local().iter().zip(mesh.heads()) {
        if let (Some(row), Some(column)) = (rows.at(well.y, slack), columns.at(well.x, slack)) {
            heads[row * spec.columns + column] = *head;
        }
    }
    Grid::new(spec, heads)
}

/// The linear surface of a mesh, place by place.
#[derive(Debug)]
pub(super) struct Facets {
    planes: Planes,
    values: Vec<f64>,
}

impl Facets {
    pub(super) fn new(mesh: &Mesh) -> Self {
        let planes = mesh.planes();
        Self { values: planes.values(mesh.heads()), planes }
    }

    /// The head at a place within the outline, and beyond it by no more than rounding; `None` of a
    /// mesh without triangles.
    ///
    /// # Units
    /// - `p`: m; returns: head unit of the mesh
    pub(super) fn at(&self, p: Coord) -> Option<f64> {
        let places = |corners: &[usize; 3]| corners.map(|k| self.planes.places()[k]);
        // How far within a triangle the place is, and how high it is on its longest side, m.
        let held = |corners: &[usize; 3]| {
            let [a, b, c] = places(corners);
            let sides = [[a, b], [b, c], [c, a]];
            let within = sides.map(|[a, b]| doubled_area([a, b, p]) / distance(a, b));
            let longest = sides.map(|[a, b]| distance(a, b)).into_iter().fold(0.0, f64::max);
            let height = doubled_area([a, b, c]) / longest;
            (within.into_iter().fold(f64::INFINITY, f64::min), height)
        };
        // Of those that hold it, give or take rounding, the highest: on the sides that two share
        // both agree, but the plane of one without height is dust.
        let all = self.planes.triangles().iter().map(|t| (t, held(t)));
        let (corners, _) =
            all.filter(|(_, (_, height))| *height > 0.0).max_by(|(_, a), (_, b)| {
                let holds = |of: &(f64, f64)| of.0 >= -AT_WELL_M;
                let both = holds(a) && holds(b);
                if both { a.1.total_cmp(&b.1) } else { a.0.total_cmp(&b.0) }
            })?;
        let [a, b, c] = places(corners);
        let whole = doubled_area([a, b, c]);
        let parts = [[p, b, c], [a, p, c], [a, b, p]].map(|part| doubled_area(part) / whole);
        let [a, b, c] = corners.map(|k| self.values[k]);
        let head = a + parts[1] * (b - a) + parts[2] * (c - a);
        Some(head.clamp(a.min(b).min(c), a.max(b).max(c)))
    }
}

/// The nodes of each row at which the linear surface has a head; they follow each other, because
/// the outline of the wells is convex.
pub(super) fn support(mesh: &Mesh, columns: &Axis, rows: &Axis, slack: f64) -> Vec<Range<usize>> {
    let bands = Bands::new(mesh, rows, slack, ROWS_PER_BAND);
    let mut support = vec![0..0; rows.positions().len()];
    let add = |held: &mut Range<usize>, more: Range<usize>| {
        let none = held.start == held.end;
        *held = if none { more } else { held.start.min(more.start)..held.end.max(more.end) };
    };
    support.par_chunks_mut(ROWS_PER_BAND).enumerate().for_each(|(band, support)| {
        bands.scan(band, |scan, row| {
            let nodes = scan.nodes(rows.positions()[row], slack, columns);
            if !nodes.is_empty() {
                add(&mut support[row % ROWS_PER_BAND], nodes);
            }
        });
    });
    for well in mesh.local() {
        if let (Some(row), Some(column)) = (rows.at(well.y, slack), columns.at(well.x, slack)) {
            add(&mut support[row], column..column + 1);
        }
    }
    support
}

/// The rows a triangle has nodes in.
fn reach(places: &[Coord], corners: [usize; 3], rows: &Axis, slack: f64) -> Range<usize> {
    let [a, b, c] = corners.map(|i| places[i].y);
    rows.between(a.min(b).min(c) - slack, a.max(b).max(c) + slack)
}

/// Which triangles reach into which band of rows, each band's in the order of the planes.
struct Bands<'a> {
    planes: Planes,
    heads: Vec<f64>,
    rows: &'a Axis,
    slack: f64,
    /// Rows in a band.
    height: usize,
    starts: Vec<usize>,
    triangles: Vec<u32>,
}

impl<'a> Bands<'a> {
    fn new(mesh: &Mesh, rows: &'a Axis, slack: f64, height: usize) -> Self {
        let planes = mesh.planes();
        let bands = |t: &[usize; 3]| {
            let reach = reach(planes.places(), *t, rows, slack);
            if reach.is_empty() { 0..0 } else { reach.start / height..(reach.end - 1) / height + 1 }
        };
        let mut starts = vec![0; rows.positions().len().div_ceil(height) + 1];
        for t in planes.triangles() {
            for band in bands(t) {
                starts[band + 1] += 1;
            }
        }
        for band in 1..starts.len() {
            starts[band] += starts[band - 1];
        }
        let mut free = starts.clone();
        let mut triangles = vec![0; starts[starts.len() - 1]];
        for (i, t) in (0u32..).zip(planes.triangles()) {
            for band in bands(t) {
                triangles[free[band]] = i;
                free[band] += 1;
            }
        }
        let heads = planes.values(mesh.heads());
        Self { planes, heads, rows, slack, height, starts, triangles }
    }

    /// Visits each triangle in each row of a band that it reaches into.
    fn scan(&self, band: usize, mut visit: impl FnMut(&Scan, usize)) {
        let first = band * self.height;
        for triangle in &self.triangles[self.starts[band]..self.starts[band + 1]] {
            let corners = self.planes.triangles()[*triangle as usize];
            let scan = Scan::new(self.planes.places(), &self.heads, corners);
            let reach = reach(self.planes.places(), corners, self.rows, self.slack);
            for row in reach.start.max(first)..reach.end.min(first + self.height) {
                visit(&scan, row);
            }
        }
    }
}
