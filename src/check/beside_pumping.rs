//! Wells beside one that was pumping: their levels may be drawn down.

use geo::Coord;

use super::types::{ControlPoint, ControlSet};
use crate::diag::{Code, Diagnostic, listed};
use crate::geom::{distance, tolerance, usual_spacing};
use crate::read::{Round, Site, Status, WellKind, unit_key};
use crate::reduce::Fate;
use crate::units::{LengthUnit, brief_to, fixed, signed};

/// So many of the nearest wells stand beside a pumping one.
const NEAREST: usize = 4;

/// Flags the wells beside each well of the mapped unit that was pumping when it was read (C327).
///
/// # Units
/// - bound: [`tolerance::BESIDE_PUMPING_SPACINGS`] usual spacings of wells
///
/// # References
/// Common practice, no source.
pub(super) fn flag(control: &mut ControlSet, site: &Site, round: &Round) -> Vec<Diagnostic> {
    let pumping = pumping(control, site, round);
    if pumping.is_empty() {
        return Vec::new();
    }
    let wells: Vec<usize> =
        control.wells().into_iter().filter(|i| is_well(&control.points[*i])).collect();
    let places: Vec<Coord> = wells.iter().map(|i| control.points[*i].local).collect();
    let reach = tolerance::BESIDE_PUMPING_SPACINGS * usual_spacing(&places);
    let mut findings = Vec::new();
    for well in pumping {
        let Some(place) = control.places[well] else { continue };
        let at = control.frame.to_local(place.crs);
        let away = |i: &usize| distance(at, control.points[*i].local);
        let mut beside: Vec<usize> = wells
            .iter()
            .copied()
            .filter(|i| away(i) <= reach)
            .filter(|i| !control.beside.barriers().part(at, control.points[*i].local))
            .collect();
        beside.sort_by(|a, b| away(a).total_cmp(&away(b)).then(a.cmp(b)));
        beside.truncate(NEAREST);
        if beside.is_empty() {
            continue;
        }
        findings.push(told(control, site, well, &beside, at));
        for i in beside {
            control.points[i].beside_pumping.get_or_insert(well);
        }
    }
    findings
}

fn is_well(p: &ControlPoint) -> bool {
    p.kind() == Some(WellKind::Well)
}

/// The wells of the mapped unit that were pumping and carry nothing, by name.
fn pumping(control: &ControlSet, site: &Site, round: &Round) -> Vec<usize> {
    let mapped = control.aquifer_unit.as_deref().map(unit_key);
    let of_unit = |well: usize| {
        let own = site.wells[well].aquifer_unit.as_deref().map(unit_key);
        own.is_none() || mapped.is_none() || own == mapped
    };
    let mut wells: Vec<usize> = control
        .accounts
        .iter()
        .filter(|a| round.readings[a.reading].status == Status::Pumping && a.fate != Fate::Used)
        .map(|a| a.well)
        .filter(|well| of_unit(*well))
        .collect();
    wells.sort_by(|a, b| site.wells[*a].id.cmp(&site.wells[*b].id));
    wells.dedup();
    wells
}

fn told(control: &ControlSet, site: &Site, well: usize, beside: &[usize], at: Coord) -> Diagnostic {
    let (name, unit) = (&site.wells[well].id, control.elevation_unit);
    let of_one = |i: &usize| {
        let p = &control.points[*i];
        let away = fixed(LengthUnit::Metre.convert(distance(at, p.local), unit), 0);
        let off = p.leave_one_out.map_or_else(String::new, |l| {
            let off = signed(brief_to(l.residual, 2));
            format!(", {off} {unit} from the plane through its neighbours")
        });
        format!("{} ({away} {unit} away{off})", p.id)
    };
    let all: Vec<String> = beside.iter().map(of_one).collect();
    let told = Diagnostic::new(
        Code::BesidePumping,
        format!(
            "well {name} was pumping when it was read: levels nearby may be drawn down, in {}",
            listed(all)
        ),
    )
    .advice(
        "read these wells again after recovery; until then contours and directions there show \
         pumping conditions, not static levels",
    )
    .well(name)
    .at(&site.wells[well].origin);
    beside.iter().fold(told, |told, i| told.well(&control.points[*i].id))
}
