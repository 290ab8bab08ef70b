//! Triangles to a surface: where the nodes of its grid are (`GridSpec`), the plane of the triangle each of
//! them lies in (`linear`), the other methods, and what contours are traced on. `docs/surface.md`
//! explains them.
//!
//! The methods themselves (`kriging`, `natural` and others) are public for tests and measurements alone.

mod axis;
mod basis;
mod beyond;
mod cells;
mod choose;
mod clip;
mod grid;
#[doc(hidden)]
pub mod inverse_distance;
#[doc(hidden)]
pub mod kriging;
mod linear;
mod many_wells;
mod methods;
#[doc(hidden)]
pub mod natural;
mod past_barriers;
mod patches;
mod predictor;
mod pumped;
mod reach;
mod ready;
mod relief;
mod rim;
mod round_number;
mod scan;
#[doc(hidden)]
pub mod scattered;
mod sight;
mod site_surface;
mod stars;
mod step;
mod surface;
#[cfg(test)]
mod tests;
#[doc(hidden)]
pub mod thin_plate;
mod types;
mod unconfined;

pub(crate) use basis::Basis;
pub use beyond::beyond_heads;
pub(crate) use grid::Edge;
pub use grid::{Grid, GridSpec};
pub use linear::linear;
pub(crate) use many_wells::many_wells_told;
pub(crate) use methods::has_plane;
pub(crate) use past_barriers::InTurn;
pub(crate) use pumped::transmissivity;
pub use reach::reach;
#[cfg(any(feature = "page", feature = "sheet"))]
pub(crate) use relief::HeadsOfPlanes;
pub(crate) use relief::{Relief, Sloping};
pub(crate) use rim::{Corner, Rim};
pub(crate) use round_number::RoundNumber;
pub(crate) use site_surface::{SiteSurface, WithoutIt};
pub(crate) use stars::{Open, Stars};
pub(crate) use step::step_told;
pub use surface::surface;
pub use types::{KrigingReport, Step, Surface};
