//! The site's least-squares plane and its errors.

use geo::Coord;
use schemars::JsonSchema;
use serde::Serialize;

use super::confidence::Confidence;
use super::covariance::Covariance;
use super::gradient::GradientError;
use super::plane_fit::PlaneFit;
use crate::geom::FittedPlane;
use crate::units::Azimuth;

/// Which of its two intervals a plane is stated with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// That of the declared errors of the heads: it reaches as far as the other to every side.
    HeadErrors,
    /// That of the residuals reaches farther, to one side at least: the heads scatter about the plane
    /// by more than their errors, or too few wells are to spare to tell that they do not.
    Residuals,
}

/// How sure the site's plane is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlaneError {
    /// From the declared standard deviations of the heads alone.
    pub from_head_errors: GradientError,
    /// From the residual variance with n - 3 degrees of freedom, lack of fit included; `None` for
    /// three wells and for heads that lie on the plane exactly.
    pub from_residuals: Option<GradientError>,
    /// What is stated: intervals that reach as far as the wider of the two to every side.
    pub stated: GradientError,
    /// Which of the two that is.
    pub basis: Basis,
    /// Residual variance over the one that the declared errors lead to expect; `None` for three
    /// wells. Well above 1, the water table is not a plane or a head is wrong.
    pub variance_ratio: Option<f64>,
    /// Whether the errors explain the residuals, and whether those are small.
    pub fit: PlaneFit,
}

/// How sure a least-squares plane is.
///
/// Residuals hold the errors of the heads and the lack of fit together, but few of them tell little:
/// their variance may be small by luck. So both intervals are worked out, and what is stated reaches
/// as far as the wider one. `None` when fewer than two heads have an error.
///
/// # Units
/// - `plane`: heads and distances in m, fitted to `points` and to heads in the same order
/// - `points`: m; `sds`: m
///
/// # Panics
/// When `sds` and `points` differ in length.
///
/// # References
/// Ordinary least squares; see any text on regression. `docs/uncertainty.md`.
#[must_use]
pub fn plane_error(plane: &FittedPlane, points: &[Coord], sds: &[f64]) -> Option<PlaneError> {
    assert_eq!(points.len(), sds.len(), "this is a bug in headfall: not one sd for each well");
    let [ee, en, nn] = plane.unit_covariance;
    let weights = points.iter().map(|p| plane.weight(*p));
    let known = Covariance::of_weights(weights.zip(sds.iter().copied()));
    let from_head_errors = GradientError::new(plane.slope, known, &Confidence::known())?;
    let (mut from_residuals, mut variance_ratio) = (None, None);
    if let Some(sd) = plane.residual_sd {
        let spare = points.len() - 3;
        let leverage = |p: &Coord| plane.leverage(*p, points.len());
        let expected: f64 =
            points.iter().zip(sds).map(|(p, sd)| sd * sd * (1.0 - leverage(p))).sum();
        let variance = sd * sd;
        let scaled = Covariance {
            east_east: variance * ee,
            east_north: variance * en,
            north_north: variance * nn,
        };
        from_residuals = GradientError::new(plane.slope, scaled, &Confidence::residual(spare));
        variance_ratio = Some(variance * spare as f64 / expected);
    }
    let azimuth = Azimuth::of_vector(-plane.slope.east, -plane.slope.north);
    let stated = from_residuals.map_or(from_head_errors, |r| from_head_errors.widened(r, azimuth));
    let basis = if stated == from_head_errors { Basis::HeadErrors } else { Basis::Residuals };
    let fit = PlaneFit::of(plane, variance_ratio, points.len().saturating_sub(3));
    Some(PlaneError { from_head_errors, from_residuals, stated, basis, variance_ratio, fit })
}
