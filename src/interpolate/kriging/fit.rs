//! The covariance from the heads themselves, by restricted maximum likelihood.

mod likelihood;
mod search;
#[cfg(test)]
mod tests;

#[cfg(test)]
pub(super) use tests::drawn;

use faer::Mat;
use geo::Coord;
use serde::Serialize;

use self::likelihood::Likelihood;
use self::search::Free;
use self::search::Search;
use super::covariance::Covariance;
use super::covariance::Model;
use super::drift::Drift;
use super::error::KrigingError;
use super::linear;
use super::network::Heads;
use super::network::Network;
use crate::diag::{Code, Diagnostic};
use crate::units::brief_to;

/// A fit is refused when the wells exceed the drift's terms by fewer than this: three parameters
/// are not told from fewer than ten contrasts of heads. Common practice, no source.
pub const FEWEST_CONTRASTS: usize = 10;

/// Below this many wells a fit is said to be poorly known: about 50 are needed by restricted
/// maximum likelihood (Kerry and Oliver 2007, Geoderma 140, 383-396), 100 or more by the method of
/// moments (Webster and Oliver 1992, Journal of Soil Science 43, 177-192). Both from memory.
pub const WELL_FITTED_WELLS: usize = 50;

/// What is to be fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FitOptions {
    /// The covariance's shape.
    pub model: Model,
    /// Whether there may be a nugget.
    pub nugget: bool,
    /// Whether there may be a geometric anisotropy.
    pub anisotropy: bool,
}

/// Standard errors of fitted parameters, each in the parameter's unit; `None` for what was not
/// fitted, ended at a bound of what was looked at, or is not resolved. Where a parameter ended at a
/// bound the others' errors are those with it held there.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct StandardErrors {
    /// Of the partial sill, head unit².
    pub partial_sill: Option<f64>,
    /// Of the range, m.
    pub range_m: Option<f64>,
    /// Of the nugget, head unit².
    pub nugget: Option<f64>,
    /// Of the anisotropy's azimuth, degrees.
    pub azimuth_deg: Option<f64>,
    /// Of the anisotropy's ratio.
    pub ratio: Option<f64>,
}

/// What a user should be told about a fit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "caution", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Caution {
    /// Fewer wells than [`WELL_FITTED_WELLS`].
    FewWells {
        /// Count of wells.
        wells: usize,
    },
    /// The likeliest range is the longest (or shortest) one looked at: the heads do not show it.
    RangeNotFound {
        /// That bound, m. The range found is within 2 % of it.
        bound_m: f64,
    },
    /// The likeliest nugget is none.
    NoNugget,
    /// The likelihood is so flat that no standard errors can be had.
    Flat,
}

impl Caution {
    /// It as a finding (M408), said `of` a fit among several, such as `kriging: `.
    #[must_use]
    pub fn told(&self, of: &str) -> Diagnostic {
        Diagnostic::new(Code::CovarianceCaution, format!("{of}{self}"))
    }
}

impl std::fmt::Display for Caution {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::FewWells { wells } => write!(
                f,
                "the covariance was fitted to {wells} wells; below {WELL_FITTED_WELLS} its \
                 parameters are poorly known"
            ),
            Self::RangeNotFound { bound_m } => write!(
                f,
                "the heads do not show the covariance's range: the likeliest is within 2 % of {} m, a \
                 bound of those looked at",
                brief_to(*bound_m, 1)
            ),
            Self::NoNugget => write!(f, "the likeliest nugget is none"),
            Self::Flat => write!(
                f,
                "the likelihood is flat about its maximum; the parameters have no standard errors"
            ),
        }
    }
}

/// A fitted covariance.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fit {
    /// The likeliest covariance.
    pub covariance: Covariance,
    /// Standard errors of its parameters.
    pub standard_errors: StandardErrors,
    /// Minus the logarithm of the restricted likelihood, natural. Comparable between covariances
    /// of the same wells with the same drift.
    pub minus_log_likelihood: f64,
    /// Count of wells.
    pub wells: usize,
    /// Whether the likelihood is that of heads in blocks, for more than
    /// [`crate::geom::tolerance::WHOLE_LIKELIHOOD_WELLS`].
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub in_blocks: bool,
    /// What a user should be told.
    pub cautions: Vec<Caution>,
}

/// Fits a covariance to heads by restricted maximum likelihood.
///
/// The search is Nelder and Mead's over the logarithms of the parameters, from the four best of a
/// fixed list of starts; the sill is solved for directly where no errors of reading are given. Standard
/// errors come from the second differences of the likelihood at its maximum. The linear model has a
/// slope and no range: its range is set to the diagonal of the wells' rectangle.
///
/// # Units
/// - m; head unit
///
/// # Errors
/// [`KrigingError::TooFewWells`] below [`FEWEST_CONTRASTS`] beyond the drift's terms,
/// [`KrigingError::NoFit`] when the heads lie on the drift or no covariance can be factored, and
/// those of [`super::Kriging::new`].
///
/// # References
/// Patterson and Thompson (1971), Biometrika 58, 545-554; Harville (1977), JASA 72, 320-338;
/// Kitanidis (1983), Water Resources Research 19(4), 909-921.
pub fn fit(heads: &Heads<'_>, drift: &Drift, options: FitOptions) -> Result<Fit, KrigingError> {
    let network = Network::new(heads, drift)?;
    let wells = network.wells.len();
    let needed = drift.terms() + FEWEST_CONTRASTS;
    if wells < needed {
        let why = "for a fit, ten more than the drift has terms";
        return Err(KrigingError::TooFewWells { wells, needed, why });
    }
    let mut cautions = Vec::new();
    if wells < WELL_FITTED_WELLS {
        cautions.push(Caution::FewWells { wells });
    }
    fitted(&Likelihood::new(&network, options.model)?, options, cautions)
}

/// The likeliest covariance.
fn fitted(
    likelihood: &Likelihood<'_>,
    options: FitOptions,
    mut cautions: Vec<Caution>,
) -> Result<Fit, KrigingError> {
    let mut search = Search::new(likelihood, options)?;
    let mut found = search.run()?;
    if search.no_nugget(&found) {
        cautions.push(Caution::NoNugget);
        let without = Search::new(likelihood, FitOptions { nugget: false, ..options })?;
        found = without.run_after(&search, &found)?;
        search = without;
    }
    if let Some(bound_m) = search.bound(Free::Range, &found) {
        cautions.push(Caution::RangeNotFound { bound_m });
    }
    let covariance = search.covariance_at(&found)?;
    let minus_log_likelihood = likelihood.minus_log(&covariance)?;
    let free = search.within_bounds(&found);
    let standard_errors = standard_errors(likelihood, &covariance, &free);
    if standard_errors.is_none() {
        cautions.push(Caution::Flat);
    }
    let standard_errors = standard_errors.unwrap_or_default();
    let wells = likelihood.network.wells.len();
    let in_blocks = likelihood.is_in_blocks();
    Ok(Fit { covariance, standard_errors, minus_log_likelihood, wells, in_blocks, cautions })
}

/// From the inverse of the matrix of second differences in the logarithms (the azimuth: radians).
/// `None` when that matrix is not positive definite.
fn standard_errors(
    likelihood: &Likelihood<'_>,
    at: &Covariance,
    free: &[Free],
) -> Option<StandardErrors> {
    /// About the fourth root of the likelihood's relative rounding.
    const STEP: f64 = 5e-3;
    let value = |moves: &[(usize, f64)]| {
        let mut moved = *at;
        for (i, by) in moves {
            free[*i].shift(&mut moved, *by);
        }
        likelihood.minus_log(&moved).ok()
    };
    let p = free.len();
    let mut second = Mat::<f64>::zeros(p, p);
    for i in 0..p {
        for j in 0..=i {
            let corner = |a: f64, b: f64| value(&[(i, a * STEP), (j, b * STEP)]);
            let sum = if i == j {
                value(&[(i, STEP)])? - 2.0 * value(&[])? + value(&[(i, -STEP)])?
            } else {
                let along = corner(1.0, 1.0)? + corner(-1.0, -1.0)?;
                (along - corner(1.0, -1.0)? - corner(-1.0, 1.0)?) / 4.0
            };
            second[(i, j)] = sum / (STEP * STEP);
        }
    }
    linear::cholesky(&mut second).ok()?;
    let mut inverse = Mat::<f64>::identity(p, p);
    linear::solve_lower(second.as_ref(), inverse.as_mut());
    let mut errors = StandardErrors::default();
    for (i, f) in free.iter().enumerate() {
        let column = linear::column(&inverse, i);
        f.record(at, linear::dot(column, column).sqrt(), &mut errors);
    }
    Some(errors)
}

/// The diagonal of the wells' rectangle, m.
fn extent(wells: &[Coord]) -> f64 {
    super::network::diagonal(wells)
}
