//! How much heads scatter about the planes of their neighbours, and how far off is too far.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

use crate::geom::tolerance::{DECLARED_FREEDOM, LEAVE_ONE_OUT_CHANCE};
use crate::units::{MAD_TO_SD, median};

/// A scaled residual counts for no more than this many robust standard deviations in the scatter:
/// what is farther off is what the scatter has to judge. Huber (1981), Robust Statistics, for the
/// principle (from memory); between 2 and 3 it changes little.
pub(crate) const CAP_SIGMAS: f64 = 2.5;

/// From so many degrees of freedom on, Student's t is the normal distribution to four digits.
const MANY: f64 = 10_000.0;

/// A head held against the plane of its neighbours.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fit {
    /// The plane's head at the well, elevation unit.
    pub(super) predicted: f64,
    /// Head minus that.
    pub(super) residual: f64,
    /// The square root of the variance of such a residual over that of one head.
    pub(super) factor: f64,
    /// Wells that the plane is put through.
    pub(super) through: usize,
}

impl Fit {
    /// The residual in units that are the same for all wells.
    pub(super) fn scaled(&self) -> f64 {
        self.residual / self.factor
    }
}

/// The standard deviation of heads about the planes of their neighbours, and what it is known from.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Scatter {
    /// Elevation unit, positive.
    pub(crate) sd: f64,
    /// Degrees of freedom.
    pub(crate) freedom: f64,
}

impl Scatter {
    /// From the residuals of some heads and from their declared errors, which count as much as
    /// [`DECLARED_FREEDOM`] spare wells. Never below the declared errors: heads may lie on planes by
    /// chance or on purpose, and are known no better for it.
    ///
    /// # Units
    /// - `declared_sd`: the usual standard deviation of a head, elevation unit
    ///
    /// # References
    /// A variance pooled with one known beforehand, and the degrees of freedom of their sum: Smyth
    /// (2004), Statistical Applications in Genetics and Molecular Biology 3(1), 3.
    /// `docs/methods.md`, eq. 11.
    pub(super) fn of<'f>(fits: impl Iterator<Item = &'f Fit>, declared_sd: f64) -> Self {
        let (sizes, spare): (Vec<f64>, Vec<f64>) =
            fits.map(|f| (f.scaled().abs(), spare(f.through))).unzip();
        let usual = MAD_TO_SD * median(sizes.iter().copied()).unwrap_or(0.0);
        let cap = CAP_SIGMAS * usual.max(declared_sd);
        let squares: f64 = sizes.iter().map(|size| size.min(cap)).map(|size| size * size).sum();
        Self::pooled(squares / (sizes.len().max(1) as f64), spare.iter().sum(), declared_sd)
    }

    /// From a mean square with so many degrees of freedom `of_wells`, and from the declared errors.
    ///
    /// # Units
    /// - `mean`: square of the elevation unit; `declared_sd`: elevation unit
    ///
    /// # References
    /// Those of [`Scatter::of`].
    pub(crate) fn pooled(mean: f64, of_wells: f64, declared_sd: f64) -> Self {
        let freedom = DECLARED_FREEDOM + of_wells;
        let pooled = (DECLARED_FREEDOM * declared_sd * declared_sd + of_wells * mean) / freedom;
        Self { sd: pooled.sqrt().max(declared_sd).max(f64::MIN_POSITIVE), freedom }
    }

    /// How many standard deviations off its plane a head may be: beyond it would be one of so many
    /// `wells` by chance in [`LEAVE_ONE_OUT_CHANCE`] of all rounds at most.
    ///
    /// # References
    /// The Bonferroni bound of the largest externally studentized residual: Cook and Weisberg (1982),
    /// Residuals and Influence in Regression, 2.2.2 (from memory).
    pub(super) fn bound(self, wells: usize) -> f64 {
        self.bound_by_chance(wells, LEAVE_ONE_OUT_CHANCE)
    }

    /// The same where one would be beyond it in another part of all rounds.
    pub(crate) fn bound_by_chance(self, wells: usize, chance: f64) -> f64 {
        let tail = chance / 2.0 / wells.max(1) as f64;
        let bug = "this is a bug in headfall: degrees of freedom are not positive";
        if self.freedom > MANY {
            return -Normal::standard().inverse_cdf(tail);
        }
        -StudentsT::new(0.0, 1.0, self.freedom).expect(bug).inverse_cdf(tail)
    }
}

/// The part of a head that measures the scatter: three of the wells of a plane and of the one held
/// against it make the plane.
fn spare(through: usize) -> f64 {
    (through as f64 - 2.0).max(0.0) / (through as f64 + 1.0)
}

/// The bounds of some scatters. Most of a network are known from equally many wells.
pub(super) fn bounds(scatters: &[Scatter], wells: usize) -> Vec<f64> {
    let mut last: Option<(f64, f64)> = None;
    let mut bound = |s: &Scatter| match last {
        #[expect(clippy::float_cmp, reason = "the same sum gives the same digits")]
        Some((freedom, bound)) if freedom == s.freedom => bound,
        _ => {
            let bound = s.bound(wells);
            last = Some((s.freedom, bound));
            bound
        }
    };
    scatters.iter().map(&mut bound).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fit(scaled: f64, through: usize) -> Fit {
        Fit { predicted: 0.0, residual: 2.0 * scaled, factor: 2.0, through }
    }

    #[test]
    fn planes_through_all_others_leave_the_wells_but_three() {
        for wells in 4..12_usize {
            let fits = vec![fit(1.0, wells - 1); wells];
            let found = Scatter::of(fits.iter(), 0.01).freedom - DECLARED_FREEDOM;
            assert!((found - (wells as f64 - 3.0)).abs() < 1e-12, "{wells}: {found}");
        }
    }

    #[test]
    fn the_declared_errors_are_pooled_and_are_the_least() {
        // By hand: 4 heads of which each counts for 2/5, two spare wells for the declared 0.5.
        let fits = [fit(1.0, 4), fit(-1.0, 4), fit(1.0, 4), fit(-1.0, 4)];
        let scatter = Scatter::of(fits.iter(), 0.5);
        let expected = ((2.0 * 0.25 + 1.6) / 3.6_f64).sqrt();
        assert!((scatter.sd - expected).abs() < 1e-12, "{scatter:?}");
        let still = vec![fit(0.0, 10); 20];
        assert!((Scatter::of(still.iter(), 0.5).sd - 0.5).abs() < 1e-12);
    }

    #[test]
    fn one_head_far_off_hardly_widens_the_scatter() {
        let mut fits = vec![fit(1.0, 10); 19];
        let without = Scatter::of(fits.iter(), 0.1).sd;
        fits.push(fit(1000.0, 10));
        let with = Scatter::of(fits.iter(), 0.1).sd;
        assert!(with < 1.3 * without, "{without} {with}");
    }

    #[test]
    fn the_bound_is_that_of_students_t() {
        // scipy.stats.t.isf(0.02 / 2 / wells, freedom), norm.isf for the last, SciPy 1.17.1.
        for (wells, freedom, expected) in [
            (5, 3.0, 8.052_613_074_541_654),
            (6, 4.0, 6.254_070_518_916_924),
            (8, 6.0, 4.980_693_513_519_424),
            (12, 10.0, 4.258_617_708_598_453),
            (20, 15.8, 4.025_862_077_016_205),
            (60, 44.9, 3.885_343_189_610_41),
            (1000, 729.0, 4.293_120_295_722_868),
            (100_000, 72_729.0, 5.199_337_582_192_817),
        ] {
            let found = Scatter { sd: 1.0, freedom }.bound(wells);
            assert!((found / expected - 1.0).abs() < 1e-6, "{wells}: {found}");
        }
    }
}
