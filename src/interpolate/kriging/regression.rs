//! The drift fitted by generalised least squares.

use faer::Mat;

use super::error::KrigingError;
use super::linear;
use super::network::Network;

/// Heads and the drift's terms `F`, made independent and of variance 1 by `L⁻¹` with `K = L L'`, and
/// the heads fitted by the terms: `L⁻¹ F = Q R`.
#[derive(Debug, Clone)]
pub(super) struct Regression {
    /// `Q`, orthonormal columns.
    pub(super) q: Mat<f64>,
    /// `R`, upper triangular.
    pub(super) r: Mat<f64>,
    /// `Q' L⁻¹ h`.
    pub(super) fitted: Vec<f64>,
    /// `(1 - Q Q') L⁻¹ h`: what the drift leaves of the heads, made independent.
    pub(super) left: Vec<f64>,
}

impl Regression {
    /// From `L⁻¹ F` and `L⁻¹ h`.
    ///
    /// # Errors
    /// [`KrigingError::DriftNotEstimable`].
    pub(super) fn new(
        network: &Network,
        mut terms: Mat<f64>,
        heads: Vec<f64>,
    ) -> Result<Self, KrigingError> {
        let r = linear::orthonormalise(&mut terms)
            .map_err(|j| KrigingError::DriftNotEstimable { term: network.drift.name(j) })?;
        let mut regression = Self { q: terms, r, fitted: Vec::new(), left: Vec::new() };
        regression.fit(heads);
        Ok(regression)
    }

    /// That of no heads.
    pub(super) const fn none() -> Self {
        Self { q: Mat::new(), r: Mat::new(), fitted: Vec::new(), left: Vec::new() }
    }

    /// Fits other heads, `L⁻¹ h`.
    pub(super) fn fit(&mut self, heads: Vec<f64>) {
        self.left = heads;
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
    }

    /// Degrees of freedom that the drift leaves.
    pub(super) fn contrasts(&self) -> usize {
        self.left.len() - self.fitted.len()
    }

    /// The squared heads that the drift leaves, made independent and of variance 1.
    pub(super) fn sum_of_squares(&self) -> f64 {
        linear::dot(&self.left, &self.left)
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

    /// The variances of the factors' errors.
    pub(super) fn variances(&self) -> Vec<f64> {
        let p = self.fitted.len();
        let mut variances = vec![0.0; p];
        for j in 0..p {
            let mut unit = vec![0.0; p];
            unit[j] = 1.0;
            for (sum, x) in variances.iter_mut().zip(self.back(&unit)) {
                *sum += x * x;
            }
        }
        variances
    }

    /// That of some wells' heads and terms, made independent among themselves, by the drift that all
    /// wells have: `Q = L⁻¹ F R⁻¹`, which is not orthonormal.
    pub(super) fn of_part(&self, mut terms: Mat<f64>, mut heads: Vec<f64>) -> Self {
        for (j, factor) in self.factors().into_iter().enumerate() {
            for (x, f) in heads.iter_mut().zip(linear::column(&terms, j)) {
                *x -= factor * f;
            }
        }
        let mut row = vec![0.0; terms.ncols()];
        for i in 0..terms.nrows() {
            for (j, x) in row.iter_mut().enumerate() {
                *x = terms[(i, j)];
            }
            self.forward(&mut row);
            for (j, x) in row.iter().enumerate() {
                terms[(i, j)] = *x;
            }
        }
        Self { q: terms, r: self.r.clone(), fitted: self.fitted.clone(), left: heads }
    }
}
