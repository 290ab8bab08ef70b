//! Heads to control points fit to be mapped, or a refusal.
//!
//! Refusals of all checks are gathered before the stage gives up, and every finding made on the
//! way is told with them.

mod across;
mod aside;
mod beside;
mod beside_pumping;
mod causes;
mod exchanged;
mod features;
mod grids;
mod head;
mod judged;
mod judged_against;
mod left_out;
mod neighbours;
mod nested;
mod network;
mod odd_heads;
mod place;
mod positions;
mod pumped;
mod scatter;
mod shape;
mod shared;
mod stage;
mod start;
mod steep;
mod streams;
mod time;
mod types;
mod unit;
mod units;
mod unread;
mod well;

use std::cell::LazyCell;
use std::sync::Arc;

pub(crate) use crate::read::unit_key;
pub use beside::Beside;
pub(crate) use causes::{LEFT, feet_and_inches};
pub use head::{HeadSd, Situation};
pub(crate) use head::{heads, usual_sd};
use judged::Judged;
use left_out::RoundNames;
pub(crate) use nested::{Screen, nested_distance_m, stacked};
pub use pumped::position as pumped_position;
pub(crate) use scatter::{CAP_SIGMAS, Scatter};
pub(crate) use start::{FEWEST, far_off};
use streams::Streams;
pub use types::{Carrier, ControlPoint, ControlSet, JudgedHead, LeaveOneOut, LeftOutHead, Place};
pub(crate) use well::Parts;

use crate::diag::{Code, Diagnostic, Warned, bounded};
use crate::error::Error;
use crate::geom::Crs;
use crate::read::{Judgement, Round, Site};
use crate::reduce::{Fate, ReadingAccount, Reduced, WellHead};

/// The heads of the mapped aquifer unit, checked, in the site's local frame.
///
/// # Errors
/// [`Error::Check`] with all findings so far and every refusal: fewer than three usable wells
/// (C301), wells on one line (C302), two wells at one position (C303), coordinates that cannot
/// belong to the CRS (C309 to C312), an aquifer unit that is not clear (C313).
pub fn control(site: &Site, round: &Round, reduced: &Reduced) -> Result<Warned<ControlSet>, Error> {
    control_while(site, round, reduced, |_| ()).map(|(control, ())| control)
}

/// As [`control`], and what `meanwhile` makes of the control points while their heads are still held
/// against each other on other threads: none of them has a residual yet.
///
/// # Errors
/// Those of [`control`]; what `meanwhile` has made is then lost.
pub(crate) fn control_while<T: Send>(
    site: &Site,
    round: &Round,
    reduced: &Reduced,
    meanwhile: impl FnOnce(&ControlSet) -> T + Send,
) -> Result<(Warned<ControlSet>, T), Error> {
    let mut findings = Vec::new();
    let mut accounts = Arc::clone(&reduced.accounts);
    let rounds: RoundNames<'_> = LazyCell::new(Box::new(|| site.rounds.known()));
    left_out::known(site, &rounds, &mut findings);
    judged::known(site, &rounds, &mut findings);
    let mut heads = unit::mapped(site, reduced, &mut accounts, &mut findings);
    let mut left = left_out::by_reading((site, round), &accounts);
    left.extend(left_out::exclude_declared((site, round), &mut heads, &mut accounts));
    well::bound_dry((site, round), &mut accounts);
    well::checked((site, round), &mut heads, &mut accounts, &mut findings);
    well::above_ground((site, round), &heads, &accounts, &mut findings);
    let crs = Crs::of(&site.settings.crs, site.settings.length_unit)
        .map(|crs| crs.with_grids(site.settings.grids.clone()))
        .map(|crs| crs.with_site_north(site.settings.site_north_azimuth))
        .map_err(|e| Error::Check(vec![Diagnostic::new(Code::CrsUnknown, e.to_string())]))?;
    let placed = place::placed(site, &crs, &heads, &mut findings);
    findings.extend(grids::idle(site));
    time::window((site, round), &heads, &accounts, &mut findings);
    // Without a unit to map there are no wells: that was told.
    let unit_told = |d: &Diagnostic| d.code == Code::UnitUnnamed && d.is_refusal();
    if heads.len() < 3 && !findings.iter().any(unit_told) {
        findings.push(few(&heads, (site, round), &accounts));
    }
    let Some(placed) = placed.filter(|_| !findings.iter().any(Diagnostic::is_refusal)) else {
        return Err(Error::Check(bounded(findings)));
    };
    let mut points = placed.points(site, &heads);
    let streams = placed.stream_points(&site.features, &crs);
    let unit = unit::name(site, &heads);
    let applies = |j: &Judgement| judged::applies(j, &round.name, unit.as_deref());
    let judged = placed.judged_points(&site.features, &crs, applies, &mut findings);
    let beside = Beside::of(site, &placed.frame);
    shared::distinct(&points, site, &mut findings);
    nested::one_surface(&points, site, &placed.frame, &mut findings);
    shape::spread(&points, site.settings.elevation_unit, &mut findings);
    features::on_barrier(&beside, &points, site, &mut findings);
    features::outside(&beside, &points, site, &mut findings);
    let from_to = time::from_to(round, &heads, &accounts);
    // How steep the surface is at a well is known when there are triangles; the scatter of the heads
    // has the errors of their positions.
    let sds = head::of_points(round, &points, from_to, &vec![0.0; points.len()]);
    let judged = Judged::new(judged, site, &placed.frame);
    judged.contradict((&points, &sds), &streams, &beside, &mut findings);
    if findings.iter().any(Diagnostic::is_refusal) {
        return Err(Error::Check(bounded(findings)));
    }
    let (mut of_stages, mut gave_way) = (Vec::new(), Vec::new());
    stage::beside_wells(&streams, &points, &beside, site, &mut of_stages);
    let streams = Streams::new(streams, (site, round), &placed.frame);
    streams.disagree(&mut of_stages);
    judged.doubt((&points, &sds), &beside, &mut of_stages);
    let streams = streams.give_way(&beside, &points, &mut gave_way);
    // Streams and judged heads are not held against wells as wells are against each other.
    let judged = judged.give_way([&points, &streams], &beside);
    let wells_apart = (!streams.is_empty() || !judged.is_empty()).then(|| points.clone());
    points.extend(streams.into_iter().chain(judged));
    points.sort_by(|a, b| place::from_west(a.crs, b.crs));
    let left_out = left_out::placed(left, &placed.places);
    let mut control = ControlSet {
        judged: judged::behind(site, &points),
        points,
        left_out,
        accounts,
        frame: placed.frame,
        factors: placed.factors,
        scale_corrected: placed.scale_corrected,
        places: placed.places,
        crs,
        elevation_unit: site.settings.elevation_unit,
        aquifer_unit: unit,
        from_to,
        beside,
    };
    let wells = wells_apart.as_ref().unwrap_or(&control.points);
    let (judged, made) = rayon::join(
        || {
            let (barriers, accounts) = (control.beside.barriers(), &control.accounts);
            neighbours::leave_one_out(wells, &sds, barriers, accounts, (site, round))
        },
        || meanwhile(&control),
    );
    findings.extend(judged.findings);
    steep::plane(wells, &judged.odd, (site, round), &mut findings);
    findings.extend(of_stages);
    if findings.iter().any(Diagnostic::is_refusal) {
        return Err(Error::Check(bounded(findings)));
    }
    findings.extend(gave_way);
    let wells = control.points.iter_mut().filter(|p| p.well().is_some());
    for (well, left_out) in wells.zip(judged.left_out) {
        well.leave_one_out = left_out;
    }
    findings.extend(pumped::wells(site, &control));
    findings.extend(beside_pumping::flag(&mut control, site, round));
    Ok((Warned::new(control, findings), made))
}

/// The refusal for too few wells.
fn few(
    heads: &[&WellHead],
    (site, round): (&Site, &Round),
    accounts: &[ReadingAccount],
) -> Diagnostic {
    let aside = accounts.iter().filter(|a| a.fate != Fate::Used).count();
    let unit = site.settings.aquifer_unit.as_ref();
    let unit = unit.map_or_else(String::new, |unit| format!(" of aquifer unit \"{unit}\""));
    let mut told = Diagnostic::new(
        Code::FewWells,
        format!(
            "{} usable wells{unit} in round \"{}\"; a plane needs 3 ({} readings, {aside} not used)",
            heads.len(),
            round.name,
            accounts.len(),
        ),
    )
    .advice(
        "`headfall check` lists the readings not used; a direction of flow needs at least three \
         wells in one aquifer unit",
    );
    told.wells = heads.iter().map(|h| site.wells[h.well].id.clone()).collect();
    told
}
