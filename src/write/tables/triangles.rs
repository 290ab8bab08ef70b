//! `triangles.csv`.

use std::borrow::Cow;
use std::io;

use serde::Serialize;

use crate::report::digits;
use crate::write::context::Context;
use crate::write::tables::cell;
use crate::write::tables::cell::Number;
use crate::write::tables::grid::Grid;
use crate::write::tables::table::grid;

#[derive(Default, Serialize)]
struct Row {
    id: usize,
    well_1: String,
    well_2: String,
    well_3: String,
    head_1_m: Number,
    head_2_m: Number,
    head_3_m: Number,
    head_1_ft: Number,
    head_2_ft: Number,
    head_3_ft: Number,
    centroid_easting: Number,
    centroid_northing: Number,
    gradient: Option<Number>,
    flow_azimuth_true_deg: Option<Number>,
    flow_azimuth_grid_deg: Option<Number>,
    gradient_low: Option<Number>,
    gradient_high: Option<Number>,
    direction_resolved: bool,
    direction_known: bool,
    flow_azimuth_true_from_deg: Option<Number>,
    flow_azimuth_true_to_deg: Option<Number>,
    flow_azimuth_grid_from_deg: Option<Number>,
    flow_azimuth_grid_to_deg: Option<Number>,
    direction_spread_deg: Option<Number>,
    convergence_deg: Option<Number>,
    area_m2: Number,
    base_to_height: Option<Number>,
    marks: String,
}

/// The triangles, one row each.
pub(in crate::write) fn triangles<'a>(context: &'a Context<'a>) -> io::Result<Grid<'a>> {
    let points = context.results.control.points();
    let triangles = context.results.mesh.triangles();
    let flows = &context.results.flow.triangles;
    // Each name stands in some six triangles.
    let names: Vec<Cow<str>> = points.iter().map(|p| cell::text(&p.id)).collect();
    grid(context.of.made_safe(cell::safe), triangles.len(), move |i| {
        let (triangle, flow) = (&triangles[i], &flows[i]);
        let sure = context.sure(i);
        let [well_1, well_2, well_3] = triangle.corners.map(|k| names[k].clone().into_owned());
        let [a, b, c] = triangle.corners.map(|k| context.units.elevation(points[k].head));
        Row {
            id: i + 1,
            well_1,
            well_2,
            well_3,
            head_1_m: Number(a.m),
            head_2_m: Number(b.m),
            head_3_m: Number(c.m),
            head_1_ft: Number(a.ft),
            head_2_ft: Number(b.ft),
            head_3_ft: Number(c.ft),
            centroid_easting: Number(digits::position(flow.centroid.x)),
            centroid_northing: Number(digits::position(flow.centroid.y)),
            gradient: flow.gradient.map(digits::gradient).map(Number),
            flow_azimuth_true_deg: flow.azimuth_true.map(digits::azimuth).map(Number),
            flow_azimuth_grid_deg: flow.azimuth_grid.map(digits::azimuth).map(Number),
            gradient_low: sure.gradient_low.map(Number),
            gradient_high: sure.gradient_high.map(Number),
            direction_resolved: sure.direction_resolved,
            direction_known: context.known(i),
            flow_azimuth_true_from_deg: sure.flow_azimuth_true_from_deg.map(Number),
            flow_azimuth_true_to_deg: sure.flow_azimuth_true_to_deg.map(Number),
            flow_azimuth_grid_from_deg: sure.flow_azimuth_grid_from_deg.map(Number),
            flow_azimuth_grid_to_deg: sure.flow_azimuth_grid_to_deg.map(Number),
            direction_spread_deg: context.spread_deg(i).map(Number),
            convergence_deg: flow.convergence_deg.map(digits::convergence).map(Number),
            area_m2: Number(digits::area(triangle.area_m2)),
            base_to_height: digits::finite_ratio(triangle.base_to_height).map(Number),
            marks: triangle.marks.iter().map(|m| m.word()).collect::<Vec<_>>().join(" "),
        }
    })
}
