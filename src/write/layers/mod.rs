//! The layers as `GeoJSON`, RFC 7946: longitude and latitude on WGS 84, one feature a line.

mod contours;
mod feature;
mod flow;
mod triangles;
mod wells;

pub(super) use contours::contours;
pub(super) use feature::layer;
pub(super) use flow::flow;
pub(super) use triangles::triangles;
pub(super) use wells::wells;
