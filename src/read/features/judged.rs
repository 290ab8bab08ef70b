//! Judged points, and control lines to the places along them that control the map.

use std::collections::BTreeSet;

use geo::{Coord, LineString, SimplifyIdx};

use super::around::Surroundings;
use super::files::distances;
use super::points::{Course, distinct, free_name, places, too_many};
use super::types::{ControlLine, JudgedPoint};
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance::{LINE_OFF_SPACINGS, LINE_SPACINGS, MOST_STREAM_POINTS};
use crate::geom::usual_spacing;
use crate::read::settings::decisions::DeclaredPoint;
use crate::read::table::rows::shown;
use crate::units::{GroundUnit, as_given};

/// The judged points of a site, then the places along its control lines: at their ends and wherever they
/// bend, and at equal distances between these.
///
/// # Units
/// - `spacing`: CRS units
pub(in crate::read) fn judged_points(
    declared: &[DeclaredPoint],
    lines: &[ControlLine],
    spacing: Option<f64>,
    around: &Surroundings<'_>,
    said: &mut Vec<Diagnostic>,
) -> Vec<JudgedPoint> {
    let mut taken: BTreeSet<String> = around.wells.iter().map(|w| w.id.clone()).collect();
    let mut made = Vec::new();
    for point in declared {
        match placed(point, around, &mut taken) {
            Ok(point) => made.push(point),
            Err(told) => said.push(*told),
        }
    }
    if !lines.is_empty() {
        along_lines(lines, spacing, around, &mut taken, &mut made, said);
    }
    made
}

/// One of `[[judged_points]]` in the project CRS, by a name of its own.
fn placed(
    point: &DeclaredPoint,
    around: &Surroundings<'_>,
    taken: &mut BTreeSet<String>,
) -> Result<JudgedPoint, Box<Diagnostic>> {
    let origin = &point.judgement.origin;
    let name = match &point.name {
        Some(name) if !taken.insert(name.clone()) => {
            let text = format!("[[judged_points]]: the name \"{}\" is taken", shown(name));
            let told = Diagnostic::new(Code::JudgedName, text).at(origin).well(name);
            return Err(Box::new(told.advice(
                "give the judged point a name that no well of the register and no other judged point has",
            )));
        }
        Some(name) => name.clone(),
        None => free_name("judged", taken),
    };
    let (per, given) = (around.per_length_unit, point.position);
    let scaled = Coord { x: given.x * per, y: given.y * per };
    let position = around.of_register(scaled).ok_or_else(|| {
        let text = format!(
            "judged point {}: the position ({}, {}) cannot be transformed to the CRS of the site",
            shown(&name),
            as_given(given.x),
            as_given(given.y)
        );
        let told = Diagnostic::new(Code::FeatureUnusable, text).at(origin);
        Box::new(told.advice("give the coordinates in the CRS of the register"))
    })?;
    let (head, judgement) = (point.head, point.judgement.clone());
    Ok(JudgedPoint { name, position, head, line: None, judgement })
}

/// The places along control lines.
fn along_lines(
    lines: &[ControlLine],
    spacing: Option<f64>,
    around: &Surroundings<'_>,
    taken: &mut BTreeSet<String>,
    made: &mut Vec<JudgedPoint>,
    said: &mut Vec<Diagnostic>,
) {
    let spacing =
        spacing.unwrap_or_else(|| LINE_SPACINGS * usual_spacing(&distinct(&around.positions())));
    // Without wells there is no map, which is said elsewhere.
    if spacing <= 0.0 {
        return;
    }
    let metres = around.project.metres_per_unit();
    let mut count = 0.0;
    for (index, control) in lines.iter().enumerate() {
        let distances = distances(&control.line);
        let held = bends(&control.line, &distances, LINE_OFF_SPACINGS * spacing);
        let pieces = |w: &[usize]| ((distances[w[1]] - distances[w[0]]) / spacing).ceil().max(1.0);
        count += held.windows(2).map(pieces).sum::<f64>();
        if count > MOST_STREAM_POINTS as f64 {
            let spacing = GroundUnit::of(around.elevation_unit).away(spacing * metres);
            let what = format!("control line {}", shown(&control.name));
            said.push(too_many(&what, &control.judgement.origin, &spacing, "control_line_spacing"));
            return;
        }
        let heads = vec![control.head; distances.len()];
        let course = Course { line: &control.line.0, values: &heads, distances: &distances };
        let closed = control.line.is_closed() && held.len() > 2;
        let mut along = places(course, &held, pieces);
        along.truncate(along.len() - usize::from(closed));
        for at in along {
            let name = at.name(&control.name, around.elevation_unit, metres, false, taken);
            made.push(JudgedPoint {
                name,
                position: at.position,
                head: control.head,
                line: Some(index),
                judgement: control.judgement.clone(),
            });
        }
    }
}

/// The vertices without which the line would be off by more than `most`, and of those at one place the
/// first alone.
///
/// # Units
/// - `most`, `distances`: those of the line
///
/// # References
/// Douglas and Peucker (1973), Cartographica 10(2), 112-122, as the geo crate has it.
fn bends(line: &LineString, distances: &[f64], most: f64) -> Vec<usize> {
    let mut held = line.simplify_idx(most);
    held.dedup_by(|next, before| distances[*next] <= distances[*before]);
    held
}
