//! Whether the site's plane describes its heads.

use serde::Serialize;
use statrs::distribution::{ChiSquared, ContinuousCDF};

use crate::geom::FittedPlane;
use crate::geom::tolerance::{PLANE_CHANCE, PLANE_R_SQUARED};

/// How far a plane fits its heads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PlaneFit {
    /// Errors of the heads can explain the residuals; so can they those of three wells, of which
    /// there are none.
    WithinErrors,
    /// Errors of the heads do not explain the residuals, which are small against the relief of the
    /// heads.
    BeyondErrors,
    /// Errors of the heads do not explain the residuals, and those are no small part of the relief:
    /// gradient and direction of the plane are not those of the water table.
    Poor,
}

impl PlaneFit {
    /// Of the residual variance over the one that the declared errors lead to expect.
    ///
    /// With normal errors as declared, `variance_ratio` times `spare` has a chi-square distribution
    /// of `spare` degrees of freedom (exactly for equal errors, nearly for unequal ones): the same as
    /// Fisher's F with n - 3 and infinitely many. Beyond the errors is what chance brings in fewer
    /// rounds than [`PLANE_CHANCE`].
    ///
    /// # Units
    /// - `spare`: n - 3
    ///
    /// # References
    /// Test of lack of fit against a known variance: any text on regression.
    ///
    /// # Panics
    /// Never for a count of wells.
    #[must_use]
    pub fn of(plane: &FittedPlane, variance_ratio: Option<f64>, spare: usize) -> Self {
        let Some(ratio) = variance_ratio.filter(|_| spare > 0) else { return Self::WithinErrors };
        let spare = spare as f64;
        let chi_square = ChiSquared::new(spare)
            .expect("this is a bug in headfall: degrees of freedom are not positive");
        if chi_square.sf(ratio * spare) >= PLANE_CHANCE {
            return Self::WithinErrors;
        }
        match plane.r_squared {
            Some(r) if r < PLANE_R_SQUARED => Self::Poor,
            _ => Self::BeyondErrors,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::fit_plane;
    use geo::Coord;

    fn plane(bend: f64) -> FittedPlane {
        let corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        let points: Vec<Coord> = corners.iter().map(|(x, y)| Coord { x: *x, y: *y }).collect();
        // A saddle of `bend` on a slope of 1 to the east.
        fit_plane(&points, &[bend, 1.0 - bend, 1.0 + bend, -bend]).expect("a square")
    }

    #[test]
    fn the_bound_is_the_tabled_chi_square_at_one_in_a_thousand() {
        // Upper 0.001 points of chi-square in any table: 10.828 (1), 18.467 (4), 29.588 (10).
        for (spare, bound) in [(1, 10.828), (4, 18.467), (10, 29.588)] {
            let of =
                |factor: f64| PlaneFit::of(&plane(0.1), Some(factor * bound / spare as f64), spare);
            assert_eq!(of(0.9999), PlaneFit::WithinErrors, "{spare}");
            assert_eq!(of(1.0001), PlaneFit::BeyondErrors, "{spare}");
        }
        assert_eq!(PlaneFit::of(&plane(0.1), Some(1e9), 5000), PlaneFit::BeyondErrors);
        assert_eq!(PlaneFit::of(&plane(0.1), None, 0), PlaneFit::WithinErrors);
    }

    #[test]
    fn a_bend_beyond_the_errors_is_poor_where_it_is_a_tenth_of_the_relief_s_variance() {
        // Sum of squares 1 of the slope and 4 b^2 of the saddle: R2 = 1 / (1 + 4 b^2), 0.9 at
        // b = 1/6.
        for (bend, expected) in [(0.166, PlaneFit::BeyondErrors), (0.167, PlaneFit::Poor)] {
            assert_eq!(PlaneFit::of(&plane(bend), Some(11.0), 1), expected, "{bend}");
            assert_eq!(PlaneFit::of(&plane(bend), Some(10.0), 1), PlaneFit::WithinErrors);
        }
    }
}
