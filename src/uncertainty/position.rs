//! What an error of a well's position makes of its head.

use geo::Coord;

use crate::check::{self, ControlPoint, ControlSet, HeadSd};
use crate::diag::{Code, Diagnostic};
use crate::flow::SiteFlow;
use crate::geom::tolerance::POSITION_PART;
use crate::geom::{SlopeSum, nearest_others};
use crate::read::{Round, Site, Well};
use crate::triangulate::{Mark, Mesh};
use crate::units::{GroundUnit, brief_to, told_apart};

/// The standard deviation of each control point's head, in the control set's order: from the declared
/// parts, and from the position of its well. A head that was read elsewhere than the register says is off
/// by the fall of the surface between the two places, in first order the slope times the way.
///
/// The slope at a well is the mean over the triangles around it, by area; without one, that of the
/// site's plane.
///
/// # References
/// JCGM 100:2008, 5.1.2. `docs/uncertainty.md`.
#[must_use]
pub fn heads(
    site: &Site,
    round: &Round,
    control: &ControlSet,
    mesh: &Mesh,
    flow: &SiteFlow,
) -> Vec<HeadSd> {
    let mut positions_m: Vec<f64> = control
        .points()
        .iter()
        .map(|p| p.row(site).map_or(0.0, |w| sd_m(site, control, w)))
        .collect();
    if positions_m.iter().any(|sd| *sd > 0.0) {
        for (position, slope) in positions_m.iter_mut().zip(slopes(control, mesh, flow)) {
            *position *= slope;
        }
    }
    check::heads(round, control, &positions_m)
}

/// The standard deviation of either coordinate of a well, m on the ground.
pub(crate) fn sd_m(site: &Site, control: &ControlSet, well: &Well) -> f64 {
    let sd = well.position_sd.unwrap_or(site.settings.uncertainty.position_sd);
    sd * control.crs().metres_per_unit()
}

/// How steep the surface is at each control point, m/m.
fn slopes(control: &ControlSet, mesh: &Mesh, flow: &SiteFlow) -> Vec<f64> {
    let mut around = vec![SlopeSum::default(); control.points().len()];
    for (triangle, flow) in mesh.triangles().iter().zip(&flow.triangles) {
        let of_aquifer = !triangle.marks.contains(&Mark::OneStream);
        let Some(slope) = flow.slope.filter(|_| of_aquifer) else { continue };
        for corner in triangle.corners {
            around[corner].add(slope, triangle.area_m2);
        }
    }
    let rounding_m = control.frame().rounding_m();
    let slope = |sum: SlopeSum| {
        if sum.area > 0.0 { sum.mean(rounding_m).magnitude() } else { flow.plane_gradient }
    };
    around.into_iter().map(slope).collect()
}

/// M427 where the standard deviation of a position is more than [`POSITION_PART`] of the distance to the
/// nearest other well: then the first order is not all, and intervals may be too short.
pub(crate) fn rough_positions(site: &Site, control: &ControlSet) -> Option<Diagnostic> {
    let points = control.points();
    let wells: Vec<&ControlPoint> = control.wells().into_iter().map(|i| &points[i]).collect();
    let sds: Vec<f64> =
        wells.iter().map(|p| p.row(site).map_or(0.0, |w| sd_m(site, control, w))).collect();
    if sds.iter().all(|sd| *sd == 0.0) {
        return None;
    }
    let places: Vec<Coord> = wells.iter().map(|p| p.local).collect();
    let nearest = nearest_others(&places);
    let part = |i: usize| sds[i] / nearest[i].1;
    let rough: Vec<usize> = (0..wells.len()).filter(|i| part(*i) > POSITION_PART).collect();
    let worst =
        rough.iter().copied().max_by(|a, b| part(*a).total_cmp(&part(*b)).then(b.cmp(a)))?;
    let ground = GroundUnit::of(control.elevation_unit());
    let (found, bound) = told_apart(part(worst), POSITION_PART, 2);
    let [have, a, s] = if rough.len() == 1 { ["has", "a ", ""] } else { ["have", "", "s"] };
    let text = format!(
        "{} of {} wells {have} {a}position{s} with a standard deviation above {bound} of the distance to \
         the nearest other well; the worst is {}: {}, which is {found} of the {} to {}",
        rough.len(),
        wells.len(),
        wells[worst].id,
        ground.away_to(sds[worst], 1),
        ground.away_to(nearest[worst].1, 1),
        wells[nearest[worst].0].id
    );
    let advice = format!(
        "survey the wells; until then 95 % intervals of gradients and directions between them may be too \
         short (they hold up to {} of that distance)",
        brief_to(POSITION_PART, 2)
    );
    let mut told = Diagnostic::new(Code::PositionsRough, text).advice(advice);
    for i in rough {
        told.wells.push(wells[i].id.clone());
        told.origins.extend(wells[i].row(site).map(|well| well.origin.clone()));
    }
    Some(told)
}
