//! How sure a head, a gradient and a direction are.
//!
//! Every head carries a standard deviation from declared parts (`HeadErrors`) and from the error of its
//! well's position. It spreads into
//! the gradient of a triangle or of the site's plane (`GradientError`), and from there into a
//! 95 % interval of the magnitude and of the direction that stay right when the gradient is weak.
//! The linear surface between wells has its standard deviation at every node, its contours a band
//! and stretches marked as inferred.
//!
//! All of it speaks of errors of the heads. What the water table does between two wells, pumping,
//! tides and anisotropy are not in it. Equations and limits: `docs/uncertainty.md`.

mod around;
mod asked;
mod band;
mod between;
mod carried;
mod confidence;
mod covariance;
mod declared;
mod direction;
mod dry;
mod ellipse;
mod ensemble;
mod gradient;
mod inferred;
mod known;
mod linear;
mod magnitude;
mod mostly_inferred;
mod plane;
mod plane_fit;
mod plane_unfit;
mod position;
mod quadrature;
mod simulated;
mod site;
mod triangle;

pub(crate) use crate::check::usual_sd;
pub use crate::check::{HeadSd, Situation};
pub use crate::geom::usual_spacing;
pub use crate::read::{EnsembleOptions, HeadErrorTable, HeadErrors, InferredRule};
pub use between::{BetweenWells, Circle, KnownHeads, LikelyDirections, MeanSlope};
pub use carried::ContourSupport;
pub use confidence::Confidence;
pub(crate) use confidence::{LEVEL, NORMAL_SDS};
pub use covariance::Covariance;
pub use declared::drawn_from;
pub use direction::DirectionInterval;
pub(crate) use dry::dry_wells;
pub use ensemble::{DirectionSpread, Ensemble, Share, direction_spread};
pub use gradient::{GradientError, direction_interval, magnitude_plausibility};
pub use inferred::{RestsOn, Stretch, Support};
pub use known::{DirectionBasis, Directions, KnownDirection};
pub use linear::{BandOptions, HalfWidth, LinearSurface};
pub use magnitude::MagnitudeInterval;
pub use plane::{Basis, PlaneError, plane_error};
pub use plane_fit::PlaneFit;
pub use position::heads;
pub(crate) use position::{rough_positions, sd_m as position_sd_m};
pub use simulated::{Drawn, Lattice, Simulation};
pub use site::{Rasters, SiteUncertainty, site};
pub use triangle::{triangle_covariance, triangle_error, triangle_errors};
