//! Triangles to a surface: where the nodes of its grid are (`GridSpec`), the plane of the triangle each of
//! them lies in (`linear`), the other methods, and what contours are traced on. `docs/surface.md`
//! explains them.

mod axis;
mod beside;
mod beyond;
mod choose;
mod clip;
mod grid;
pub mod inverse_distance;
pub mod kriging;
mod linear;
pub mod natural;
mod pumped;
mod reach;
mod relief;
mod rim;
mod round_number;
mod scan;
pub mod scattered;
mod surface;
#[cfg(test)]
mod tests;
pub mod thin_plate;
mod unconfined;
mod views;

pub use beyond::beyond_heads;
pub(crate) use grid::Edge;
pub use grid::{Grid, GridSpec};
pub use linear::linear;
pub(crate) use pumped::position as pumped_position;
pub use pumped::pumped_wells;
pub use reach::reach;
pub(crate) use relief::{Relief, Sloping};
pub(crate) use rim::{Corner, Rim};
pub(crate) use round_number::RoundNumber;
pub use surface::{KrigingReport, Surface, kriged, surface};
pub(crate) use surface::{about, covariance, drift, inverse_distances, thin_plate_of};
pub(crate) use unconfined::Saturated;
pub(crate) use views::seen_from;
