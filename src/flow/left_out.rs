//! What wells that were left out by decision would change.

use super::site::downhill;
use super::types::SiteFlow;
use super::wells::Wells;
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance::LEFT_OUT_TURN_DEG;
use crate::units::{Azimuth, brief_to, significant};

/// C335 for each well left out by decision: the planar fit with and without it; C336 where it turns the
/// site's direction by more than [`LEFT_OUT_TURN_DEG`].
pub(super) fn effects(control: &ControlSet, flow: &SiteFlow, wells: &Wells) -> Vec<Diagnostic> {
    let metres = control.elevation_unit().metres();
    let north = |azimuth| north(control, azimuth);
    let told = control.left_out().iter().map(|left| {
        let head = brief_to(left.head, 2);
        let unit = control.elevation_unit();
        let said = format!("well {} ({head} {unit}) is {}", left.id, left.reason);
        let with = left.place.and_then(|place| {
            let place = control.frame().to_local(place.crs);
            wells.plane_with(&[(place, left.head * metres)])
        });
        let Some(plane) = with else {
            return Diagnostic::new(Code::LeftOut, said).advice(STATE_IT).well(&left.id);
        };
        let [now, then] = [flow.plane_azimuth_grid, downhill(plane.slope)];
        let turn = now.zip(then).map(|(a, b)| a.between(b));
        let (code, advice) = match turn {
            Some(turn) if turn > LEFT_OUT_TURN_DEG => (Code::LeftOutTurns, REPORT_BOTH),
            _ => (Code::LeftOut, STATE_IT),
        };
        let text = format!(
            "{said}; the planar fit has gradient {} and flow direction {} without it, {} and {} \
             with it",
            significant(flow.plane_gradient, 2),
            north(now),
            significant(plane.slope.magnitude(), 2),
            north(then)
        );
        Diagnostic::new(code, text).advice(advice).well(&left.id)
    });
    told.zip(control.left_out()).map(|(told, left)| told.at(&left.origin)).collect()
}

/// A direction against true north, or where nobody knows that, against grid north.
pub(super) fn north(control: &ControlSet, azimuth: Option<Azimuth>) -> String {
    match (azimuth, control.convergence_deg()) {
        (None, _) => "none".to_owned(),
        (Some(a), Some(by)) => format!("{}°", a.turned(by).whole_degrees()),
        (Some(a), None) => format!("{}° from site north", a.whole_degrees()),
    }
}

const STATE_IT: &str = "state the decision and its reason where the map is used";

const REPORT_BOTH: &str = "the direction rests on this decision: report both directions, or measure \
                           the well again";
