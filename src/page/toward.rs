//! Does it flow toward the receptor: what the page tells, where that was asked.

use serde::Serialize;

use crate::page::plain;
use crate::page::site::Site;
use crate::page::tables::{Cell, Table};
use crate::report::TOWARD_CAUTIONS;
use crate::report::measures;
use crate::report::measures::NONE;
use crate::toward::{End, LineReaches, Outcome, PumpedZone, Reach, Role, Toward, Verdict};
use crate::uncertainty::DirectionInterval;
use crate::units::Azimuth;
use crate::units::Span;
use crate::units::{time_words, two_digits};

/// The part of the page.
#[derive(Debug, Serialize)]
pub(super) struct Answers {
    ground_unit: &'static str,
    on_triangles: bool,
    direction_basis: &'static str,
    edge_rule: Option<String>,
    no_realizations: Option<&'static str>,
    /// Sources whose direction of flow the readings leave open.
    open: Vec<String>,
    verdicts: Table<VerdictRow>,
    retarded: bool,
    places: Table<PlaceRow>,
    reaches: Table<ReachRow>,
    pumped: Table<PumpedRow>,
    vertical: Table<VerticalRow>,
    ground: Option<GroundFacts>,
    ranges: Option<String>,
    capture: String,
    pair: String,
    nested: String,
    cautions: &'static [&'static str],
}

/// One source with one receptor.
#[derive(Debug, Serialize)]
struct VerdictRow {
    source: String,
    receptor: String,
    reaches: bool,
    outcome: String,
    nearest: Cell,
    length: Cell,
    gradient: Cell,
    gradient_interval: String,
    velocity: Cell,
    travel: Cell,
    retarded: Cell,
    share: Cell,
    disagree: bool,
    flow: String,
    flow_arc: String,
    bearing: Cell,
    in_interval: &'static str,
    upgradient: String,
}

/// A source, receptor or pumped well.
#[derive(Debug, Serialize)]
struct PlaceRow {
    name: String,
    role: &'static str,
    paths: usize,
    gradient: Cell,
    toward: String,
    arc: String,
}

/// A stretch of a line.
#[derive(Debug, Serialize)]
struct ReachRow {
    line: String,
    side: String,
    water: &'static str,
    from: Cell,
    to: Cell,
    level: &'static str,
    difference: Cell,
    sd: Cell,
    well: String,
    well_says: &'static str,
}

/// A pumped well.
#[derive(Debug, Serialize)]
struct PumpedRow {
    well: String,
    level_used: bool,
    rate: Cell,
    stagnation: Cell,
    width_at_well: Cell,
    width_far: Cell,
    mapped_width: Cell,
    mapped_downgradient: Cell,
    mapped_area: Cell,
}

/// Nested wells.
#[derive(Debug, Serialize)]
struct VerticalRow {
    upper: String,
    lower: String,
    water: &'static str,
    difference: Cell,
    apart: Cell,
    gradient: Cell,
    interval: String,
}

/// The surface against the ground.
#[derive(Debug, Serialize)]
struct GroundFacts {
    above: usize,
    area: String,
    highest: Option<String>,
    unknown: usize,
    water: String,
}

/// What the water meets; none where that was not asked.
pub(super) fn answers(site: &Site) -> Option<Answers> {
    let toward = site.results.toward?;
    let known = Part { site, toward };
    let verdicts = toward.by_weight();
    let reaches: Vec<(&LineReaches, &Reach)> =
        toward.lines.iter().flat_map(|l| l.reaches.iter().map(move |r| (l, r))).collect();
    let conductor = toward.conductor.as_ref();
    Some(Answers {
        ground_unit: site.ground().name(),
        on_triangles: toward.on_triangles,
        direction_basis: site.results.uncertainty.directions.basis.words(),
        edge_rule: toward.edge_rule(site.ground()),
        no_realizations: toward.no_realizations(),
        open: toward.open_sources().into_iter().map(plain::text).collect(),
        verdicts: Table::of(verdicts.len(), |i| known.verdict(verdicts[i])),
        retarded: conductor.is_some_and(|c| c.retardation.is_some()),
        places: Table::of(toward.places.len(), |i| known.place(i)),
        reaches: Table::of(reaches.len(), |i| known.reach(reaches[i].0, reaches[i].1)),
        pumped: Table::of(toward.pumped.len(), |i| known.pumped(&toward.pumped[i])),
        vertical: Table::of(toward.vertical.len(), |i| known.vertical(i)),
        ground: toward.ground.as_ref().map(|g| GroundFacts {
            above: g.above,
            area: measures::fixed(g.above_area_m2, 0),
            highest: g.highest.map(|(_, by)| site.head(by)),
            unknown: g.unknown,
            water: site.ground().brief(toward.water_m),
        }),
        ranges: toward.ranges(site.ground()),
        capture: site.ground().brief(toward.capture_m),
        pair: site.ground().brief(toward.pair_m),
        nested: site.ground().brief(toward.nested_m),
        cautions: TOWARD_CAUTIONS,
    })
}

/// What a path on the map tells when it is pointed at.
pub(super) fn path_title(toward: &Toward, path: usize, back: bool) -> String {
    let place = &toward.places[toward.paths[path].place];
    let way = if back { "to" } else { "from" };
    format!("flow path {way} {} {}", place.role.word(), plain::text(&place.name))
}

/// The answers with what their rows need.
#[derive(Clone, Copy)]
struct Part<'a> {
    site: &'a Site<'a>,
    toward: &'a Toward,
}

impl Part<'_> {
    fn name(&self, place: usize) -> String {
        plain::text(&self.toward.places[place].name)
    }

    fn on_ground(&self, metres: f64) -> f64 {
        self.site.ground().length(metres)
    }

    /// A length on the ground.
    fn length(&self, metres: Option<f64>) -> Cell {
        let text = |v: f64| measures::fixed(v, i32::from(v < 10.0));
        Cell::of(metres.map(|m| self.on_ground(m)), text)
    }

    /// A range of lengths on the ground, sorted by its low end.
    fn range(&self, range: Option<Span>) -> Cell {
        let range = range.map(|s| s.times(self.on_ground(1.0)));
        span(range, |s| format!("{} to {}", two_digits(s.low), two_digits(s.high)))
    }

    fn degrees(&self, azimuth_grid: Azimuth) -> Azimuth {
        azimuth_grid.turned(self.site.factors().convergence_deg)
    }

    fn verdict(&self, v: &Verdict) -> VerdictRow {
        let nearest = v.meeting.map(|m| m.nearest.distance_m).filter(|_| v.reaching == 0);
        let length = v.path.map(|_| v.length_m);
        let interval = v.gradient.and_then(|g| g.interval);
        let time = |days: Option<Span>| span(days, |s| time_words(s.low, Some(s.high)));
        let bearing = v.bearing_grid.map(|a| self.degrees(a));
        VerdictRow {
            source: self.name(v.source),
            receptor: self.name(v.receptor),
            reaches: v.outcome == Outcome::Reaches,
            outcome: self.outcome(v),
            nearest: self.length(nearest),
            length: self.length(length),
            gradient: Cell::of(v.gradient.map(|g| g.value), measures::three_digits),
            gradient_interval: interval.map_or_else(
                || NONE.to_owned(),
                |s| format!("{} to {}", two_digits(s.low), two_digits(s.high)),
            ),
            velocity: self.range(v.velocity_m_per_day),
            travel: time(v.days),
            retarded: time(v.retarded_days),
            share: Cell::of(v.realizations.map(|r| r.bounds().0), |_| {
                v.realizations.map_or_else(String::new, |r| r.words())
            }),
            disagree: v.realizations_agree() == Some(false),
            bearing: Cell::of(bearing.map(Azimuth::degrees), |_| {
                bearing.map_or_else(String::new, Azimuth::whole_degrees)
            }),
            in_interval: match v.bearing_agrees {
                Some(true) => "yes",
                Some(false) => "no",
                None => NONE,
            },
            flow: self.flow(v.source).0,
            flow_arc: self.flow(v.source).1,
            upgradient: match v.upgradient {
                (0, _) => NONE.to_owned(),
                (all, from_source) => format!("{from_source} of {all}"),
            },
        }
    }

    /// The direction of flow around a place and its 95 % interval.
    fn flow(&self, place: usize) -> (String, String) {
        let flow = self.toward.places[place].flow.as_ref();
        let resolved = flow.is_some_and(|f| f.resolved);
        let azimuth = flow.and_then(|f| f.azimuth_grid).map(|a| self.degrees(a));
        let arc: Option<DirectionInterval> =
            flow.and_then(|f| f.direction).map(|d| d.turned(self.site.factors().convergence_deg));
        let toward = match (flow, azimuth) {
            (None, _) => "beyond the wells".to_owned(),
            (Some(_), Some(azimuth)) if resolved => measures::toward(azimuth),
            (Some(_), _) => "direction not resolved".to_owned(),
        };
        (toward, arc.filter(|_| resolved).map_or_else(|| NONE.to_owned(), measures::arc))
    }

    /// What becomes of the water, with the share of paths and the well at the end.
    fn outcome(&self, v: &Verdict) -> String {
        let words = v.outcome.words();
        if v.reaching > 0 && v.paths > 1 {
            let edge = match v.at_edge {
                0 => String::new(),
                n => format!(", {n} at the edge"),
            };
            return format!("{words} ({} of {} paths{edge})", v.reaching, v.paths);
        }
        if v.at_edge > 0 {
            return format!("{words} (at the edge)");
        }
        let to_end = matches!(v.outcome, Outcome::LeavesMap | Outcome::Stops);
        let end = v.path.filter(|_| to_end).map(|i| self.toward.paths[i].path.end);
        match end {
            Some(End::Stops { well: Some(well) } | End::LeavesMap { well: Some(well) }) => {
                format!("{words} at {}", self.site.well(well))
            }
            _ => words.to_owned(),
        }
    }

    fn place(&self, i: usize) -> PlaceRow {
        let place = &self.toward.places[i];
        let flow = place.flow.as_ref();
        let (toward, arc) = self.flow(i);
        PlaceRow {
            name: self.name(i),
            role: match place.role {
                Role::Source => "source",
                Role::Receptor => "receptor",
                Role::PumpedWell => "pumped well",
            },
            paths: self.toward.paths_from(i),
            gradient: Cell::of(flow.map(|f| f.gradient), measures::three_digits),
            toward,
            arc,
        }
    }

    fn reach(&self, line: &LineReaches, reach: &Reach) -> ReachRow {
        let side = self.degrees(reach.azimuth_grid).compass_point();
        let well = reach.well.as_ref();
        let height = |v: f64| measures::height(v, self.site.elevation);
        ReachRow {
            line: plain::text(&line.name),
            side: format!("{} ({side})", reach.side.word()),
            water: reach.sense.word(),
            from: self.length(Some(reach.from_m)),
            to: self.length(Some(reach.to_m)),
            level: if line.staged { "stage" } else { "surface" },
            difference: Cell::of(Some(reach.mean.value), height),
            sd: Cell::of(Some(reach.mean.sd), measures::sd),
            well: well.map_or_else(|| NONE.to_owned(), |(i, _)| self.site.well(*i)),
            well_says: well.map_or(NONE, |(_, d)| d.verdict().word()),
        }
    }

    fn pumped(&self, zone: &PumpedZone) -> PumpedRow {
        let closed = zone.closed_form;
        let whole = |v: f64| measures::fixed(v, 0);
        PumpedRow {
            well: plain::text(&zone.well),
            level_used: zone.level_used,
            rate: Cell::of(zone.rate_m3_per_day, whole),
            stagnation: self.range(closed.map(|c| c.to_stagnation)),
            width_at_well: self.range(closed.map(|c| c.width_at_well)),
            width_far: self.range(closed.map(|c| c.width_far)),
            mapped_width: self.length(zone.mapped.known(zone.mapped.width_m)),
            mapped_downgradient: self.length(zone.mapped.known(zone.mapped.downgradient_m)),
            mapped_area: Cell::of(zone.mapped.known(zone.mapped.area_m2), whole),
        }
    }

    fn vertical(&self, i: usize) -> VerticalRow {
        let g = &self.toward.vertical[i];
        let wells = &self.site.results.site.wells;
        let height = |v: f64| measures::height(v, self.site.elevation);
        let in_unit = |metres: f64| Some(self.site.in_elevation_unit(metres));
        VerticalRow {
            upper: plain::text(&wells[g.upper].id),
            lower: plain::text(&wells[g.lower].id),
            water: g.direction(),
            difference: Cell::of(in_unit(g.head_difference_m), height),
            apart: Cell::of(in_unit(g.distance_m), |v| measures::fixed(v, 2)),
            gradient: Cell::of(Some(g.gradient), measures::three_digits),
            interval: format!(
                "{} to {}",
                measures::three_digits(g.low),
                measures::three_digits(g.high)
            ),
        }
    }
}

/// A range in a cell, sorted by its low end.
fn span(range: Option<Span>, text: impl FnOnce(Span) -> String) -> Cell {
    Cell::of(range.map(|s| s.low), |_| range.map_or_else(String::new, text))
}
