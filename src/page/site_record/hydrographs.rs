//! Hydrographs as small plots: one axis of time for all, one span of heads for the wells of a group, so that a change
//! is as high in one as in the other.

use geo::Coord;
use serde::Serialize;

use super::plot::{Axes, SMALL};
use crate::page::drawing::{number, path};
use crate::page::plain;
use crate::read::Status;
use crate::record::HeadRow;
use crate::report::{Doubt, HydrographGroup, Plot, Ranged, SiteRecord, TimeAxis, measures};

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
    /// Screen, measuring point and extremes in words.
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
    /// Whether the text is above the ring and not at its side.
    above: bool,
}

/// An end of the screen.
#[derive(Debug, Serialize)]
struct Edge {
    y: String,
    text: &'static str,
    /// Whether its name is below the line.
    below: bool,
}

/// The hydrographs of a record.
pub(super) fn hydrographs(record: &SiteRecord, time: &TimeAxis) -> Hydrographs {
    let (groups, more) = record.hydrographs();
    let shown = groups.iter().map(|g| g.wells.len()).sum();
    let unit = record.record.elevation_unit.in_words();
    let group = |g: &HydrographGroup| Group {
        title: plain::text(&g.title),
        span: format!("{} {unit}", measures::posted(g.span)),
        wells: g.wells.iter().map(|r| hydrograph(record, time, r, g.span)).collect(),
    };
    Hydrographs {
        groups: groups.iter().map(group).collect(),
        shown,
        count: shown + more,
        undated: record.undated(),
    }
}

fn hydrograph(record: &SiteRecord, time: &TimeAxis, of: &Ranged, span: f64) -> Hydrograph {
    let (low, high) = of.ends(span);
    let plot = SMALL.plot(time, low, high);
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
        mark(h, h.below.map_or(plot.bottom, |b| plot.y(b)), format!("dry{below}"))
    });
    let unread = rows.iter().filter(|h| h.head.is_none() && h.status != Status::Dry);
    let unread =
        unread.filter_map(|h| mark(h, plot.bottom - 6.0, format!("{}, no head", h.status.word())));
    let resurveyed = rows.iter().filter(|h| h.resurveyed);
    let resurveyed =
        resurveyed.filter_map(|h| mark(h, 0.0, "measuring point surveyed anew before".to_owned()));
    Hydrograph {
        well: plain::text(&record.record.wells[of.well].well),
        axes: Axes::of(SMALL, &plot, 3.0),
        lines: lines(rows, &plot),
        points: points.collect(),
        dry: dry.collect(),
        unread: unread.collect(),
        resurveyed: resurveyed.collect(),
        doubtful: doubtful(record, of.well, &plot),
        screen: screen(record, of.well, &plot),
        words: record.beside(of.well).iter().map(|words| plain::text(words)).collect(),
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
    let rows = record.record.heads_of(well);
    let ring = |doubt: Doubt| {
        let row = rows.iter().find(|h| h.round == doubt.round)?;
        let day = row.day?;
        Some(Ring {
            x: number(plot.x(day)),
            y: number(plot.y(row.head?)),
            text: doubt.text,
            left: plot.is_late(day),
            above: doubt.above,
        })
    };
    record.doubts(well).into_iter().filter_map(ring).collect()
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
