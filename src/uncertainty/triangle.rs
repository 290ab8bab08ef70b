//! The gradient of one triangle and its errors.

use geo::Coord;
use rayon::prelude::*;

use super::confidence::Confidence;
use super::covariance::Covariance;
use super::gradient::GradientError;
use crate::geom::{Slope, doubled_area, slope_of_triangle};

/// Covariance of a triangle's gradient from the standard deviations of its three heads, taken as
/// independent.
///
/// With the gradients `b_i` of the three linear basis functions the gradient is the sum of
/// `h_i b_i`, and its covariance the sum of `sd_i² b_i b_i'`. `None` when the corners have no area.
///
/// # Units
/// - `corners`: m; `sds`: m; returns: dimensionless
///
/// # References
/// Pinder, Celia and Gray (1981), Ground Water 19(3), 262-264.
#[must_use]
pub fn triangle_covariance(corners: [Coord; 3], sds: [f64; 3]) -> Option<Covariance> {
    let area2 = doubled_area(corners);
    if area2 == 0.0 {
        return None;
    }
    let basis = [0, 1, 2].map(|i| {
        let (p, q) = (corners[(i + 1) % 3], corners[(i + 2) % 3]);
        Slope { east: (p.y - q.y) / area2, north: (q.x - p.x) / area2 }
    });
    Some(Covariance::of_weights(basis.into_iter().zip(sds)))
}

/// How sure a triangle's gradient is.
///
/// `None` when the corners have no area, or fewer than two heads have an error.
///
/// # Units
/// - `corners`: m; `heads`, `sds`: m
///
/// # References
/// See [`triangle_covariance`] and [`GradientError::new`].
#[must_use]
pub fn triangle_error(
    corners: [Coord; 3],
    heads: [f64; 3],
    sds: [f64; 3],
) -> Option<GradientError> {
    let slope = slope_of_triangle(corners, heads)?;
    GradientError::new(slope, triangle_covariance(corners, sds)?, &Confidence::known())
}

/// In networks of more triangles than this, weak gradients get the interval of the joint region
/// for their magnitude, because the integral takes a tenth of a millisecond for each of them.
pub(crate) const MOST_EXACT_TRIANGLES: usize = 2000;

/// How sure the gradient of each of many triangles is, in their order. Beyond
/// `MOST_EXACT_TRIANGLES` the magnitude's interval of weak gradients is longer than need be.
///
/// # Units
/// - `points`: m; `heads`, `sds`: elevation unit, one for each point
/// - `metres`: m in one elevation unit
/// - `triangles`: indices into the three slices
///
/// # Panics
/// When an index is not that of a point.
#[must_use]
pub fn triangle_errors(
    points: &[Coord],
    heads: &[f64],
    sds: &[f64],
    metres: f64,
    triangles: &[[usize; 3]],
) -> Vec<Option<GradientError>> {
    let known = Confidence::known();
    let error = if triangles.len() > MOST_EXACT_TRIANGLES {
        GradientError::quick
    } else {
        GradientError::new
    };
    triangles
        .par_iter()
        .map(|t| {
            let corners = t.map(|i| points[i]);
            let slope = slope_of_triangle(corners, t.map(|i| heads[i] * metres))?;
            let covariance = triangle_covariance(corners, t.map(|i| sds[i] * metres))?;
            error(slope, covariance, &known)
        })
        .collect()
}
