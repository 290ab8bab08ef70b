//! What "95 %" means: with declared errors, or with a variance estimated from residuals.

use statrs::distribution::{ChiSquared, ContinuousCDF, Normal, StudentsT};

use super::quadrature;

/// The probability with which every interval of this module holds the truth.
pub(crate) const LEVEL: f64 = 0.95;

/// Half width of a 95 % interval in standard deviations, normal distribution.
pub(crate) const NORMAL_SDS: f64 = 1.959_963_984_540_054;

/// Bound of a one-sided 95 % interval in standard deviations, normal distribution.
const NORMAL_ONE_SIDED_SDS: f64 = 1.644_853_626_951_472_2;

/// The bounds that go with `LEVEL`, for a covariance that is known or for one that was scaled by
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
        let chi_square = |u: f64| {
            if count == 1 {
                // The square of one normal deviate: the crate's search for it fails near 0, where
                // the density has no bound.
                let deviate = Normal::standard().inverse_cdf(f64::midpoint(1.0, u));
                return deviate * deviate;
            }
            ChiSquared::new(v).expect(bug).inverse_cdf(u)
        };
        Self {
            sds: t.inverse_cdf(f64::midpoint(1.0, LEVEL)),
            one_sided_sds: t.inverse_cdf(LEVEL),
            region: v * (libm::pow(1.0 - LEVEL, -2.0 / v) - 1.0),
            degrees_of_freedom: Some(count),
            scales: quadrature::nodes(0.0, 1.0)
                .map(|[u, weight]| [(v / chi_square(u)).sqrt(), weight])
                .collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ratio_of_sds_is_that_of_chi_square_from_one_degree_of_freedom_on() {
        // scipy.stats.chi2.ppf(u, v), SciPy 1.17.1, at the outermost places of the rule: u =
        // 0.003435700407452502 and 0.9965642995925474.
        for (v, first, last) in [
            (1, 1.854_185_301_572_818_3e-5, 8.560_314_622_117_984),
            (2, 0.006_883_231_958_811_61, 11.347_068_941_809_473),
            (9, 1.573_450_989_570_473, 24.608_883_755_879_177),
        ] {
            let scales = Confidence::residual(v).scales;
            let of = |chi_square: f64| (v as f64 / chi_square).sqrt();
            let [largest, smallest] = [scales[18][0], scales[19][0]];
            assert!((largest / of(first) - 1.0).abs() < 1e-9, "{v}: {largest}");
            assert!((smallest / of(last) - 1.0).abs() < 1e-9, "{v}: {smallest}");
        }
    }
}
