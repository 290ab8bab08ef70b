//! `judged-points.geojson`.

use std::io;
use std::path::Path;

use serde::Serialize;

use crate::check::{ControlPoint, Place};
use crate::read::JudgedPoint;
use crate::write::context::Context;
use crate::write::layers::feature::points;

#[derive(Serialize)]
pub(in crate::write) struct Properties<'a> {
    id: &'a str,
    control_line: Option<&'a str>,
    aquifer_unit: Option<&'a str>,
    head_m: f64,
    head_ft: f64,
    basis: &'static str,
    reason: &'a str,
    by: &'a str,
}

/// Writes the control points that were judged, in the order of control points.
pub(in crate::write) fn judged_points(context: &Context, path: &Path) -> io::Result<()> {
    points(path, &context.of, rows(context))
}

/// The count of points, and where each lies with its properties.
pub(in crate::write) fn rows<'a>(
    context: &'a Context<'a>,
) -> (usize, impl Fn(usize) -> (Place, Properties<'a>) + Sync + 'a) {
    let results = context.results;
    let site = &results.map.site;
    let of = |p: &'a ControlPoint| Some((p, p.judged(site)?));
    let points: Vec<(&ControlPoint, &JudgedPoint)> =
        results.map.control.points().iter().filter_map(of).collect();
    (points.len(), move |i| {
        let (p, judged) = points[i];
        let head = context.units.elevation(p.head);
        let line = judged.line.map(|line| site.features.control_lines[line].name.as_str());
        let own = judged.judgement.aquifer_unit.as_deref();
        let properties = Properties {
            id: &p.id,
            control_line: line,
            aquifer_unit: own.or(results.map.control.aquifer_unit()),
            head_m: head.m,
            head_ft: head.ft,
            basis: if line.is_some() { INTERPRETED } else { "judged" },
            reason: &judged.judgement.reason,
            by: &judged.judgement.by,
        };
        (Place { crs: p.crs, lon_lat: p.lon_lat }, properties)
    })
}

/// What lines are that somebody drew, and heads along them.
pub(in crate::write) const INTERPRETED: &str = "interpreted";
