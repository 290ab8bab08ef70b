//! Control lines whose level is not drawn.

use super::types::Contours;
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic, listed};
use crate::units::brief;

/// M426: control lines whose head is no contour level: no contour runs along them.
#[must_use]
pub fn off_levels(control: &ControlSet, contours: &Contours) -> Option<Diagnostic> {
    let lines = control.judged().iter().filter(|judged| judged.crs.is_none());
    let drawn =
        |head: f64| contours.levels.iter().any(|level| (level - head).abs() <= LEVELS_EQUAL);
    let off: Vec<_> = lines.filter(|line| !drawn(line.head)).collect();
    if off.is_empty() {
        return None;
    }
    let unit = control.elevation_unit();
    let named = off.iter().map(|line| format!("{} ({} {unit})", line.name, brief(line.head)));
    let text = format!("no contour is drawn at the head of {}", listed(named));
    let mut told = Diagnostic::new(Code::LineOffLevels, text).advice(
        "the surface honours these control lines all the same; to draw their contours, add their heads to \
         levels, or choose interval and base, under [contours] in site.toml",
    );
    told.wells = off.iter().map(|line| line.name.clone()).collect();
    Some(told)
}

/// Levels and heads are cleaned to this, elevation unit.
const LEVELS_EQUAL: f64 = 1e-9;
