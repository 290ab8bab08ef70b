//! The grid to lines of equal head.

mod types;

pub use types::{ContourLine, Contours};
