//! What is said of a map, decided once for sheet, page, files and terminal.
//!
//! | file | what it decides |
//! |---|---|
//! | `results` | the map as a whole |
//! | `wells` | which wells carry the map, which do not and why, which are pumped |
//! | `directions` | what arrows follow, which directions the readings resolve |
//! | `cautions` | what a map and an answer must be read with |
//! | `answers` | where the water goes: rows and sentences |
//! | `comparison` | the methods compared |
//! | `summary` | all of it at once: the content of `summary.json` |
//! | `digits`, `heights`, `intervals` | how each quantity is rounded for files |

mod answers;
mod cautions;
mod comparison;
pub(crate) mod digits;
mod directions;
mod heights;
mod intervals;
mod results;
mod summary;
mod wells;
mod words;

pub use answers::{
    Distances, FlowRow, GroundSummary, PathRow, PlaceRow, PumpedRow, ReachRow, TowardSummary,
    VerdictRow, VerticalRow,
};
pub use cautions::{CAUTIONS, TOWARD_CAUTIONS};
pub use comparison::{
    Compared, ComparisonResults, ComparisonSummary, EffectSummary, LeftOutSummary, MethodSummary,
    PredictionSummary, ScoreSummary, WellSummary,
};
pub use directions::{Followed, Resolved};
pub use intervals::Intervals;
pub use results::{Options, Results};
pub use summary::{
    ContourSummary, Counts, CrsSummary, FlowSummary, Foot, MarkCounts, Opening, PlaneSummary,
    Summary, UncertaintySummary, VectorMeanSummary, WellResidual,
};
pub use wells::{PumpedPlace, SetAside, carriers};
pub use words::counted;

pub(crate) use answers::Rows;
pub(crate) use heights::Height;
