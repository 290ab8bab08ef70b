//! What the triangles say together.

use super::types::{TriangleFlow, VectorMean};
use crate::geom::{Slope, SlopeSum};
use crate::triangulate::{Mark, Mesh, Triangle};
use crate::units::Azimuth;

/// The direction of flow down a slope of head, against grid north; `None` on level ground.
pub(super) fn downhill(slope: Slope) -> Option<Azimuth> {
    Azimuth::of_vector(-slope.east, -slope.north)
}

/// The area-weighted mean of the triangles' gradient vectors.
///
/// Directions are never averaged as numbers: 359 and 1 degrees are two degrees apart, and a steep
/// triangle says more than a flat one. Triangles with three corners on one stream say nothing of
/// the aquifer and are left out, and so are those with three corners on one line: area times
/// gradient does not vanish with the area, it keeps the fall along the line.
///
/// # Units
/// - `convergence_deg`: degrees, at the site's centre; `None` where true north is not known
/// - `rounding_m`: m, of the positions
pub(super) fn vector_mean(
    mesh: &Mesh,
    flows: &[TriangleFlow],
    convergence_deg: Option<f64>,
    rounding_m: f64,
) -> VectorMean {
    let mut sum = SlopeSum::default();
    let (mut directed_area, mut unit_east, mut unit_north) = (0.0, 0.0, 0.0);
    let of_aquifer = |t: &Triangle| !t.marks.contains(&Mark::OneStream);
    let all = !mesh.triangles().iter().any(|t| of_aquifer(t) && !t.is_line());
    let counted = mesh.triangles().iter().zip(flows).filter(|(t, _)| all || of_aquifer(t));
    for (t, slope) in counted.filter_map(|(t, f)| Some((t, f.slope?))) {
        sum.add(slope, t.area_m2);
        let gradient = slope.magnitude();
        if gradient > 0.0 {
            directed_area += t.area_m2;
            unit_east += t.area_m2 * slope.east / gradient;
            unit_north += t.area_m2 * slope.north / gradient;
        }
    }
    let mean = sum.mean(rounding_m);
    let azimuth_grid = downhill(mean);
    VectorMean {
        gradient: mean.magnitude(),
        azimuth_grid,
        azimuth_true: azimuth_grid.zip(convergence_deg).map(|(a, by)| a.turned(by)),
        agreement: if directed_area > 0.0 {
            libm::hypot(unit_east, unit_north) / directed_area
        } else {
            0.0
        },
    }
}
