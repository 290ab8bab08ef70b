//! What is said of heads that do not fit the plane of their neighbours.

use super::types::{ControlPoint, LeaveOneOut};
use super::units;
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance;
use crate::read::{Round, Site};
use crate::units::{brief, brief_to, signed, told_apart};

/// The findings for the wells that do not fit, the worst first.
pub(super) fn tell(
    points: &[ControlPoint],
    odd: &[usize],
    left_out: &[Option<LeaveOneOut>],
    (site, round): (&Site, &Round),
) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    let unit = site.settings.elevation_unit;
    for &i in odd {
        let p = &points[i];
        let Some(loo) = left_out[i] else { continue };

        let (score, _) = told_apart(loo.score.abs(), tolerance::LEAVE_ONE_OUT_SIGMAS, 1);
        let (head, off) = (brief_to(p.head, 2), signed(brief_to(loo.residual, 2)));
        let told = match units::mixed_up(p, loo.predicted, unit, round.depth_unit) {
            Some(how) => Diagnostic::new(
                Code::UnitMixUp,
                format!(
                    "well {}: head {head} {unit} is {off} {unit} from the plane through its \
                     neighbours, and fits it if {how}",
                    p.id
                ),
            )
            .advice("check the unit of this well's reading and measuring point"),
            None => Diagnostic::new(
                Code::OffNeighbours,
                format!(
                    "well {}: head {head} {unit} is {off} {unit} from the {} {unit} of the plane \
                     through its neighbours ({score} robust standard deviations, bound {})",
                    p.id,
                    brief_to(loo.predicted, 2),
                    brief(tolerance::LEAVE_ONE_OUT_SIGMAS)
                ),
            )
            .advice(advice(site)),
        };
        findings.push(told.well(&p.id).at_each(p.row(site).map(|row| &row.origin)));
    }
    findings
}

/// What to do about a head off its neighbours' plane.
fn advice(site: &Site) -> String {
    const USUAL: &str = "check the reading, the measuring point elevation and the aquifer unit; \
                         keep the well if the water table is curved there";
    if site.pumped_wells.is_empty() {
        return USUAL.to_owned();
    }
    format!(
        "{USUAL}, as it is beside the pumped wells in site.toml: a plane does not follow their \
         cones of depression"
    )
}
