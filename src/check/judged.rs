//! Heads that somebody judged: which of them control a map.

use std::collections::BTreeMap;

use geo::Coord;
use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::beside::Beside;
use super::left_out::{RoundNames, unknown_round};
use super::types::{ControlPoint, JudgedHead};
use crate::diag::{Code, Diagnostic, Origin, listed};
use crate::geom::{Frame, tolerance, usual_spacing};
use crate::read::{JudgedPoint, Judgement, Site, unit_key};
use crate::units::{GroundUnit, brief_to};

pub(super) type Indexed = GeomWithData<[f64; 2], usize>;

/// The judgements of a site, each once: of every judged point and of every file of control lines.
fn judgements(site: &Site) -> Vec<(&'static str, &Judgement)> {
    let points = site.features.judged_points.iter().filter(|p| p.line.is_none());
    let points = points.map(|p| ("[[judged_points]]", &p.judgement));
    let lines = site.features.control_lines.iter().map(|l| ("control_lines", &l.judgement));
    let mut all: Vec<(&str, &Judgement)> = points.chain(lines).collect();
    all.dedup_by(|a, b| a.1 == b.1);
    all
}

/// R111 for a judgement about a round that there is not; R140 for one whose aquifer unit no well has, or
/// that names none where the register has several.
pub(super) fn known(site: &Site, rounds: &RoundNames<'_>, findings: &mut Vec<Diagnostic>) {
    let judgements = judgements(site);
    if judgements.is_empty() {
        return;
    }
    let own = site.wells.iter().filter_map(|w| w.aquifer_unit.as_deref());
    let all = own.chain(site.settings.aquifer_unit.as_deref());
    let names: BTreeMap<String, &str> = all.map(|u| (unit_key(u), u)).collect();
    for (what, judgement) in judgements {
        let round = judgement.round.as_deref();
        findings.extend(unknown_round(rounds, what, round, &judgement.origin));
        let list = || listed(names.values().map(|u| format!("\"{u}\"")));
        let text = match &judgement.aquifer_unit {
            Some(own) if names.contains_key(&unit_key(own)) => continue,
            Some(own) if names.is_empty() => {
                format!("{what}: aquifer unit \"{own}\", but the register names no aquifer units")
            }
            Some(own) => {
                format!("{what}: no well is in aquifer unit \"{own}\"; the register has {}", list())
            }
            None if names.len() < 2 => continue,
            None => format!("{what}: no aquifer unit is given; the register has {}", list()),
        };
        findings.push(Diagnostic::new(Code::JudgedUnit, text).at(&judgement.origin).advice(
            "give the unit that the head was judged for as aquifer_unit, in the words of the \
                 register; without units there, leave it out",
        ));
    }
}

/// Whether a judgement is for this round and the unit mapped.
pub(super) fn applies(judgement: &Judgement, round: &str, mapped: Option<&str>) -> bool {
    let same = |own: &str| mapped.is_none_or(|mapped| unit_key(own) == unit_key(mapped));
    judgement.applies_to(round) && judgement.aquifer_unit.as_deref().is_none_or(same)
}

/// Judged heads, held against measured ones.
pub(super) struct Judged<'a> {
    pub(super) site: &'a Site,
    pub(super) frame: &'a Frame,
    pub(super) points: Vec<ControlPoint>,
}

impl<'a> Judged<'a> {
    pub(super) fn new(points: Vec<ControlPoint>, site: &'a Site, frame: &'a Frame) -> Self {
        Self { site, frame, points }
    }

    pub(super) fn given(&self, p: &ControlPoint) -> &'a JudgedPoint {
        &self.site.features.judged_points[p.place()]
    }

    pub(super) fn origin(&self, p: &ControlPoint) -> &'a Origin {
        &self.given(p).judgement.origin
    }

    /// Its name, or that of its control line.
    pub(super) fn name(&self, p: &ControlPoint) -> &'a str {
        let given = self.given(p);
        given.line.map_or(&given.name, |line| &self.site.features.control_lines[line].name)
    }

    /// The same with what it is.
    pub(super) fn what(&self, p: &ControlPoint) -> String {
        let kind = if self.given(p).line.is_some() { "control line" } else { "judged point" };
        format!("{kind} {} ({})", self.name(p), self.head(p.head))
    }

    pub(super) fn head(&self, head: f64) -> String {
        format!("{} {}", brief_to(head, 2), self.site.settings.elevation_unit)
    }

    pub(super) fn far(&self, metres: f64) -> String {
        GroundUnit::of(self.site.settings.elevation_unit).away_to(metres, 2)
    }

    /// The judged heads that control the map. Of a control line the points on a barrier, and those at or
    /// very near a well, a place on a stream or a judged point give way.
    pub(super) fn give_way(
        self,
        [wells, streams]: [&[ControlPoint]; 2],
        beside: &Beside,
    ) -> Vec<ControlPoint> {
        if self.points.is_empty() {
            return Vec::new();
        }
        let of_line = |p: &ControlPoint| self.given(p).line;
        let refs: Vec<&ControlPoint> = self.points.iter().collect();
        let mut bounds: BTreeMap<usize, f64> = BTreeMap::new();
        for (line, points) in group(&refs, of_line) {
            let places: Vec<Coord> = points.iter().map(|p| p.local).collect();
            bounds.insert(line, tolerance::STREAM_GIVES_WAY * usual_spacing(&places));
        }
        let lone = self.points.iter().filter(|p| of_line(p).is_none());
        let firm = wells.iter().chain(streams).chain(lone).map(|p| p.local);
        let firm = RTree::bulk_load(indexed(firm));
        let mut kept: RTree<[f64; 2]> = RTree::new();
        let stays = |p: &ControlPoint| {
            let Some(line) = of_line(p) else { return true };
            let at = [p.local.x, p.local.y];
            let bound = bounds[&line].max(tolerance::SAME_POSITION_M);
            let same = squared(tolerance::SAME_POSITION_M);
            let stays = within(&firm, at, bound).is_none()
                && kept.locate_within_distance(at, same).next().is_none()
                && beside.barriers().distance(p.local) > tolerance::SAME_POSITION_M;
            if stays {
                kept.insert(at);
            }
            stays
        };
        let stay: Vec<bool> = self.points.iter().map(stays).collect();
        self.points.into_iter().zip(stay).filter(|(_, stays)| *stays).map(|(p, _)| p).collect()
    }
}

/// The judgements behind some control points: judged points as they are declared, then control lines.
pub(super) fn behind(site: &Site, points: &[ControlPoint]) -> Vec<JudgedHead> {
    let mut all: BTreeMap<(bool, usize), JudgedHead> = BTreeMap::new();
    let mut own: Vec<usize> =
        points.iter().filter(|p| p.is_judged()).map(ControlPoint::place).collect();
    own.sort_unstable();
    for point in own {
        let given = &site.features.judged_points[point];
        let key = (given.line.is_some(), given.line.unwrap_or(point));
        let line = given.line.map(|line| &site.features.control_lines[line]);
        let JudgedPoint { name, position, head, judgement, .. } = given;
        let judged = all.entry(key).or_insert_with(|| JudgedHead {
            name: line.map_or(name, |line| &line.name).clone(),
            head: *head,
            crs: line.is_none().then_some(*position),
            points: Vec::new(),
            judgement: judgement.clone(),
        });
        judged.points.push(point);
    }
    all.into_values().collect()
}

pub(super) fn squared(bound: f64) -> f64 {
    bound * bound
}

pub(super) fn indexed(places: impl Iterator<Item = Coord>) -> Vec<Indexed> {
    places.enumerate().map(|(i, p)| GeomWithData::new([p.x, p.y], i)).collect()
}

/// The nearest within a distance, m.
pub(super) fn within(tree: &RTree<Indexed>, at: [f64; 2], bound: f64) -> Option<usize> {
    let near = tree.nearest_neighbor(&at)?;
    let [x, y] = *near.geom();
    (libm::hypot(x - at[0], y - at[1]) <= bound).then_some(near.data)
}

/// The points of each control line.
fn group<'p>(
    points: &[&'p ControlPoint],
    line: impl Fn(&ControlPoint) -> Option<usize>,
) -> BTreeMap<usize, Vec<&'p ControlPoint>> {
    let mut lines: BTreeMap<usize, Vec<&ControlPoint>> = BTreeMap::new();
    for p in points {
        if let Some(line) = line(p) {
            lines.entry(line).or_default().push(p);
        }
    }
    lines
}

/// A point of each control line.
pub(super) fn by_line<'p>(
    points: &[&'p ControlPoint],
    line: impl Fn(&ControlPoint) -> Option<usize>,
) -> BTreeMap<usize, &'p ControlPoint> {
    group(points, line).into_iter().map(|(line, points)| (line, points[0])).collect()
}
