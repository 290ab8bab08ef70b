//! Natural neighbour surfaces: Sibson's interpolant, and his smooth one that honours slopes
//! estimated at the wells. `docs/natural-neighbour.md` has the equations and their sources.
//!
//! A head is a weighted mean of the wells around a place, and a well's weight is the part of the
//! place's own Voronoi cell that used to be the well's. Nothing has to be chosen: no radius, no
//! power, no count of neighbours.

mod cell;
mod fill;
mod gradient;
mod leave_one_out;
mod net;
mod paint;
mod ring;
mod surface;
#[cfg(test)]
mod tests;

pub use surface::{NaturalNeighbour, Variant};
