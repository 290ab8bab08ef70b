//! What wells that were left out by decision would change.

use geo::Coord;

use super::site::downhill;
use super::types::SiteFlow;
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic};
use crate::geom::fit_plane_known_to;
use crate::geom::tolerance::LEFT_OUT_TURN_DEG;
use crate::units::{Azimuth, brief_to, significant};

/// C335 for each well left out by decision: the planar fit with and without it; C336 where it turns the
/// site's direction by more than [`LEFT_OUT_TURN_DEG`].
pub(super) fn effects(control: &ControlSet, flow: &SiteFlow) -> Vec<Diagnostic> {
    let metres = control.elevation_unit().metres();
    let points = control.points();
    let wells = control.wells();
    let places: Vec<Coord> = wells.iter().map(|i| points[*i].local).collect();
    let heads_m: Vec<f64> = wells.iter().map(|i| points[*i].head * metres).collect();
    let rounding_m = control.frame().rounding_m();
    let told = control.left_out().iter().map(|left| {
        let mut text = format!(
            "well {} ({} {}) is {}",
            left.id,
            brief_to(left.head, 2),
            control.elevation_unit(),
            left.reason
        );
        let with = left.place.and_then(|place| {
            let with = |all: &[Coord], one| [all, &[one]].concat();
            let heads_m = [&heads_m[..], &[left.head * metres]].concat();
            let places = with(&places, control.frame().to_local(place.crs));
            fit_plane_known_to(&places, &heads_m, rounding_m)
        });
        let mut code = Code::LeftOut;
        if let Some(plane) = with {
            let [now, then] = [flow.plane_azimuth_grid, downhill(plane.slope)];
            let turn = now.zip(then).map(|(a, b)| a.between(b));
            if turn.is_some_and(|turn| turn > LEFT_OUT_TURN_DEG) {
                code = Code::LeftOutTurns;
            }
            let true_north = |a: Option<Azimuth>| match (a, control.convergence_deg()) {
                (None, _) => "none".to_owned(),
                (Some(a), Some(by)) => format!("{}°", a.turned(by).whole_degrees()),
                (Some(a), None) => format!("{}° from grid north", a.whole_degrees()),
            };
            text += &format!(
                "; the planar fit has gradient {} and flow direction {} without it, {} and {} with it",
                significant(flow.plane_gradient, 2),
                true_north(now),
                significant(plane.slope.magnitude(), 2),
                true_north(then)
            );
        }
        let advice = match code {
            Code::LeftOutTurns => {
                "the direction rests on this decision: report both, or measure the well again"
            }
            _ => "state the decision and its reason where the map is used",
        };
        Diagnostic::new(code, text).well(&left.id).at(&left.origin).advice(advice)
    });
    told.collect()
}
