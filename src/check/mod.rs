//! Heads to control points fit to be mapped, or a refusal.

mod types;

pub use types::{ControlPoint, ControlSet, LeaveOneOut};
