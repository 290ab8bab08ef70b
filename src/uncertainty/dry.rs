//! Dry wells against the surface: it cannot stand where a well found no water.

use std::collections::BTreeSet;

use super::confidence::NORMAL_SDS;
use super::linear::LinearSurface;
use super::position::sd_m as position_sd_m;
use crate::check::{ControlPoint, ControlSet, HeadSd, Parts, Situation, unit_key};
use crate::diag::{Code, Diagnostic};
use crate::flow::SiteFlow;
use crate::interpolate::Surface;
use crate::read::{Round, Site, Status, Well};
use crate::reduce::ReadingAccount;
use crate::triangulate::Mesh;
use crate::units::{LengthUnit, brief_to, told_apart};

/// Holds the surface against every dry well of the mapped unit: M418 where it stands above the level
/// at which the well would have water by more than 1.96 standard deviations of the difference.
///
/// The standard deviation of the surface is its own where it has one, and otherwise that of the
/// linear surface between the same wells.
///
/// # Units
/// - `heads`: one for each control point
///
/// # References
/// `docs/uncertainty.md`.
#[must_use]
pub(crate) fn dry_wells(
    site: &Site,
    round: &Round,
    control: &ControlSet,
    (mesh, flow): (&Mesh, &SiteFlow),
    surface: &Surface,
    heads: &[HeadSd],
) -> Vec<Diagnostic> {
    let dry = dry(site, round, control);
    if dry.is_empty() {
        return Vec::new();
    }
    let settings = &site.settings;
    let (unit, metres) = (settings.elevation_unit, settings.elevation_unit.metres());
    let sds: Vec<f64> = heads.iter().map(|h| h.sd_m / metres).collect();
    let corners: Vec<[usize; 3]> = mesh.triangles().iter().map(|t| t.corners).collect();
    let linear = LinearSurface::new(mesh.local(), mesh.heads(), &sds, &corners);
    let largest = sds.iter().copied().fold(0.0, f64::max);
    let told = dry.into_iter().filter_map(|account| {
        let well = &site.wells[account.well];
        let parts = Parts::of(well, account.measuring_point, settings);
        let read = account.measuring_point.zip(account.dry_to);
        let read = read.map(|(point, depth)| point - round.depth_unit.convert(depth, unit));
        let (lowest, what) = parts.lowest_water(read)?;
        let place = control.places()[account.well]?;
        let head = surface.heads.at(place.crs)?;
        let local = control.frame().to_local(place.crs);
        let of_surface = match &surface.sd {
            Some(grid) => grid.nearest(place.crs),
            None => linear.sd_at(local),
        };
        let slope = linear.steepness_at(local).map_or(flow.plane_gradient, |s| s * metres);
        let position_m = slope * position_sd_m(site, control, well);
        let depth_m = account.measuring_point.map(|point| (point - lowest) * metres);
        let of_well = round.head_errors.of(Situation { depth_m, position_m, ..<_>::default() });
        let bound = NORMAL_SDS * libm::hypot(of_surface.unwrap_or(largest), of_well.sd_m / metres);
        let told = finding(well, unit, head, (lowest, what), bound)?;
        Some(told.at(&round.readings[account.reading].origin).at(&well.origin))
    });
    told.collect()
}

fn finding(
    well: &Well,
    unit: LengthUnit,
    head: f64,
    (lowest, what): (f64, &str),
    bound: f64,
) -> Option<Diagnostic> {
    let above = head - lowest;
    if above <= bound {
        return None;
    }
    let aquifer = well.aquifer_unit.as_ref().map_or(String::new(), |u| format!(" of unit \"{u}\""));
    let (above, bound) = told_apart(above, bound, 2);
    let text = format!(
        "well {}{aquifer} was dry, but the surface there is at {} {unit}, {above} {unit} above \
         {what} at {} {unit} (bound {bound} {unit})",
        well.id,
        brief_to(head, 2),
        brief_to(lowest, 2)
    );
    let told = Diagnostic::new(Code::AboveDryWell, text).well(&well.id).advice(
        "check the status dry, the well's depths and their reference, its measuring point and its \
         aquifer unit; if all are right, the water table there is below the map: do not rely on \
         contours and directions around this well",
    );
    Some(told)
}

/// The dry readings of wells of the mapped unit that no other reading put on the map, one for each
/// well.
fn dry<'a>(site: &Site, round: &Round, control: &'a ControlSet) -> Vec<&'a ReadingAccount> {
    let all = control.accounts().iter();
    let dry: Vec<_> = all.filter(|a| round.readings[a.reading].status == Status::Dry).collect();
    if dry.is_empty() {
        return dry;
    }
    let unit = |well: usize| site.wells[well].aquifer_unit.as_deref().map(unit_key);
    let mapped: BTreeSet<usize> = control.points().iter().filter_map(ControlPoint::well).collect();
    let units: BTreeSet<_> = mapped.iter().map(|well| unit(*well)).collect();
    let mut seen = BTreeSet::new();
    dry.into_iter()
        .filter(|a| !mapped.contains(&a.well) && units.contains(&unit(a.well)))
        .filter(|a| seen.insert(a.well))
        .collect()
}
