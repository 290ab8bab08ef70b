//! What becomes of the water from a source, held against each receptor.

use rayon::prelude::*;
use serde::Serialize;

use super::fall::MeanGradient;
use super::pairs::Levels;
use super::path::{End, FlowPath, Way};
use super::rounds::{Rounds, rounds};
use super::site::{Role, SitePlace, TracedPath};
use super::target::Meeting;
use super::travel::{Conductor, length_over_gradient};
use crate::geom::tolerance;
use crate::map::Map;
use crate::read::Span;
use crate::uncertainty::{DirectionInterval, MagnitudeInterval, Share};
use crate::units::Azimuth;

/// What becomes of the water from a source, as far as one receptor is concerned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// A path reaches it.
    Reaches,
    /// The nearest path passes it by.
    Passes,
    /// The nearest path leaves the mapped area before.
    LeavesMap,
    /// The nearest path stops at a low.
    Stops,
    /// The nearest path comes to where the surface is level.
    Level,
    /// The source does not lie on the map.
    NotOnMap,
}

impl Outcome {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Reaches => "reaches",
            Self::Passes => "passes",
            Self::LeavesMap => "leaves the mapped area",
            Self::Stops => "stops at a low",
            Self::Level => "comes to a level place",
            Self::NotOnMap => "not on the map",
        }
    }
}

/// One source and one receptor.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// Index of the source.
    pub source: usize,
    /// Index of the receptor.
    pub receptor: usize,
    /// What becomes of the water.
    pub outcome: Outcome,
    /// Paths followed from the source.
    pub paths: usize,
    /// How many of them reach the receptor.
    pub reaching: usize,
    /// How many of these end at the edge of the grid's surface within a cell of it.
    pub at_edge: usize,
    /// The path by which the water reaches it earliest, or that comes nearest: an index into [`super::Toward::paths`].
    pub path: Option<usize>,
    /// Where that path meets or is nearest.
    pub meeting: Option<Meeting>,
    /// That path up to there: its length, m.
    pub length_m: f64,
    /// Its fall over its length.
    pub gradient: Option<MeanGradient>,
    /// Head at the source and where the path meets or is nearest, elevation unit.
    pub heads: Option<(f64, f64)>,
    /// Seepage velocity over the interval of that gradient, m/d.
    pub velocity_m_per_day: Option<Span>,
    /// Time of travel of the water over that interval, days, without end where it holds 0; only
    /// where a path reaches the receptor.
    pub days: Option<Span>,
    /// The same for a retarded substance.
    pub retarded_days: Option<Span>,
    /// From the start of the path to the nearest place of the receptor, against grid north.
    pub bearing_grid: Option<Azimuth>,
    /// Whether any place of the receptor, seen from there, lies in the 95 % interval of the
    /// direction of flow at the source.
    pub bearing_agrees: Option<bool>,
    /// What becomes of the water in the simulated rounds; `None` where [`super::Toward::cones`].
    pub rounds: Option<Rounds>,
    /// Paths upgradient from the receptor, and how many of them come from the source.
    pub upgradient: (usize, usize),
}

impl Verdict {
    /// The share of the simulated rounds in which a path reaches the receptor; `None` without rounds
    /// and when some of them leave it open.
    #[must_use]
    pub fn probability(&self) -> Option<Share> {
        self.rounds?.probability()
    }

    /// Whether most of the simulated rounds say what the map says; `None` without rounds.
    #[must_use]
    pub fn rounds_agree(&self) -> Option<bool> {
        self.rounds.map(|r| r.agree(self.outcome))
    }
}

/// The flow in the triangle a source stands in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlowAtSource {
    /// Index of the triangle.
    pub triangle: usize,
    /// Hydraulic gradient.
    pub gradient: f64,
    /// Its 95 % interval.
    pub interval: Option<MagnitudeInterval>,
    /// Direction of flow against grid north.
    pub azimuth_grid: Option<Azimuth>,
    /// Its 95 % interval.
    pub direction: Option<DirectionInterval>,
    /// Whether the direction is resolved: the readings rule out a level water table, and its interval
    /// is no whole circle.
    pub resolved: bool,
}

/// All pairs of source and receptor, sources first; `edge_m` as [`Target::meet_to`] has it.
///
/// [`Target::meet_to`]: super::target::Target::meet_to
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
    let rounds = rounds(map, places, &sources, &receptors, capture_m);
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
                rounds: rounds[s][r],
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

pub(super) fn outcome(met: &Meeting, path: &FlowPath) -> Outcome {
    /// A path is nearest at its end when less than this is left of it, m.
    const AT_THE_END: f64 = 0.01;
    if met.reached.is_some() {
        return Outcome::Reaches;
    }
    if met.nearest.along_m < path.length_m() - AT_THE_END {
        return Outcome::Passes;
    }
    match path.end {
        End::LeavesMap { .. } => Outcome::LeavesMap,
        End::Stops { .. } => Outcome::Stops,
        End::Level => Outcome::Level,
        End::NotOnMap => Outcome::NotOnMap,
        End::Unfinished => Outcome::Passes,
    }
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
