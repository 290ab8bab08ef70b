//! What "95 %" means: with declared errors, or with a variance estimated from residuals.

use statrs::distribution::{ChiSquared, ContinuousCDF, StudentsT};

use super::quadrature;

/// The probability with which every interval of this module holds the truth.
pub const LEVEL: f64 = 0.95;

/// Half width of a 95 % interval in standard deviations, normal distribution.
pub const NORMAL_SDS: f64 = 1.959_963_984_540_054;

/// Bound of a one-sided 95 % interval in standard deviations, normal distribution.
const NORMAL_ONE_SIDED_SDS: f64 = 1.644_853_626_951_472_2;

/// The bounds that go with [`LEVEL`], for a covariance that is known or for one that was scaled by
/// a residual variance.
#[derive(Debug, Clone, PartialEq)]
pub struct Confidence {
    /// Half width of an interval of one quantity, in standard deviations: 1.960, or Student's t.
    pub sds: f64,
    /// Bound of the squared distance in standard deviations of a region of two quantities: 5.991
    /// (chi-square with two degrees of freedom), or twice Fisher's F with 2 and n - 3.
    pub region: f64,
    /// Degrees of freedom of the residual variance; `None` when the covariance is known.
    pub degrees_of_freedom: Option<usize>,
    /// Bound of a one-sided interval of one quantity, in standard deviations.
    pub(super) one_sided_sds: f64,
    /// True sd over estimated sd, and the weight of that ratio.
    pub(super) scales: Vec<[f64; 2]>,
}

impl Confidence {
    /// For standard deviations that are declared: normal and chi-square distributions.
    #[must_use]
    pub fn known() -> Self {
        Self {
            sds: NORMAL_SDS,
            one_sided_sds: NORMAL_ONE_SIDED_SDS,
            region: -2.0 * libm::log(1.0 - LEVEL),
            degrees_of_freedom: None,
            scales: vec![[1.0, 1.0]],
        }
    }

    /// For a covariance scaled by a residual variance: Student's t and Fisher's F.
    ///
    /// # Units
    /// - `degrees_of_freedom`: of the residual variance, n - 3 for a plane through n wells; at
    ///   least 1, and 0 counts as 1
    ///
    /// # References
    /// Any text on regression. F with 2 and v degrees of freedom has the closed quantile
    /// `v/2 ((1 - level)^(-2/v) - 1)`.
    ///
    /// # Panics
    /// Never for a count of wells.
    #[must_use]
    pub fn residual(degrees_of_freedom: usize) -> Self {
        let count = degrees_of_freedom.max(1);
        let v = count as f64;
        let bug = "this is a bug in headfall: degrees of freedom are not positive";
        let t = StudentsT::new(0.0, 1.0, v).expect(bug);
        let chi = ChiSquared::new(v).expect(bug);
        Self {
            sds: t.inverse_cdf(f64::midpoint(1.0, LEVEL)),
            one_sided_sds: t.inverse_cdf(LEVEL),
            region: v * (libm::pow(1.0 - LEVEL, -2.0 / v) - 1.0),
            degrees_of_freedom: Some(count),
            scales: quadrature::nodes(0.0, 1.0)
                .map(|[u, weight]| [(v / chi.inverse_cdf(u)).sqrt(), weight])
                .collect(),
        }
    }
}
