//! What one realization says of every source with every receptor.

use std::mem::{Discriminant, discriminant};

use geo::Coord;

use super::answer::{Outcome, outcome};
use super::meeting::Meeting;
use super::net::Net;
use super::path::{End, FlowPath, Nearness};
use super::place::SitePlace;
use super::travel::length_over_gradient;
use crate::geom::{bounds, distance};
use crate::map::Map;

/// Of the starts of a source every so many is followed first; those between two whose water goes the same way are left
/// out.
const STRIDE: usize = 4;

/// What one realization says of one source and one receptor: the outcome, and the least sum of length over gradient, m,
/// where that is asked for.
pub(super) type One = Option<(Outcome, f64)>;

/// What is asked of every realization.
pub(super) struct Asked<'a> {
    pub(super) map: &'a Map,
    /// The triangles of its mesh.
    pub(super) net: &'a Net,
    pub(super) places: &'a [SitePlace],
    pub(super) sources: &'a [usize],
    pub(super) receptors: &'a [usize],
    pub(super) near: Nearness,
    /// The standard deviation of each head, elevation unit.
    pub(super) sds: &'a [f64],
}

/// How it is asked.
pub(super) struct Asking<'a> {
    asked: &'a Asked<'a>,
    /// On a grid, whose surface ends within this of its support, m, it is asked how early the water arrives, too.
    edge_m: Option<f64>,
    /// Receptors no part of which lies on the map.
    beyond: &'a [bool],
    /// Of each source the starts that are followed in any case.
    first: Vec<Vec<usize>>,
}

/// The best that was found for a receptor.
type Best = Option<(Meeting, Outcome, f64)>;

/// A path, as far as it says something of those beside it.
struct Seen {
    start: usize,
    /// Where it begins, its middle and its end, m.
    course: [Coord; 3],
    end: Discriminant<End>,
    /// How near it comes to each receptor, m; infinite where that was not asked any more.
    nearest_m: Vec<f64>,
}

impl<'a> Asking<'a> {
    pub(super) fn new(asked: &'a Asked<'a>, edge_m: Option<f64>, beyond: &'a [bool]) -> Self {
        let first = asked.sources.iter().map(|s| asked.first(*s)).collect();
        Self { asked, edge_m, beyond, first }
    }

    /// The answer for every source and receptor, source by source.
    pub(super) fn of(&self, trace: &impl Fn(Coord) -> FlowPath) -> Vec<One> {
        let Asked { places, sources, receptors, .. } = self.asked;
        let mut said: Vec<Best> = vec![None; sources.len() * receptors.len()];
        for ((source, first), best) in
            sources.iter().zip(&self.first).zip(said.chunks_mut(receptors.len()))
        {
            let starts = &places[*source].starts;
            let follow =
                |start: usize, best: &mut [Best]| self.add(start, &trace(starts[start]), best);
            let seen: Vec<Seen> = first.iter().map(|start| follow(*start, best)).collect();
            for pair in seen.windows(2) {
                if !alike(&pair[0], &pair[1], best) {
                    for start in pair[0].start + 1..pair[1].start {
                        follow(start, best);
                    }
                }
            }
        }
        said.into_iter().map(|s| s.map(|(_, outcome, time)| (outcome, time))).collect()
    }

    /// Holds one path against all receptors.
    fn add(&self, start: usize, path: &FlowPath, said: &mut [Best]) -> Seen {
        let Asked { map, places, receptors, near, .. } = self.asked;
        let control = &map.control;
        let (edge_m, points) = (self.edge_m, &path.points);
        let about = bounds(points.iter().copied());
        let mut nearest_m = vec![f64::INFINITY; receptors.len()];
        for (r, (receptor, best)) in receptors.iter().zip(said).enumerate() {
            let place = &places[*receptor];
            // Another that reaches it changes nothing but the time, and one that does not come near cannot
            // reach it earlier.
            let may_be_earlier = |edge_m: f64| place.is_near(about, near.capture_m.max(edge_m));
            if matches!(best, Some((_, Outcome::Reaches, _))) && !edge_m.is_some_and(may_be_earlier)
            {
                continue;
            }
            let met = place.meets(path, (near.capture_m, edge_m), control.beside().barriers());
            let Some((met, _, [begins_m, ends_m])) = met else { continue };
            nearest_m[r] = met.nearest.distance_m;
            let beyond = self.beyond[r];
            let mut new = outcome(&met, path, near.capture_m);
            // It leaves the map nearer to the receptor than it began.
            if beyond
                && new != Outcome::Reaches
                && matches!(path.end, End::LeavesMap { .. })
                && ends_m < begins_m
            {
                new = Outcome::LeavesMap;
            }
            let reached = met.reached.filter(|_| edge_m.is_some());
            let metres = control.elevation_unit().metres();
            let time = reached.and_then(|at| length_over_gradient(path, at.along_m, metres));
            let time = time.unwrap_or(f64::INFINITY);
            let weight = |outcome: Outcome| match outcome {
                Outcome::Reaches => 0,
                Outcome::LeavesMap if beyond => 1,
                _ => 2,
            };
            let rank = |m: &Meeting, outcome: Outcome, time: f64| {
                (weight(outcome), time, m.nearest.distance_m, m.nearest.along_m)
            };
            if best.is_none_or(|(b, old, t)| rank(&met, new, time) < rank(&b, old, t)) {
                *best = Some((met, new, time));
            }
        }
        let at = |i: usize| points.get(i).copied().unwrap_or_default();
        let last = points.len().saturating_sub(1);
        let course = [at(0), at(last / 2), at(last)];
        Seen { start, course, end: discriminant(&path.end), nearest_m }
    }
}

impl Asked<'_> {
    /// The starts of a source that are followed in any case: every [`STRIDE`]th, the last, and for each receptor the
    /// nearest.
    fn first(&self, source: usize) -> Vec<usize> {
        let starts = &self.places[source].starts;
        let mut first: Vec<usize> = (0..starts.len()).step_by(STRIDE).collect();
        first.extend(starts.len().checked_sub(1));
        first.extend(self.receptors.iter().filter_map(|receptor| {
            let away = |i: &usize| self.places[*receptor].target.distance(starts[*i]);
            (0..starts.len()).min_by(|a, b| away(a).total_cmp(&away(b)).then(a.cmp(b)))
        }));
        first.sort_unstable();
        first.dedup();
        first
    }
}

/// Whether the water between two paths, which it cannot cross, goes where theirs does: they end alike, and every
/// receptor is reached already or out of its reach. No place between them is farther from one of the two than half as far
/// as they are apart.
fn alike(a: &Seen, b: &Seen, said: &[Best]) -> bool {
    let apart_m = a.course.iter().zip(&b.course).map(|(p, q)| distance(*p, *q)).fold(0.0, f64::max);
    let reached = |r: usize| matches!(said[r], Some((_, Outcome::Reaches, _)));
    let far = |r: usize| a.nearest_m[r].min(b.nearest_m[r]) > 0.5 * apart_m;
    a.end == b.end && (0..said.len()).all(|r| reached(r) || far(r))
}
