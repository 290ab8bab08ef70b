//! What stands around the rows of a table: a title above the headings, units below them, notes below
//! the last row.

use csv::StringRecord;

use crate::diag::{Code, Diagnostic, Origin};

use super::lines::{reader, shown, true_line};
use super::number;

/// No more headings than these are looked at to find the delimiter.
const HEADINGS_SCORED: usize = 200;

/// A line with fewer known headings than this may be a title above the headings.
const FEWEST_HEADINGS: usize = 2;

/// So many rows are looked through for headings below a title.
const TITLE_ROWS: usize = 20;

/// A single cell of so many words is a note and no name.
const WORDS_OF_A_NOTE: usize = 4;

/// What a well's name is not written with.
const MARKS_OF_A_NOTE: [char; 2] = [':', '='];

/// What a note begins with that a mark in the table points to.
const FOOTNOTE: [char; 3] = ['*', '\u{2020}', '\u{2021}'];

/// So many of the rows passed over are quoted.
const MOST_QUOTED: usize = 3;

/// The headings of a table.
#[derive(Debug)]
pub(super) struct Found {
    pub(super) record: StringRecord,
    /// Their line.
    pub(super) line: u64,
    pub(super) delimiter: u8,
    /// The rows above them.
    titles: Vec<(u64, String)>,
}

/// Finds the headings: the first row, under the delimiter that makes most of them known and of
/// equals most cells; or, where that row has hardly any, the first row below it that has. Nothing
/// where there is no row.
pub(super) fn headings(
    text: &str,
    delimiters: &[u8],
    known: &impl Fn(&str) -> bool,
) -> Option<Found> {
    let score =
        |record: &StringRecord| record.iter().take(HEADINGS_SCORED).filter(|h| known(h)).count();
    let mut best: Option<(usize, Found)> = None;
    let mut below: Option<(usize, Found)> = None;
    for &delimiter in delimiters {
        let mut reader = reader(text, delimiter);
        let mut titles = Vec::new();
        for row in 0..TITLE_ROWS {
            let mut record = StringRecord::new();
            if !reader.read_record(&mut record).unwrap_or(false) {
                break;
            }
            let at = record.position().map_or((0, 1), |p| (p.byte(), p.line()));
            let (line, scored) = (true_line(text, at), score(&record));
            let first = record.iter().map(str::trim).find(|c| !c.is_empty()).map(shown);
            let found = Found { record, line, delimiter, titles: titles.clone() };
            if row == 0 {
                // The first of equals stays.
                let rank = |s: usize, f: &Found| (s, f.record.len());
                if best.as_ref().is_none_or(|(s, f)| rank(scored, &found) > rank(*s, f)) {
                    best = Some((scored, found));
                }
                // Then the headings are in the first row, whatever stands below it.
                if best.as_ref().is_some_and(|(s, _)| *s >= FEWEST_HEADINGS) {
                    break;
                }
            } else if scored >= FEWEST_HEADINGS {
                let higher = |(s, f): &(usize, Found)| (line, *s) < (f.line, scored);
                if below.as_ref().is_none_or(higher) {
                    below = Some((scored, found));
                }
                break;
            }
            titles.extend(first.map(|text| (line, text)));
        }
    }
    let (scored, first) = best?;
    let below = below.filter(|_| scored < FEWEST_HEADINGS);
    Some(below.map_or(first, |(_, found)| found))
}

/// Whether a text separated by commas has headings that are known, at its top or below a title.
#[cfg(feature = "formats")]
pub(super) fn has_headings(text: &str, known: &impl Fn(&str) -> bool) -> bool {
    let found = headings(text, b",", known);
    found.is_some_and(|f| f.record.iter().filter(|h| known(h)).count() >= FEWEST_HEADINGS)
}

/// The line of a row of units right below the headings, and the unit of each column: a row without
/// a number and without a well, where a heading of at least one column is known with its cell behind it.
pub(super) fn units(
    text: &str,
    found: &Found,
    headings: &[String],
    known: &impl Fn(&str) -> bool,
) -> Option<(u64, Vec<String>)> {
    let mut reader = reader(text, found.delimiter);
    let mut record = StringRecord::new();
    let line = loop {
        if !reader.read_record(&mut record).unwrap_or(false) {
            return None;
        }
        let at = record.position().map_or((0, 1), |p| (p.byte(), p.line()));
        let line = true_line(text, at);
        if line > found.line && !record.as_slice().trim().is_empty() {
            break line;
        }
    };
    let number = |c: &str| number::parse(c, false).is_ok() || number::parse(c, true).is_ok();
    if record.len() > headings.len() || record.iter().any(|c| number(c.trim())) {
        return None;
    }
    let unit = |(heading, cell): (&String, &str)| {
        let cell = cell.trim();
        let is_one = !cell.is_empty() && known(heading) && known(&in_unit(heading, cell));
        if is_one { cell.to_owned() } else { String::new() }
    };
    let units: Vec<String> = headings.iter().zip(record.iter()).map(unit).collect();
    // The names of wells are no units: where one stands, the row is one of the table.
    let named = headings
        .iter()
        .zip(record.iter())
        .zip(&units)
        .find(|((heading, _), _)| known(heading))
        .is_some_and(|((_, cell), unit)| unit.is_empty() && !is_no_name(cell.trim()));
    (!named && units.iter().any(|u| !u.is_empty())).then_some((line, units))
}

/// A heading and its unit, written as one heading.
pub(super) fn in_unit(heading: &str, unit: &str) -> String {
    format!("{heading} ({})", unit.trim_matches(['(', ')', '[', ']', ' ']))
}

/// Whether a cell of the first column says that the row is no well's.
fn is_no_name(cell: &str) -> bool {
    let word = cell.trim_matches(['(', ')', '[', ']', '-', ':', ' ']).to_lowercase();
    word.is_empty() || matches!(word.as_str(), "unit" | "units")
}

/// R132: the rows above the headings, and the row of units.
pub(super) fn passed_over(
    file: &str,
    found: &Found,
    units: Option<&(u64, Vec<String>)>,
) -> Vec<Diagnostic> {
    let mut told = Vec::new();
    if let (Some(first), Some(last)) = (found.titles.first(), found.titles.last()) {
        let text = format!(
            "{} above the headings of {file} {} not read: {}; the headings are in line {}",
            lines(first.0, last.0),
            if found.titles.len() == 1 { "is" } else { "are" },
            quoted(&found.titles),
            found.line
        );
        told.push(
            Diagnostic::new(Code::RowsNotRead, text)
                .at(&Origin::line(file, first.0))
                .advice("nothing to do if this is a title; otherwise correct the headings"),
        );
    }
    if let Some((line, units)) = units {
        let units: Vec<String> =
            units.iter().filter(|u| !u.is_empty()).map(|u| format!("\"{u}\"")).collect();
        told.push(
            Diagnostic::new(
                Code::RowsNotRead,
                format!("line {line} of {file} is a row of units: {}", units.join(", ")),
            )
            .at(&Origin::line(file, *line))
            .advice(
                "the units count as if they stood in the headings; correct them if they are wrong",
            ),
        );
    }
    told
}

/// Rows that may be notes below the table, as long as no other row comes.
#[derive(Debug, Default)]
pub(super) struct Notes(Vec<Held>);

/// Such a row.
#[derive(Debug)]
pub(super) struct Held {
    pub(super) record: StringRecord,
    pub(super) line: u64,
    pub(super) end: u64,
    pub(super) wrong: bool,
}

impl Notes {
    /// Whether a row has nothing but a text that no well is called, or stands below such a row,
    /// cut into cells by its commas.
    pub(super) fn may_be_one(&self, record: &StringRecord, wrong: bool) -> bool {
        let first = record.get(0).unwrap_or_default();
        if first.len() == record.as_slice().trim_end().len() && is_note(first.trim()) {
            return true;
        }
        let number = |c: &str| number::parse(c.trim(), false).is_ok();
        wrong && (!self.0.is_empty() || is_note(first.trim())) && !record.iter().any(number)
    }

    pub(super) fn hold(&mut self, record: &StringRecord, line: u64, end: u64, wrong: bool) {
        self.0.push(Held { record: record.clone(), line, end, wrong });
    }

    /// Gives the rows back that were held.
    pub(super) fn give_back(&mut self) -> Vec<Held> {
        std::mem::take(&mut self.0)
    }

    /// R132 of the notes below the table.
    pub(super) fn tell(self, file: &str) -> Option<Diagnostic> {
        let texts: Vec<(u64, String)> = self
            .0
            .iter()
            .map(|held| (held.line, shown(held.record.get(0).unwrap_or_default().trim())))
            .collect();
        let (first, last) = (texts.first()?, texts.last()?);
        let text = format!(
            "{} below the rows of {file} {} not read: {}",
            lines(first.0, last.0),
            if texts.len() == 1 { "is" } else { "are" },
            quoted(&texts)
        );
        Some(
            Diagnostic::new(Code::RowsNotRead, text)
                .at(&Origin::line(file, first.0))
                .advice("nothing to do if these are notes; if one is a well, complete its row"),
        )
    }
}

/// Whether a text is a note and no well's name.
fn is_note(text: &str) -> bool {
    text.starts_with(FOOTNOTE)
        || text.contains(MARKS_OF_A_NOTE)
        || text.split_whitespace().nth(WORDS_OF_A_NOTE - 1).is_some()
}

fn lines(first: u64, last: u64) -> String {
    if first == last { format!("line {first}") } else { format!("lines {first} to {last}") }
}

fn quoted(rows: &[(u64, String)]) -> String {
    let texts: Vec<String> =
        rows.iter().take(MOST_QUOTED).map(|(_, text)| format!("\"{text}\"")).collect();
    let more = rows.len().saturating_sub(MOST_QUOTED);
    let texts = texts.join(", ");
    if more == 0 { texts } else { format!("{texts} and {more} more") }
}
