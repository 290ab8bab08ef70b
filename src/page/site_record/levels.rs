//! All levels to date: wells by rounds, with changes and extremes.

use serde::Serialize;

use crate::page::limits::MOST_ROWS;
use crate::page::plain;
use crate::page::tables::Cell;
use crate::read::Status;
use crate::record::HeadRow;
use crate::report::{LevelOfRecord, SiteRecord, measures};
use crate::units::signed;

/// Rounds beside each other: as many as a printed page has room for.
const ACROSS: usize = 12;

/// Cells of all levels together that a page can carry.
const MOST_CELLS: usize = 40_000;

/// All levels to date.
#[derive(Debug, Serialize)]
pub(super) struct Levels {
    /// Rounds in rows of tables, the newest first.
    blocks: Vec<Block>,
    /// Rounds that are not shown, the earliest.
    left_out: usize,
    count: usize,
}

/// Rounds beside each other.
#[derive(Debug, Serialize)]
struct Block {
    rounds: Vec<String>,
    rows: Vec<Row>,
    /// Whether changes and extremes stand behind the newest round.
    newest: bool,
}

#[derive(Debug, Serialize)]
struct Row {
    well: String,
    levels: Vec<Shown>,
    change: Cell,
    since: String,
    in_year: Cell,
    year_before: String,
    highest: Cell,
    highest_in: String,
    lowest: Cell,
    lowest_in: String,
}

/// What a well has in a round.
#[derive(Debug, Clone, Serialize)]
struct Shown {
    text: String,
    /// Whether it is a head.
    head: bool,
    doubtful: bool,
}

/// The table of a record.
pub(super) fn levels(record: &SiteRecord) -> Levels {
    let rounds = record.record.rounds.len();
    let wells = record.record.wells.len();
    let shown = (MOST_CELLS / wells.clamp(1, MOST_ROWS)).max(ACROSS).min(rounds);
    let left_out = rounds - shown;
    let flat = record.levels();
    let mut ends: Vec<(usize, usize)> = Vec::new();
    let mut to = rounds;
    while to > left_out {
        let from = to.saturating_sub(ACROSS).max(left_out);
        ends.push((from, to));
        to = from;
    }
    let blocks = ends.iter().map(|(from, to)| Block {
        rounds: (*from..*to).map(|i| plain::text(&record.record.rounds[i].round)).collect(),
        rows: (0..wells.min(MOST_ROWS))
            .map(|well| row(record, &flat, well, (*from, *to)))
            .collect(),
        newest: *to == rounds,
    });
    Levels { blocks: blocks.collect(), left_out, count: wells }
}

fn row(
    record: &SiteRecord,
    flat: &[LevelOfRecord],
    well: usize,
    (from, to): (usize, usize),
) -> Row {
    let unit = record.record.elevation_unit;
    let first = record.record.heads.partition_point(|h| h.well < well);
    let rows = record.record.heads_of(well);
    let at = |round: usize| rows.iter().position(|h| h.round == round);
    let of_well = &record.record.wells[well];
    let newest = record.record.rounds.len().checked_sub(1).and_then(at);
    let newest = newest.map(|i| &flat[first + i]);
    let height = |v: f64| measures::height(v, unit);
    let change = |v: Option<f64>| Cell::of(v, |v| signed(height(v)));
    let name = |round: Option<&String>| round.map_or_else(String::new, |r| plain::text(r));
    let extremes = of_well.extremes;
    let round = |i: Option<usize>| {
        i.map_or_else(String::new, |i| plain::text(&record.record.rounds[i].round))
    };
    Row {
        well: plain::text(&of_well.well),
        levels: (from..to).map(|r| shown(record, at(r).map(|i| &rows[i]))).collect(),
        change: change(newest.and_then(|n| n.change)),
        since: name(newest.and_then(|n| n.since.as_ref())),
        in_year: change(newest.and_then(|n| n.change_in_year)),
        year_before: name(newest.and_then(|n| n.year_before.as_ref())),
        highest: Cell::of(extremes.map(|e| e.highest), height),
        highest_in: round(extremes.map(|e| e.highest_in)),
        lowest: Cell::of(extremes.map(|e| e.lowest), height),
        lowest_in: round(extremes.map(|e| e.lowest_in)),
    }
}

fn shown(record: &SiteRecord, row: Option<&HeadRow>) -> Shown {
    let unit = record.record.elevation_unit;
    let Some(h) = row else {
        return Shown { text: measures::NONE.to_owned(), head: false, doubtful: false };
    };
    let unfitting = &record.record.unfitting;
    let odd = unfitting.odd.iter().any(|o| (o.well, o.round) == (h.well, h.round));
    let stuck = h.head.is_some() && unfitting.stuck.iter().any(|s| s.has(h.well, h.round));
    let text = match (h.head, h.below) {
        (Some(head), _) => measures::height(head, unit),
        (None, Some(below)) if h.status == Status::Dry => {
            format!("dry, below {}", measures::height(below, unit))
        }
        (None, _) => h.status.word().to_owned(),
    };
    Shown { text, head: h.head.is_some(), doubtful: odd || stuck }
}
