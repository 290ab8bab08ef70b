//! `contours.geojson`.

use std::io;
use std::path::Path;

use serde::Serialize;

use crate::contour::ContourLine;
use crate::units::LengthUnit;
use crate::units::clean;
use crate::write::antimeridian;
use crate::write::context::Context;
use crate::write::layers::feature::layer;

#[derive(Serialize)]
struct Properties {
    level: f64,
    unit: LengthUnit,
    level_m: f64,
    level_ft: f64,
    closed: bool,
}

/// Writes the contours, one feature a line of equal head.
pub(in crate::write) fn contours(context: &Context, path: &Path) -> io::Result<()> {
    let lines = &context.results.contours.lines;
    let mut points: Vec<_> = lines.iter().flat_map(|l| l.points.iter().copied()).collect();
    context.results.control.crs().to_lon_lat(&mut points).map_err(io::Error::other)?;
    let starts: Vec<usize> = lines
        .iter()
        .scan(0, |next, line| {
            *next += line.points.len();
            Some(*next - line.points.len())
        })
        .collect();
    layer(path, lines.len(), |i| {
        let geometry = antimeridian::line(&points[starts[i]..][..lines[i].points.len()])?;
        Some((geometry, properties(context, &lines[i])))
    })
}

fn properties(context: &Context, line: &ContourLine) -> Properties {
    let height = context.units.elevation(line.level);
    Properties {
        level: clean(line.level),
        unit: context.units.elevation,
        level_m: height.m,
        level_ft: height.ft,
        closed: line.is_closed(),
    }
}
