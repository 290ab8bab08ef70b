//! `contours.geojson`.

use std::io;
use std::path::Path;

use serde::Serialize;

use crate::contour::is_index;
use crate::report::ContourSign;
use crate::report::digits;
use crate::units::LengthUnit;
use crate::units::clean;
use crate::write::antimeridian;
use crate::write::context::Context;
use crate::write::layers::feature::layer_with;

#[derive(Serialize)]
pub(in crate::write) struct Properties {
    line: usize,
    level: f64,
    unit: LengthUnit,
    level_m: f64,
    level_ft: f64,
    closed: bool,
    inferred: bool,
    sign: &'static str,
    band_half_width_m: f64,
    band_capped: bool,
}

/// Writes the contours: one feature for each stretch that is inferred throughout or nowhere. The
/// rule for it is a member of the collection.
pub(in crate::write) fn contours(context: &Context, path: &Path) -> io::Result<()> {
    let uncertainty = &context.results.uncertainty;
    let stretches = &context.stretches;
    let count = |(line, s): (usize, usize)| uncertainty.contours[line].stretches[s].count;
    let starts: Vec<usize> = stretches
        .iter()
        .scan(0, |next, at| {
            let start = *next;
            *next += count(*at);
            Some(start)
        })
        .collect();
    let rule = uncertainty.inferred_rule.clone();
    let feature = |i: usize| {
        let vertices = &context.vertices[starts[i]..][..count(stretches[i])];
        Some((antimeridian::line(vertices)?, properties(context, stretches[i])))
    };
    layer_with(path, &context.of, &[("inferred_rule", rule)], (stretches.len(), feature))
}

/// The properties of one stretch.
pub(in crate::write) fn properties(context: &Context, (line, s): (usize, usize)) -> Properties {
    let contour = &context.results.contours.lines[line];
    let support = &context.results.uncertainty.contours[line];
    let height = context.units.elevation(contour.level);
    let base = context.results.site.settings.base_level;
    let index = is_index(context.results.contours.steps(contour.level, base));
    let (stretch, band) = (support.stretches[s], support.bands[s]);
    Properties {
        line: line + 1,
        level: clean(contour.level),
        unit: context.units.elevation,
        level_m: height.m,
        level_ft: height.ft,
        closed: contour.is_closed(),
        inferred: stretch.inferred,
        sign: ContourSign { index, inferred: stretch.inferred }.name(),
        band_half_width_m: digits::height(band.half_width_m),
        band_capped: band.capped,
    }
}
