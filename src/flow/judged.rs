//! What judged heads would change of what is said of the whole site.

use geo::Coord;

use super::left_out::north;
use super::site::downhill;
use super::types::SiteFlow;
use super::wells::Wells;
use crate::check::{ControlSet, JudgedHead};
use crate::diag::{Code, Diagnostic};
use crate::units::{brief_to, place, significant};

/// C343 for each head that was judged, with reason and name, and the planar fit without it, which is the
/// one stated, and with it.
pub(super) fn effects(control: &ControlSet, flow: &SiteFlow, wells: &Wells) -> Vec<Diagnostic> {
    control.judged().iter().map(|judged| effect(control, flow, wells, judged)).collect()
}

fn effect(control: &ControlSet, flow: &SiteFlow, wells: &Wells, judged: &JudgedHead) -> Diagnostic {
    let metres = control.elevation_unit().metres();
    let head = format!("{} {}", brief_to(judged.head, 2), control.elevation_unit());
    let points = control.points().iter().filter(|p| judged.has(p));
    let points: Vec<(Coord, f64)> = points.map(|p| (p.local, p.head * metres)).collect();
    let with = wells.plane_with(&points);
    let (name, count) = (&judged.name, judged.points.len());
    let what = if let Some(at) = judged.crs {
        format!("judged point {name} ({head} at {})", place(at.x, at.y))
    } else {
        let points = if count == 1 { "point" } else { "points" };
        format!("control line {name} ({head}, {count} control {points})")
    };
    let by = format!("judged by {}: {}", judged.judgement.by, judged.judgement.reason);
    let mut text = format!("{what} is not measured but {by}");
    if let Some(plane) = with {
        text = format!(
            "{text}; the planar fit has gradient {} and flow direction {} without it, as stated, {} and {} \
             with it",
            significant(flow.plane_gradient, 2),
            north(control, flow.plane_azimuth_grid),
            significant(plane.slope.magnitude(), 2),
            north(control, downhill(plane.slope))
        );
    }
    Diagnostic::new(Code::JudgedHead, text)
        .advice("state the judgement and its reason where the map is used; a well there would replace it")
        .well(&judged.name)
        .at(&judged.judgement.origin)
}
