//! Triangles to a grid of nodes: where the nodes are (`GridSpec`), and the plane of the
//! triangle each of them lies in (`linear`). `docs/surface.md` explains both.

mod axis;
mod choose;
mod grid;
pub mod kriging;
mod linear;
mod round_number;
mod scan;
#[cfg(test)]
mod tests;

pub use grid::{Grid, GridSpec};
pub use linear::linear;
pub(crate) use round_number::RoundNumber;
