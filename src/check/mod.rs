//! Heads to control points fit to be mapped, or a refusal.
//!
//! Refusals of all checks are gathered before the stage gives up, and every finding made on the
//! way is told with them.

mod beside;
mod neighbours;
mod place;
mod shape;
mod stage;
mod start;
mod steep;
mod time;
mod types;
mod unit;
mod units;
mod well;

pub use beside::Beside;
pub use types::{ControlPoint, ControlSet, LeaveOneOut, Place};
pub(crate) use well::Parts;

use crate::diag::{Code, Diagnostic, Warned};
use crate::error::Error;
use crate::geom::Crs;
use crate::read::{SiteFile, WellKind};
use crate::reduce::{Fate, ReadingAccount, Reduced, WellHead};

/// The heads of the mapped aquifer unit, checked, in the site's local frame.
///
/// # Errors
/// [`Error::Check`] with all findings so far and every refusal: fewer than three usable wells
/// (C301), wells on one line (C302), two wells at one position (C303), coordinates that cannot
/// belong to the CRS (C309 to C312), an aquifer unit that is not clear (C313).
pub fn control(site: &SiteFile, reduced: &Reduced) -> Result<Warned<ControlSet>, Error> {
    let mut findings = Vec::new();
    let mut accounts = reduced.accounts.clone();
    let mut heads = unit::mapped(site, reduced, &mut accounts, &mut findings);
    well::checked(site, &mut heads, &mut accounts, &mut findings);
    well::above_ground(site, &heads, &accounts, &mut findings);
    let crs = Crs::lookup(&site.settings.crs)
        .map_err(|e| Error::Check(vec![Diagnostic::new(Code::CrsUnknown, e.to_string())]))?;
    let placed = place::placed(site, &crs, &heads, &mut findings);
    time::window(site, &heads, &accounts, &mut findings);
    let is_well = |h: &&WellHead| site.wells[h.well].kind != WellKind::Stream;
    let wells: Vec<&WellHead> = heads.iter().copied().filter(is_well).collect();
    if wells.len() < 3 {
        findings.push(few(&wells, site, &accounts));
    }
    let Some(placed) = placed.filter(|_| !findings.iter().any(Diagnostic::is_refusal)) else {
        return Err(Error::Check(findings));
    };
    let points = placed.points(site, &heads);
    let beside = Beside::of(site, &placed.frame);
    let (mut points, streams) = beside::apart(points);
    place::distinct(&points, site, &mut findings);
    shape::spread(&points, &mut findings);
    beside.on_barrier(&points, site, &mut findings);
    beside.outside(&points, site, &mut findings);
    if findings.iter().any(Diagnostic::is_refusal) {
        return Err(Error::Check(findings));
    }
    let odd = neighbours::leave_one_out(&mut points, beside.barriers(), site, &mut findings);
    steep::plane(&points, &odd, site, &mut findings);
    stage::beside_wells(&streams, &points, &beside, site, &mut findings);
    if findings.iter().any(Diagnostic::is_refusal) {
        return Err(Error::Check(findings));
    }
    let streams = beside.give_way(streams, &points, site, &mut accounts, &mut findings);
    points.extend(streams);
    points.sort_by(|a, b| place::from_west(a.crs, b.crs));
    let from_to = time::from_to(site, &heads, &accounts);
    let control = ControlSet {
        points,
        accounts,
        frame: placed.frame,
        factors: placed.factors,
        scale_corrected: placed.scale_corrected,
        places: placed.places,
        crs,
        elevation_unit: site.settings.elevation_unit,
        aquifer_unit: unit::name(site, &heads),
        from_to,
        beside,
    };
    Ok(Warned { value: control, findings })
}

/// Takes a well's readings off the map, with the reason.
fn set_aside(head: &WellHead, accounts: &mut [ReadingAccount], code: Code, reason: &str) {
    for i in &head.accounts {
        accounts[*i].fate = Fate::SetAside { code: Some(code), reason: reason.to_owned() };
    }
}

/// The refusal for too few wells.
fn few(heads: &[&WellHead], site: &SiteFile, accounts: &[ReadingAccount]) -> Diagnostic {
    let aside = accounts.iter().filter(|a| a.fate != Fate::Used).count();
    let mut told = Diagnostic::new(
        Code::FewWells,
        format!(
            "{} usable wells in round \"{}\"; a plane needs 3 ({} readings, {aside} set aside)",
            heads.len(),
            site.round,
            accounts.len(),
        ),
    )
    .advice(
        "see the readings set aside in `headfall check`; a direction of flow cannot be had from \
         fewer than three wells in one aquifer unit",
    );
    told.wells = heads.iter().map(|h| site.wells[h.well].id.clone()).collect();
    told
}
