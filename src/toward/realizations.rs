//! What becomes of the water in realizations.

use super::answer::{Outcome, Realizations, outcome};
use super::boundary;
use super::linear;
use super::meeting::Meeting;
use super::net::Net;
use super::path::{End, Way};
use super::place::SitePlace;
use crate::map::Map;
use crate::read::EnsembleOptions;
use crate::uncertainty::Ensemble;

/// Paths that are followed on realizations, all sources together: beyond, fewer realizations are
/// taken.
const MOST_PATHS: usize = 200_000;

/// But no fewer realizations than this, if as many are asked for.
const FEWEST_ROUNDS: usize = 100;

/// Every source with every receptor in the realizations; `None` without realizations, for a source
/// beyond the map, and where the map has the cones of pumped wells, which the triangles of the
/// realizations do not know.
pub(super) fn realizations(
    map: &Map,
    places: &[SitePlace],
    sources: &[usize],
    receptors: &[usize],
    capture_m: f64,
) -> Vec<Vec<Option<Realizations>>> {
    let starts: usize = sources.iter().map(|s| places[*s].starts.len()).sum();
    let asked = map.site.settings.uncertainty.ensemble;
    let none = vec![vec![None; receptors.len()]; sources.len()];
    if starts == 0 || receptors.is_empty() || asked.members == 0 || map.site.has_cones() {
        return none;
    }
    let most = (MOST_PATHS / starts).max(FEWEST_ROUNDS);
    let options = EnsembleOptions { members: asked.members.min(most), ..asked };
    let metres = map.control.elevation_unit().metres();
    let sds: Vec<f64> = map.uncertainty.heads.iter().map(|h| h.sd_m / metres).collect();
    let net = Net::new(&map.mesh);
    let areas = boundary::of(map);
    let on_map = |place: usize| {
        places[place].starts.iter().any(|p| areas.hold(*p) && net.locate(*p).is_some())
    };
    let beyond: Vec<bool> = receptors.iter().map(|r| !on_map(*r)).collect();
    let outcomes = Ensemble::draw(map.mesh.heads(), &sds, options).map(|heads| {
        let mut said: Vec<Option<(Meeting, Outcome)>> = vec![None; sources.len() * receptors.len()];
        for (s, source) in sources.iter().enumerate() {
            for start in &places[*source].starts {
                let path = boundary::cut(&areas, linear::trace(&net, heads, *start, Way::Down));
                for (r, receptor) in receptors.iter().enumerate() {
                    let best = &mut said[s * receptors.len() + r];
                    if matches!(best, Some((_, Outcome::Reaches))) {
                        continue;
                    }
                    let target = &places[*receptor].target;
                    // Once one leaves toward it, the others matter only where they reach it.
                    if let Some((_, said)) = best
                        && beyond[r]
                        && *said == Outcome::LeavesMap
                    {
                        if target.is_reached(&path, capture_m) {
                            *said = Outcome::Reaches;
                        }
                        continue;
                    }
                    let Some((met, [begins_m, ends_m])) = target.meet_between(&path, capture_m)
                    else {
                        continue;
                    };
                    let mut new = outcome(&met, &path);
                    let open = beyond[r] && new != Outcome::Reaches;
                    // It leaves the map nearer to the receptor than it began.
                    if open && matches!(path.end, End::LeavesMap { .. }) && ends_m < begins_m {
                        new = Outcome::LeavesMap;
                    }
                    let weight = |outcome: Outcome| match outcome {
                        Outcome::Reaches => 0,
                        Outcome::LeavesMap if beyond[r] => 1,
                        _ => 2,
                    };
                    let off = |m: &Meeting| (m.nearest.distance_m, m.nearest.along_m);
                    if best.is_none_or(|(b, old)| (weight(new), off(&met)) < (weight(old), off(&b)))
                    {
                        *best = Some((met, new));
                    }
                }
            }
        }
        said.into_iter().map(|s| s.map(|(_, outcome)| outcome)).collect::<Vec<_>>()
    });
    (0..sources.len())
        .map(|s| {
            (0..receptors.len())
                .map(|r| {
                    let count = |what: Outcome| {
                        let said = |m: &&Vec<_>| m[s * receptors.len() + r] == Some(what);
                        outcomes.iter().filter(said).count()
                    };
                    on_map(sources[s]).then(|| Realizations {
                        of: options.members,
                        reaching: count(Outcome::Reaches),
                        leaving: count(Outcome::LeavesMap),
                    })
                })
                .collect()
        })
        .collect()
}
