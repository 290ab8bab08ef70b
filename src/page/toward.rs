//! Does it flow toward the receptor: what the page tells, where that was asked.

use serde::Serialize;

use crate::page::plain;
use crate::page::site::Site;
use crate::page::tables::{Cell, Table};
use crate::report;
use crate::report::TowardSummary;
use crate::report::measures;
use crate::report::measures::NONE;
use crate::toward::{Outcome, Toward};
use crate::units::{Azimuth, GroundUnit, two_digits};

/// The part of the page.
#[derive(Debug, Serialize)]
pub(super) struct Answers {
    in_words: Vec<String>,
    ground_unit: &'static str,
    rate_unit: &'static str,
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
    across: Table<AcrossRow>,
    pumped: Table<PumpedRow>,
    ground: Option<GroundFacts>,
    ranges: Option<String>,
    capture: String,
    pair: String,
    leaves_out: String,
    cautions: Vec<&'static str>,
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
    beside: Option<String>,
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

/// Two wells on the two sides of a barrier.
#[derive(Debug, Serialize)]
struct AcrossRow {
    barrier: String,
    along: Cell,
    higher: String,
    lower: String,
    difference: Cell,
    sd: Cell,
    apart: Cell,
    resolved: &'static str,
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
    let summary = TowardSummary::of(site.results)?;
    let rows = Rows { site, ground: site.ground() };
    let verdicts = summary.by_weight();
    let all = report::Rows::new(site.results, toward);
    let ground = site.ground();
    Some(Answers {
        in_words: summary.in_words.iter().map(|s| plain::text(s)).collect(),
        ground_unit: ground.name(),
        rate_unit: ground.rate_name(),
        on_triangles: toward.on_triangles,
        direction_basis: summary.direction_interval,
        edge_rule: toward.edge_rule(ground),
        no_realizations: summary.no_realizations,
        open: toward.open_sources().into_iter().map(plain::text).collect(),
        verdicts: Table::of(verdicts.len(), |i| rows.verdict(verdicts[i])),
        retarded: summary.retardation.is_some(),
        places: Table::of(toward.places.len(), |i| Rows::place(&all.place(i))),
        reaches: Table::of(summary.reaches.len(), |i| rows.reach(&summary.reaches[i])),
        across: Table::of(summary.across_barriers.len(), |i| {
            rows.across(&summary.across_barriers[i])
        }),
        pumped: Table::of(summary.pumped_wells.len(), |i| rows.pumped(&summary.pumped_wells[i])),
        ground: summary.ground.as_ref().map(|g| GroundFacts {
            above: g.nodes_above,
            area: measures::fixed(g.area_above_m2, 0),
            highest: g.highest.map(|by| site.head(by)),
            unknown: g.nodes_unknown,
            water: ground.away(toward.water_m),
        }),
        ranges: toward.ranges(ground),
        capture: ground.away(toward.capture_m),
        pair: ground.away(toward.pair_m),
        leaves_out: site.results.paths_leave_out(),
        cautions: summary.cautions,
    })
}

/// What a path on the map tells when it is pointed at.
pub(super) fn path_title(toward: &Toward, path: usize, back: bool) -> String {
    let place = &toward.places[toward.paths[path].place];
    let way = if back { "to" } else { "from" };
    format!("flow path {way} {} {}", place.role.word(), plain::text(&place.name))
}

/// Rows of the report as cells of the page's tables.
#[derive(Clone, Copy)]
struct Rows<'a> {
    site: &'a Site<'a>,
    ground: GroundUnit,
}

impl Rows<'_> {
    /// A length on the ground, given in metres.
    fn length(&self, metres: Option<f64>) -> Cell {
        let text = |v: f64| measures::fixed(v, i32::from(v < 10.0));
        Cell::of(metres.map(|m| self.ground.length(m)), text)
    }

    /// A range of lengths on the ground, given in metres, sorted by its low end.
    fn range(&self, low_m: Option<f64>, high_m: Option<f64>) -> Cell {
        let own = |metres: f64| two_digits(self.ground.length(metres));
        let text = low_m.zip(high_m).map(|(low, high)| format!("{} to {}", own(low), own(high)));
        words(low_m, text)
    }

    /// A height given in metres.
    fn height(&self, metres: f64) -> Cell {
        let height = |v: f64| measures::height(v, self.site.elevation);
        Cell::of(Some(self.site.in_elevation_unit(metres)), height)
    }

    fn verdict(&self, v: &report::VerdictRow) -> VerdictRow {
        let [travel, retarded] = v.travel_words();
        let interval = v.gradient_low.zip(v.gradient_high);
        let degrees = |d: f64| Azimuth::from_degrees(d).whole_degrees();
        VerdictRow {
            source: plain::text(&v.source),
            receptor: plain::text(&v.receptor),
            reaches: v.outcome == Outcome::Reaches.words(),
            outcome: plain::text(&v.outcome_words()),
            nearest: self.length(v.short_of_m()),
            length: self.length(v.length_m),
            gradient: Cell::of(v.gradient, measures::three_digits),
            gradient_interval: interval.map_or_else(
                || NONE.to_owned(),
                |(low, high)| format!("{} to {}", two_digits(low), two_digits(high)),
            ),
            velocity: self.range(v.velocity_low_m_per_d, v.velocity_high_m_per_d),
            travel: words(v.travel_low_d, travel),
            retarded: words(v.retarded_low_d, retarded),
            share: words(v.probability_low, v.realizations_words()),
            disagree: v.realizations_differ(),
            bearing: Cell::of(v.bearing_deg(), degrees),
            in_interval: v.within_words().unwrap_or(NONE),
            flow: v.flow.direction_words(),
            flow_arc: or_none(v.flow.interval_words()),
            upgradient: or_none(v.upgradient_words()),
            beside: v.beside_words().as_deref().map(plain::text),
        }
    }

    fn place(p: &report::PlaceRow) -> PlaceRow {
        PlaceRow {
            name: plain::text(&p.name),
            role: p.role,
            paths: p.paths,
            gradient: Cell::of(p.flow.gradient, measures::three_digits),
            toward: p.flow.direction_words(),
            arc: or_none(p.flow.interval_words()),
        }
    }

    fn reach(&self, r: &report::ReachRow) -> ReachRow {
        ReachRow {
            line: plain::text(&r.line),
            side: format!("{} ({})", r.side, r.compass),
            water: r.water_flows,
            from: self.length(Some(r.from_m)),
            to: self.length(Some(r.to_m)),
            level: r.level_on_line,
            difference: self.height(r.difference_m),
            sd: Cell::of(Some(self.site.in_elevation_unit(r.sd_m)), measures::sd),
            well: r.well.map_or_else(|| NONE.to_owned(), plain::text),
            well_says: r.well_says.unwrap_or(NONE),
        }
    }

    fn across(&self, a: &report::AcrossRow) -> AcrossRow {
        AcrossRow {
            barrier: plain::text(a.barrier),
            along: self.length(Some(a.along_m)),
            higher: plain::text(a.higher),
            lower: plain::text(a.lower),
            difference: self.height(a.difference_m),
            sd: Cell::of(Some(self.site.in_elevation_unit(a.sd_m)), measures::sd),
            apart: self.length(Some(a.distance_m)),
            resolved: if a.resolved { "yes" } else { "no" },
        }
    }

    fn pumped(&self, p: &report::PumpedRow) -> PumpedRow {
        let whole = |v: f64| measures::fixed(v, 0);
        PumpedRow {
            well: plain::text(&p.well),
            level_used: p.level_used,
            rate: Cell::of(p.rate_m3_per_d.map(|q| self.ground.rate(q)), whole),
            stagnation: self.range(p.to_stagnation_low_m, p.to_stagnation_high_m),
            width_at_well: self.range(p.width_at_well_low_m, p.width_at_well_high_m),
            width_far: self.range(p.width_far_low_m, p.width_far_high_m),
            mapped_width: self.length(p.mapped_width_m),
            mapped_downgradient: self.length(p.mapped_downgradient_m),
            mapped_area: Cell::of(p.mapped_area_m2, whole),
        }
    }
}

/// Words in a cell, sorted by a number.
fn words(sorted_by: Option<f64>, text: Option<String>) -> Cell {
    Cell::of(sorted_by.filter(|_| text.is_some()), |_| text.unwrap_or_default())
}

fn or_none(text: Option<String>) -> String {
    text.unwrap_or_else(|| NONE.to_owned())
}
