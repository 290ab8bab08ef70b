//! Plane geometry and the earth's surface, without any meaning of wells or water.
//!
//! Coordinates that cross module borders are [`geo::Coord<f64>`], always (easting, northing),
//! (x, y) or (longitude, latitude).

mod arc;
mod areas;
mod bends;
mod course;
mod crs;
mod frame;
mod listed;
mod obstacles;
mod pieces;
mod plane;
mod round_trip;
mod shade;
mod similarity;
mod spacing;
mod together;
pub mod tolerance;
mod triangles;

pub(crate) use arc::narrowest_arc;
pub use areas::{Areas, Row};
pub use bends::bends;
pub(crate) use course::Course;
pub use crs::{Area, Crs, CrsError, CrsKind, Factors};
pub use frame::Frame;
pub use obstacles::{Obstacles, side};
pub(crate) use pieces::Pieces;
#[cfg(test)]
pub(crate) use pieces::work;
pub use pieces::{Stretch, at, foot};
pub use plane::{
    FittedPlane, Slope, doubled_area, fit_plane, fit_plane_known_to, slope_of_triangle,
};
pub(crate) use plane::{SlopeOfHeads, SlopeSum};
pub use round_trip::{round_trip, trip_length};
pub use shade::Shade;
pub use similarity::Similarity;
pub use spacing::{bounds, distance, length, usual_spacing};
pub(crate) use spacing::{mean_spacing, nearest_others, usual_spacing_without_each};
pub use together::together;
pub(crate) use triangles::TriangleIndex;
pub use triangles::weights;
