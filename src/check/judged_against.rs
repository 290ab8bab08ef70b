//! Heads that somebody judged against what was measured: refused where they contradict it (C345), told where
//! they go beyond it (C344) or fall too steeply (C346).

use std::collections::{BTreeMap, BTreeSet};

use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{Coord, Line};
use rstar::RTree;

use super::beside::Beside;
use super::head::HeadSd;
use super::judged::{Indexed, Judged, by_line, indexed, squared, within};
use super::types::ControlPoint;
use crate::diag::{Code, Diagnostic};
use crate::geom::{Pieces, at, distance, foot, tolerance};
use crate::units::{brief, brief_to, place};

/// So many of the nearest wells are asked whether a barrier hides them.
const NEAR: usize = 40;

/// So many wells nearest to a well say how steep the heads are there.
const NEIGHBOURS: usize = 4;

/// A measured head may differ from its well's by this many standard deviations: 95 %.
const SDS: f64 = 1.96;

/// Heads nearer to each other than this are equal, elevation unit: they are cleaned to this.
const HEADS_EQUAL: f64 = 1e-9;

impl Judged<'_> {
    /// C345: a judged head where another head is known; C320: a judged point on a barrier. `sds` are
    /// those of the wells.
    pub(super) fn contradict(
        &self,
        (wells, sds): (&[ControlPoint], &[HeadSd]),
        streams: &[ControlPoint],
        beside: &Beside,
        findings: &mut Vec<Diagnostic>,
    ) {
        if self.points.is_empty() {
            return;
        }
        let others = wells.iter().chain(streams).collect::<Vec<_>>();
        let tree = RTree::bulk_load(indexed(others.iter().map(|p| p.local)));
        let (lone, on_lines): (Vec<_>, Vec<_>) =
            self.points.iter().partition(|p| self.given(p).line.is_none());
        let own = RTree::bulk_load(indexed(lone.iter().map(|p| p.local)));
        for (i, p) in lone.iter().enumerate() {
            let off = beside.barriers().distance(p.local);
            if off <= tolerance::SAME_POSITION_M {
                let text =
                    format!("{} is on a barrier: {} from its line", self.what(p), self.far(off));
                findings.push(
                    Diagnostic::new(Code::OnBarrier, text).at(self.origin(p)).well(&p.id).advice(
                        "move the point to the side of the barrier that its head belongs to",
                    ),
                );
            }
            let at = [p.local.x, p.local.y];
            if let Some(q) = within(&tree, at, tolerance::SAME_POSITION_M) {
                let q = others[q];
                let kind = if q.well().is_some() { "well" } else { "stream point" };
                let there = format!("{kind} {} ({})", q.id, self.head(q.head));
                findings.push(self.refused(p, &there).well(&q.id).advice(
                    "remove the judged point: a judged head never replaces a measured one; to doubt the \
                     measured head, leave its well out under [[left_out]]",
                ));
            }
            let nearest = own.locate_within_distance(at, squared(tolerance::SAME_POSITION_M));
            for q in nearest.map(|q| q.data).filter(|q| *q > i).collect::<BTreeSet<_>>() {
                let there = self.what(lone[q]);
                findings.push(self.refused(p, &there).advice("keep one of the two"));
            }
        }
        self.lines_against(wells, sds, &lone, &on_lines, findings);
        self.lines_cross(&on_lines, findings);
    }

    fn refused(&self, p: &ControlPoint, there: &str) -> Diagnostic {
        let place = place(p.crs.x, p.crs.y);
        let text = format!("{} is at the place of {there}, at {place}", self.what(p));
        Diagnostic::new(Code::JudgedContradicts, text).at(self.origin(p)).well(&p.id)
    }

    /// Control lines that run through a well or a judged point with another head.
    fn lines_against(
        &self,
        wells: &[ControlPoint],
        sds: &[HeadSd],
        lone: &[&ControlPoint],
        on_lines: &[&ControlPoint],
        findings: &mut Vec<Diagnostic>,
    ) {
        let metres = self.site.settings.elevation_unit.metres();
        for (line, any) in by_line(on_lines, |p| self.given(p).line) {
            let control = &self.site.features.control_lines[line];
            let course: Vec<Coord> =
                control.line.0.iter().map(|p| self.frame.to_local(*p)).collect();
            let pieces = Pieces::new(course.windows(2).map(|w| [w[0], w[1]]).collect());
            let runs_through = |p: Coord| {
                let wide = Coord { x: tolerance::SAME_POSITION_M, y: tolerance::SAME_POSITION_M };
                let mut near = pieces.in_box(p - wide, p + wide);
                near.any(|k| {
                    let ends = [course[k], course[k + 1]];
                    let foot = at(ends, foot(ends, p));
                    distance(p, foot) <= tolerance::SAME_POSITION_M
                })
            };
            let measured = wells.iter().zip(sds).map(|(w, sd)| (w, SDS * sd.sd_m / metres, "well"));
            let judged = lone.iter().map(|p| (*p, 0.0, "judged point"));
            for (other, allowed, kind) in measured.chain(judged) {
                let apart = (other.head - control.head).abs();
                if apart <= allowed + HEADS_EQUAL || !runs_through(other.local) {
                    continue;
                }
                let text = format!(
                    "{} runs through {kind} {}, whose head is {}: {} apart, bound {}",
                    self.what(any),
                    other.id,
                    self.head(other.head),
                    self.head(apart),
                    self.head(allowed)
                );
                findings.push(
                    Diagnostic::new(Code::JudgedContradicts, text)
                        .at(&control.judgement.origin)
                        .well(&other.id)
                        .advice("move the line, or correct its head"),
                );
            }
        }
    }

    /// Control lines of different heads that meet, each two of them once.
    fn lines_cross(&self, on_lines: &[&ControlPoint], findings: &mut Vec<Diagnostic>) {
        let lines: Vec<usize> = by_line(on_lines, |p| self.given(p).line).into_keys().collect();
        let controls = &self.site.features.control_lines;
        let mut pieces: Vec<(usize, [Coord; 2])> = Vec::new();
        for line in &lines {
            let course = &controls[*line].line.0;
            pieces.extend(course.windows(2).map(|w| (*line, [w[0], w[1]])));
        }
        let index = Pieces::new(pieces.iter().map(|piece| piece.1).collect());
        let mut told: BTreeSet<(usize, usize)> = BTreeSet::new();
        for (line, ends) in &pieces {
            let [a, b] = *ends;
            let low = Coord { x: a.x.min(b.x), y: a.y.min(b.y) };
            let high = Coord { x: a.x.max(b.x), y: a.y.max(b.y) };
            let mut near: Vec<usize> = index.in_box(low, high).collect();
            near.sort_unstable();
            for (other, [c, d]) in near.into_iter().map(|k| &pieces[k]) {
                let apart = (controls[*line].head - controls[*other].head).abs();
                if other <= line || apart <= HEADS_EQUAL || told.contains(&(*line, *other)) {
                    continue;
                }
                let at = match line_intersection(Line::new(a, b), Line::new(*c, *d)) {
                    Some(LineIntersection::SinglePoint { intersection, .. }) => intersection,
                    Some(LineIntersection::Collinear { intersection }) => intersection.start,
                    None => continue,
                };
                told.insert((*line, *other));
                let [first, second] = [&controls[*line], &controls[*other]];
                let text = format!(
                    "control lines {} ({}) and {} ({}) meet at {}",
                    first.name,
                    self.head(first.head),
                    second.name,
                    self.head(second.head),
                    place(at.x, at.y)
                );
                let origins = [&first.judgement.origin, &second.judgement.origin];
                let refusal = Diagnostic::new(Code::JudgedContradicts, text)
                    .at(origins[0])
                    .advice("lines of different heads never meet: move one, or correct its head");
                let same = origins[0] == origins[1];
                findings.push(if same { refusal } else { refusal.at(origins[1]) });
            }
        }
    }

    /// C344: judged heads above or below all measured ones; C346: judged heads that the wells beside them
    /// do not bear out. Of a control line the worst place.
    pub(super) fn doubt(
        &self,
        (wells, sds): (&[ControlPoint], &[HeadSd]),
        beside: &Beside,
        findings: &mut Vec<Diagnostic>,
    ) {
        if self.points.is_empty() {
            return;
        }
        let by_head = |a: &&ControlPoint, b: &&ControlPoint| a.head.total_cmp(&b.head);
        let ends = wells.iter().min_by(by_head).zip(wells.iter().max_by(by_head));
        let Some((lowest, highest)) = ends else { return };
        let tree = RTree::bulk_load(indexed(wells.iter().map(|p| p.local)));
        let mut steepest: BTreeMap<(bool, usize), (f64, Diagnostic)> = BTreeMap::new();
        let mut beyond: BTreeMap<(bool, usize), Diagnostic> = BTreeMap::new();
        for p in &self.points {
            let line = self.given(p).line;
            let key = (line.is_some(), line.unwrap_or_else(|| p.place()));
            let side = if p.head > highest.head {
                Some((highest, "above the highest"))
            } else if p.head < lowest.head {
                Some((lowest, "below the lowest"))
            } else {
                None
            };
            if let Some((end, side)) = side {
                let off = self.head((p.head - end.head).abs());
                let text = format!(
                    "{} is {off} {side} measured head, {} of well {}",
                    self.what(p),
                    self.head(end.head),
                    end.id
                );
                let told = Diagnostic::new(Code::JudgedBeyond, text).at(self.origin(p));
                let name = self.name(p);
                beyond.entry(key).or_insert_with(|| {
                    told.well(name).advice(
                        "no well supports such a head: say on what it rests in reason, or measure a well \
                         there",
                    )
                });
            }
            if let Some(found) = self.steep(p, (wells, sds), &tree, beside)
                && steepest.get(&key).is_none_or(|s| found.0 > s.0)
            {
                steepest.insert(key, found);
            }
        }
        findings.extend(beyond.into_values());
        findings.extend(steepest.into_values().map(|s| s.1));
    }

    /// How many times steeper the fall between a judged head and the nearest well is than those around the
    /// well, where that is too much.
    fn steep(
        &self,
        p: &ControlPoint,
        (wells, sds): (&[ControlPoint], &[HeadSd]),
        tree: &RTree<Indexed>,
        beside: &Beside,
    ) -> Option<(f64, Diagnostic)> {
        let metres = self.site.settings.elevation_unit.metres();
        let barriers = beside.barriers();
        let seen = |from: Coord| {
            let near = tree.nearest_neighbor_iter(&[from.x, from.y]).take(NEAR);
            near.map(|q| q.data).filter(move |i| !barriers.part(from, wells[*i].local))
        };
        let nearest = seen(p.local).next()?;
        let well = &wells[nearest];
        let apart_m = distance(p.local, well.local).max(tolerance::SAME_POSITION_M);
        let fall_m = (p.head - well.head).abs() * metres - SDS * sds[nearest].sd_m;
        let around = seen(well.local).filter(|i| *i != nearest).take(NEIGHBOURS).map(|i| {
            let fall_m = (wells[i].head - well.head).abs() * metres;
            fall_m / distance(wells[i].local, well.local).max(tolerance::SAME_POSITION_M)
        });
        let around = around.fold(0.0, f64::max);
        let gradient = fall_m / apart_m;
        if gradient <= tolerance::JUDGED_STEEPER * around {
            return None;
        }
        let text = format!(
            "{} is {} from well {} ({}): a gradient of {} m/m, where the steepest from that well to the \
             wells around it is {} m/m (bound {} times that)",
            self.what(p),
            self.far(apart_m),
            well.id,
            self.head(well.head),
            brief_to(gradient, 4),
            brief_to(around, 4),
            brief(tolerance::JUDGED_STEEPER)
        );
        let told = Diagnostic::new(Code::JudgedSteep, text).at(self.origin(p)).well(self.name(p));
        let told = told.well(&well.id).advice(
            "check the judged head, its unit and its place; if it is right, say on what it rests in reason",
        );
        Some((gradient, told))
    }
}
