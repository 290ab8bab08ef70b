//! What stands beside the control points: boundary, barriers, streams.

use geo::{Coord, Intersects, LineString, Point, Polygon};
use rstar::RTree;
use std::collections::BTreeMap;

use super::types::ControlPoint;
use crate::diag::{Code, Diagnostic};
use crate::geom::{Frame, Obstacles, tolerance, usual_spacing};
use crate::read::{SiteFile, WellKind};
use crate::reduce::{Fate, ReadingAccount};
use crate::units::{brief, brief_to};

/// The area, the barriers and the streams of a site, against its control points.
#[derive(Debug, Clone, Default)]
pub struct Beside {
    boundary: Vec<Polygon>,
    barriers: Obstacles,
    /// The stream that each row of the register stands on, by well.
    stream_of: BTreeMap<usize, usize>,
}

impl Beside {
    pub(super) fn of(site: &SiteFile, frame: &Frame) -> Self {
        let features = &site.features;
        let local = |line: &LineString| line.0.iter().map(|p| frame.to_local(*p)).collect();
        let lines: Vec<LineString> = features.barriers.iter().map(|b| local(&b.line)).collect();
        Self {
            boundary: features.boundary.clone(),
            barriers: Obstacles::new(&lines),
            stream_of: features.stream_points.iter().map(|p| (p.well, p.stream)).collect(),
        }
    }

    /// The areas the map is clipped to, CRS units; none when there is no boundary.
    #[must_use]
    pub fn boundary(&self) -> &[Polygon] {
        &self.boundary
    }

    /// Whether a place lies within the boundary or on it; everywhere does when there is none.
    ///
    /// # Units
    /// - `p`: CRS units
    #[must_use]
    pub fn holds(&self, p: Coord) -> bool {
        self.boundary.is_empty() || self.boundary.iter().any(|area| area.intersects(&Point(p)))
    }

    /// The barriers, m in the local frame.
    #[must_use]
    pub const fn barriers(&self) -> &Obstacles {
        &self.barriers
    }

    /// The stream that a control point stands on, by its number in the site's features.
    #[must_use]
    pub fn stream(&self, point: &ControlPoint) -> Option<usize> {
        self.stream_of.get(&point.well).copied()
    }

    /// C320: wells that stand on a barrier. On which side they are is not known.
    pub(super) fn on_barrier(
        &self,
        wells: &[ControlPoint],
        site: &SiteFile,
        findings: &mut Vec<Diagnostic>,
    ) {
        if self.barriers.is_empty() {
            return;
        }
        for p in wells {
            let distance = self.barriers.distance(p.local);
            if distance > tolerance::SAME_POSITION_M {
                continue;
            }
            findings.push(
                Diagnostic::new(
                    Code::OnBarrier,
                    format!(
                        "well {} stands on a barrier: {} m from its line, bound {} m",
                        p.id,
                        brief_to(distance, 3),
                        tolerance::SAME_POSITION_M
                    ),
                )
                .well(&p.id)
                .at(&site.wells[p.well].origin)
                .advice(
                    "move the line to the side of the well on which the wall was built: the head \
                     belongs to one side",
                ),
            );
        }
    }

    /// C318: wells that carry the map from outside the boundary.
    pub(super) fn outside(
        &self,
        wells: &[ControlPoint],
        site: &SiteFile,
        findings: &mut Vec<Diagnostic>,
    ) {
        let outside: Vec<&ControlPoint> = wells.iter().filter(|p| !self.holds(p.crs)).collect();
        let Some(first) = outside.first() else { return };
        let mut told = Diagnostic::new(
            Code::OutsideBoundary,
            format!(
                "{} of {} wells lie outside the boundary, such as {} at ({}, {})",
                outside.len(),
                wells.len(),
                first.id,
                brief(first.crs.x),
                brief(first.crs.y)
            ),
        )
        .advice(
            "their heads count and the map ends at the boundary; check the boundary's CRS when \
             this is not meant",
        );
        for p in outside {
            told = told.well(&p.id).at(&site.wells[p.well].origin);
        }
        findings.push(told);
    }

    /// C319: points of streams at or very near a well, at or very near another stream's point, or
    /// on a barrier are taken off the map.
    pub(super) fn give_way(
        &self,
        streams: Vec<ControlPoint>,
        wells: &[ControlPoint],
        site: &SiteFile,
        accounts: &mut [ReadingAccount],
        findings: &mut Vec<Diagnostic>,
    ) -> Vec<ControlPoint> {
        if streams.is_empty() {
            return streams;
        }
        let mut by_stream: BTreeMap<usize, Vec<Coord>> = BTreeMap::new();
        for p in &streams {
            if let Some(stream) = self.stream(p) {
                by_stream.entry(stream).or_default().push(p.local);
            }
        }
        let bounds: BTreeMap<usize, f64> = by_stream
            .into_iter()
            .map(|(s, at)| {
                let bound = tolerance::STREAM_GIVES_WAY * usual_spacing(&at);
                (s, bound.max(tolerance::SAME_POSITION_M))
            })
            .collect();
        let tree = RTree::bulk_load(wells.iter().map(|p| [p.local.x, p.local.y]).collect());
        let mut kept: Vec<ControlPoint> = Vec::new();
        // Of each kept point, with its stream.
        let mut on_streams: RTree<rstar::primitives::GeomWithData<[f64; 2], usize>> = RTree::new();
        let mut given_way: BTreeMap<(usize, &str), Vec<String>> = BTreeMap::new();
        for p in streams {
            let Some(stream) = self.stream(&p) else { continue };
            let (at, bound) = ([p.local.x, p.local.y], bounds[&stream]);
            let within =
                |q: &[f64; 2], bound: f64| libm::hypot(q[0] - at[0], q[1] - at[1]) <= bound;
            let of_others = |q: &rstar::primitives::GeomWithData<[f64; 2], usize>| {
                let bound = if q.data == stream { tolerance::SAME_POSITION_M } else { bound };
                within(q.geom(), bound)
            };
            let reason = if tree.nearest_neighbor(&at).is_some_and(|q| within(q, bound)) {
                "a well was read there"
            } else if on_streams.locate_within_distance(at, bound * bound).any(of_others) {
                "a stream has a point there already"
            } else if self.barriers.distance(p.local) <= tolerance::SAME_POSITION_M {
                "it is on a barrier"
            } else {
                on_streams.insert(rstar::primitives::GeomWithData::new(at, stream));
                kept.push(p);
                continue;
            };
            for account in accounts.iter_mut().filter(|a| a.well == p.well) {
                account.fate =
                    Fate::SetAside { code: Some(Code::StreamGivesWay), reason: reason.to_owned() };
            }
            given_way.entry((stream, reason)).or_default().push(p.id);
        }
        for ((stream, reason), points) in given_way {
            let stream = &site.features.streams[stream];
            let many = if points.len() == 1 { "point" } else { "points" };
            let mut told = Diagnostic::new(
                Code::StreamGivesWay,
                format!(
                    "{} {many} of the stream {} left out because {reason}: {}",
                    points.len(),
                    stream.name,
                    points.join(", ")
                ),
            )
            .at(&stream.origin);
            told.wells = points;
            findings.push(told);
        }
        kept
    }
}

/// Wells and gauges, and points of streams, each in their order.
pub(super) fn apart(mut points: Vec<ControlPoint>) -> (Vec<ControlPoint>, Vec<ControlPoint>) {
    let streams = points.extract_if(.., |p| p.kind == WellKind::Stream).collect();
    (points, streams)
}
