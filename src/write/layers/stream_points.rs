//! `stream-points.geojson`.

use std::io;
use std::path::Path;

use serde::Serialize;

use crate::check::{ControlPoint, Place};
use crate::read::Stream;
use crate::report::digits;
use crate::write::context::Context;
use crate::write::layers::feature::points;

#[derive(Serialize)]
pub(in crate::write) struct Properties<'a> {
    id: &'a str,
    stream: &'a str,
    aquifer_unit: Option<&'a str>,
    stage_m: f64,
    stage_ft: f64,
    plane_residual_m: Option<f64>,
}

/// Writes the points along streams that carry the map, in the order of control points.
pub(in crate::write) fn stream_points(context: &Context, path: &Path) -> io::Result<()> {
    points(path, &context.of, rows(context))
}

/// The count of points, and where each lies with its properties.
pub(in crate::write) fn rows<'a>(
    context: &'a Context<'a>,
) -> (usize, impl Fn(usize) -> (Place, Properties<'a>) + Sync + 'a) {
    let results = context.results;
    let residuals = &results.flow.plane.residuals;
    let of = |(i, p): (usize, &'a ControlPoint)| {
        Some((p, &results.site.features.streams[p.stream()?], residuals.get(i).copied()))
    };
    let points: Vec<(&ControlPoint, &Stream, Option<f64>)> =
        results.control.points().iter().enumerate().filter_map(of).collect();
    (points.len(), move |i| {
        let (p, stream, residual) = points[i];
        let stage = context.units.elevation(p.head);
        let properties = Properties {
            id: &p.id,
            stream: &stream.name,
            aquifer_unit: stream.aquifer_unit.as_deref().or(results.control.aquifer_unit()),
            stage_m: stage.m,
            stage_ft: stage.ft,
            plane_residual_m: residual.map(digits::height),
        };
        (Place { crs: p.crs, lon_lat: p.lon_lat }, properties)
    })
}
