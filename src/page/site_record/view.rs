//! Everything the page of a record shows, as its templates take it.

use serde::Serialize;

use super::compass::{Compass, compass};
use super::gradients::{self, Gradients};
use super::hydrographs::{Hydrographs, hydrographs};
use super::levels::{Levels, levels};
use super::tables;
use crate::diag::Diagnostic;
use crate::page::explain::{self, Group};
use crate::page::limits::MOST_ROWS;
use crate::page::plain;
use crate::page::record::Input;
use crate::page::tables::Table;
use crate::report::{Norths, RECORD_CAUTIONS, RecordStatement, SiteRecord, TimeAxis, counted};

/// The page.
#[derive(Debug, Serialize)]
pub(in crate::page) struct RecordPage {
    head: Head,
    statement: RecordStatement,
    norths: Norths,
    compass: Option<Compass>,
    gradients: Option<Gradients>,
    rounds: Table<tables::Round>,
    hydrographs: Option<Hydrographs>,
    levels: Levels,
    trends: Table<tables::Trend>,
    /// Whether rounds are two a year or more, so that trends are held in seasons.
    seasons: bool,
    surfaces: Table<tables::Surface>,
    nests: Table<tables::Nest>,
    nest_plots: Vec<Gradients>,
    doubtful: Table<tables::Doubtful>,
    visits: Table<tables::Visit>,
    not_read: Table<tables::NotRead>,
    findings: Vec<Group>,
    inputs: Vec<Input>,
    cautions: &'static [&'static str],
    most_rows: usize,
    version: &'static str,
}

/// What the record is of.
#[derive(Debug, Serialize)]
struct Head {
    site: String,
    first: String,
    last: String,
    rounds: String,
    wells: String,
    heads: usize,
    doubtful: usize,
    elevation_unit: &'static str,
    vertical_datum: Option<String>,
    newest: String,
}

impl RecordPage {
    /// The page of a record.
    pub(in crate::page) fn of(record: &SiteRecord, findings: &[Diagnostic]) -> Self {
        let days = record.record.heads.iter().filter_map(|h| h.day);
        let time = TimeAxis::of(days);
        Self {
            head: head(record),
            statement: statement(record),
            norths: record.norths(),
            compass: compass(record),
            gradients: time.as_ref().and_then(|time| gradients::of_planes(record, time)),
            rounds: tables::rounds(record),
            hydrographs: time.as_ref().map(|time| hydrographs(record, time)),
            levels: levels(record),
            trends: tables::trends(record),
            seasons: record.record.seasons.is_some(),
            surfaces: tables::surfaces(record),
            nests: tables::nests(record),
            nest_plots: time
                .as_ref()
                .map_or_else(Vec::new, |time| gradients::of_nests(record, time)),
            doubtful: tables::doubtful(record),
            visits: tables::visits(record),
            not_read: tables::not_read(record),
            findings: explain::groups(findings),
            inputs: record.inputs.iter().map(Input::of).collect(),
            cautions: RECORD_CAUTIONS,
            most_rows: MOST_ROWS,
            version: env!("CARGO_PKG_VERSION"),
        }
    }
}

fn head(record: &SiteRecord) -> Head {
    let rounds = &record.record.rounds;
    let name = |i: Option<usize>| {
        let row = i.and_then(|i| rounds.get(i));
        row.map_or_else(String::new, |r| plain::text(&r.round))
    };
    let day = |i: Option<usize>| {
        let row = i.and_then(|i| rounds.get(i));
        row.and_then(|r| r.day.clone()).unwrap_or_else(|| name(i))
    };
    let newest = rounds.len().checked_sub(1);
    let settings = &record.site.settings;
    Head {
        site: plain::text(&settings.name),
        first: day(Some(0)),
        last: day(newest),
        rounds: counted(rounds.len(), "round"),
        wells: counted(record.record.wells.len(), "well"),
        heads: record.record.heads.iter().filter(|h| h.head.is_some()).count(),
        doubtful: record.record.unfitting.odd.len() + record.record.unfitting.stuck.len(),
        elevation_unit: record.record.elevation_unit.in_words(),
        vertical_datum: settings.vertical_datum.as_deref().map(plain::text),
        newest: name(newest),
    }
}

/// The statement with names that are safe to show.
fn statement(record: &SiteRecord) -> RecordStatement {
    let found = RecordStatement::of(record);
    let safe = |text: Option<String>| text.as_deref().map(plain::text);
    RecordStatement {
        gradients: safe(found.gradients),
        turns: plain::text(&found.turns),
        sentences: found.sentences.iter().map(|s| plain::text(s)).collect(),
        ..found
    }
}
