//! Covariances at many distances at once.

use super::covariance::Model;
use super::covariance::Shape;

impl Shape {
    /// Replaces distances by the covariances there, within some units in the last place of what
    /// [`Shape::at`] gives, and several times as quickly.
    pub(super) fn at_each(&self, distances: &mut [f64]) {
        let (sill, scale) = (self.sill(), self.scale());
        match self.model() {
            Model::Linear | Model::Spherical => each(distances, |h| self.at(h)),
            Model::Exponential => each(distances, |h| sill * exp_of_minus(scale * h)),
            Model::Gaussian => each(distances, |h| sill * exp_of_minus(scale * h * h)),
            Model::Matern32 => each(distances, |h| {
                let s = scale * h;
                sill * (1.0 + s) * exp_of_minus(s)
            }),
            Model::Matern52 => each(distances, |h| {
                let s = scale * h;
                sill * (1.0 + s + s * s / 3.0) * exp_of_minus(s)
            }),
        }
    }
}

/// Replaces each number by what `of` makes of it.
#[inline]
pub(super) fn each(numbers: &mut [f64], of: impl Fn(f64) -> f64) {
    for x in numbers {
        *x = of(*x);
    }
}

/// `exp(-s)` for `s` of 0 or more, and of 700 for more than that: 1e-304.
///
/// Without branch, table or call, so that a loop over it runs in vector registers.
#[inline]
fn exp_of_minus(s: f64) -> f64 {
    // 1 / i!, divided by the compiler.
    const C: [f64; 14] = {
        let mut c = [1.0; 14];
        let mut i = 1;
        while i < 14 {
            c[i] = c[i - 1] / i as f64;
            i += 1;
        }
        c
    };
    // 2^52 + 2^51: adding it rounds to a whole number, which then stands in the low bits.
    const SHIFT: f64 = 6_755_399_441_055_744.0;
    let x = -s.min(700.0);
    let shifted = x * std::f64::consts::LOG2_E + SHIFT;
    let k = shifted - SHIFT;
    // ln 2 in two parts, the first with zeros in its last places, so that k times it is exact.
    let r = (x - k * 6.931_471_803_691_238e-1) - k * 1.908_214_929_270_587_7e-10;
    let series = C[10] + r * (C[11] + r * (C[12] + r * C[13]));
    let series = C[6] + r * (C[7] + r * (C[8] + r * (C[9] + r * series)));
    let series = C[2] + r * (C[3] + r * (C[4] + r * (C[5] + r * series)));
    let power = f64::from_bits((shifted.to_bits() << 52).wrapping_add(1023 << 52));
    power * (1.0 + r * (1.0 + r * series))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::interpolate::kriging::Covariance;

    #[test]
    fn the_exponential_is_that_of_libm() {
        for i in 0..3_000_000 {
            let s = f64::from(i) * 2.33e-4;
            let (found, expected) = (exp_of_minus(s), libm::exp(-s));
            assert!((found - expected).abs() <= 4e-16 * expected, "exp(-{s}) = {found:e}");
        }
        assert_eq!(exp_of_minus(0.0).to_bits(), 1f64.to_bits());
        assert!(exp_of_minus(1e300) < 1e-300);
    }

    #[test]
    fn many_distances_have_the_covariances_of_each() {
        for model in Model::ALL {
            let shape = Covariance::new(model, 2.5, 300.0).shape();
            let distances: Vec<f64> = (0..997).map(|i| 1.7 * f64::from(i)).collect();
            let mut found = distances.clone();
            shape.at_each(&mut found);
            for (h, c) in distances.iter().zip(found) {
                assert!((c - shape.at(*h)).abs() <= 4e-15, "{model:?} at {h}");
            }
        }
    }
}
