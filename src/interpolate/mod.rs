//! Triangles to a grid of nodes.

mod grid;
pub mod kriging;

pub use grid::{Grid, GridSpec};
