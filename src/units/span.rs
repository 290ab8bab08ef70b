//! Ranges of what quantities may be.

use schemars::JsonSchema;
use serde::Serialize;

/// A range of what a quantity may be.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Span {
    /// The lowest value.
    pub low: f64,
    /// The highest value.
    pub high: f64,
}

impl Span {
    /// The range between two values, in either order.
    #[must_use]
    pub const fn of(a: f64, b: f64) -> Self {
        Self { low: a.min(b), high: a.max(b) }
    }

    /// Both ends times a positive number.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self { low: self.low * factor, high: self.high * factor }
    }
}
