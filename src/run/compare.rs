//! What changed between two rounds of a site.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use super::rounds::{SiteRounds, of_rounds};
use super::stages::control;
use crate::check::{ControlPoint, ControlSet};
use crate::diag::{Code, Diagnostic};
use crate::error::Error;
use crate::map::{AcrossRounds, Map, Worked};
use crate::read::{Overrides, Round, Site};
use crate::record::{self, Record, ReducedRound};
use crate::report::Changes;

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
    let mut said = names.clone().map(|name| (name, Vec::new()));
    let heads = [all.heads(&names[0], &mut said[0].1)?, all.heads(&names[1], &mut said[1].1)?];
    let controls = [control(&heads[0], &mut said[0].1), control(&heads[1], &mut said[1].1)];
    findings.extend(of_rounds(&said));
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
            map(&site, &heads[second].round, [earlier, later], &record, overrides)
        }
        (Err(error), _) | (_, Err(error)) => Err(super::rounds::refusal(error)),
    };
    let of = [first, second];
    let rounds = of.map(|i| &*heads[i].round);
    let read = of.map(|i| controls[i].as_ref().ok().and_then(ControlSet::from_to));
    Ok(Changes::new(site, rounds, read, &record, map))
}

/// The surface of the changes, or why there is none.
fn map(
    site: &Site,
    round: &Round,
    controls: [&ControlSet; 2],
    record: &Record,
    overrides: &Overrides,
) -> Result<Map, String> {
    let on_maps = controls.map(ControlSet::by_well);
    let [earlier, later] = &on_maps;
    let change = |well: usize| {
        let on_both = earlier.contains_key(&well) && later.contains_key(&well);
        record.change_to(well, 1).map(|row| row.change).filter(|_| on_both)
    };
    let few = || "fewer than three wells are on the maps of both rounds".to_owned();
    let is_off = |well: usize| on_maps.iter().any(|wells| wells.get(&well) == Some(&true));
    let value = |well: usize| Some((change(well)?.change, is_off(well)));
    let control = ControlSet::across(&controls, value).ok_or_else(few)?;
    let sd = |p: &ControlPoint| p.well().and_then(change).map_or(0.0, |change| change.sd);
    let sds: Vec<f64> = control.points().iter().map(sd).collect();
    let rounds: Vec<String> = record.rounds.iter().map(|round| round.round.clone()).collect();
    let why_none = |well: usize| Some((well, why_none(record, &on_maps, well)?));
    let across = AcrossRounds {
        worked: Worked::Change,
        period: rounds.join(" to "),
        without: (0..record.wells.len()).filter_map(why_none).collect(),
        rounds,
    };
    // Interval and base of heads are none of changes; an interval that is asked for on the command line is one.
    let mut site = super::across::of_values(site);
    (site.settings.interval, site.settings.base_level) = (overrides.interval, 0.0);
    let own = control.bounds();
    super::across::map(&Arc::new(site), round, control, (&sds, own), across)
}

/// Why a well is not on the map of changes; `None` of one that is, and of one that was read in neither round.
fn why_none(record: &Record, on_maps: &[BTreeMap<usize, bool>; 2], well: usize) -> Option<String> {
    let on_map = on_maps.iter().zip(&record.rounds);
    let missing = on_map.filter(|(wells, _)| !wells.contains_key(&well));
    let missing: Vec<&str> = missing.map(|(_, round)| round.round.as_str()).collect();
    let told = !missing.is_empty() && !record.heads_of(well).is_empty();
    told.then(|| format!("not on the map of {}", missing.join(" and ")))
}
