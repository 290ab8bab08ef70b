//! `cross-validation.csv`: a row a well, two columns a method, three where it has a standard deviation.

use std::io;

use crate::report::digits;
use crate::report::{ComparisonResults, EffectSummary, OfRound};
use crate::write::tables;

/// The table's bytes.
pub(super) fn table(results: &ComparisonResults) -> io::Result<Vec<u8>> {
    let marks = results.site.settings.tables;
    let mut text = tables::writer(marks);
    let of = OfRound::new(&results.site, &results.round, &results.control);
    let (names, of) = tables::of_round(&of);
    text.write_record(headings(results).into_iter().chain(names))?;
    for i in &results.comparison.wells {
        let mut cells = row(results, *i);
        // All but the name of the well are numbers, and one says true or false.
        for cell in &mut cells[1..] {
            *cell = marks.number(std::mem::take(cell));
        }
        text.write_record(cells.iter().chain(&of))?;
    }
    tables::whole(marks, text)
}

fn headings(results: &ComparisonResults) -> Vec<String> {
    let first = ["well", "easting", "northing", "head_m", "head_ft", "head_sd_m", "in_common"];
    let mut headings: Vec<String> = first.map(str::to_owned).to_vec();
    for method in &results.comparison.methods {
        let name = method.candidate.name().replace('-', "_");
        headings.extend(["residual_m", "residual_ft"].map(|part| format!("{name}_{part}")));
        headings.extend(method.candidate.has_sd().then(|| format!("{name}_standardised")));
    }
    for of in ["plane", "vector_mean"] {
        let parts = ["gradient", "flow_azimuth_true_deg", "flow_azimuth_grid_deg", "turn_deg"];
        headings.extend(parts.map(|part| format!("{of}_without_{part}")));
    }
    headings
}

fn row(results: &ComparisonResults, i: usize) -> Vec<String> {
    let (point, units) = (&results.control.points()[i], results.units());
    let comparison = &results.comparison;
    let head = units.elevation(point.head);
    let number = |v: Option<f64>| v.map(|v| v.to_string()).unwrap_or_default();
    let mut cells = vec![
        tables::safe(&point.id),
        digits::position(point.crs.x).to_string(),
        digits::position(point.crs.y).to_string(),
        head.m.to_string(),
        head.ft.to_string(),
        units.elevation(results.sds[i]).m.to_string(),
        comparison.in_common[i].to_string(),
    ];
    for method in &comparison.methods {
        let prediction = method.outcome.as_ref().ok().and_then(|l| l.predictions[i]);
        let residual = prediction.map(|p| units.elevation(p.residual));
        cells.push(number(residual.map(|r| r.m)));
        cells.push(number(residual.map(|r| r.ft)));
        if method.candidate.has_sd() {
            cells.push(number(prediction.and_then(|p| p.standardised).map(digits::ratio)));
        }
    }
    let without = &comparison.without[i];
    for effect in [&without.plane, &without.mean] {
        let effect = effect.as_ref().map(EffectSummary::without);
        cells.push(number(effect.map(|e| e.gradient)));
        cells.push(number(effect.and_then(|e| e.flow_azimuth_true_deg)));
        cells.push(number(effect.and_then(|e| e.flow_azimuth_grid_deg)));
        cells.push(number(effect.and_then(|e| e.turn_deg)));
    }
    cells
}
