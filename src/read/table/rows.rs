//! A table of text: cells that keep their line and their column's heading.

use std::sync::Arc;

use csv::{ReaderBuilder, StringRecord};

use crate::diag::{Code, Diagnostic, Origin, bound_from};
use crate::read::files::input::Text;
use crate::read::files::input_file::InputFile;

/// The delimiters looked for in a heading line, in the order of preference.
const DELIMITERS: [u8; 4] = [b',', b';', b'\t', b'|'];

/// No more headings than these are looked at to find the delimiter.
const HEADINGS_SCORED: usize = 200;

/// A table of wells or readings has some dozens of columns, an export of a laboratory some hundreds.
/// More than this are refused: what each heading stands for is worked out with care, and takes time.
const MOST_COLUMNS: usize = 2000;

/// A line with fewer known headings than this may be a title above the headings.
const FEWEST_HEADINGS: usize = 2;

/// So many rows are looked through for headings below a title.
const TITLE_ROWS: usize = 20;

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
    /// Its file's name and hash.
    pub(in crate::read) input: InputFile,
    /// The headings as written, trimmed.
    pub(in crate::read) headings: Vec<String>,
    /// The line of the headings.
    pub(in crate::read) heading_line: u64,
    text: String,
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

    /// Where the row stands.
    pub(in crate::read) fn origin(&self) -> Origin {
        Origin { file: Arc::clone(&self.table.file), line: Some(self.line), column: None }
    }

    /// Where one of its cells stands.
    pub(in crate::read) fn cell_origin(&self, column: usize) -> Origin {
        self.origin().column(self.table.headings.get(column).map_or("", String::as_str))
    }
}

impl Table {
    /// Reads the headings. `delimiter` is the declared one; otherwise the one under which most
    /// headings are `known` is taken, and of equals the one that makes most cells.
    ///
    /// # Errors
    /// R114 when there is no heading line, R103 when a title stands above the headings, R101 when
    /// there are more than [`MOST_COLUMNS`] of them.
    pub(in crate::read) fn open(
        source: Text,
        delimiter: Option<u8>,
        decimal_comma: bool,
        known: impl Fn(&str) -> bool,
    ) -> Result<Self, Box<Diagnostic>> {
        let Text { text, input } = source;
        let read_with = |delimiter: u8| {
            let mut record = StringRecord::new();
            let mut reader = reader(&text, delimiter);
            let read = reader.read_record(&mut record).unwrap_or(false);
            read.then(|| {
                let at = record.position().map_or((0, 1), |p| (p.byte(), p.line()));
                (record, true_line(&text, at))
            })
        };
        let mut candidates = DELIMITERS;
        if decimal_comma {
            // A comma is then the least likely.
            candidates.rotate_left(1);
        }
        let found = delimiter.or_else(|| {
            candidates
                .into_iter()
                .filter_map(|d| {
                    let (record, _) = read_with(d)?;
                    let score = record.iter().take(HEADINGS_SCORED).filter(|h| known(h)).count();
                    Some((score, record.len(), d))
                })
                // The first of equals stays.
                .reduce(|best, next| if (next.0, next.1) > (best.0, best.1) { next } else { best })
                .map(|(_, _, d)| d)
        });
        let delimiter = found.unwrap_or(b',');
        let Some((record, heading_line)) = read_with(delimiter) else {
            return Err(Box::new(
                Diagnostic::new(Code::TableEmpty, format!("{} is empty", input.file))
                    .at(&Origin::file(&input.file))
                    .advice("add a line of headings and the rows"),
            ));
        };
        if record.len() > MOST_COLUMNS {
            return Err(Box::new(
                Diagnostic::new(
                    Code::FileUnreadable,
                    format!(
                        "{} has {} headings in line {heading_line}; the limit is {MOST_COLUMNS}",
                        input.file,
                        record.len()
                    ),
                )
                .at(&Origin::line(&input.file, heading_line))
                .advice(
                    "export only the columns of the wells and their readings; look for a missing \
                     line break",
                ),
            ));
        }
        let score =
            |record: &StringRecord| record.iter().take(MOST_COLUMNS).filter(|h| known(h)).count();
        if score(&record) < FEWEST_HEADINGS
            && let Some(line) = headings_below(&text, &candidates, score)
        {
            let title = record.iter().map(str::trim).find(|c| !c.is_empty()).unwrap_or_default();
            return Err(Box::new(
                Diagnostic::new(
                    Code::ColumnMissing,
                    format!(
                        "{} begins with what looks like a title, \"{}\"; the headings seem to be \
                         in line {line}",
                        input.file,
                        shown(title)
                    ),
                )
                .at(&Origin::line(&input.file, heading_line))
                .advice("delete the lines above the headings: the headings must be the first line"),
            ));
        }
        let headings = record.iter().map(|h| h.trim().to_owned()).collect();
        Ok(Self {
            file: input.file.as_str().into(),
            input,
            headings,
            heading_line,
            text,
            delimiter,
        })
    }

    /// For so many rows there may be made room ahead; further ones take theirs as they come, for
    /// lines may hold nothing.
    pub(in crate::read) fn rows_ahead(&self) -> usize {
        self.text.bytes().filter(|b| *b == b'\n').take(ROWS_AHEAD).count()
    }

    /// Visits every row that is not empty, in file order, and says which rows are malformed. A row
    /// may have empty cells beyond the headings, as spreadsheets leave them; where its other cells
    /// then cannot be read, they are shifted, and it is malformed too.
    pub(in crate::read) fn each_row(
        &self,
        said: &mut Vec<Diagnostic>,
        mut visit: impl FnMut(&Row<'_>, &mut Vec<Diagnostic>),
    ) {
        let mut rows = 0_usize;
        let (first, mut room) = (said.len(), said.len() + SAID_AT_ONCE);
        self.walk(|row, end, fault| {
            rows += 1;
            if said.len() > room {
                bound_from(said, first);
                room = said.len() + SAID_AT_ONCE;
            }
            if let Some(fault) = fault {
                said.push(fault);
                return;
            }
            let before = said.len();
            visit(row, said);
            let surplus = row.record.len() > self.headings.len();
            let shifted = said[before..].iter().find(|d| SHIFTED.contains(&d.code));
            if let Some(first) = shifted.filter(|_| surplus) {
                let mut fault = self.malformed(row.record, row.line, end, false);
                fault.message =
                    format!("{}, and they do not fit: {}", fault.message, first.message);
                said.truncate(before);
                said.push(fault);
            }
        });
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
    }

    /// Visits the rows that [`Table::each_row`] calls malformed.
    pub(in crate::read) fn each_malformed(&self, mut visit: impl FnMut(&Row<'_>)) {
        self.walk(|row, _, fault| {
            if fault.is_some() {
                visit(row);
            }
        });
    }

    /// Visits every row that is not empty, with the line after it and what is wrong with its cells
    /// as such.
    fn walk(&self, mut visit: impl FnMut(&Row<'_>, u64, Option<Diagnostic>)) {
        let mut reader = reader(&self.text, self.delimiter);
        let mut record = StringRecord::new();
        let mut heading = true;
        while reader.read_record(&mut record).unwrap_or(false) {
            if std::mem::take(&mut heading) || trimmed(record.as_slice()).is_empty() {
                continue;
            }
            let at = record.position().map_or((0, 1), |p| (p.byte(), p.line()));
            let line = true_line(&self.text, at);
            let surplus_is_empty = record.len() > self.headings.len()
                && record.iter().skip(self.headings.len()).all(|c| c.trim().is_empty());
            let torn = reader.position().line() > line + 1
                && reader.position().byte() == self.text.len() as u64
                && odd_quotes(&self.text, at.0, reader.position().byte());
            let end = reader.position().line();
            let wrong = torn || (record.len() != self.headings.len() && !surplus_is_empty);
            let fault = wrong.then(|| self.malformed(&record, line, end, torn));
            visit(&Row { table: self, record: &record, line }, end, fault);
        }
    }

    fn malformed(&self, record: &StringRecord, line: u64, end: u64, torn: bool) -> Diagnostic {
        let diagnostic = |message| {
            Diagnostic::new(Code::RowMalformed, message).at(&Origin::line(&self.file, line))
        };
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

/// The cell without white space about it; most have none.
#[inline]
fn trimmed(cell: &str) -> &str {
    let bare = |b: Option<&u8>| b.is_none_or(u8::is_ascii_graphic);
    let bytes = cell.as_bytes();
    if bare(bytes.first()) && bare(bytes.last()) { cell } else { cell.trim() }
}

/// A cell's text for a message: cut when it is long, without line breaks.
pub(in crate::read) fn shown(cell: &str) -> String {
    const LONGEST: usize = 40;
    let mut text: String =
        cell.chars().take(LONGEST).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if cell.chars().nth(LONGEST).is_some() {
        text.push('\u{2026}');
    }
    text
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

/// The line of the first row below the first one that has known headings, whatever stands between
/// its cells.
fn headings_below(
    text: &str,
    delimiters: &[u8],
    score: impl Fn(&StringRecord) -> usize,
) -> Option<u64> {
    let below = |delimiter: &u8| {
        let mut reader = reader(text, *delimiter);
        let mut record = StringRecord::new();
        for row in 0..TITLE_ROWS {
            if !reader.read_record(&mut record).unwrap_or(false) {
                return None;
            }
            if row > 0 && score(&record) >= FEWEST_HEADINGS {
                let at = record.position().map_or((0, 1), |p| (p.byte(), p.line()));
                return Some(true_line(text, at));
            }
        }
        None
    };
    delimiters.iter().filter_map(below).min()
}

fn reader(text: &str, delimiter: u8) -> csv::Reader<&[u8]> {
    ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .buffer_capacity(1 << 16)
        .from_reader(text.as_bytes())
}

/// The line a record begins on: the reader counts the blank lines before it as its own.
fn true_line(text: &str, (byte, line): (u64, u64)) -> u64 {
    let start = usize::try_from(byte).unwrap_or(usize::MAX).min(text.len());
    let blank = text.as_bytes()[start..].iter().take_while(|b| matches!(b, b'\n' | b'\r'));
    line + blank.filter(|b| **b == b'\n').count() as u64
}

/// Whether a stretch of the text has an odd number of quotation marks.
fn odd_quotes(text: &str, from: u64, to: u64) -> bool {
    let at = |byte: u64| usize::try_from(byte).unwrap_or(usize::MAX).min(text.len());
    text[at(from)..at(to)].matches('"').count() % 2 == 1
}
