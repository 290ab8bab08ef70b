//! Each well's head from all the others, without solving the system again.

use serde::Serialize;

use super::linear;
use super::system::Kriging;

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

impl Kriging {
    /// Each well's head from all the others with the same covariance; `None` for a well without
    /// which the drift cannot be told.
    ///
    /// With `P = K⁻¹ - K⁻¹ F (F' K⁻¹ F)⁻¹ F' K⁻¹` the residual of well i is `(P h)ᵢ / Pᵢᵢ` and its
    /// variance `1 / Pᵢᵢ`.
    ///
    /// # Units
    /// - head unit and its square
    ///
    /// # References
    /// Dubrule (1983), Mathematical Geology 15(6), 687-699.
    #[must_use]
    pub fn leave_one_out(&self) -> Vec<Option<LeftOut>> {
        /// Below this part of its share in `K⁻¹` a well's share in `P` is rounding.
        const ALONE: f64 = 1e-9;
        let n = self.dual.len();
        let inverse = self.factored.inverse();
        (0..n)
            .map(|i| {
                let column = linear::column(&inverse, i);
                let whole = linear::dot(column, column);
                let drift: f64 = (0..self.factors.len())
                    .map(|j| linear::dot(linear::column(&self.factored.q, j), column))
                    .map(|part| part * part)
                    .sum();
                let own = whole - drift;
                (own > ALONE * whole).then(|| {
                    let residual = self.dual[i] / own;
                    LeftOut {
                        predicted: self.network.values[i] - residual,
                        residual,
                        variance: 1.0 / own,
                    }
                })
            })
            .collect()
    }
}
