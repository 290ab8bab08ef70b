//! What several files of the record need.

use serde::Serialize;

/// Days in a year: trends are stated for each 365.25 days.
pub const YEAR_DAYS: f64 = 365.25;

/// A head and when it was read.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Dated {
    /// Days from any one moment, the same for all heads of a series.
    pub day: f64,
    /// The head, in any one unit.
    pub head: f64,
}

/// Which way a quantity went, as far as its 95 % interval shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Way {
    /// It rose.
    Up,
    /// It fell.
    Down,
    /// Neither is shown: zero is within the interval.
    NotShown,
}
