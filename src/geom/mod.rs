//! Plane geometry and the earth's surface, without any meaning of wells or water.
//!
//! Coordinates that cross module borders are [`geo::Coord<f64>`], always (easting, northing),
//! (x, y) or (longitude, latitude).

mod areas;
mod bends;
mod crs;
mod frame;
mod obstacles;
mod pieces;
mod plane;
mod shade;
mod spacing;
pub mod tolerance;
mod triangles;

pub use areas::{Areas, Row};
pub use bends::bends;
pub use crs::{Area, Crs, CrsError, CrsKind, Factors};
pub use frame::Frame;
pub use obstacles::{Obstacles, side};
#[cfg(test)]
pub(crate) use pieces::work;
pub use pieces::{Pieces, Stretch, at, foot};
pub use plane::{
    FittedPlane, Slope, SlopeOfHeads, SlopeSum, doubled_area, fit_plane, fit_plane_known_to,
    slope_of_triangle,
};
pub use shade::Shade;
pub use spacing::{
    bounds, distance, length, mean_spacing, usual_spacing, usual_spacing_without_each,
};
pub use triangles::{TriangleIndex, weights};
