//! What becomes of the water from a source, held against each receptor.

use rayon::prelude::*;

use super::answer::{Outcome, Verdict, outcome};
use super::arrivals::decides;
use super::fall::MeanGradient;
use super::meeting::Meeting;
use super::pairs::Levels;
use super::path::{End, FlowPath, Way};
use super::place::{FlowAtSource, Role, SitePlace, TracedPath};
use super::realizations::Said;
use super::spreading::Spreading;
use super::straight::Straight;
use super::travel::{Conductor, length_over_gradient};
use crate::geom::{Slope, narrowest_arc, tolerance};
use crate::map::Map;
use crate::uncertainty::{DirectionInterval, LEVEL};
use crate::units::Azimuth;
use crate::units::Span;

/// All pairs of source and receptor, sources first; `edge_m` as `Target::meet_to` has it.
///
/// `Target::meet_to`: super::target::Target::meet_to
pub(super) fn verdicts(
    map: &Map,
    places: &[SitePlace],
    paths: &[TracedPath],
    Said { surfaces, readings, .. }: &Said,
    (capture_m, edge_m): (f64, Option<f64>),
    conductor: Option<&Conductor>,
    levels: &Levels,
) -> Vec<Verdict> {
    let [sources, receptors] = [Role::Source, Role::Receptor].map(|role| of(places, role));
    // A pumped well whose cone the surface does not have may draw in any of the water.
    let not_known = !map.site.pumped_wells.is_empty() && !map.site.has_cones();
    let spreading = Spreading::new(&map.site.settings.receptors.aquifer);
    let metres = map.control.elevation_unit().metres();
    let barriers = map.control.beside().barriers();
    let pairs: Vec<(usize, usize)> =
        (0..sources.len()).flat_map(|s| (0..receptors.len()).map(move |r| (s, r))).collect();
    pairs
        .par_iter()
        .map(|&(s, r)| {
            let (source, receptor) = (&places[sources[s]], &places[receptors[r]]);
            let mut verdict = Verdict::unanswered(sources[s], receptors[r]);
            verdict.readings = readings.as_ref().and_then(|all| all[s][r]);
            if let Ok(drawn) = surfaces.as_ref().map(|all| &all[s][r]) {
                (verdict.realizations, verdict.arrivals) = (drawn.realizations, drawn.arrivals);
                verdict.hangs_on = Some(drawn.hangs_on.clone());
            }
            let from = |place: usize, way: Way| {
                paths.iter().enumerate().filter(move |(_, p)| p.place == place && p.path.way == way)
            };
            for (_, traced) in from(receptors[r], Way::Up) {
                let met = source.meets(&traced.path, (capture_m, edge_m), barriers);
                let Some((met, ..)) = met else { continue };
                verdict.upgradient.0 += 1;
                verdict.upgradient.1 += usize::from(met.reached.is_some());
            }
            let mut best = None;
            for (i, traced) in from(sources[s], Way::Down) {
                let met = receptor.meets(&traced.path, (capture_m, edge_m), barriers);
                let Some((met, at_edge, _)) = met else { continue };
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
                verdict.outcome = outcome(&met, &paths[i].path, capture_m);
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
            if let Ok(drawn) = surfaces.as_ref().map(|all| &all[s][r]) {
                over_surfaces(&mut verdict, &drawn.times, conductor);
            }
            if let Some(i) = verdict.path.filter(|_| verdict.outcome == Outcome::LeavesMap) {
                let spacing_m = map.uncertainty.spacing_m;
                let straight = Straight { capture_m, spacing_m, metres, conductor };
                verdict.beyond = straight.on(&paths[i].path, &receptor.target);
            }
            let open = source.flow.is_some_and(|f| !f.resolved) && !verdict.is_sure();
            verdict.unresolved = verdict.outcome != Outcome::NotOnMap
                && (open || verdict.realizations_agree() == Some(false));
            if verdict.unresolved {
                (verdict.days, verdict.retarded_days) = (None, None);
            }
            if verdict.days.is_none() {
                verdict.arrivals = None;
            }
            substance(&mut verdict, spreading.as_ref(), conductor);
            if verdict.outcome != Outcome::NotOnMap {
                if source.other_unit.is_some() || receptor.other_unit.is_some() {
                    withheld(&mut verdict, Outcome::OtherUnit);
                } else if not_known {
                    withheld(&mut verdict, Outcome::PumpedUnknown);
                }
            }
            verdict
        })
        .collect()
}

/// The places of a role.
pub(super) fn of(places: &[SitePlace], role: Role) -> Vec<usize> {
    (0..places.len()).filter(|i| places[*i].role == role).collect()
}

/// Reaching before not, early before late, near before far. The earliest is so whatever the
/// conductivity and porosity.
fn rank(met: &Meeting, path: &FlowPath, metres: f64) -> (bool, f64, f64) {
    match met.reached {
        Some(reached) => {
            let time = length_over_gradient(path, reached.along_m, metres);
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
            // No well shows how the head falls from the last of them to a stream: with an even fall the water is
            // there earliest.
            if let (Some(days), Some(v)) = (&mut verdict.days, verdict.velocity_m_per_day)
                && matches!(path.end, End::Stream { .. })
            {
                days.low = days.low.min(length / v.high);
            }
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

/// Widens a time by those over the drawn surfaces on which a path reaches the receptor: 95 % of them.
fn over_surfaces(verdict: &mut Verdict, times: &[f64], conductor: Option<&Conductor>) {
    /// Fewer say little of the ends of a range.
    const FEWEST: usize = 40;
    let (Some(days), Some(conductor)) = (verdict.days, conductor) else { return };
    if times.len() < FEWEST || days.high <= 0.0 {
        return;
    }
    let at = |tail: f64| {
        let count = times.len() as f64;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a share of the count"
        )]
        let rank = (tail * (count - 1.0)).round() as usize;
        times[rank]
    };
    let at_one = conductor.velocity(Span { low: 1.0, high: 1.0 });
    let tail = (1.0 - LEVEL) / 2.0;
    let (low, high) = (at(tail) / at_one.high, at(1.0 - tail) / at_one.low);
    let days = Span { low: days.low.min(low), high: days.high.max(high) };
    verdict.days = Some(days);
    verdict.retarded_days = conductor.retarded(days);
}

/// What decides the travel time, when the first of a substance arrives, and how much of it is left.
fn substance(verdict: &mut Verdict, spreading: Option<&Spreading>, conductor: Option<&Conductor>) {
    let Some(days) = verdict.days else { return };
    verdict.decides = conductor.and_then(|c| decides(days, c));
    let (Some(spreading), true) = (spreading, verdict.length_m > tolerance::SAME_POSITION_M) else {
        return;
    };
    let days = verdict.retarded_days.unwrap_or(days);
    verdict.first_arrival_days = spreading.first_arrival(days, verdict.length_m);
    verdict.left = spreading.left(days, verdict.length_m);
}

/// Takes back what the map says where it cannot say it.
fn withheld(verdict: &mut Verdict, why: Outcome) {
    (verdict.outcome, verdict.unresolved) = (why, false);
    (verdict.days, verdict.retarded_days) = (None, None);
    (verdict.arrivals, verdict.decides) = (None, None);
    (verdict.first_arrival_days, verdict.left) = (None, None);
    (verdict.realizations, verdict.readings) = (None, None);
    (verdict.hangs_on, verdict.beyond) = (None, None);
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

/// The flow on a surface that is not the planes of the triangles: its own slope. Its interval is that of the directions
/// of drawn surfaces or, where none are drawn, of the triangle, wide enough to hold the surface's own direction too.
///
/// # Units
/// - `slope`: m/m; `drawn`: degrees clockwise from grid north, one for each drawn surface
pub(super) fn flow_on_surface(
    plane: FlowAtSource,
    slope: Slope,
    drawn: Option<&[f64]>,
) -> FlowAtSource {
    let azimuth_grid = Azimuth::of_vector(-slope.east, -slope.north);
    let arc = drawn.and_then(|drawn| {
        let mut all: Vec<(f64, f64)> = drawn.iter().map(|d| (*d, 1.0)).collect();
        narrowest_arc(&mut all, LEVEL)
    });
    let (interval, resolved) = match arc {
        Some((from, to)) => (Some(DirectionInterval::of_degrees(from, to)), true),
        None => (plane.direction, plane.resolved),
    };
    let direction = interval.map(|interval| interval.holding(azimuth_grid));
    let resolved = resolved && direction.is_none_or(|d| d != DirectionInterval::WholeCircle);
    let gradient = libm::hypot(slope.east, slope.north);
    FlowAtSource { gradient, interval: None, azimuth_grid, direction, resolved, ..plane }
}
