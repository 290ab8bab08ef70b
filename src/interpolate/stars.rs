//! The wells joined to each well by triangles, and its head from the triangles of all other wells.

use geo::Coord;
use rayon::prelude::*;

use super::linear::Facets;
use crate::triangulate;
use crate::triangulate::Mesh;

/// The wells joined to each well by a side of a triangle, and whether triangles lie all around it.
#[derive(Debug)]
pub(crate) struct Stars {
    /// For each well the sides of its triangles that face it, from and to, counter-clockwise.
    facing: Vec<Vec<(usize, usize)>>,
}

impl Stars {
    pub(crate) fn new(mesh: &Mesh) -> Self {
        let mut facing = vec![Vec::new(); mesh.heads().len()];
        for triangle in mesh.triangles() {
            let [a, b, c] = triangle.corners;
            facing[a].push((b, c));
            facing[b].push((c, a));
            facing[c].push((a, b));
        }
        Self { facing }
    }

    /// The wells joined to one, counter-clockwise around it, from the side where it stands open;
    /// `None` where it stands open to more than one side.
    pub(crate) fn around(&self, well: usize) -> Option<(Vec<usize>, Open)> {
        let facing = &self.facing[well];
        let after = |v: usize| facing.iter().find(|f| f.0 == v).map(|f| f.1);
        let is_end = |v: usize| facing.iter().any(|f| f.1 == v);
        let start = facing.iter().map(|f| f.0).find(|v| !is_end(*v));
        let first = start.or_else(|| facing.first().map(|f| f.0))?;
        let mut ring = vec![first];
        let mut last = first;
        while let Some(next) = after(last) {
            if next == first {
                break;
            }
            ring.push(next);
            last = next;
        }
        let whole = ring.len() == facing.len() + usize::from(start.is_some());
        whole.then_some((ring, if start.is_some() { Open::Yes } else { Open::No }))
    }
}

/// Whether a well stands open: on the outline.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Open {
    Yes,
    No,
}

/// The head at each well as the linear surface through all other wells has it; `None` for wells on
/// the outline.
///
/// Without a well the triangles around it give way to the Delaunay triangles of its neighbours:
/// a triangle of the rest that holds its place has an empty circle among all wells but this one,
/// and so has its corners among the wells joined to it. Where four neighbours lie on one circle
/// both diagonals are Delaunay, and the one taken follows the order of the wells.
///
/// # Units
/// - returns: head unit of the mesh
pub(super) fn leave_one_out(mesh: &Mesh) -> Vec<Option<f64>> {
    let stars = Stars::new(mesh);
    (0..mesh.heads().len()).into_par_iter().map(|i| without(mesh, &stars, i)).collect()
}

fn without(mesh: &Mesh, stars: &Stars, well: usize) -> Option<f64> {
    let (mut joined, Open::No) = stars.around(well)? else { return None };
    joined.sort_unstable();
    let at = mesh.local()[well];
    let local: Vec<Coord> = joined.iter().map(|i| mesh.local()[*i]).collect();
    let heads: Vec<f64> = joined.iter().map(|i| mesh.heads()[*i]).collect();
    Facets::new(&triangulate::mesh_of(local, heads)).at(at)
}
