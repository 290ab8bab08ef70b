//! What files say of paths, verdicts, reaches, pumped and nested wells: flat rows, rounded, the
//! same in GeoJSON, CSV and JSON.

use std::borrow::Cow;

use super::types::{
    AcrossRow, FlowRow, PathRow, PlaceRow, PumpedRow, RankRow, ReachRow, VerdictRow,
};
use crate::diag::listed;
use crate::report::digits;
use crate::report::norths::Norths;
use crate::report::results::Results;
use crate::toward::AcrossBarrier;
use crate::toward::End;
use crate::toward::MeanGradient;
use crate::toward::Outcome;
use crate::toward::PumpedZone;
use crate::toward::Reach;
use crate::toward::Sense;
use crate::toward::Toward;
use crate::toward::TracedPath;
use crate::toward::Verdict;
use crate::toward::Way;
use crate::uncertainty::DirectionInterval;
use crate::units::Azimuth;
use crate::units::HeightUnits;
use crate::units::LengthUnit;
use crate::units::Span;

/// Makes rows of results.
#[derive(Debug)]
pub(crate) struct Rows<'a> {
    pub(crate) results: Results<'a>,
    pub(crate) toward: &'a Toward,
    units: HeightUnits,
    foot: LengthUnit,
    norths: Norths,
}

impl<'a> Rows<'a> {
    pub(crate) fn new(results: &Results<'a>, toward: &'a Toward) -> Self {
        let settings = &results.map.site.settings;
        let units = results.map.round.units(settings);
        let norths = Norths::of(&results.map.control);
        Self { results: *results, toward, units, foot: settings.elevation_unit.foot(), norths }
    }

    fn name(&self, place: usize) -> Cow<'a, str> {
        Cow::Borrowed(&self.toward.places[place].name)
    }

    fn well(&self, end: End) -> Option<&'a str> {
        match end {
            End::LeavesMap { well } | End::Stops { well } | End::Low { well } => {
                Some(self.results.map.control.points()[well?].id.as_str())
            }
            End::Pumped { well } => Some(self.results.map.site.pumped_wells[well].well.as_str()),
            _ => None,
        }
    }

    fn feet(&self, metres: f64) -> f64 {
        LengthUnit::Metre.convert(metres, self.foot)
    }

    /// None where true north is not known.
    fn true_deg(&self, azimuth: Azimuth) -> Option<f64> {
        Some(digits::azimuth(azimuth.turned(self.norths.convergence_deg?)))
    }

    /// A difference of heads, m.
    fn metres(&self, heads: f64) -> f64 {
        digits::height(self.units.elevation.convert(heads, LengthUnit::Metre))
    }

    /// The flow around a place.
    fn flow_at(&self, place: usize) -> FlowRow {
        let flow = self.toward.places[place].flow.as_ref();
        let azimuth = flow.and_then(|f| f.azimuth_grid);
        let ends = match flow.filter(|f| f.resolved).and_then(|f| f.direction) {
            Some(DirectionInterval::Arc { from, to }) => Some((from, to)),
            _ => None,
        };
        FlowRow {
            gradient: flow.map(|f| digits::gradient(f.gradient)),
            flow_azimuth_true_deg: azimuth.and_then(|a| self.true_deg(a)),
            flow_from_true_deg: ends.and_then(|e| self.true_deg(e.0)),
            flow_to_true_deg: ends.and_then(|e| self.true_deg(e.1)),
            flow_azimuth_grid_deg: azimuth.map(digits::azimuth),
            flow_from_grid_deg: ends.map(|e| digits::azimuth(e.0)),
            flow_to_grid_deg: ends.map(|e| digits::azimuth(e.1)),
            direction_resolved: flow.map(|f| f.resolved),
        }
    }

    pub(crate) fn place(&self, i: usize) -> PlaceRow<'a> {
        let place = &self.toward.places[i];
        let flow = self.flow_at(i);
        let met = |v: &&Verdict| v.reaching > 0 && (v.source == i || v.receptor == i);
        let other = |v: &Verdict| self.name(if v.source == i { v.receptor } else { v.source });
        PlaceRow {
            name: self.name(i),
            role: place.role.word(),
            paths: self.toward.paths_from(i),
            flow,
            meets: self.toward.verdicts.iter().filter(met).map(other).collect(),
        }
    }

    pub(crate) fn path(&self, i: usize) -> Option<PathRow<'a>> {
        let TracedPath { place, path, gradient, days } = &self.toward.paths[i];
        let (begin, end) = (*path.heads.first()?, *path.heads.last()?);
        let (begin, there) = (self.units.elevation(begin), self.units.elevation(end));
        let length = path.length_m();
        Some(PathRow {
            id: i + 1,
            from: self.name(*place),
            role: self.toward.places[*place].role.word(),
            way: if path.way == Way::Down { "down" } else { "up" },
            end: end_words(path.end, path.way),
            end_well: self.well(path.end),
            length_m: digits::length(length),
            length_ft: digits::length(self.feet(length)),
            head_begin_m: begin.m,
            head_begin_ft: begin.ft,
            head_end_m: there.m,
            head_end_ft: there.ft,
            gradient: gradient.map(|g| digits::gradient(g.value)),
            gradient_low: ends(*gradient).map(|g| g.0),
            gradient_high: ends(*gradient).map(|g| g.1),
            travel_low_d: low(*days),
            travel_high_d: high(*days),
        })
    }

    pub(crate) fn verdict(&self, v: &Verdict) -> VerdictRow<'a> {
        let toward = self.toward;
        let nearest = v.meeting.map(|m| m.nearest);
        let frame = self.results.map.control.frame();
        let at = nearest.map(|n| frame.to_crs(n.at));
        let begin = v.heads.map(|h| self.units.elevation(h.0));
        let there = v.heads.map(|h| self.units.elevation(h.1));
        let per_day = |span: Option<Span>| span.map(|s| s.times(self.feet(1.0)));
        let to_end = matches!(
            v.outcome,
            Outcome::LeavesMap | Outcome::Stops | Outcome::Low | Outcome::Pumped
        );
        let ended = v.path.filter(|_| to_end).map(|i| toward.paths[i].path.end);
        let source = self.flow_at(v.source);
        let next_well = v.hangs_on.as_ref().and_then(|h| h.next_well);
        let next_well = next_well.map(|(p, share)| (frame.to_crs(p), share));
        VerdictRow {
            source: self.name(v.source),
            receptor: self.name(v.receptor),
            outcome: if v.unresolved { NOT_RESOLVED } else { v.outcome.words() },
            outcome_on_map: v.outcome.words(),
            at_well: ended.and_then(|end| self.well(end)),
            at_stream: toward.stream_of(v),
            paths: v.paths,
            paths_reaching: v.reaching,
            paths_reaching_at_edge: v.at_edge,
            path: v.path.map(|i| i + 1),
            nearest_m: nearest.map(|n| digits::length(n.distance_m)),
            nearest_ft: nearest.map(|n| digits::length(self.feet(n.distance_m))),
            length_m: nearest.map(|_| digits::length(v.length_m)),
            length_ft: nearest.map(|_| digits::length(self.feet(v.length_m))),
            easting: at.map(|p| digits::position(p.x)),
            northing: at.map(|p| digits::position(p.y)),
            head_begin_m: begin.map(|h| h.m),
            head_begin_ft: begin.map(|h| h.ft),
            head_there_m: there.map(|h| h.m),
            head_there_ft: there.map(|h| h.ft),
            gradient: v.gradient.map(|g| digits::gradient(g.value)),
            gradient_low: ends(v.gradient).map(|g| g.0),
            gradient_high: ends(v.gradient).map(|g| g.1),
            velocity_low_m_per_d: low(v.velocity_m_per_day),
            velocity_high_m_per_d: high(v.velocity_m_per_day),
            velocity_low_ft_per_d: low(per_day(v.velocity_m_per_day)),
            velocity_high_ft_per_d: high(per_day(v.velocity_m_per_day)),
            travel_low_d: low(v.days),
            travel_high_d: high(v.days),
            retarded_low_d: low(v.retarded_days),
            retarded_high_d: high(v.retarded_days),
            arrival_10_percent_d: v.arrivals.and_then(|a| a.tenth_days).map(digits::range_end),
            arrival_50_percent_d: v.arrivals.and_then(|a| a.half_days).map(digits::range_end),
            arrival_90_percent_d: v
                .arrivals
                .and_then(|a| a.nine_tenths_days)
                .map(digits::range_end),
            time_decided_by: v.decides.map(|d| d.0),
            time_decided_by_factor: v.decides.map(|d| digits::range_end(d.1)),
            first_arrival_low_d: low(v.first_arrival_days),
            first_arrival_high_d: high(v.first_arrival_days),
            share_left_low: low(v.left),
            share_left_high: high(v.left),
            bearing_true_deg: v.bearing_grid.and_then(|a| self.true_deg(a)),
            bearing_grid_deg: v.bearing_grid.map(digits::azimuth),
            bearing_in_flow_interval: v.bearing_agrees,
            flow: source,
            flow_azimuth_true_deg: source.flow_azimuth_true_deg,
            flow_from_true_deg: source.flow_from_true_deg,
            flow_to_true_deg: source.flow_to_true_deg,
            flow_azimuth_grid_deg: source.flow_azimuth_grid_deg,
            flow_from_grid_deg: source.flow_from_grid_deg,
            flow_to_grid_deg: source.flow_to_grid_deg,
            probability: v.probability().map(|p| digits::coefficient(p.share)),
            probability_low: v.realizations.map(|r| digits::coefficient(r.bounds().0)),
            probability_high: v.realizations.map(|r| digits::coefficient(r.bounds().1)),
            realizations: v.realizations.map(|r| r.of),
            realizations_reaching: v.realizations.map(|r| r.reaching),
            realizations_leaving_first: v.realizations.map(|r| r.leaving),
            realizations_agree: v.realizations_agree(),
            probability_readings_only: v
                .readings
                .and_then(|r| r.probability())
                .map(|p| digits::coefficient(p.share)),
            changes_without: v.hangs_on.as_ref().filter(|h| !h.wells.is_empty()).map(|h| {
                let id = |i: &usize| self.results.map.control.points()[*i].id.as_str();
                listed(h.wells.iter().map(id).collect::<Vec<_>>())
            }),
            next_well_easting: next_well.map(|(p, _)| digits::position(p.x)),
            next_well_northing: next_well.map(|(p, _)| digits::position(p.y)),
            next_well_explains: next_well.map(|(_, share)| digits::coefficient(share)),
            beyond_azimuth_grid_deg: v.beyond.map(|b| digits::azimuth(b.azimuth_grid)),
            beyond_to_receptor_m: v.beyond.and_then(|b| b.to_receptor_m).map(digits::length),
            beyond_off_m: v.beyond.map(|b| digits::length(b.off_m)),
            beyond_travel_low_d: low(v.beyond.and_then(|b| b.days)),
            beyond_travel_high_d: high(v.beyond.and_then(|b| b.days)),
            upgradient_paths: v.upgradient.0,
            upgradient_paths_reaching: v.upgradient.1,
        }
    }

    pub(crate) fn rank(&self, i: usize) -> RankRow<'a> {
        let ranked = self.toward.ranking[i];
        let v = &self.toward.verdicts[ranked.verdict];
        let beyond = v.beyond.and_then(|b| b.days).filter(|_| v.days.is_none());
        let days = v.days.or(beyond);
        RankRow {
            rank: i + 1,
            receptor: self.name(v.receptor),
            source: self.name(v.source),
            arrival_low_d: low(days),
            arrival_high_d: high(days),
            known_by: ranked.known,
            beyond_wells: beyond.is_some(),
            realizations: v.realizations.map(|r| r.words()),
        }
    }

    pub(crate) fn reach(&self, line: usize, reach: &Reach) -> ReachRow<'a> {
        let line = &self.toward.lines[line];
        let mean = self.units.elevation(reach.mean.value);
        let well = reach.well.as_ref();
        ReachRow {
            line: Cow::Borrowed(&line.name),
            side: reach.side.word(),
            compass: self.norths.state(reach.azimuth_grid).compass_point(),
            from_m: digits::length(reach.from_m),
            to_m: digits::length(reach.to_m),
            water_flows: reach.sense.word(),
            level_on_line: if line.staged { "stage" } else { "surface" },
            difference_m: mean.m,
            difference_ft: mean.ft,
            sd_m: self.metres(reach.mean.sd),
            distance_m: digits::length(reach.mean.distance_m),
            lowest_m: self.metres(reach.range.0),
            highest_m: self.metres(reach.range.1),
            well: well.map(|(i, _)| self.results.map.control.points()[*i].id.as_str()),
            well_difference_m: well.map(|(_, d)| self.metres(d.value)),
            well_sd_m: well.map(|(_, d)| self.metres(d.sd)),
            well_distance_m: well.map(|(_, d)| digits::length(d.distance_m)),
            well_says: well.map(|(_, d)| d.verdict().word()),
        }
    }

    pub(crate) fn across(&self, pair: &'a AcrossBarrier) -> AcrossRow<'a> {
        let id = |i: usize| self.results.map.control.points()[i].id.as_str();
        let by = self.units.elevation(pair.difference.value);
        AcrossRow {
            barrier: &pair.barrier,
            along_m: digits::length(pair.along_m),
            higher: id(pair.higher),
            lower: id(pair.lower),
            difference_m: by.m,
            difference_ft: by.ft,
            sd_m: self.metres(pair.difference.sd),
            resolved: pair.difference.verdict() != Sense::NotResolved,
            distance_m: digits::length(pair.difference.distance_m),
        }
    }

    pub(crate) fn pumped(zone: &'a PumpedZone) -> PumpedRow<'a> {
        let closed = zone.closed_form;
        PumpedRow {
            well: Cow::Borrowed(&zone.well),
            level_used: zone.level_used,
            rate_m3_per_d: zone.rate_m3_per_day.map(digits::range_end),
            gradient_low: zone.gradient.map(|(i, _)| digits::gradient(i.low)),
            gradient_high: zone.gradient.map(|(i, _)| digits::gradient(i.high)),
            gradient_from: zone.gradient.map(|(_, from)| from),
            implied_transmissivity_low_m2_per_d: low(zone.implied_transmissivity_m2_per_day),
            implied_transmissivity_high_m2_per_d: high(zone.implied_transmissivity_m2_per_day),
            to_stagnation_low_m: low(closed.map(|c| c.to_stagnation)),
            to_stagnation_high_m: high(closed.map(|c| c.to_stagnation)),
            width_at_well_low_m: low(closed.map(|c| c.width_at_well)),
            width_at_well_high_m: high(closed.map(|c| c.width_at_well)),
            width_far_low_m: low(closed.map(|c| c.width_far)),
            width_far_high_m: high(closed.map(|c| c.width_far)),
            nodes_tried: zone.mapped.tried,
            nodes_captured: zone.mapped.captured.len(),
            mapped_area_m2: zone.mapped.known(digits::area(zone.mapped.area_m2)),
            mapped_width_m: zone.mapped.known(digits::length(zone.mapped.width_m)),
            mapped_downgradient_m: zone.mapped.known(digits::length(zone.mapped.downgradient_m)),
        }
    }
}

/// What most realizations contradict, or where the direction of flow is open.
const NOT_RESOLVED: &str = "not resolved";

fn low(span: Option<Span>) -> Option<f64> {
    span.map(|s| digits::range_end(s.low))
}

/// None where a range has no end.
fn high(span: Option<Span>) -> Option<f64> {
    span.filter(|s| s.high.is_finite()).map(|s| digits::range_end(s.high))
}

/// The ends of a gradient's interval.
fn ends(gradient: Option<MeanGradient>) -> Option<(f64, f64)> {
    let interval = gradient?.interval?;
    Some((digits::gradient(interval.low), digits::gradient(interval.high)))
}

/// Why a path ends, in words.
const fn end_words(end: End, way: Way) -> &'static str {
    match (end, way) {
        (End::LeavesMap { .. }, _) => "leaves the mapped area",
        (End::Stops { .. }, Way::Down) => "stops at a low",
        (End::Stops { .. }, Way::Up) => "stops at a high",
        (End::Pumped { .. }, Way::Down) => "ends at a pumped well",
        (End::Pumped { .. }, Way::Up) => "comes from a pumped well",
        (End::Low { .. }, _) => "ends in a low that nothing explains",
        (End::Stream { .. }, Way::Down) => "joins a stream",
        (End::Stream { .. }, Way::Up) => "comes from a stream",
        (End::Barrier, _) => "comes to a barrier",
        (End::Level, _) => "comes to a level place",
        (End::NotOnMap, _) => "not on the map",
        (End::Unfinished, _) => "not followed to its end",
    }
}
