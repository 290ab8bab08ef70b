//! Triangles to a grid of nodes.

mod grid;

pub use grid::{Grid, GridSpec};
