//! The finding that the plane does not describe the heads.

use super::plane::PlaneError;
use super::plane_fit::PlaneFit;
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic};
use crate::flow::SiteFlow;
use crate::geom::tolerance::PLANE_R_SQUARED;
use crate::units::{LengthUnit, brief_to, signed, told_apart};

/// So many of the largest residuals are named.
const NAMED: usize = 3;

/// The finding that the plane does not describe the heads (M416), with the largest residuals.
pub(super) fn told(
    control: &ControlSet,
    flow: &SiteFlow,
    error: Option<&PlaneError>,
) -> Option<Diagnostic> {
    let error = error.filter(|e| e.fit == PlaneFit::Poor)?;
    let (r_squared, sd) = (flow.plane.r_squared?, flow.plane.residual_sd?);
    let unit = control.elevation_unit();
    let shown = |metres: f64| LengthUnit::Metre.convert(metres, unit);
    let mut wells = control.wells();
    let residual = |i: &usize| flow.plane.residuals[*i];
    let name = |i: &usize| &control.points()[*i].id;
    wells.sort_by(|a, b| {
        residual(b).abs().total_cmp(&residual(a).abs()).then_with(|| name(a).cmp(name(b)))
    });
    wells.truncate(NAMED);
    let largest: Vec<String> = wells
        .iter()
        .map(|i| format!("{} ({} {unit})", name(i), signed(brief_to(shown(residual(i)), 2))))
        .collect();
    let text = format!(
        "the planar fit does not describe the heads: the residuals have a standard deviation of \
         {} {unit} and {} times the variance of the declared errors, and R2 is {} (bound \
         {PLANE_R_SQUARED}); the largest are {}",
        brief_to(shown(sd), 2),
        brief_to(error.variance_ratio?, 0),
        told_apart(r_squared, PLANE_R_SQUARED, 3).0,
        largest.join(", ")
    );
    let told = Diagnostic::new(Code::PlaneUnfit, text).advice(
        "check these heads; if they are right, the water table is curved: take direction and \
         gradient from the triangles and contours at each place, and report none for the whole \
         site",
    );
    Some(wells.iter().fold(told, |told, i| told.well(name(i))))
}
