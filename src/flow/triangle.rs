//! One triangle's gradient and direction.

use geo::Coord;
use rayon::prelude::*;

use super::site::downhill;
use super::types::TriangleFlow;
use crate::check::ControlSet;
use crate::geom::{CrsError, Slope, slope_of_triangle};
use crate::triangulate::Mesh;

/// The flow of every triangle of the mesh, in its order.
///
/// # Units
/// - `metres`: m in one unit of head
pub(super) fn flows(
    control: &ControlSet,
    mesh: &Mesh,
    metres: f64,
) -> Result<Vec<TriangleFlow>, CrsError> {
    let centroids: Vec<Coord> = mesh
        .triangles()
        .iter()
        .map(|t| {
            let [a, b, c] = mesh.corners(t);
            control.frame().to_crs(Coord { x: (a.x + b.x + c.x) / 3.0, y: (a.y + b.y + c.y) / 3.0 })
        })
        .collect();
    let convergences = control.crs().convergences(&centroids)?;
    let north_known = control.crs().knows_true_north();
    Ok(mesh
        .triangles()
        .par_iter()
        .zip(centroids.par_iter().zip(&convergences))
        .map(|(t, (centroid, convergence))| {
            let convergence_deg = north_known.then_some(*convergence);
            let heads = t.corners.map(|i| mesh.heads()[i] * metres);
            let slope = if t.is_line() { None } else { slope_of_triangle(mesh.corners(t), heads) };
            let azimuth_grid = slope.and_then(downhill);
            TriangleFlow {
                slope,
                gradient: slope.map(Slope::magnitude),
                azimuth_grid,
                azimuth_true: azimuth_grid.zip(convergence_deg).map(|(a, by)| a.turned(by)),
                convergence_deg,
                centroid: *centroid,
            }
        })
        .collect())
}
