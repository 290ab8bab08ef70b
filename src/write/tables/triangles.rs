//! `triangles.csv`.

use std::borrow::Cow;
use std::io;
use std::path::Path;

use serde::Serialize;

use crate::write::context::Context;
use crate::write::decimals;
use crate::write::tables::cell;
use crate::write::tables::table::table;

#[derive(Serialize)]
struct Row<'a> {
    id: usize,
    well_1: Cow<'a, str>,
    well_2: Cow<'a, str>,
    well_3: Cow<'a, str>,
    head_1_m: f64,
    head_2_m: f64,
    head_3_m: f64,
    head_1_ft: f64,
    head_2_ft: f64,
    head_3_ft: f64,
    centroid_easting: f64,
    centroid_northing: f64,
    gradient: Option<f64>,
    flow_azimuth_true_deg: Option<f64>,
    flow_azimuth_grid_deg: Option<f64>,
    gradient_low: Option<f64>,
    gradient_high: Option<f64>,
    direction_resolved: bool,
    flow_azimuth_true_from_deg: Option<f64>,
    flow_azimuth_true_to_deg: Option<f64>,
    direction_spread_deg: Option<f64>,
    convergence_deg: f64,
    area_m2: f64,
    base_to_height: Option<f64>,
    marks: String,
}

/// Writes the triangles, one row each.
pub(in crate::write) fn triangles(context: &Context, path: &Path) -> io::Result<()> {
    let points = context.results.control.points();
    let triangles = context.results.mesh.triangles();
    let flows = &context.results.flow.triangles;
    table(path, triangles.len(), |i| {
        let (triangle, flow) = (&triangles[i], &flows[i]);
        let sure = context.sure(i);
        let [well_1, well_2, well_3] = triangle.corners.map(|k| cell::text(&points[k].id));
        let [a, b, c] = triangle.corners.map(|k| context.units.elevation(points[k].head));
        Row {
            id: i + 1,
            well_1,
            well_2,
            well_3,
            head_1_m: a.m,
            head_2_m: b.m,
            head_3_m: c.m,
            head_1_ft: a.ft,
            head_2_ft: b.ft,
            head_3_ft: c.ft,
            centroid_easting: decimals::position(flow.centroid.x),
            centroid_northing: decimals::position(flow.centroid.y),
            gradient: flow.gradient.map(decimals::gradient),
            flow_azimuth_true_deg: flow.azimuth_true.map(decimals::azimuth),
            flow_azimuth_grid_deg: flow.azimuth_grid.map(decimals::azimuth),
            gradient_low: sure.gradient_low,
            gradient_high: sure.gradient_high,
            direction_resolved: sure.direction_resolved,
            flow_azimuth_true_from_deg: sure.flow_azimuth_true_from_deg,
            flow_azimuth_true_to_deg: sure.flow_azimuth_true_to_deg,
            direction_spread_deg: context.spread_deg(i),
            convergence_deg: decimals::convergence(flow.convergence_deg),
            area_m2: decimals::area(triangle.area_m2),
            base_to_height: decimals::finite_ratio(triangle.base_to_height),
            marks: triangle.marks.iter().map(|m| m.word()).collect::<Vec<_>>().join(" "),
        }
    })
}
