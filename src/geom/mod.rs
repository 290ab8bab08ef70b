//! Plane geometry and the earth's surface, without any meaning of wells or water.
//!
//! Coordinates that cross module borders are [`geo::Coord<f64>`], always (easting, northing),
//! (x, y) or (longitude, latitude).

mod crs;
mod frame;
mod obstacles;
mod plane;
mod spacing;
pub mod tolerance;

pub use crs::{Area, Crs, CrsError, CrsKind, Factors};
pub use frame::Frame;
pub use obstacles::{Obstacles, side};
pub use plane::{
    FittedPlane, Slope, SlopeOfHeads, SlopeSum, doubled_area, fit_plane, fit_plane_known_to,
    slope_of_triangle,
};
pub use spacing::{distance, length, usual_spacing};
