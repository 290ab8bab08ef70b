//! The covariance from the heads themselves, by restricted maximum likelihood.

mod likelihood;
mod search;
#[cfg(test)]
mod tests;
mod types;

#[cfg(test)]
pub(super) use tests::drawn;

use faer::Mat;

use self::likelihood::Likelihood;
use self::search::Free;
use self::search::Search;
pub(crate) use self::types::WELL_FITTED_WELLS;
pub use self::types::{Caution, Fit, FitOptions, StandardErrors};
use super::covariance::Covariance;
use super::drift::Drift;
use super::error::KrigingError;
use super::linear;
use super::network::Heads;
use super::network::Network;

/// A fit is refused when the wells exceed the drift's terms by fewer than this: three parameters
/// are not told from fewer than ten contrasts of heads. Common practice, no source.
pub(crate) const FEWEST_CONTRASTS: usize = 10;

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
/// [`KrigingError::TooFewWells`] below `FEWEST_CONTRASTS` beyond the drift's terms,
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
