//! The layers as `GeoJSON`, RFC 7946: longitude and latitude on WGS 84, one feature a line.

pub(super) mod contours;
mod feature;
pub(super) mod flow;
pub(super) mod judged_points;
pub(super) mod stream_points;
pub(super) mod triangles;
pub(super) mod wells;

pub(super) use contours::contours;
pub(super) use feature::layer;
pub(super) use flow::flow;
pub(super) use judged_points::judged_points;
pub(super) use stream_points::stream_points;
pub(super) use triangles::triangles;
pub(super) use wells::wells;
