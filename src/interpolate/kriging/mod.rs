//! Kriging: heads to a surface by generalised least squares, with its standard deviation.
//!
//! The head is a drift plus a random part of known covariance plus the reading's error:
//! `h(x) = f(x)' b + Z(x) + e`. The drift is a constant (ordinary kriging), a plane (universal
//! kriging), and logarithms of the distance to pumped wells. Equations, conventions, sources and
//! limits: `docs/kriging.md`.
//!
//! ```
//! use geo::Coord;
//! use headfall::interpolate::kriging;
//!
//! let wells = [(0.0, 0.0), (90.0, 10.0), (40.0, 80.0), (100.0, 95.0)].map(|(x, y)| Coord { x, y });
//! let heads = kriging::Heads { wells: &wells, values: &[31.20, 31.05, 30.82, 30.71], sd: None };
//! let covariance = kriging::Covariance::new(kriging::Model::Exponential, 0.09, 150.0);
//! let surface = kriging::Kriging::new(&heads, &covariance, &kriging::Drift::default())?;
//! let at_a_well = surface.predict(&wells[..1])[0];
//! assert!((at_a_well.head - 31.20).abs() < 1e-9);
//! # Ok::<(), kriging::KrigingError>(())
//! ```

mod blocks;
mod covariance;
mod drift;
mod error;
mod factored;
mod far;
mod fit;
mod grid;
mod leave_one_out;
pub(crate) mod linear;
mod many;
mod network;
mod patched;
mod regression;
mod solved;
mod system;
#[cfg(test)]
mod tests;

pub(super) use blocks::BLOCK_WELLS;
pub(crate) use covariance::Shape;
pub use covariance::{Anisotropy, Covariance, Model};
pub use drift::{Drift, PumpedWell};
pub use error::{BadParameter, KrigingError};
pub(crate) use fit::FEWEST_CONTRASTS;
pub use fit::{Caution, Fit, FitOptions, StandardErrors, fit};
pub use grid::Surface;
pub use leave_one_out::LeftOut;
pub use network::Heads;
pub use solved::Kriging;
pub use system::{Prediction, TrendTerm, Weights};
