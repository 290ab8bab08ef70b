//! The columns of a table that are not read, named so that none is passed over in silence.

use std::collections::BTreeSet;

use crate::diag::{Code, Diagnostic, Severity, listed};
use crate::read::files::names::SITE_TOML;

use super::by_values;
use super::columns::{Column, Quantity};
use super::heading;
use super::layout::Layout;
use super::rows::{Table, shown};
use super::rules::DeclaredColumn;
use super::status;
use super::suggest;
use super::vocabulary;

/// A column of more different values than this is free text or numbers: its values decide nothing.
const MOST_VALUES: usize = 50;

/// A value of more words than this is a sentence.
const MOST_WORDS: usize = 5;

/// No more values than these are shown.
const VALUES_SHOWN: usize = 3;

/// What a column that decides a map may be about, with the words that say so in a heading and in a cell.
struct Matter {
    /// In a message.
    about: &'static str,
    /// The column that it may be.
    column: Option<Column>,
    in_headings: &'static [&'static str],
    in_cells: &'static [&'static str],
}

/// What the matter of use is called.
const USE: &str = "which wells are to be used";

/// What the matter of units and datums is called.
const UNITS: &str = "a vertical datum or a unit";

/// In the order in which they are asked: the first that fits counts.
const MATTERS: &[Matter] = &[
    Matter {
        about: USE,
        column: None,
        in_headings: &[
            "use",
            "used",
            "usable",
            "include",
            "included",
            "exclude",
            "excluded",
            "contour",
            "contours",
            "contoured",
            "contouring",
            "map",
            "mapped",
            "valid",
            "reject",
            "rejected",
            "flag",
            "qualifier",
            "suspect",
            "outlier",
            "active",
        ],
        in_cells: &["exclude", "excluded", "rejected", "suspect", "not used", "do not use"],
    },
    Matter {
        about: "aquifer units",
        column: Some(Column::AquiferUnit),
        in_headings: &[
            "zone",
            "aquifer",
            "aquitard",
            "layer",
            "stratum",
            "strata",
            "shallow",
            "deep",
            "hydro",
            "hydrostratigraphic",
            "hydrogeologic",
            "hydrogeological",
            "hsu",
            "formation",
            "unit",
            "screened",
            "monitored",
        ],
        in_cells: &[
            "shallow",
            "deep",
            "intermediate",
            "upper",
            "lower",
            "aquifer",
            "aquitard",
            "perched",
            "confined",
            "unconfined",
            "alluvium",
            "alluvial",
            "bedrock",
            "overburden",
            "till",
            "sandstone",
            "limestone",
        ],
    },
    Matter {
        about: "the state of the wells",
        column: Some(Column::Status),
        in_headings: &[
            "status",
            "state",
            "condition",
            "pumping",
            "pumped",
            "operating",
            "dry",
            "static",
            "artesian",
            "zustand",
            "etat",
            "estado",
            "stato",
            "toestand",
        ],
        in_cells: &[],
    },
    Matter {
        about: "wells and gauges",
        column: Some(Column::Kind),
        in_headings: &["type", "kind"],
        in_cells: &["gauge", "staff gauge", "surface water"],
    },
    Matter { about: UNITS, column: None, in_headings: &["units", "datum", "uom"], in_cells: &[] },
    Matter {
        about: "dates",
        column: None,
        in_headings: &["date", "dates", "time", "day", "surveyed", "resurveyed", "datetime"],
        in_cells: &[],
    },
    Matter {
        about: "elevations or levels",
        column: None,
        in_headings: &[
            "elevation",
            "elevations",
            "level",
            "levels",
            "casing",
            "stage",
            "dtw",
            "correction",
            "corrected",
            "offset",
            "adjustment",
            "adjusted",
            "stickup",
            "gravity",
        ],
        in_cells: &[],
    },
];

/// A column that is not read.
struct Unread {
    at: usize,
    /// Different values, sorted; nothing when there are too many.
    values: Option<BTreeSet<String>>,
}

/// R126: names the columns of a table that are not read, once for each file. It is a warning where one looks
/// as if it decided a map. A table that is refused for its headings lists them in the refusal.
pub(in crate::read) fn tell(
    table: &Table,
    layout: &Layout,
    among: &[Column],
    declared: &[DeclaredColumn],
    said: &mut Vec<Diagnostic>,
) {
    let of_headings = |d: &Diagnostic| {
        matches!(d.code, Code::ColumnMissing | Code::ColumnAmbiguous)
            && d.origins.iter().any(|o| o.file == table.file)
    };
    if said.iter().any(of_headings) {
        return;
    }
    let unread = unread(table, layout, declared);
    if unread.is_empty() {
        return;
    }
    let (mut names, mut lines) = (Vec::new(), Vec::new());
    let (mut decides, mut of_use) = (false, false);
    for column in &unread {
        let heading = table.headings[column.at].as_str();
        let name = if heading.is_empty() {
            format!("column {} without a heading", column.at + 1)
        } else {
            format!("\"{}\"", shown(heading))
        };
        let elsewhere = heading::recognise(heading, Column::ALL).map(|(c, _)| c);
        let looks = elsewhere.is_none().then(|| matter(heading, column.values.as_ref())).flatten();
        names.push(match (elsewhere, looks) {
            (Some(other), _) => {
                decides |= other.quantity() == Quantity::Elevation
                    || matches!(other, Column::AquiferUnit | Column::Kind | Column::Status);
                format!("{name} ({} is not read from this file)", other.name())
            }
            (None, Some(matter)) => {
                decides = true;
                of_use |= matter.about == USE;
                let own = matter.column.filter(|c| among.contains(c) && !layout.has(*c));
                let had = |c: Column| among.contains(&c) && !layout.has(c);
                let column_for = own.or_else(|| {
                    let mut free =
                        among.iter().copied().filter(|c| matter.column.is_none() && had(*c));
                    free.find(|c| suggest::suggested(*c, std::iter::once(heading)).is_some())
                });
                if let Some(c) = column_for {
                    lines.push(format!("{} = {name}", c.name()));
                }
                format!("{name} (may say {}{})", matter.about, examples(column.values.as_ref()))
            }
            (None, None) => name,
        });
    }
    let message = format!(
        "{} not read: {}",
        match unread.len() {
            1 => format!("a column of {} is", table.file),
            n => format!("{n} columns of {} are", table.file),
        },
        listed(names)
    );
    let mut told = Diagnostic::new(Code::ColumnNotRead, message).at(&table.heading_origin());
    if decides {
        told.severity = Severity::Warning;
        let such_as = match lines.as_slice() {
            [] => String::new(),
            lines => format!(", such as {}", lines.join(" or ")),
        };
        let of_use = if of_use {
            "; to leave a well out, give it under [[left_out]] there, or the status \"not used\" with a remark"
        } else {
            ""
        };
        told = told.advice(format!(
            "if the map needs a column, write what it is under [columns] in {SITE_TOML}{such_as}; if it \
             does not, write there not_used = [\"the heading\"]{of_use}"
        ));
    }
    said.push(told);
}

/// The columns that have something in them and are neither read nor declared as not used.
fn unread(table: &Table, layout: &Layout, declared: &[DeclaredColumn]) -> Vec<Unread> {
    let not_used = |heading: &str| {
        let not_used = declared.iter().filter(|d| d.column.is_none());
        not_used.into_iter().any(|d| d.is(heading))
    };
    let mut all: Vec<Unread> = (0..table.headings.len())
        .filter(|at| !layout.reads(*at) && !not_used(&table.headings[*at]))
        .map(|at| Unread { at, values: Some(BTreeSet::new()) })
        .collect();
    if all.is_empty() {
        return all;
    }
    table.each_until(|row| {
        let mut open = false;
        for column in &mut all {
            let Some(values) = &mut column.values else { continue };
            open = true;
            let cell = row.cell(column.at);
            if cell.is_empty() || values.contains(cell) {
                continue;
            }
            if values.len() == MOST_VALUES {
                column.values = None;
            } else {
                values.insert(cell.to_owned());
            }
        }
        open
    });
    all.retain(|c| c.values.as_ref().is_none_or(|v| !v.is_empty()));
    all
}

/// What a column may be about, by its heading or by its values.
fn matter(heading: &str, values: Option<&BTreeSet<String>>) -> Option<&'static Matter> {
    let words = heading::loose_words(heading);
    let cells = values.map(|v| v.iter().map(|v| heading::words(v)).collect::<Vec<_>>());
    // A column of units has names that aquifer units have too.
    if cells.as_deref().is_some_and(measures) {
        return MATTERS.iter().find(|m| m.about == UNITS);
    }
    let meant = by_values::meant(heading);
    let named = |m: &&Matter| m.in_headings.iter().any(|h| words.iter().any(|w| w == h));
    let by_heading = MATTERS.iter().find(|m| meant.is_some() && m.column == meant);
    by_heading.or_else(|| MATTERS.iter().find(named)).or_else(|| {
        let cells = cells.filter(|cells| cells.iter().all(|cell| cell.len() <= MOST_WORDS))?;
        MATTERS.iter().find(|m| {
            cells.iter().any(|cell| m.in_cells.iter().any(|w| has(cell, w)))
                || (m.column == Some(Column::Status) && states(values))
        })
    })
}

/// Whether words stand one after the other in a cell.
fn has(cell: &[String], words: &str) -> bool {
    let words: Vec<&str> = words.split(' ').collect();
    cell.windows(words.len()).any(|w| w.iter().map(String::as_str).eq(words.iter().copied()))
}

/// Whether some of the values are states in which a level is none of the aquifer at rest.
fn states(values: Option<&BTreeSet<String>>) -> bool {
    values.into_iter().flatten().filter_map(|v| status::status(v)).any(status::is_telling)
}

/// Whether all values are units and references.
fn measures(cells: &[Vec<String>]) -> bool {
    let is_mark = |w: &String| vocabulary::mark_words().any(|m| m == w);
    !cells.is_empty() && cells.iter().all(|c| !c.is_empty() && c.iter().all(is_mark))
}

/// The first values, for a message.
fn examples(values: Option<&BTreeSet<String>>) -> String {
    let Some(values) = values else { return String::new() };
    let first: Vec<String> =
        values.iter().take(VALUES_SHOWN).map(|v| format!("\"{}\"", shown(v))).collect();
    let more = if values.len() > VALUES_SHOWN { " and others" } else { "" };
    format!(": {}{more}", first.join(", "))
}
