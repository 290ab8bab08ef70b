//! `triangles.geojson`.

use std::io;
use std::path::Path;

use serde::Serialize;

use crate::report::digits;
use crate::triangulate::Mark;
use crate::write::antimeridian;
use crate::write::context::Context;
use crate::write::layers::feature::layer_with;

#[derive(Serialize)]
pub(in crate::write) struct Properties<'a> {
    id: usize,
    wells: [&'a str; 3],
    heads_m: [f64; 3],
    heads_ft: [f64; 3],
    gradient: Option<f64>,
    flow_azimuth_true_deg: Option<f64>,
    flow_azimuth_grid_deg: Option<f64>,
    gradient_low: Option<f64>,
    gradient_high: Option<f64>,
    direction_resolved: bool,
    direction_known: bool,
    flow_azimuth_true_from_deg: Option<f64>,
    flow_azimuth_true_to_deg: Option<f64>,
    flow_azimuth_grid_from_deg: Option<f64>,
    flow_azimuth_grid_to_deg: Option<f64>,
    direction_spread_deg: Option<f64>,
    area_m2: f64,
    base_to_height: Option<f64>,
    marks: &'a [Mark],
}

/// Writes the triangles, one feature each. What the intervals of directions rest on is a member of the
/// collection.
pub(in crate::write) fn triangles(context: &Context, path: &Path) -> io::Result<()> {
    let points = context.results.control.points();
    let triangles = context.results.mesh.triangles();
    let basis = context.results.uncertainty.directions.basis.words().to_owned();
    let feature = |i: usize| {
        let [a, b, c] = triangles[i].corners.map(|k| points[k].lon_lat);
        Some((antimeridian::triangle([a?, b?, c?])?, properties(context, i)))
    };
    layer_with(path, &context.of, &[("direction_interval", basis)], (triangles.len(), feature))
}

/// The properties of one triangle.
pub(in crate::write) fn properties<'a>(context: &Context<'a>, i: usize) -> Properties<'a> {
    let points = context.results.control.points();
    let triangle = &context.results.mesh.triangles()[i];
    let flow = &context.results.flow.triangles[i];
    let sure = context.sure(i);
    let heads = triangle.corners.map(|k| context.units.elevation(points[k].head));
    Properties {
        id: i + 1,
        wells: triangle.corners.map(|k| points[k].id.as_str()),
        heads_m: heads.map(|h| h.m),
        heads_ft: heads.map(|h| h.ft),
        gradient: flow.gradient.map(digits::gradient),
        flow_azimuth_true_deg: flow.azimuth_true.map(digits::azimuth),
        flow_azimuth_grid_deg: flow.azimuth_grid.map(digits::azimuth),
        gradient_low: sure.gradient_low,
        gradient_high: sure.gradient_high,
        direction_resolved: sure.direction_resolved,
        direction_known: context.known(i),
        flow_azimuth_true_from_deg: sure.flow_azimuth_true_from_deg,
        flow_azimuth_true_to_deg: sure.flow_azimuth_true_to_deg,
        flow_azimuth_grid_from_deg: sure.flow_azimuth_grid_from_deg,
        flow_azimuth_grid_to_deg: sure.flow_azimuth_grid_to_deg,
        direction_spread_deg: context.spread_deg(i),
        area_m2: digits::area(triangle.area_m2),
        base_to_height: digits::finite_ratio(triangle.base_to_height),
        marks: &triangle.marks,
    }
}
