//! Methods compared, each well left out in turn, and what is said of them.

mod account;
mod types;

pub use account::{
    ComparisonSummary, EffectSummary, LeftOutSummary, MethodSummary, PredictionSummary,
    ScoreSummary, WellSummary,
};
pub use types::{Compared, ComparisonResults};
