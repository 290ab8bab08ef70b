//! The tables of the page: rounds, trends, nests, doubtful readings, the next visit, rounds that were not read.

use serde::Serialize;

use crate::page::plain;
use crate::page::tables::{Cell, Table};
use crate::record::{TurnInterval, Turned};
use crate::report::{Norths, SiteRecord, WellOfRecord, measures};
use crate::uncertainty::PlaneFit;
use crate::units::{Azimuth, LengthUnit, fixed, signed};

/// Gradient and direction of a round.
#[derive(Debug, Serialize)]
pub(super) struct Round {
    name: String,
    day: String,
    heads: usize,
    gradient: Cell,
    low: Cell,
    high: Cell,
    resolved: bool,
    toward: Cell,
    arc: String,
    planar: bool,
    since: String,
    turn: Cell,
    turn_interval: String,
    turned: &'static str,
    /// How many heads of it do not fit the record.
    doubtful: usize,
}

/// The trend of a well.
#[derive(Debug, Serialize)]
pub(super) struct Trend {
    well: String,
    heads: usize,
    way: String,
    per_year: Cell,
    interval: String,
    score: Cell,
    probability: Cell,
    memory: Cell,
    seasonal: String,
    seasonal_per_year: Cell,
    seasonal_interval: String,
    seasonal_probability: Cell,
}

/// A nest in a round.
#[derive(Debug, Serialize)]
pub(super) struct Nest {
    upper: String,
    lower: String,
    round: String,
    difference: Cell,
    distance: Cell,
    gradient: Cell,
    interval: String,
    direction: &'static str,
}

/// A map of values over a period.
#[derive(Debug, Serialize)]
pub(super) struct Surface {
    period: String,
    value: &'static str,
    rounds: String,
    wells: usize,
    from: Cell,
    to: Cell,
    shown: String,
}

/// A doubtful reading.
#[derive(Debug, Serialize)]
pub(super) struct Doubtful {
    well: String,
    round: String,
    kind: &'static str,
    off: Cell,
    score: Cell,
    explains: String,
}

/// What to do at a well.
#[derive(Debug, Serialize)]
pub(super) struct Visit {
    well: String,
    what: &'static str,
    why: String,
}

/// A round that could not be read.
#[derive(Debug, Serialize)]
pub(super) struct NotRead {
    round: String,
    why: String,
}

pub(super) fn rounds(record: &SiteRecord) -> Table<Round> {
    let rows = &record.record.rounds;
    let norths = record.norths();
    Table::of(rows.len(), |i| round(record, i, norths))
}

fn round(record: &SiteRecord, i: usize, norths: Norths) -> Round {
    let row = &record.record.rounds[i];
    let g = row.gradient;
    let resolved = g.is_some_and(|g| g.resolved);
    let toward = g.and_then(|g| g.azimuth_grid).filter(|_| resolved).map(|a| norths.state(a));
    let turn = row.turn;
    let judged = turn.filter(|t| t.turn.verdict != Turned::NotResolved);
    let interval = judged.map(|t| t.turn.stated);
    let name = |i: usize| plain::text(&record.record.rounds[i].round);
    Round {
        name: plain::text(&row.round),
        day: row.day.clone().unwrap_or_else(|| measures::NONE.to_owned()),
        heads: row.heads,
        gradient: Cell::of(g.map(|g| g.gradient), measures::three_digits),
        low: Cell::of(g.map(|g| g.gradient_interval.low), measures::three_digits),
        high: Cell::of(g.map(|g| g.gradient_interval.high), measures::three_digits),
        resolved: g.is_none() || resolved,
        toward: Cell::of(toward.map(Azimuth::degrees), |v| {
            Azimuth::from_degrees(v).whole_degrees()
        }),
        arc: g.filter(|_| resolved).map_or_else(
            || measures::NONE.to_owned(),
            |g| measures::arc(g.direction_interval.turned(norths.turn_deg())),
        ),
        planar: g.is_none_or(|g| g.fit != PlaneFit::Poor),
        since: turn.map_or_else(|| measures::NONE.to_owned(), |t| name(t.since)),
        turn: Cell::of(judged.and_then(|t| t.turn.turn_deg), measures::turn),
        turn_interval: match interval {
            Some(TurnInterval::Between { from_deg, to_deg }) => {
                format!("{} to {}", measures::turn(from_deg), measures::turn(to_deg))
            }
            Some(TurnInterval::Any) => "any".to_owned(),
            None => measures::NONE.to_owned(),
        },
        turned: match turn.map(|t| t.turn.verdict) {
            Some(Turned::Turned) => "turned",
            Some(Turned::NotShown) => "not shown",
            Some(Turned::NotResolved) => "not resolved",
            None => measures::NONE,
        },
        doubtful: record.doubtful_in(i),
    }
}

pub(super) fn trends(record: &SiteRecord) -> Table<Trend> {
    let rows = record.wells();
    let unit = record.record.elevation_unit;
    Table::of(rows.len(), |i| trend(&rows[i], unit))
}

fn trend(row: &WellOfRecord, unit: LengthUnit) -> Trend {
    let slope = |v: Option<f64>| Cell::of(v, |v| signed(measures::height(v, unit)));
    let interval = |low: Option<f64>, high: Option<f64>| {
        let number = |v| signed(measures::height(v, unit));
        let ends = low.zip(high).map(|(a, b)| format!("{} to {}", number(a), number(b)));
        ends.unwrap_or_else(|| measures::NONE.to_owned())
    };
    let part = |v: Option<f64>| Cell::of(v, |v| fixed(v, 3));
    Trend {
        well: plain::text(&row.well),
        heads: row.heads,
        way: row.trend.clone(),
        per_year: slope(row.per_year),
        interval: interval(row.per_year_low, row.per_year_high),
        score: Cell::of(row.score.map(|s| s as f64), |v| fixed(v, 0)),
        probability: part(row.probability),
        memory: Cell::of(row.memory, |v| fixed(v, 2)),
        seasonal: row.seasonal_trend.clone().unwrap_or_else(|| measures::NONE.to_owned()),
        seasonal_per_year: slope(row.seasonal_per_year),
        seasonal_interval: interval(row.seasonal_per_year_low, row.seasonal_per_year_high),
        seasonal_probability: part(row.seasonal_probability),
    }
}

pub(super) fn nests(record: &SiteRecord) -> Table<Nest> {
    let rows = record.nests();
    let unit = record.record.elevation_unit;
    Table::of(rows.len(), |i| {
        let row = &rows[i];
        let number = measures::three_digits;
        let ends = row.gradient_low.zip(row.gradient_high);
        Nest {
            upper: plain::text(&row.upper),
            lower: plain::text(&row.lower),
            round: plain::text(&row.round),
            difference: Cell::of(row.head_difference, |v| signed(measures::height(v, unit))),
            distance: Cell::of(row.distance, |v| fixed(v, 2)),
            gradient: Cell::of(row.gradient, |v| signed(number(v))),
            interval: ends.map_or_else(String::new, |(a, b)| {
                format!("{} to {}", signed(number(a)), signed(number(b)))
            }),
            direction: row.direction,
        }
    })
}

pub(super) fn surfaces(record: &SiteRecord) -> Table<Surface> {
    let rows = record.surfaces();
    let unit = record.record.elevation_unit;
    // A page of the sheets for each that has a map.
    let mut page = 0;
    let shown: Vec<String> = rows
        .iter()
        .map(|row| {
            if let Some(why) = &row.why_none {
                return plain::text(why);
            }
            page += 1;
            format!("page {page}")
        })
        .collect();
    Table::of(rows.len(), |i| {
        let row = &rows[i];
        let height = |v: Option<f64>| Cell::of(v, |v| measures::height(v, unit));
        Surface {
            period: row.period.clone(),
            value: row.value,
            rounds: plain::text(&row.rounds.join(", ")),
            wells: row.wells,
            from: height(row.from),
            to: height(row.to),
            shown: shown[i].clone(),
        }
    })
}

pub(super) fn doubtful(record: &SiteRecord) -> Table<Doubtful> {
    let rows = record.doubtful();
    let unit = record.record.elevation_unit;
    Table::of(rows.len(), |i| {
        let row = &rows[i];
        let explains = plain::text(&row.would_explain);
        Doubtful {
            well: plain::text(&row.well),
            round: plain::text(&row.round),
            kind: row.kind,
            off: Cell::of(row.off, |v| signed(measures::height(v, unit))),
            score: Cell::of(row.standard_deviations, |v| fixed(v, 1)),
            explains: if explains.is_empty() {
                "nothing that arithmetic shows".to_owned()
            } else {
                explains
            },
        }
    })
}

pub(super) fn visits(record: &SiteRecord) -> Table<Visit> {
    let rows = record.next_visit();
    Table::of(rows.len(), |i| Visit {
        well: plain::text(&rows[i].well),
        what: rows[i].what,
        why: plain::text(&rows[i].why),
    })
}

pub(super) fn not_read(record: &SiteRecord) -> Table<NotRead> {
    let rows = &record.not_read;
    Table::of(rows.len(), |i| NotRead {
        round: plain::text(&rows[i].0),
        why: plain::text(&rows[i].1),
    })
}
