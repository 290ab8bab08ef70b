//! What changed between two rounds of a site.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use super::rounds::{SiteRounds, each_once};
use super::stages::{Heads, control};
use crate::check::{ControlPoint, ControlSet};
use crate::contour;
use crate::diag::{Code, Diagnostic};
use crate::error::Error;
use crate::flow;
use crate::interpolate::{self, GridSpec};
use crate::map::Surfaced;
use crate::read::{Overrides, Site};
use crate::record::{self, ReducedRound};
use crate::report::{ChangeMap, Changes};
use crate::triangulate;

/// Takes the heads of the earlier of two rounds from those of the later one, at every well that both have, and draws the
/// surface of the changes through the wells that are on both maps. Which is the earlier their days say; where these do not,
/// the one that is named first.
///
/// # Errors
/// [`Error::Read`] when the site or one of the rounds cannot be read, or both are one; [`Error::Reduce`] when readings cannot
/// be reduced. Where no surface can be drawn, the changes of the wells say why.
pub fn compare(
    source: &Path,
    overrides: &Overrides,
    (one, other): (&str, &str),
    findings: &mut Vec<Diagnostic>,
) -> Result<Changes, Error> {
    let all = SiteRounds::read(source, overrides)?;
    let names = [all.name_of(Some(one))?, all.name_of(Some(other))?];
    if names[0] == names[1] {
        let message = format!("{one} and {other} are one round, {}", names[0]);
        let told = Diagnostic::new(Code::RoundUnclear, message).advice("name two rounds");
        return Err(Error::Read(vec![told]));
    }
    let mut said = Vec::new();
    let heads = [all.heads(&names[0], &mut said)?, all.heads(&names[1], &mut said)?];
    let controls = heads.each_ref().map(|heads| control(heads, &mut said));
    findings.extend(each_once(said.iter()));
    let site = Arc::clone(&heads[1].site);
    let of = |i: usize| ReducedRound {
        round: &heads[i].round,
        reduced: &heads[i].reduced,
        control: controls[i].as_ref().ok(),
    };
    let rounds = [of(0), of(1)];
    let record = record::of(&site, &rounds);
    let [first, second] =
        if record.rounds[0].round == heads[0].round.name { [0, 1] } else { [1, 0] };
    let map = match (&controls[first], &controls[second]) {
        (Ok(earlier), Ok(later)) => {
            map(&site, &heads[second], (earlier, later), &record, overrides)
        }
        (Err(error), _) | (_, Err(error)) => Err(super::rounds::refusal(error)),
    };
    Ok(Changes::new(site, [&heads[first].round, &heads[second].round], &record, map))
}

/// The surface of the changes, or why there is none.
fn map(
    site: &Arc<Site>,
    heads: &Heads,
    (earlier, later): (&ControlSet, &ControlSet),
    record: &record::Record,
    overrides: &Overrides,
) -> Result<ChangeMap, String> {
    let on_earlier: BTreeSet<usize> =
        earlier.points().iter().filter_map(ControlPoint::well).collect();
    let change_of = |well: usize| record.change_to(well, 1).map(|row| row.change);
    let change = |well: usize| change_of(well).filter(|_| on_earlier.contains(&well));
    let few = || "fewer than three wells are on the maps of both rounds".to_owned();
    let control = later.with_values(|well| Some(change(well)?.change)).ok_or_else(few)?;
    let mesh = triangulate::mesh(&control).value;
    if mesh.triangles().is_empty() {
        return Err("the wells of both rounds are on one line".to_owned());
    }
    let why = |error: Error| super::rounds::refusal(&error);
    let flow = flow::site(&control, &mesh).map_err(why)?.value;
    let (low, high) = control.bounds();
    let spec = GridSpec::choose(low, high, site.settings.cell, control.crs().unit_name());
    let spec = spec.map_err(why)?;
    // Squares of a thickness and cones of wells are those of heads, and no matter of changes.
    let mut of_changes = Site::clone(site);
    of_changes.settings.surface.unconfined_base = None;
    of_changes.pumped_wells.clear();
    let sd = |p: &ControlPoint| p.well().and_then(change_of).map_or(0.0, |change| change.sd);
    let sds: Vec<f64> = control.points().iter().map(sd).collect();
    let surface = interpolate::surface(&of_changes, &control, &mesh, spec, &sds);
    let surface = surface.map_err(why)?.value;
    let boundary = later.beside().boundary();
    let (interval, unit) = (overrides.interval, site.settings.elevation_unit);
    let contours = contour::lines(&surface, boundary, interval, 0.0, 0.0, unit);
    let contours = contours.map_err(why)?.value;
    let round = Arc::clone(&heads.round);
    let site = Arc::new(of_changes);
    Ok(ChangeMap { surfaced: Surfaced { site, round, control, mesh, flow, surface }, contours })
}
