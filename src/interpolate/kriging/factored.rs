//! The covariance of the wells, factored, and the drift fitted by generalised least squares.

use faer::Mat;
use geo::Coord;

use super::covariance::Covariance;
use super::covariance::Metric;
use super::covariance::Shape;
use super::error::KrigingError;
use super::linear;
use super::network::Network;
use super::network::diagonal;
use crate::geom::distance;
use crate::geom::tolerance;

/// The covariance counts as singular when the part of a well's variance that the wells before it
/// leave unexplained is below this part of the largest such.
const SINGULAR: f64 = 1e-12;

/// A network with a covariance: `K = L L'`, and `L⁻¹ F = Q R` for the drift's terms `F`.
#[derive(Debug, Clone)]
pub(super) struct Factored {
    pub(super) metric: Metric,
    pub(super) structure: Shape,
    pub(super) nugget: f64,
    /// The wells in the metric.
    pub(super) places: Vec<Coord>,
    /// `L`.
    pub(super) lower: Mat<f64>,
    /// `Q`, orthonormal columns.
    pub(super) q: Mat<f64>,
    /// `R`, upper triangular.
    pub(super) r: Mat<f64>,
    /// `Q' L⁻¹ h`.
    pub(super) fitted: Vec<f64>,
    /// `(1 - Q Q') L⁻¹ h`: what the drift leaves of the heads, made independent.
    pub(super) left: Vec<f64>,
}

impl Factored {
    pub(super) fn new(network: &Network, covariance: &Covariance) -> Result<Self, KrigingError> {
        let metric = covariance.metric();
        let places: Vec<Coord> = network.wells.iter().map(|p| metric.apply(*p)).collect();
        let structure = covariance.structure(diagonal(&places));
        let nugget = covariance.nugget;
        let n = places.len();
        let mut lower = Mat::<f64>::zeros(n, n);
        for j in 0..n {
            let column = lower.col_as_slice_mut(j);
            for i in j..n {
                let h = distance(places[i], places[j]);
                let shared = if h <= tolerance::SAME_POSITION_M { nugget } else { 0.0 };
                let error = if i == j { network.error_variances[i] } else { 0.0 };
                column[i] = structure.at(h) + shared + error;
            }
        }
        let singular = |well: usize, unexplained: f64| {
            let (nearest, distance_m) = network.nearest(well);
            KrigingError::Singular { well, nearest, distance_m, unexplained, bound: SINGULAR }
        };
        linear::cholesky(&mut lower).map_err(|well| singular(well, 0.0))?;
        let pivots = (0..n).map(|i| lower[(i, i)] * lower[(i, i)]);
        let largest = pivots.clone().fold(0.0, f64::max);
        let least = pivots.enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((well, pivot)) = least
            && (pivot.is_nan() || pivot <= SINGULAR * largest)
        {
            return Err(singular(well, pivot / largest));
        }
        let mut q = network.terms.clone();
        linear::solve_lower(lower.as_ref(), q.as_mut());
        let r = linear::orthonormalise(&mut q)
            .map_err(|j| KrigingError::DriftNotEstimable { term: network.drift.name(j) })?;
        let (fitted, left) = (Vec::new(), Vec::new());
        let factored = Self { metric, structure, nugget, places, lower, q, r, fitted, left };
        Ok(factored.fitted_to(&network.values))
    }

    /// The same factors with other values at the wells.
    pub(super) fn fitted_to(mut self, values: &[f64]) -> Self {
        let mut heads = Mat::from_fn(values.len(), 1, |i, _| values[i]);
        linear::solve_lower(self.lower.as_ref(), heads.as_mut());
        self.left = linear::column(&heads, 0).to_vec();
        self.fitted = vec![0.0; self.q.ncols()];
        // Twice, as in the orthonormalisation: heads of 300 m differ by centimetres.
        for _ in 0..2 {
            for (j, sum) in self.fitted.iter_mut().enumerate() {
                let column = linear::column(&self.q, j);
                let part = linear::dot(column, &self.left);
                *sum += part;
                for (x, q) in self.left.iter_mut().zip(column) {
                    *x -= part * q;
                }
            }
        }
        self
    }

    /// Twice the logarithm of the product of the diagonal of a triangular factor.
    fn log_determinant(factor: &Mat<f64>) -> f64 {
        (0..factor.nrows()).map(|i| 2.0 * libm::log(factor[(i, i)].abs())).sum()
    }

    /// Degrees of freedom that the drift leaves.
    pub(super) fn contrasts(&self) -> usize {
        self.left.len() - self.fitted.len()
    }

    /// The squared heads that the drift leaves, made independent and of variance 1.
    pub(super) fn sum_of_squares(&self) -> f64 {
        linear::dot(&self.left, &self.left)
    }

    /// `log |K| + log |F' K⁻¹ F| - log |F' F|`.
    pub(super) fn log_determinants(&self, log_terms: f64) -> f64 {
        Self::log_determinant(&self.lower) + Self::log_determinant(&self.r) - log_terms
    }

    /// The drift's factors.
    pub(super) fn factors(&self) -> Vec<f64> {
        self.back(&self.fitted)
    }

    /// The solution of `R x = b`.
    pub(super) fn back(&self, b: &[f64]) -> Vec<f64> {
        let mut x = b.to_vec();
        for i in (0..x.len()).rev() {
            for j in i + 1..x.len() {
                x[i] -= self.r[(i, j)] * x[j];
            }
            x[i] /= self.r[(i, i)];
        }
        x
    }

    /// Replaces `x` by the solution of `R' x = x`.
    pub(super) fn forward(&self, x: &mut [f64]) {
        for i in 0..x.len() {
            for j in 0..i {
                x[i] -= self.r[(j, i)] * x[j];
            }
            x[i] /= self.r[(i, i)];
        }
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

/// The logarithm of `|F' F|`, which makes the likelihood independent of the drift's units.
pub(super) fn log_determinant_of_terms(network: &Network) -> Result<f64, KrigingError> {
    let mut terms = network.terms.clone();
    let r = linear::orthonormalise(&mut terms)
        .map_err(|j| KrigingError::DriftNotEstimable { term: network.drift.name(j) })?;
    Ok(Factored::log_determinant(&r))
}
