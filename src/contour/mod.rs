//! The surface to lines of equal head: which levels, where the lines cross the triangles of a surface
//! of planes or the cells of a grid, how the pieces join, where the boundary ends them, how they are drawn.
//! `docs/surface.md` states the rules.

mod cells;
mod clean;
mod judged;
mod levels;
mod lines;
mod nodes;
mod planes;
mod rim;
mod segments;
#[cfg(any(feature = "page", feature = "sheet"))]
mod smooth;
#[cfg(test)]
mod tests;
mod trace;
mod types;

pub use judged::off_levels;
pub use lines::{lines, listed};
#[cfg(any(feature = "page", feature = "sheet"))]
pub(crate) use smooth::{DrawnLine, Ground, WITHIN, as_computed, rounded};
#[cfg(any(feature = "formats", feature = "page", feature = "sheet"))]
pub(crate) use types::is_index;
pub use types::{ContourLine, Contours, INDEX_EVERY};
