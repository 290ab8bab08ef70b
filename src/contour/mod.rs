//! The grid to lines of equal head: which levels, where the lines cross the grid's cells, how
//! the pieces join. `docs/surface.md` states the rules.

mod cells;
mod clean;
mod levels;
mod lines;
mod segments;
#[cfg(test)]
mod tests;
mod trace;
mod types;

pub use lines::lines;
pub use types::{ContourLine, Contours};
