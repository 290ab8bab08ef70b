//! Where the water goes: what is said of it, as rows and in words.

mod rows;
mod summary;
mod types;
mod words;

pub use summary::{Distances, GroundSummary, TowardSummary};
pub use types::{FlowRow, PathRow, PlaceRow, PumpedRow, ReachRow, VerdictRow, VerticalRow};

pub(crate) use rows::Rows;
