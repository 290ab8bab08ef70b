//! `flow.geojson`.

use std::io;
use std::path::Path;

use geo::Point;
use serde::Serialize;

use crate::report::digits;
use crate::triangulate::Mark;
use crate::write::context::Context;
use crate::write::layers::feature::layer;

#[derive(Serialize)]
pub(in crate::write) struct Properties<'a> {
    triangle: usize,
    gradient: Option<f64>,
    flow_azimuth_true_deg: Option<f64>,
    flow_azimuth_grid_deg: Option<f64>,
    direction_resolved: bool,
    direction_known: bool,
    convergence_deg: Option<f64>,
    marks: &'a [Mark],
}

/// Writes gradient and direction of flow, one point at the centroid of each triangle.
pub(in crate::write) fn flow(context: &Context, path: &Path) -> io::Result<()> {
    layer(path, &context.of, context.results.flow.triangles.len(), |i| {
        let at = Point(digits::lon_lat(context.centroids[i]));
        Some((at.into(), properties(context, i)))
    })
}

/// The properties of the flow in one triangle.
pub(in crate::write) fn properties<'a>(context: &Context<'a>, i: usize) -> Properties<'a> {
    let flow = &context.results.flow.triangles[i];
    Properties {
        triangle: i + 1,
        gradient: flow.gradient.map(digits::gradient),
        flow_azimuth_true_deg: flow.azimuth_true.map(digits::azimuth),
        flow_azimuth_grid_deg: flow.azimuth_grid.map(digits::azimuth),
        direction_resolved: context.results.resolves(i),
        direction_known: context.known(i),
        convergence_deg: flow.convergence_deg.map(digits::convergence),
        marks: &context.results.mesh.triangles()[i].marks,
    }
}
