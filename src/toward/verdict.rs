//! What becomes of the water from a source, held against each receptor.

use rayon::prelude::*;

use super::answer::{Outcome, Verdict, outcome};
use super::fall::MeanGradient;
use super::meeting::Meeting;
use super::pairs::Levels;
use super::path::{FlowPath, Way};
use super::place::{FlowAtSource, Role, SitePlace, TracedPath};
use super::realizations::realizations;
use super::travel::{Conductor, length_over_gradient};
use crate::geom::tolerance;
use crate::map::Map;
use crate::uncertainty::DirectionInterval;
use crate::units::Azimuth;
use crate::units::Span;

/// All pairs of source and receptor, sources first; `edge_m` as `Target::meet_to` has it.
///
/// `Target::meet_to`: super::target::Target::meet_to
pub(super) fn verdicts(
    map: &Map,
    places: &[SitePlace],
    paths: &[TracedPath],
    (capture_m, edge_m): (f64, Option<f64>),
    conductor: Option<&Conductor>,
    levels: &Levels,
) -> Vec<Verdict> {
    let of = |role: Role| (0..places.len()).filter(move |i| places[*i].role == role);
    let sources: Vec<usize> = of(Role::Source).collect();
    let receptors: Vec<usize> = of(Role::Receptor).collect();
    let realizations = realizations(map, places, &sources, &receptors, capture_m);
    let metres = map.control.elevation_unit().metres();
    let barriers = map.control.beside().barriers();
    let pairs: Vec<(usize, usize)> =
        (0..sources.len()).flat_map(|s| (0..receptors.len()).map(move |r| (s, r))).collect();
    pairs
        .par_iter()
        .map(|&(s, r)| {
            let (source, receptor) = (&places[sources[s]], &places[receptors[r]]);
            let mut verdict = Verdict {
                source: sources[s],
                receptor: receptors[r],
                outcome: Outcome::NotOnMap,
                paths: 0,
                reaching: 0,
                at_edge: 0,
                path: None,
                meeting: None,
                length_m: 0.0,
                gradient: None,
                heads: None,
                velocity_m_per_day: None,
                days: None,
                retarded_days: None,
                bearing_grid: None,
                bearing_agrees: None,
                realizations: realizations[s][r],
                upgradient: (0, 0),
            };
            let from = |place: usize, way: Way| {
                paths.iter().enumerate().filter(move |(_, p)| p.place == place && p.path.way == way)
            };
            for (_, traced) in from(receptors[r], Way::Up) {
                let met = source.target.meet_to(&traced.path, capture_m, edge_m, barriers);
                let Some((met, _)) = met else { continue };
                verdict.upgradient.0 += 1;
                verdict.upgradient.1 += usize::from(met.reached.is_some());
            }
            let mut best = None;
            for (i, traced) in from(sources[s], Way::Down) {
                let met = receptor.target.meet_to(&traced.path, capture_m, edge_m, barriers);
                let Some((met, at_edge)) = met else { continue };
                verdict.paths += 1;
                verdict.at_edge += usize::from(at_edge);
                verdict.reaching += usize::from(met.reached.is_some());
                let rank = rank(&met, &traced.path, metres);
                if best.is_none_or(|best| rank < best) {
                    best = Some(rank);
                    verdict.meeting = Some(met);
                    verdict.path = Some(i);
                }
            }
            if let (Some(met), Some(i)) = (verdict.meeting, verdict.path) {
                fill(
                    &mut verdict,
                    &met,
                    &paths[i].path,
                    (source, receptor),
                    conductor,
                    levels,
                    metres,
                );
            }
            verdict
        })
        .collect()
}

/// Reaching before not, early before late, near before far. The earliest is so whatever the
/// conductivity and porosity.
fn rank(met: &Meeting, path: &FlowPath, metres: f64) -> (bool, f64, f64) {
    match met.reached {
        Some(reached) => {
            let time = length_over_gradient(&path.first(reached.along_m), metres);
            (false, time.unwrap_or(f64::INFINITY), reached.along_m)
        }
        None => (true, met.nearest.distance_m, met.nearest.along_m),
    }
}

fn fill(
    verdict: &mut Verdict,
    met: &Meeting,
    path: &FlowPath,
    (source, receptor): (&SitePlace, &SitePlace),
    conductor: Option<&Conductor>,
    levels: &Levels,
    metres: f64,
) {
    let part = path.first(met.nearest.along_m);
    let length = part.length_m();
    verdict.outcome = outcome(met, path);
    verdict.length_m = length;
    verdict.heads = part.heads.first().copied().zip(part.heads.last().copied());
    verdict.gradient = MeanGradient::of(&part, levels, metres);
    if let Some(conductor) = conductor {
        let gradient = verdict.gradient;
        verdict.velocity_m_per_day = gradient.map(|g| conductor.velocity(g.span()));
        if met.reached.is_some() {
            let there_already = length <= tolerance::SAME_POSITION_M;
            verdict.days = if there_already {
                Some(Span { low: 0.0, high: 0.0 })
            } else {
                gradient.zip(conductor.days(&part, metres)).map(|(g, d)| g.widened(d))
            };
            verdict.retarded_days = verdict.days.and_then(|d| conductor.retarded(d));
        }
    }
    let d = met.nearest.there - path.points[0];
    verdict.bearing_grid = Azimuth::of_vector(d.x, d.y);
    verdict.bearing_agrees = source
        .flow
        .filter(|f| f.resolved)
        .and_then(|f| f.direction)
        .filter(|_| verdict.bearing_grid.is_some())
        .map(|interval| receptor.target.seen_within(path.points[0], &interval));
}

/// The flow in the triangle around a place.
pub(super) fn flow_at(map: &Map, triangle: Option<usize>) -> Option<FlowAtSource> {
    let triangle = triangle?;
    let flow = &map.flow.triangles[triangle];
    let gradient = flow.gradient?;
    let error = map.uncertainty.triangles[triangle];
    let direction = map.uncertainty.directions.triangles[triangle].map(|d| d.interval);
    let may_be_any = direction == Some(DirectionInterval::WholeCircle);
    Some(FlowAtSource {
        triangle,
        gradient,
        interval: error.map(|e| e.magnitude),
        azimuth_grid: flow.azimuth_grid,
        direction,
        resolved: error.is_some_and(|e| e.resolved) && !may_be_any,
    })
}
