//! Triangles to a surface: where the nodes of its grid are (`GridSpec`), the plane of the triangle each of
//! them lies in (`linear`), the other methods, and what contours are traced on. `docs/surface.md`
//! explains them.

mod axis;
mod beside;
mod beyond;
mod cells;
mod choose;
mod clip;
mod grid;
mod held;
pub mod inverse_distance;
pub mod kriging;
mod linear;
mod many_wells;
pub mod natural;
mod patches;
mod pumped;
mod reach;
mod relief;
mod rim;
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
mod types;
mod unconfined;

pub use beyond::beyond_heads;
pub(crate) use grid::Edge;
pub use grid::{Grid, GridSpec};
pub use linear::linear;
pub use many_wells::many_wells_told;
pub(crate) use pumped::position as pumped_position;
pub use pumped::pumped_wells;
pub use reach::reach;
pub(crate) use relief::{Relief, Sloping};
pub(crate) use rim::{Corner, Rim};
pub(crate) use round_number::RoundNumber;
pub(crate) use sight::{Mean, Outline, Range, Value, View, fades_m};
pub(crate) use stars::{Open, Stars};
pub use step::step_told;
pub use surface::{kriged, surface};
pub(crate) use through::Basis;
pub use types::{KrigingReport, Step, Surface};
pub(crate) use unconfined::Saturated;
