//! The covariance of the wells, factored, and the drift fitted by generalised least squares.

use faer::Mat;
use geo::Coord;

use super::covariance::Covariance;
use super::covariance::Metric;
use super::covariance::Shape;
use super::error::KrigingError;
use super::linear;
use super::many::each;
use super::network::Network;
use super::network::{SINGULAR, diagonal};
use super::regression::Regression;
use crate::geom::distance;
use crate::geom::tolerance;

/// A network with a covariance, `K = L L'`.
#[derive(Debug, Clone)]
pub(super) struct Factored {
    pub(super) metric: Metric,
    pub(super) structure: Shape,
    pub(super) nugget: f64,
    /// The wells in the metric.
    pub(super) places: Vec<Coord>,
    /// `L`.
    pub(super) lower: Mat<f64>,
    /// Its drift.
    pub(super) regression: Regression,
}

impl Factored {
    pub(super) fn new(network: &Network, covariance: &Covariance) -> Result<Self, KrigingError> {
        let metric = covariance.metric();
        let places: Vec<Coord> = network.wells.iter().map(|p| metric.apply(*p)).collect();
        let structure = covariance.structure(diagonal(&places));
        let mut factored = Self::of(network, covariance, structure)?;
        let (terms, heads) = factored.whitened(network);
        factored.regression = Regression::new(network, terms, heads)?;
        Ok(factored)
    }

    /// The covariance of a network's wells, factored; `structure` is that part of it which has no
    /// nugget. There is no drift yet.
    ///
    /// # Errors
    /// [`KrigingError::Singular`].
    pub(super) fn of(
        network: &Network,
        covariance: &Covariance,
        structure: Shape,
    ) -> Result<Self, KrigingError> {
        let metric = covariance.metric();
        let places: Vec<Coord> = network.wells.iter().map(|p| metric.apply(*p)).collect();
        let nugget = covariance.nugget;
        let n = places.len();
        let all: Vec<usize> = (0..n).collect();
        let mut lower = fill(network, &places, nugget, &all, |distances| {
            each(distances, |h| structure.at(h));
        });
        linear::cholesky(&mut lower).map_err(|well| network.singular(well, 0.0))?;
        let mut pivots = Pivots::default();
        for i in 0..n {
            pivots.add(i, lower[(i, i)]);
        }
        pivots.sound(network)?;
        let regression = Regression::none();
        Ok(Self { metric, structure, nugget, places, lower, regression })
    }

    /// The drift's terms and heads, made independent: `L⁻¹ F` and `L⁻¹ h`.
    fn whitened(&self, network: &Network) -> (Mat<f64>, Vec<f64>) {
        let mut terms = network.terms.clone();
        linear::solve_lower(self.lower.as_ref(), terms.as_mut());
        (terms, whitened(&self.lower, &network.values))
    }

    /// Takes the drift that was fitted to more wells, of which the network is a part.
    pub(super) fn take_drift(&mut self, network: &Network, whole: &Regression) {
        let (terms, heads) = self.whitened(network);
        self.regression = whole.of_part(terms, heads);
    }

    /// The same factors with other values at the wells.
    pub(super) fn fitted_to(mut self, values: &[f64]) -> Self {
        let heads = whitened(&self.lower, values);
        self.regression.fit(heads);
        self
    }

    /// `log |K| + log |F' K⁻¹ F| - log |F' F|`.
    pub(super) fn log_determinants(&self, log_terms: f64) -> f64 {
        log_determinant(&self.lower) + log_determinant(&self.regression.r) - log_terms
    }

    /// `L⁻' x`.
    pub(super) fn unwhiten(&self, x: &[f64]) -> Vec<f64> {
        let mut m = Mat::from_fn(x.len(), 1, |i, _| x[i]);
        linear::solve_lower_transposed(self.lower.as_ref(), m.as_mut());
        linear::column(&m, 0).to_vec()
    }

    /// `L⁻¹`.
    pub(super) fn inverse(&self) -> Mat<f64> {
        let n = self.places.len();
        let mut inverse = Mat::<f64>::identity(n, n);
        linear::solve_lower(self.lower.as_ref(), inverse.as_mut());
        inverse
    }

    /// The covariance between a place in the metric and a well.
    pub(super) fn covariance(&self, place: Coord, well: usize) -> f64 {
        let h = distance(place, self.places[well]);
        let shared = if h <= tolerance::SAME_POSITION_M { self.nugget } else { 0.0 };
        self.structure.at(h) + shared
    }
}

/// The covariances among some wells, the lower triangle of them; `each` replaces distances by
/// covariances without nugget.
pub(super) fn fill(
    network: &Network,
    places: &[Coord],
    nugget: f64,
    wells: &[usize],
    each: impl Fn(&mut [f64]),
) -> Mat<f64> {
    let n = wells.len();
    let mut lower = Mat::<f64>::zeros(n, n);
    let mut distances = Vec::with_capacity(n);
    for j in 0..n {
        let from = places[wells[j]];
        distances.clear();
        distances.extend(wells[j..].iter().map(|i| distance(places[*i], from)));
        let column = &mut lower.col_as_slice_mut(j)[j..];
        column.copy_from_slice(&distances);
        each(column);
        for (slot, h) in column.iter_mut().zip(&distances) {
            if *h <= tolerance::SAME_POSITION_M {
                *slot += nugget;
            }
        }
        column[0] += network.error_variances[wells[j]];
    }
    lower
}

/// What each well adds to those before it, in the order of the factor.
#[derive(Debug, Default)]
pub(super) struct Pivots {
    /// Of the covariances factored.
    pub(super) log_determinant: f64,
    largest: f64,
    least: Option<(usize, f64)>,
}

impl Pivots {
    /// A well with its root on the factor's diagonal.
    pub(super) fn add(&mut self, well: usize, root: f64) {
        self.log_determinant += 2.0 * libm::log(root.abs());
        let pivot = root * root;
        self.largest = self.largest.max(pivot);
        if self.least.is_none_or(|least| pivot.total_cmp(&least.1).is_lt()) {
            self.least = Some((well, pivot));
        }
    }

    /// # Errors
    /// [`KrigingError::Singular`].
    pub(super) fn sound(&self, network: &Network) -> Result<(), KrigingError> {
        match self.least {
            Some((well, pivot)) if pivot.is_nan() || pivot <= SINGULAR * self.largest => {
                Err(network.singular(well, pivot / self.largest))
            }
            _ => Ok(()),
        }
    }
}

/// `L⁻¹ x`.
fn whitened(lower: &Mat<f64>, values: &[f64]) -> Vec<f64> {
    let mut heads = Mat::from_fn(values.len(), 1, |i, _| values[i]);
    linear::solve_lower(lower.as_ref(), heads.as_mut());
    linear::column(&heads, 0).to_vec()
}

/// Twice the logarithm of the product of the diagonal of a triangular factor.
pub(super) fn log_determinant(factor: &Mat<f64>) -> f64 {
    (0..factor.nrows()).map(|i| 2.0 * libm::log(factor[(i, i)].abs())).sum()
}

/// The logarithm of `|F' F|`, which makes the likelihood independent of the drift's units.
pub(super) fn log_determinant_of_terms(network: &Network) -> Result<f64, KrigingError> {
    let mut terms = network.terms.clone();
    let r = linear::orthonormalise(&mut terms)
        .map_err(|j| KrigingError::DriftNotEstimable { term: network.drift.name(j) })?;
    Ok(log_determinant(&r))
}
