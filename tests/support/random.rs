//! Numbers at random that are the same on every machine.

use chacha20::ChaCha8Rng;
use chacha20::rand_core::{Rng, SeedableRng};

/// A source of random numbers.
pub(crate) struct Random(ChaCha8Rng);

impl Random {
    pub(crate) fn new(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }

    /// At least 0 and below 1.
    pub(crate) fn uniform(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A whole number below a count.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "from 0 to the count"
        )]
        let below = (self.uniform() * count as f64) as usize;
        below.min(count - 1)
    }

    /// Of mean 0 and standard deviation 1, by Box and Muller.
    pub(crate) fn normal(&mut self) -> f64 {
        let (radius, turn) = (1.0 - self.uniform(), self.uniform());
        (-2.0 * radius.ln()).sqrt() * (std::f64::consts::TAU * turn).cos()
    }

    /// From one number to below another.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// One of some.
    pub(crate) fn one_of<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())]
    }

    /// Whether what happens in this part of all cases does.
    pub(crate) fn chance(&mut self, part: f64) -> bool {
        self.uniform() < part
    }
}
