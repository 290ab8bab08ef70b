//! Whether the wells span a plane.

use super::types::ControlPoint;
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance;
use crate::units::{Azimuth, GroundUnit, LengthUnit, brief_to, told_apart};

/// C302 when the wells stand on one line, C315 when they nearly do.
///
/// The measure is the spread (root mean square) across the main axis over the spread along it,
/// from the principal axes of the positions.
///
/// # References
/// Devlin and McElwee (2007), Ground Water: an aspect ratio of the monitored area near 1 is best,
/// 0.5 to 2 tolerable (abstract).
pub(super) fn spread(points: &[ControlPoint], unit: LengthUnit, findings: &mut Vec<Diagnostic>) {
    if points.len() < 3 {
        return;
    }
    let n = points.len() as f64;
    let (mx, my) =
        points.iter().fold((0.0, 0.0), |(x, y), p| (x + p.local.x / n, y + p.local.y / n));
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in points {
        let (dx, dy) = (p.local.x - mx, p.local.y - my);
        xx += dx * dx;
        xy += dx * dy;
        yy += dy * dy;
    }
    let half = f64::midpoint(xx, yy);
    let apart = libm::hypot((xx - yy) / 2.0, xy);
    let (along, across) = ((half + apart) / n, ((half - apart) / n).max(0.0));
    if along.sqrt() < tolerance::SAME_POSITION_M {
        // That they share one position is told as C303.
        return;
    }
    let ratio = (across / along).sqrt();
    if ratio >= tolerance::THIN_SPREAD {
        return;
    }
    let axis = libm::atan2(2.0 * xy, xx - yy) / 2.0;
    let bearing = Azimuth::from_degrees(90.0 - axis.to_degrees()).degrees() % 180.0;
    let bound = if ratio < tolerance::COLLINEAR_SPREAD {
        tolerance::COLLINEAR_SPREAD
    } else {
        tolerance::THIN_SPREAD
    };
    let text = format!(
        "the {} wells spread {} along grid bearing {} and {} across it (ratio {}, bound {bound})",
        points.len(),
        GroundUnit::of(unit).away_to(along.sqrt(), 1),
        brief_to(bearing, 0),
        GroundUnit::of(unit).away_to(across.sqrt(), 2),
        told_apart(ratio, bound, 4).0,
    );
    let mut told = if ratio < tolerance::COLLINEAR_SPREAD {
        Diagnostic::new(Code::Collinear, text).advice(
            "wells on one line give the gradient along the line only; add a well to one side",
        )
    } else {
        Diagnostic::new(Code::ThinNetwork, text)
            .advice("the gradient across the line is poorly known; add a well to one side")
    };
    if points.len() <= 10 {
        told.wells = points.iter().map(|p| p.id.clone()).collect();
    }
    findings.push(told);
}
