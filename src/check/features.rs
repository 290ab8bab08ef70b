//! Wells against barriers and the boundary.

use super::beside::Beside;
use super::types::ControlPoint;
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance;
use crate::read::Site;
use crate::units::{GroundUnit, brief};

/// C320: wells that stand on a barrier. On which side they are is not known.
pub(super) fn on_barrier(
    beside: &Beside,
    wells: &[ControlPoint],
    site: &Site,
    findings: &mut Vec<Diagnostic>,
) {
    if beside.barriers().is_empty() {
        return;
    }
    for p in wells {
        let distance = beside.barriers().distance(p.local);
        if distance > tolerance::SAME_POSITION_M {
            continue;
        }
        findings.push(
            Diagnostic::new(
                Code::OnBarrier,
                format!(
                    "well {} is on a barrier: {} from its line, bound {}",
                    p.id,
                    GroundUnit::of(site.settings.elevation_unit).away_to(distance, 3),
                    GroundUnit::of(site.settings.elevation_unit)
                        .away_to(tolerance::SAME_POSITION_M, 3)
                ),
            )
            .well(&p.id)
            .at_each(p.row(site).map(|row| &row.origin))
            .advice(
                "move the line to the correct side of the well: the head belongs to one side of \
                 the barrier only",
            ),
        );
    }
}

/// C318: wells that carry the map from outside the boundary.
pub(super) fn outside(
    beside: &Beside,
    wells: &[ControlPoint],
    site: &Site,
    findings: &mut Vec<Diagnostic>,
) {
    let outside: Vec<&ControlPoint> =
        wells.iter().filter(|p| !beside.boundary().hold(p.crs)).collect();
    let Some(first) = outside.first() else { return };
    let mut told = Diagnostic::new(
        Code::OutsideBoundary,
        format!(
            "{} of {} wells lie outside the boundary, such as {} at ({}, {})",
            outside.len(),
            wells.len(),
            first.id,
            brief(first.crs.x),
            brief(first.crs.y)
        ),
    )
    .advice(
        "their heads are used and the map ends at the boundary; check the CRS of the boundary if \
         this is not intended",
    );
    for p in outside {
        told = told.well(&p.id).at_each(p.row(site).map(|row| &row.origin));
    }
    findings.push(told);
}
