//! Triangles to a grid of nodes: where the nodes are (`GridSpec`), and the plane of the
//! triangle each of them lies in (`linear`). `docs/surface.md` explains both.

mod axis;
mod beside;
mod beyond;
mod choose;
mod clip;
mod grid;
mod held;
pub mod inverse_distance;
pub mod kriging;
mod linear;
pub mod natural;
mod pumped;
mod reach;
mod round_number;
mod scan;
pub mod scattered;
mod sight;
mod stars;
mod step;
mod surface;
#[cfg(test)]
mod tests;
pub mod thin_plate;
mod through;
mod unconfined;

pub use beyond::beyond_heads;
pub use grid::{Grid, GridSpec};
pub use linear::linear;
pub(crate) use pumped::position as pumped_position;
pub use pumped::pumped_wells;
pub use reach::reach;
pub(crate) use round_number::RoundNumber;
pub(crate) use sight::{Mean, Outline, Range, Value, View, fades_m};
pub(crate) use stars::{Open, Stars};
pub use step::{Step, step_told};
pub use surface::{KrigingReport, Surface, kriged, surface};
pub(crate) use through::Basis;
pub(crate) use unconfined::Saturated;
