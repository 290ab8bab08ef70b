//! Where the water goes: what is said of it, as rows and in words.

mod beside;
mod rows;
mod sentences;
mod shares;
mod summary;
mod types;
mod words;

pub use summary::{Distances, GroundSummary, TowardSummary};
pub use types::{AcrossRow, FlowRow, PathRow, PlaceRow, PumpedRow, RankRow, ReachRow, VerdictRow};

#[cfg(any(feature = "formats", feature = "page"))]
pub(crate) use rows::Rows;
