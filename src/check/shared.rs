//! Control points at one position.

use super::types::ControlPoint;
use crate::diag::{Code, Diagnostic, listed};
use crate::geom::tolerance;
use crate::read::Site;
use crate::units::{GroundUnit, brief};

/// C303: control points at one position, one refusal for each position. Points must be sorted by
/// easting.
pub(super) fn distinct(points: &[ControlPoint], site: &Site, findings: &mut Vec<Diagnostic>) {
    let mut told = vec![false; points.len()];
    for (i, a) in points.iter().enumerate() {
        if told[i] {
            continue;
        }
        let mut others = Vec::new();
        for (j, b) in points.iter().enumerate().skip(i + 1) {
            if b.local.x - a.local.x > tolerance::SAME_POSITION_M {
                break;
            }
            let apart = libm::hypot(b.local.x - a.local.x, b.local.y - a.local.y);
            if apart <= tolerance::SAME_POSITION_M {
                told[j] = true;
                others.push(b);
            }
        }
        if !others.is_empty() {
            let mut together = vec![a];
            together.append(&mut others);
            together.sort_by(|a, b| a.id.cmp(&b.id));
            findings.push(shared(&together, site));
        }
    }
}

/// The refusal for wells at one position.
fn shared(together: &[&ControlPoint], site: &Site) -> Diagnostic {
    let names: Vec<&str> = together.iter().map(|p| p.id.as_str()).collect();
    let mut told = Diagnostic::new(
        Code::SharedPosition,
        format!(
            "wells {} share one position ({}, {}) within {}",
            listed(names),
            brief(together[0].crs.x),
            brief(together[0].crs.y),
            GroundUnit::of(site.settings.elevation_unit).away_to(tolerance::SAME_POSITION_M, 3)
        ),
    )
    .advice(
        "give nested wells their own `aquifer_unit` in the register, and map one unit at a time; \
         if they are one well, remove a row",
    );
    for p in together {
        told = told.well(&p.id).at_each(p.row(site).map(|row| &row.origin));
    }
    told
}
