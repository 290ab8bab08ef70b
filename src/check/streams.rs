//! Streams against each other and against the wells: which point stays where several would stand, and
//! stages that contradict each other.

use std::collections::BTreeMap;

use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{Coord, Line};
use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::beside::Beside;
use super::types::ControlPoint;
use crate::diag::{Code, Diagnostic, listed};
use crate::geom::{Frame, Pieces, at, distance, foot, length, tolerance, usual_spacing};
use crate::read::{Round, Site};
use crate::units::{brief_to, place};

/// A point of a stream and the stream's number.
type OnStream = GeomWithData<[f64; 2], usize>;

/// The points of streams that carry the map, and what is known of their streams.
pub(super) struct Streams<'a> {
    site: &'a Site,
    round: &'a Round,
    frame: &'a Frame,
    /// With the number of the stream each stands on.
    points: Vec<(ControlPoint, usize)>,
    /// Of each stream with points, how far others give way to them, m.
    bounds: BTreeMap<usize, f64>,
}

impl<'a> Streams<'a> {
    pub(super) fn new(
        points: Vec<ControlPoint>,
        (site, round): (&'a Site, &'a Round),
        frame: &'a Frame,
    ) -> Self {
        let on = |p: ControlPoint| p.stream().map(|stream| (p, stream));
        let points: Vec<(ControlPoint, usize)> = points.into_iter().filter_map(on).collect();
        let mut by_stream: BTreeMap<usize, Vec<Coord>> = BTreeMap::new();
        for (p, stream) in &points {
            by_stream.entry(*stream).or_default().push(p.local);
        }
        let bound = |at: Vec<Coord>| {
            (tolerance::STREAM_GIVES_WAY * usual_spacing(&at)).max(tolerance::SAME_POSITION_M)
        };
        let bounds = by_stream.into_iter().map(|(stream, at)| (stream, bound(at))).collect();
        Self { site, round, frame, points, bounds }
    }

    /// By how much the stages of two streams that meet may differ, elevation unit: by the survey's
    /// errors of both, and by rounding.
    fn allowed(&self) -> f64 {
        let survey_sd_m = self.round.head_errors.survey_sd_m;
        let errors = tolerance::STAGES_APART_SDS * (2.0 * survey_sd_m * survey_sd_m).sqrt();
        errors.max(tolerance::STREAM_BEND_M) / self.site.settings.elevation_unit.metres()
    }

    /// C319: points at or very near a well, at or very near another stream's point, or on a barrier
    /// are taken off the map.
    ///
    /// Of the points of several streams at one place that stays whose stage most others share; of
    /// equals that of the longer stream, then that of the name that comes first.
    pub(super) fn give_way(
        self,
        beside: &Beside,
        wells: &[ControlPoint],
        findings: &mut Vec<Diagnostic>,
    ) -> Vec<ControlPoint> {
        if self.points.is_empty() {
            return Vec::new();
        }
        let tree = RTree::bulk_load(wells.iter().map(|p| [p.local.x, p.local.y]).collect());
        let bounds = self.bounds.clone();
        let site = self.site;
        let mut kept: Vec<ControlPoint> = Vec::new();
        let mut on_streams: RTree<OnStream> = RTree::new();
        let mut given_way: BTreeMap<(usize, &str), Vec<String>> = BTreeMap::new();
        for (p, stream) in self.by_rank() {
            let (at, bound) = ([p.local.x, p.local.y], bounds[&stream]);
            let within =
                |q: &[f64; 2], bound: f64| libm::hypot(q[0] - at[0], q[1] - at[1]) <= bound;
            let of_others = |q: &OnStream| {
                let bound = if q.data == stream { tolerance::SAME_POSITION_M } else { bound };
                within(q.geom(), bound)
            };
            let reason = if tree.nearest_neighbor(&at).is_some_and(|q| within(q, bound)) {
                "a well was measured there"
            } else if on_streams.locate_within_distance(at, bound * bound).any(of_others) {
                "another stream has a point there"
            } else if beside.barriers().distance(p.local) <= tolerance::SAME_POSITION_M {
                "it is on a barrier"
            } else {
                on_streams.insert(GeomWithData::new(at, stream));
                kept.push(p);
                continue;
            };
            given_way.entry((stream, reason)).or_default().push(p.id);
        }
        for ((stream, reason), mut points) in given_way {
            points.sort();
            let stream = &site.features.streams[stream];
            let many = if points.len() == 1 { "point" } else { "points" };
            let mut told = Diagnostic::new(
                Code::StreamGivesWay,
                format!(
                    "{} {many} of stream {} left out because {reason}: {}",
                    points.len(),
                    stream.name,
                    listed(&points)
                ),
            )
            .at(&stream.origin);
            told.wells = points;
            findings.push(told);
        }
        kept
    }

    /// The points, first those that stay where several would stand.
    fn by_rank(self) -> Vec<(ControlPoint, usize)> {
        let allowed = self.allowed();
        let place = |(i, (p, _)): (usize, &(ControlPoint, usize))| {
            GeomWithData::new([p.local.x, p.local.y], i)
        };
        let tree = RTree::bulk_load(self.points.iter().enumerate().map(place).collect());
        let agreeing = |(p, stream): &(ControlPoint, usize)| {
            let bound = self.bounds[stream];
            tree.locate_within_distance([p.local.x, p.local.y], bound * bound)
                .map(|q| &self.points[q.data])
                .filter(|(q, other)| other != stream && (q.head - p.head).abs() <= allowed)
                .count()
        };
        let agreeing: Vec<usize> = self.points.iter().map(agreeing).collect();
        let streams = &self.site.features.streams;
        let lengths: Vec<f64> = streams.iter().map(|s| length(s.line.0.iter().copied())).collect();
        let mut ranked: Vec<(usize, (ControlPoint, usize))> =
            agreeing.into_iter().zip(self.points).collect();
        ranked.sort_by(|(n, (p, s)), (m, (q, t))| {
            m.cmp(n)
                .then(lengths[*t].total_cmp(&lengths[*s]))
                .then_with(|| streams[*s].name.cmp(&streams[*t].name))
                .then(s.cmp(t))
                .then(p.place().cmp(&q.place()))
        });
        ranked.into_iter().map(|(_, point)| point).collect()
    }

    /// C326: two streams that cross, or of which one ends at the other, with stages farther apart
    /// than the errors declared for them allow, and a stream with two such stages at one place. Of
    /// each two the place where they are farthest apart.
    pub(super) fn disagree(&self, findings: &mut Vec<Diagnostic>) {
        let unit = self.site.settings.elevation_unit;
        let allowed = self.allowed();
        let mut worst: BTreeMap<(usize, usize), Meeting> = BTreeMap::new();
        for meeting in self.meetings() {
            let streams = (meeting.streams[0], meeting.streams[1]);
            if worst.get(&streams).is_none_or(|w| meeting.apart() > w.apart()) {
                worst.insert(streams, meeting);
            }
        }
        for meeting in worst.into_values().filter(|m| m.apart() > allowed) {
            let [a, b] = meeting.streams.map(|s| &self.site.features.streams[s]);
            let at = self.frame.to_crs(meeting.at);
            let (who, advice) = if meeting.streams[0] == meeting.streams[1] {
                (
                    format!("stream {} has two different stages", a.name),
                    "the map uses the first; at a weir, place the upper and the lower vertex \
                     apart, as they are on the ground",
                )
            } else {
                (
                    format!(
                        "streams {} and {} have different stages where they meet,",
                        a.name, b.name
                    ),
                    "correct the stages, their unit or their datum; if one passes over the other, \
                     or is not in contact with the aquifer, remove it from [features]; the map \
                     now uses the stages of both",
                )
            };
            let [first, second] = meeting.stages;
            let apart = meeting.apart();
            let at = place(at.x, at.y);
            let [first, second, apart, allowed] =
                [first, second, apart, allowed].map(|v| brief_to(v, 2));
            let text = format!(
                "{who} at {at}: {first} and {second} {unit}, {apart} {unit} apart; the declared \
                 errors allow {allowed} {unit}"
            );
            let told = Diagnostic::new(Code::StreamsDisagree, text).advice(advice).at(&a.origin);
            findings.push(if a.origin == b.origin { told } else { told.at(&b.origin) });
        }
    }

    /// Where streams with points meet near points of both.
    fn meetings(&self) -> Vec<Meeting> {
        let pieces: Vec<Piece> = self.bounds.keys().flat_map(|s| self.pieces(*s)).collect();
        let index = Pieces::new(pieces.iter().map(|piece| piece.ends).collect());
        let points = self.points.iter();
        let on = points.map(|(p, stream)| OnStream::new([p.local.x, p.local.y], *stream));
        let points: RTree<OnStream> = RTree::bulk_load(on.collect());
        // Between two of its points.
        let carries = |stream: usize, at: Coord| {
            let usual = self.bounds[&stream] / tolerance::STREAM_GIVES_WAY;
            points.locate_within_distance([at.x, at.y], usual * usual).any(|p| p.data == stream)
        };
        let mut meetings = Vec::new();
        for piece in &pieces {
            let [a, b] = piece.ends;
            if distance(a, b) <= tolerance::SAME_POSITION_M && carries(piece.stream, a) {
                meetings.push(Meeting { streams: [piece.stream; 2], stages: piece.stages, at: a });
            }
            let bound = self.bounds[&piece.stream];
            // An end may lie beside another stream; between ends streams meet where they cross.
            let is_end = piece.is_end.contains(&true);
            let wide = if is_end { bound } else { 0.0 };
            let low = Coord { x: a.x.min(b.x) - wide, y: a.y.min(b.y) - wide };
            let high = Coord { x: a.x.max(b.x) + wide, y: a.y.max(b.y) + wide };
            let mut near: Vec<usize> = index.in_box(low, high).collect();
            near.sort_unstable();
            for other in near {
                let other = &pieces[other];
                if other.stream == piece.stream {
                    continue;
                }
                let ends = piece.ends.into_iter().zip(piece.is_end).filter(|e| e.1).map(|e| e.0);
                let ends = ends.filter(|p| distance(*p, other.at(other.share(*p))) <= bound);
                let places = piece.crossings(other).into_iter().chain(ends);
                let carried = |p: &Coord| carries(piece.stream, *p) && carries(other.stream, *p);
                meetings.extend(places.filter(carried).map(|at| piece.meeting(other, at)));
            }
        }
        meetings
    }

    /// The pieces of a stream, from vertex to vertex; one of no length of a single place.
    fn pieces(&self, stream: usize) -> Vec<Piece> {
        let course = &self.site.features.streams[stream];
        let line = course.line.0.iter().map(|p| self.frame.to_local(*p));
        let vertices: Vec<(Coord, f64)> = line.zip(course.stages.iter().copied()).collect();
        let last = vertices.len().saturating_sub(1);
        let piece = |k: usize| {
            let next = (k + 1).min(last);
            Piece {
                stream,
                ends: [vertices[k].0, vertices[next].0],
                stages: [vertices[k].1, vertices[next].1],
                is_end: [k == 0, next == last],
            }
        };
        (0..last.max(1)).map(piece).collect()
    }
}

/// A piece of a stream.
struct Piece {
    stream: usize,
    ends: [Coord; 2],
    /// At its ends, elevation unit.
    stages: [f64; 2],
    /// Whether the stream begins or ends there.
    is_end: [bool; 2],
}

impl Piece {
    /// The share of its length at which it is nearest to a place.
    fn share(&self, p: Coord) -> f64 {
        foot(self.ends, p)
    }

    fn at(&self, share: f64) -> Coord {
        at(self.ends, share)
    }

    fn stage(&self, p: Coord) -> f64 {
        self.stages[0] + (self.stages[1] - self.stages[0]) * self.share(p)
    }

    /// Where it crosses or touches another piece: the ends of what they have in common.
    fn crossings(&self, other: &Self) -> Vec<Coord> {
        let [a, b] = [self, other].map(|piece| Line::new(piece.ends[0], piece.ends[1]));
        match line_intersection(a, b) {
            Some(LineIntersection::SinglePoint { intersection, .. }) => vec![intersection],
            Some(LineIntersection::Collinear { intersection }) => {
                vec![intersection.start, intersection.end]
            }
            None => Vec::new(),
        }
    }

    /// Their meeting at a place, the stream of the lower number first.
    fn meeting(&self, other: &Self, at: Coord) -> Meeting {
        let [a, b] = if self.stream < other.stream { [self, other] } else { [other, self] };
        Meeting { streams: [a.stream, b.stream], stages: [a.stage(at), b.stage(at)], at }
    }
}

/// Two streams at one place.
struct Meeting {
    streams: [usize; 2],
    /// The stage of each there, elevation unit.
    stages: [f64; 2],
    /// m.
    at: Coord,
}

impl Meeting {
    /// By how much the stages differ, elevation unit.
    fn apart(&self) -> f64 {
        (self.stages[0] - self.stages[1]).abs()
    }
}
