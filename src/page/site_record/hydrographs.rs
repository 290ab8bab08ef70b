//! Hydrographs as small plots: one axis of time for all, one span of heads for the wells of a group, so that a change
//! is as high in one as in the other.

use geo::Coord;
use serde::Serialize;

use super::plot::{Axes, Plot, SMALL};
use super::time::TimeAxis;
use crate::page::drawing::{number, path};
use crate::page::plain;
use crate::read::Status;
use crate::record::{HeadRow, unmoved, words};
use crate::report::{SiteRecord, measures};
use crate::units::{LengthUnit, median, signed};

/// Plots that are shown, and points of all of them together.
const MOST_PLOTS: usize = 300;
const MOST_POINTS: usize = 20_000;

/// The shortest span of heads, m: less is the error of reading.
const SHORTEST_M: f64 = 0.1;

/// A well whose heads range over more than so many times what those of its aquifer unit usually do has another axis.
const WIDE: f64 = 3.0;

/// Free space above and below the heads, as a part of their range.
const FREE: f64 = 0.12;

/// All hydrographs.
#[derive(Debug, Serialize)]
pub(super) struct Hydrographs {
    groups: Vec<Group>,
    shown: usize,
    count: usize,
    /// Heads without a date, which are on no plot.
    undated: usize,
}

/// Wells on one span of heads.
#[derive(Debug, Serialize)]
struct Group {
    title: String,
    span: String,
    wells: Vec<Hydrograph>,
}

/// A well.
#[derive(Debug, Serialize)]
struct Hydrograph {
    well: String,
    axes: Axes,
    lines: Vec<String>,
    points: Vec<Mark>,
    dry: Vec<Mark>,
    unread: Vec<Mark>,
    resurveyed: Vec<Mark>,
    doubtful: Vec<Ring>,
    screen: Vec<Edge>,
    /// What stands beside it in words.
    words: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Mark {
    x: String,
    y: String,
    product: bool,
    title: String,
}

#[derive(Debug, Serialize)]
struct Ring {
    x: String,
    y: String,
    text: String,
    left: bool,
    /// Whether the text stands above the ring and not beside it.
    above: bool,
}

/// An end of the screen.
#[derive(Debug, Serialize)]
struct Edge {
    y: String,
    text: &'static str,
    /// Whether its name stands below the line.
    below: bool,
}

/// A well with the levels its plot has to show.
struct Ranged {
    well: usize,
    low: f64,
    high: f64,
}

/// The hydrographs of a record.
pub(super) fn hydrographs(record: &SiteRecord, time: &TimeAxis) -> Hydrographs {
    let rows = &record.record.heads;
    let count = record.record.wells.len();
    let all: Vec<Ranged> = (0..count).filter_map(|well| ranged(record, well)).collect();
    let most = MOST_PLOTS.min(MOST_POINTS / record.record.rounds.len().max(1)).max(1);
    let shown: Vec<&Ranged> = all.iter().take(most).collect();
    let mut units: Vec<Option<&str>> = Vec::new();
    for of in &shown {
        let unit = unit(record, of.well);
        if !units.contains(&unit) {
            units.push(unit);
        }
    }
    let groups = units.iter().flat_map(|unit| {
        let of_unit: Vec<&Ranged> =
            shown.iter().copied().filter(|r| self::unit(record, r.well) == *unit).collect();
        groups(record, time, *unit, &of_unit)
    });
    Hydrographs {
        groups: groups.collect(),
        shown: shown.len(),
        count: all.len(),
        undated: rows.iter().filter(|h| h.head.is_some() && h.day.is_none()).count(),
    }
}

fn unit(record: &SiteRecord, well: usize) -> Option<&str> {
    record.site.wells[well].aquifer_unit.as_deref()
}

/// The range of a well's dated levels, those that it was dry to among them; `None` without any.
fn ranged(record: &SiteRecord, well: usize) -> Option<Ranged> {
    let rows = record.record.heads_of(well).iter().filter(|h| h.day.is_some());
    let levels: Vec<f64> = rows.filter_map(|h| h.head.or(h.below)).collect();
    let low = levels.iter().copied().reduce(f64::min)?;
    let high = levels.iter().copied().reduce(f64::max)?;
    Some(Ranged { well, low, high })
}

/// The wells of a unit, and by themselves those whose heads range over far more than usual.
fn groups(
    record: &SiteRecord,
    time: &TimeAxis,
    unit: Option<&str>,
    wells: &[&Ranged],
) -> Vec<Group> {
    let shortest = SHORTEST_M / record.record.elevation_unit.metres();
    let range = |r: &&Ranged| (r.high - r.low).max(shortest);
    let usual = median(wells.iter().map(range)).unwrap_or(shortest);
    let (wide, plain): (Vec<&Ranged>, Vec<&Ranged>) =
        wells.iter().partition(|r| range(r) > WIDE * usual);
    let name = unit.map_or_else(|| "Wells".to_owned(), plain::text);
    [(plain, name.clone()), (wide, format!("{name}: wells that move more"))]
        .into_iter()
        .filter(|(wells, _)| !wells.is_empty())
        .map(|(wells, title)| {
            let widest = wells.iter().map(range).fold(0.0, f64::max);
            let span = widest * (1.0 + 2.0 * FREE);
            let unit = record.record.elevation_unit;
            Group {
                title,
                span: format!("{} {}", measures::posted(span), unit.in_words()),
                wells: wells.iter().map(|r| hydrograph(record, time, r, span)).collect(),
            }
        })
        .collect()
}

fn hydrograph(record: &SiteRecord, time: &TimeAxis, of: &Ranged, span: f64) -> Hydrograph {
    let middle = f64::midpoint(of.low, of.high);
    let plot = Plot::of(SMALL, time, middle - span / 2.0, middle + span / 2.0);
    let rows = record.record.heads_of(of.well);
    let unit = record.record.elevation_unit;
    let mark = |h: &HeadRow, at: f64, what: String| {
        let round = plain::text(&record.record.rounds[h.round].round);
        Some(Mark {
            x: number(plot.x(h.day?)),
            y: number(at),
            product: h.product.is_some(),
            title: format!("{round}: {what}"),
        })
    };
    let length = |v: f64| format!("{} {}", measures::height(v, unit), unit.in_words());
    let product = |h: &HeadRow| {
        h.product.map_or_else(String::new, |t| format!(", {} of floating product", length(t)))
    };
    let points = rows.iter().filter_map(|h| {
        let head = h.head?;
        mark(h, plot.y(head), format!("{}{}", length(head), product(h)))
    });
    let dry = rows.iter().filter(|h| h.head.is_none() && h.status == Status::Dry).filter_map(|h| {
        let below = h.below.map_or_else(String::new, |b| format!(", below {}", length(b)));
        mark(h, h.below.map_or(plot.bottom(), |b| plot.y(b)), format!("dry{below}"))
    });
    let unread = rows.iter().filter(|h| h.head.is_none() && h.status != Status::Dry);
    let unread = unread
        .filter_map(|h| mark(h, plot.bottom() - 6.0, format!("{}, no head", h.status.word())));
    let resurveyed = rows.iter().filter(|h| h.resurveyed);
    let resurveyed =
        resurveyed.filter_map(|h| mark(h, 0.0, "measuring point surveyed anew before".to_owned()));
    Hydrograph {
        well: plain::text(&record.record.wells[of.well].well),
        axes: plot.axes(3.0),
        lines: lines(rows, &plot),
        points: points.collect(),
        dry: dry.collect(),
        unread: unread.collect(),
        resurveyed: resurveyed.collect(),
        doubtful: doubtful(record, of.well, &plot),
        screen: screen(record, of.well, &plot),
        words: beside(record, of.well),
    }
}

/// A line through heads that follow each other; it ends where the well was dry in between.
fn lines(rows: &[HeadRow], plot: &Plot<'_>) -> Vec<String> {
    let runs = rows.split(|h| h.head.is_none() && h.status == Status::Dry);
    let line = |run: &[HeadRow]| -> Option<String> {
        let at = |h: &HeadRow| Some(Coord { x: plot.x(h.day?), y: plot.y(h.head?) });
        let points: Vec<Coord> = run.iter().filter_map(at).collect();
        (points.len() > 1).then(|| path(&points))
    };
    runs.filter_map(line).collect()
}

/// Rings about the readings that do not fit the record, with by how much.
fn doubtful(record: &SiteRecord, well: usize, plot: &Plot<'_>) -> Vec<Ring> {
    let unit = record.record.elevation_unit;
    let unfitting = &record.record.unfitting;
    let ring = |h: &HeadRow, text: String, above: bool| {
        let day = h.day?;
        Some(Ring {
            above,
            x: number(plot.x(day)),
            y: number(plot.y(h.head?)),
            text,
            left: plot.is_late(day),
        })
    };
    let row = |round: usize| record.record.heads_of(well).iter().find(|h| h.round == round);
    // A level that stays is ringed as one.
    let stays = |round: usize| unfitting.stuck.iter().any(|s| s.has(well, round));
    let odd = unfitting.odd.iter().filter(|o| o.well == well && !stays(o.round));
    let mut found: Vec<Ring> =
        odd.filter_map(|o| ring(row(o.round)?, format!("{}?", off(o.off, unit)), false)).collect();
    for stuck in unfitting.stuck.iter().filter(|s| s.well == well) {
        let run = record.record.heads_of(well).iter();
        let run = run.filter(|h| stuck.has(well, h.round) && h.head.is_some());
        found.extend(run.filter_map(|h| {
            let text = if h.round == stuck.to { "the same?" } else { "" };
            ring(h, text.to_owned(), true)
        }));
    }
    found
}

fn off(value: f64, unit: LengthUnit) -> String {
    format!("{} {}", signed(measures::posted(value)), unit.in_words())
}

/// The ends of the screen that lie within the plot.
fn screen(record: &SiteRecord, well: usize, plot: &Plot<'_>) -> Vec<Edge> {
    let built = &record.record.wells[well].built;
    let edge = |level: Option<f64>, text, below| {
        let level = level.filter(|level| plot.has(*level))?;
        Some(Edge { y: number(plot.y(level)), text, below })
    };
    let edges = [
        edge(built.screen_top, "top of screen", false),
        edge(built.screen_bottom, "bottom of screen", true),
    ];
    edges.into_iter().flatten().collect()
}

/// What a reader needs beside the plot.
fn beside(record: &SiteRecord, well: usize) -> Vec<String> {
    let unit = record.record.elevation_unit;
    let row = &record.record.wells[well];
    let length = |v: f64| measures::height(v, unit);
    let mut words = Vec::new();
    if let Some((bottom, top)) = row.built.screen_bottom.zip(row.built.screen_top) {
        let newest = record.record.heads_of(well).iter().rev().find_map(|h| h.head);
        let state = newest.map_or("", |head| {
            if head > top {
                ", its top under water"
            } else if head < bottom {
                ", all of it above the water"
            } else {
                ", the water level within it"
            }
        });
        words.push(format!(
            "Screen {} to {} {}{state}.",
            length(bottom),
            length(top),
            unit.in_words()
        ));
    }
    if let Some(point) = row.built.measuring_point {
        words.push(format!("Measuring point {} {}.", length(point), unit.in_words()));
    }
    if let Some(extremes) = row.extremes {
        let round = |i: usize| plain::text(&record.record.rounds[i].round);
        words.push(format!(
            "Lowest {} ({}), highest {} ({}).",
            length(extremes.lowest),
            round(extremes.lowest_in),
            length(extremes.highest),
            round(extremes.highest_in)
        ));
    }
    let unfitting = &record.record.unfitting;
    let stays = |round: usize| unfitting.stuck.iter().any(|s| s.has(well, round));
    for odd in unfitting.odd.iter().filter(|o| o.well == well && !stays(o.round)) {
        let causes: Vec<String> = odd.causes.iter().map(|c| words_of(record, c)).collect();
        let why =
            if causes.is_empty() { String::new() } else { format!(": {}", causes.join("; ")) };
        let round = plain::text(&record.record.rounds[odd.round].round);
        words.push(format!("{round} does not fit by {}{why}.", off(odd.off, unit)));
    }
    for stuck in unfitting.stuck.iter().filter(|s| s.well == well) {
        words.push(format!("Does not move: {}.", plain::text(&unmoved(&record.record, stuck))));
    }
    words
}

fn words_of(record: &SiteRecord, cause: &crate::record::Cause) -> String {
    plain::text(&words(&record.record, cause))
}
