//! Readings to heads: one head for each well of the round, and an account of every reading.

mod types;

pub use types::{Fate, ReadingAccount, Reduced, WellHead};
