//! `headfall toward` against water whose way is known: by the library alone, in every build of it.
//!
//! A binary of its own, for it needs nothing of the others and the lots below are drawn often.

#![expect(clippy::disallowed_methods, reason = "tests know formulas")]

/// Heads in closed form, and what becomes of their water.
mod closed_forms;

/// How often an answer is so, in aquifers drawn by lot.
mod random_aquifer;

/// What an answer comes to.
mod said;

/// Numbers by lot, the same on every machine.
#[path = "../support/random.rs"]
#[expect(dead_code, reason = "other tests draw more from it")]
mod random;

pub(crate) use random::Random;

/// Fails unless `found` is within `tolerance` of `expected`.
#[track_caller]
pub(crate) fn near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} is not {expected} within {tolerance}");
}
