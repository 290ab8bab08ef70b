//! Each well's head from all the others, without solving the system again.

use serde::Serialize;

use super::linear;
use super::system::System;

/// A well's head as the other wells give it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LeftOut {
    /// The head there from the other wells, head unit.
    pub predicted: f64,
    /// The observed head minus the predicted one, head unit.
    pub residual: f64,
    /// The variance of the residual, the reading's own error included, head unit².
    pub variance: f64,
}

impl LeftOut {
    /// The residual over its standard deviation: mean 0 and variance 1 over the wells when the
    /// covariance is the right one.
    #[must_use]
    pub fn standardised(&self) -> f64 {
        self.residual / self.variance.sqrt()
    }
}

impl System {
    /// See [`super::Kriging::leave_one_out`].
    pub(super) fn leave_one_out(&self) -> Vec<Option<LeftOut>> {
        let left_out = |i: usize, own: f64, _: &[f64]| {
            let residual = self.dual[i] / own;
            let predicted = self.network.values[i] - residual;
            LeftOut { predicted, residual, variance: 1.0 / own }
        };
        self.without_each(left_out)
    }

    /// A drift term's factor and the variance of its error without each well; `None` for a well
    /// without which the drift cannot be told.
    ///
    /// With `g = (F' K⁻¹ F)⁻¹ F' K⁻¹ eᵢ` leaving well i out takes `g (P h)ᵢ / Pᵢᵢ` from the factors
    /// and adds `g g' / Pᵢᵢ` to their covariance, as a term of the drift does that is 1 at this well
    /// and 0 at all others.
    ///
    /// # References
    /// The mean-shift form of leaving an observation out: Cook and Weisberg (1982), Residuals and
    /// Influence in Regression, sec. 2.2 (from memory).
    pub(super) fn factor_without_each(&self, term: usize) -> Vec<Option<(f64, f64)>> {
        let whole = self.factored.regression.variances()[term].sqrt();
        self.without_each(|i, own, shared| {
            let pull = self.factored.regression.back(shared)[term];
            let factor = self.factors[term] - pull * self.dual[i] / own;
            (factor, whole * whole + pull * pull / own)
        })
    }

    /// What is made of `Pᵢᵢ` and `Q' L⁻¹ eᵢ` of each well i; `None` for a well without which the
    /// drift cannot be told.
    fn without_each<T>(&self, of: impl Fn(usize, f64, &[f64]) -> T) -> Vec<Option<T>> {
        /// Below this part of its share in `K⁻¹` a well's share in `P` is rounding.
        const ALONE: f64 = 1e-9;
        let inverse = self.factored.inverse();
        (0..self.dual.len())
            .map(|i| {
                let column = linear::column(&inverse, i);
                let whole = linear::dot(column, column);
                let shared = linear::project(&self.factored.regression.q, column);
                let own = whole - linear::dot(&shared, &shared);
                (own > ALONE * whole).then(|| of(i, own, &shared))
            })
            .collect()
    }
}
