//! A table of text: cells that keep their line and their column's heading.

use std::borrow::Cow;
use std::sync::Arc;

use csv::StringRecord;

use crate::diag::{Causes, Code, Diagnostic, Origin, bound_from, no_character};
use crate::read::files::input::{Form, Text, line_of};
use crate::read::files::input_file::InputFile;

use super::frame::{self, Found, Notes};
use super::lines::{reader, true_line};
use super::number::{self, NotNumber};

pub(in crate::read) use super::lines::shown;

/// The delimiters looked for in a heading line, in the order of preference.
const DELIMITERS: [u8; 4] = [b',', b';', b'\t', b'|'];

/// A table of wells or readings has some dozens of columns, an export of a laboratory some hundreds.
/// More than this are refused: what each heading stands for is worked out with care, and takes time.
const MOST_COLUMNS: usize = 2000;

/// No more rows get their room before they are read: of most tables all.
const ROWS_AHEAD: usize = 100_000;

/// After so many findings about its rows those of a kind are counted, so that a table of faults does
/// not take more memory than one of readings.
const SAID_AT_ONCE: usize = 10_000;

/// A table with its headings read.
#[derive(Debug)]
pub(in crate::read) struct Table {
    /// Its file's name.
    pub(in crate::read) file: Arc<str>,
    /// The names and hashes of the files that it was read from, its own first.
    pub(in crate::read) inputs: Vec<InputFile>,
    /// The headings as written, trimmed.
    pub(in crate::read) headings: Vec<String>,
    /// The line of the headings.
    pub(in crate::read) heading_line: u64,
    /// Whether its numbers have a decimal comma.
    pub(in crate::read) decimal_comma: bool,
    /// What is to be said of how it was read.
    pub(in crate::read) told: Vec<Diagnostic>,
    /// The units that a row below the headings gives, by column.
    units: Vec<String>,
    /// No row stands above this line.
    first_row: u64,
    text: String,
    form: Form,
    delimiter: u8,
}

/// One row, with at least one cell that is not empty.
#[derive(Debug, Clone, Copy)]
pub(in crate::read) struct Row<'a> {
    table: &'a Table,
    record: &'a StringRecord,
    /// Its line in the file.
    pub(in crate::read) line: u64,
}

impl<'a> Row<'a> {
    /// The cell in a column, trimmed; "" where the row has none.
    pub(in crate::read) fn cell(&self, column: usize) -> &'a str {
        trimmed(self.record.get(column).unwrap_or_default())
    }

    /// The number in a column.
    ///
    /// # Errors
    /// Why the cell is none.
    pub(in crate::read) fn number(&self, column: usize) -> Result<f64, NotNumber> {
        number::parse(self.cell(column), self.decimal_comma())
    }

    /// Whether its numbers have a decimal comma.
    pub(in crate::read) const fn decimal_comma(&self) -> bool {
        self.table.decimal_comma
    }

    /// Where the row stands.
    pub(in crate::read) fn origin(&self) -> Origin {
        self.table.origin(self.line)
    }

    /// Where one of its cells stands.
    pub(in crate::read) fn cell_origin(&self, column: usize) -> Origin {
        self.origin().column(self.table.headings.get(column).map_or("", String::as_str))
    }
}

impl Table {
    /// Reads the headings, below a title where there is one, and the units below them. `delimiter` is
    /// the declared one; otherwise the one under which most headings are `known` is taken, and of
    /// equals the one that makes most cells.
    ///
    /// # Errors
    /// R114 when there is no heading line, R101 when there are more than [`MOST_COLUMNS`] of them.
    pub(in crate::read) fn open(
        source: Text,
        delimiter: Option<u8>,
        decimal_comma: Option<bool>,
        known: impl Fn(&str) -> bool,
    ) -> Result<Self, Box<Diagnostic>> {
        let Text { text, name, inputs, form, mut told } = source;
        // A file of text was looked through when it was read.
        if let Some((at, code_point)) = no_character(&text).filter(|_| form != Form::Text) {
            return Err(Box::new(
                Diagnostic::new(
                    Code::FileUnreadable,
                    format!("{name} has the code point {code_point}, which is not a character"),
                )
                .at(&place(&name.as_str().into(), form, line_of(text.as_bytes(), at)))
                .advice("retype the cell: most programs do not show this character"),
            ));
        }
        let decimal_comma = decimal_comma == Some(true);
        let mut candidates = DELIMITERS;
        if decimal_comma {
            // A comma is then the least likely.
            candidates.rotate_left(1);
        }
        // What was no text is separated as it was written.
        let declared = if form == Form::Text { delimiter } else { Some(b',') }.map(|d| [d]);
        let candidates = declared.as_ref().map_or(&candidates[..], |d| &d[..]);
        let Some(found) = frame::headings(&text, candidates, &known) else {
            return Err(Box::new(
                Diagnostic::new(Code::TableEmpty, format!("{name} is empty"))
                    .at(&Origin::file(&name))
                    .advice("add a line of headings and the rows"),
            ));
        };
        let Found { record, line: heading_line, delimiter, .. } = &found;
        let (heading_line, delimiter) = (*heading_line, *delimiter);
        if record.len() > MOST_COLUMNS {
            return Err(Box::new(
                Diagnostic::new(
                    Code::FileUnreadable,
                    format!(
                        "{} has {} headings in line {heading_line}; the limit is {MOST_COLUMNS}",
                        name,
                        record.len()
                    ),
                )
                .at(&Origin::line(&name, heading_line))
                .advice(
                    "export only the columns of the wells and their readings; look for a missing \
                     line break",
                ),
            ));
        }
        let headings: Vec<String> = record.iter().map(|h| h.trim().to_owned()).collect();
        let units = frame::units(&text, &found, &headings, &known);
        told.extend(frame::passed_over(&name, &found, units.as_ref()));
        let (first_row, units) = units.map_or((heading_line + 1, Vec::new()), |u| (u.0 + 1, u.1));
        Ok(Self {
            file: name.as_str().into(),
            inputs,
            headings,
            heading_line,
            decimal_comma,
            told,
            units,
            first_row,
            text,
            form,
            delimiter,
        })
    }

    /// The place of a row.
    fn origin(&self, line: u64) -> Origin {
        place(&self.file, self.form, line)
    }

    /// The place of the headings: their line, or the file where they are the fields of a layer.
    pub(in crate::read) fn heading_origin(&self) -> Origin {
        let line = (self.form != Form::Layer).then_some(self.heading_line);
        Origin { file: Arc::clone(&self.file), line, feature: None, column: None }
    }

    /// A heading with the unit that a row of units below the headings gives it.
    pub(in crate::read) fn with_unit(&self, column: usize) -> Cow<'_, str> {
        let heading = self.headings.get(column).map_or("", String::as_str);
        match self.units.get(column).filter(|unit| !unit.is_empty()) {
            Some(unit) => frame::in_unit(heading, unit).into(),
            None => heading.into(),
        }
    }

    /// Whether its numbers may have a decimal comma: cells that commas part have none.
    pub(super) fn may_have_commas(&self) -> bool {
        self.delimiter != b',' && self.text.contains(',')
    }

    /// For so many rows there may be made room ahead; further ones take theirs as they come, for
    /// lines may hold nothing.
    pub(in crate::read) fn rows_ahead(&self) -> usize {
        self.text.bytes().filter(|b| *b == b'\n').take(ROWS_AHEAD).count()
    }

    /// Visits every row that is not empty, in file order, and says which rows are malformed. A row
    /// may have empty cells beyond the headings, as spreadsheets leave them; where its other cells
    /// then cannot be read, they are shifted, and it is malformed too. Whether any row was not visited.
    pub(in crate::read) fn each_row(
        &self,
        said: &mut Vec<Diagnostic>,
        mut visit: impl FnMut(&Row<'_>, &mut Vec<Diagnostic>),
    ) -> bool {
        let (mut rows, mut malformed) = (0_usize, false);
        let (first, mut room) = (said.len(), said.len() + SAID_AT_ONCE);
        let mut causes = Causes::default();
        let notes = self.walk(|row, end, fault| {
            rows += 1;
            if said.len() > room || causes.is_full() {
                std::mem::take(&mut causes).tell(said);
                bound_from(said, first);
                room = said.len() + SAID_AT_ONCE;
            }
            let before = said.len();
            if let Some(fault) = fault {
                malformed = true;
                said.push(fault);
            } else {
                visit(row, said);
            }
            if said.len() == before {
                return true;
            }
            let surplus = row.record.len() > self.headings.len();
            let shifted = said[before..].iter().find(|d| SHIFTED.contains(&d.code));
            if let Some(first) = shifted.filter(|_| surplus) {
                let mut fault = self.malformed(row.record, row.line, end, false);
                fault.message =
                    format!("{}, and they do not fit: {}", fault.message, first.message);
                said.truncate(before);
                said.push(fault);
            }
            causes.take(said, before);
            true
        });
        causes.tell(said);
        said.extend(notes.tell(&self.file));
        if rows == 0 {
            said.push(
                Diagnostic::new(
                    Code::TableEmpty,
                    format!("{} has headings but no rows", self.file),
                )
                .at(&Origin::file(&self.file))
                .advice("add the rows, or remove the file"),
            );
        }
        malformed
    }

    /// Visits the rows that [`Table::each_row`] calls malformed.
    pub(in crate::read) fn each_malformed(&self, mut visit: impl FnMut(&Row<'_>)) {
        self.walk(|row, _, fault| {
            if fault.is_some() {
                visit(row);
            }
            true
        });
    }

    /// Visits the rows that are not malformed until `visit` has seen enough.
    pub(in crate::read) fn each_until(&self, mut visit: impl FnMut(&Row<'_>) -> bool) {
        self.walk(|row, _, fault| fault.is_some() || visit(row));
    }

    /// Visits every row that is not empty, with the line after it and what is wrong with its cells
    /// as such, until `visit` has seen enough. Gives the notes below the table.
    fn walk(&self, mut visit: impl FnMut(&Row<'_>, u64, Option<Diagnostic>) -> bool) -> Notes {
        let mut reader = reader(&self.text, self.delimiter);
        let mut record = StringRecord::new();
        let mut notes = Notes::default();
        while reader.read_record(&mut record).unwrap_or(false) {
            if trimmed(record.as_slice()).is_empty() {
                continue;
            }
            let at = record.position().map_or((0, 1), |p| (p.byte(), p.line()));
            let line = true_line(&self.text, at);
            if line < self.first_row {
                continue;
            }
            let surplus_is_empty = record.len() > self.headings.len()
                && record.iter().skip(self.headings.len()).all(|c| c.trim().is_empty());
            let torn = reader.position().line() > line + 1
                && reader.position().byte() == self.text.len() as u64
                && odd_quotes(&self.text, at.0, reader.position().byte());
            let end = reader.position().line();
            let wrong = torn || (record.len() != self.headings.len() && !surplus_is_empty);
            if self.headings.len() > 1 && !torn && notes.may_be_one(&record, wrong) {
                notes.hold(&record, line, end, wrong);
                continue;
            }
            let mut one = |record: &StringRecord, line, end, wrong: bool, torn| {
                let fault = wrong.then(|| self.malformed(record, line, end, torn));
                visit(&Row { table: self, record, line }, end, fault)
            };
            // What rows stand below is no note below the table.
            let held = notes.give_back();
            if !held.iter().all(|h| one(&h.record, h.line, h.end, h.wrong, false))
                || !one(&record, line, end, wrong, torn)
            {
                break;
            }
        }
        notes
    }

    fn malformed(&self, record: &StringRecord, line: u64, end: u64, torn: bool) -> Diagnostic {
        let diagnostic =
            |message| Diagnostic::new(Code::RowMalformed, message).at(&self.origin(line));
        let first = record.get(0).unwrap_or_default().trim();
        let name = if first.is_empty() {
            "the row".to_owned()
        } else {
            format!("row \"{}\"", shown(first))
        };
        if torn {
            return diagnostic(format!("{name} has a quotation mark that is never closed"))
                .advice("close it, or write a quotation mark inside a quoted cell twice");
        }
        let cells = record.len();
        let headings = self.headings.len();
        let advice = if end > line + 1 {
            "a cell of this row runs over several lines: look for an extra quotation mark"
        } else if cells > headings && self.delimiter == b',' {
            "put cells that contain a comma in quotation marks; for decimal commas, separate \
             cells with ; and write decimal = \",\" under [tables] in site.toml"
        } else {
            "give every row a cell for each heading; empty cells are fine"
        };
        diagnostic(format!("{name} has {cells} cells, but there are {headings} headings"))
            .advice(advice)
    }
}

/// The place of a row: its line, or the feature that stands there.
fn place(file: &Arc<str>, form: Form, line: u64) -> Origin {
    let (line, feature) = match form {
        Form::Layer => (None, Some(line - 1).filter(|number| *number > 0)),
        _ => (Some(line), None),
    };
    Origin { file: Arc::clone(file), line, feature, column: None }
}

/// The cell without white space about it; most have none.
#[inline]
fn trimmed(cell: &str) -> &str {
    let bare = |b: Option<&u8>| b.is_none_or(u8::is_ascii_graphic);
    let bytes = cell.as_bytes();
    if bare(bytes.first()) && bare(bytes.last()) { cell } else { cell.trim() }
}

/// What is said of cells that stand under the heading of others.
const SHIFTED: [Code; 6] = [
    Code::NotANumber,
    Code::FeetAndInches,
    Code::BadTime,
    Code::StatusUnknown,
    Code::CellMissing,
    Code::MeasurementUnclear,
];

/// Whether a stretch of the text has an odd number of quotation marks.
fn odd_quotes(text: &str, from: u64, to: u64) -> bool {
    let at = |byte: u64| usize::try_from(byte).unwrap_or(usize::MAX).min(text.len());
    text[at(from)..at(to)].matches('"').count() % 2 == 1
}
