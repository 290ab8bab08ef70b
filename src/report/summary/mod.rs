//! The account of a run: what was read, what was chosen, what came out, what was found.

mod build;
mod types;

pub use types::{
    ContourSummary, Counts, CrsSummary, FlowSummary, Foot, MarkCounts, Opening, PlaneSummary,
    Summary, UncertaintySummary, VectorMeanSummary, WellResidual,
};
