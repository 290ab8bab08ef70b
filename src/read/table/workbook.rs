//! Workbooks: one of their sheets as the text of a table, row by row at its own line.

use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::Path;
use std::thread;

use calamine::{Data, ExcelDateTime, Ods, Reader as _, Xlsx};
use jiff::Unit;
use jiff::civil::{DateTime, Time};

use crate::diag::{Code, Diagnostic, Origin, did_you_mean, listed};
use crate::read::files::input::{self, Form, Text};
use crate::units::clean;

use super::frame;
use super::lines::{self, shown};

/// The name of the thread in which a workbook is read. A panic there is a fault of the file, which is refused: a
/// program that has a panic hook of its own need not print it.
pub const WORKBOOK_THREAD: &str = "workbook";

/// Cells further right are no table's.
const MOST_COLUMNS: usize = 2000;

/// The cells of a sheet, by row and column from 0.
type Cells = BTreeMap<usize, BTreeMap<usize, String>>;

/// Reads the sheet that is asked for, or the only one that has known headings (R134).
///
/// # Errors
/// R101 when the file cannot be read, is no workbook, or has no such sheet or several.
pub(in crate::read) fn load(
    path: &Path,
    name: &str,
    asked: Option<&str>,
    decimal_comma: bool,
    known: &impl Fn(&str) -> bool,
) -> Result<Text, Box<Diagnostic>> {
    let (bytes, input) = input::named_bytes(path, name)?;
    let sheets = cells(path, bytes).map_err(|why| {
        refused(name, &format!("{name} cannot be read as a workbook: {why}"))
            .advice("open it in a spreadsheet and save it anew, or save the sheet as CSV UTF-8")
    })?;
    let names = listed(sheets.iter().map(|(sheet, _)| format!("\"{}\"", shown(sheet))));
    let texts: Vec<(&String, String)> =
        sheets.iter().map(|(sheet, cells)| (sheet, text(cells, decimal_comma))).collect();
    let mut fit: Vec<&(&String, String)> = match asked {
        Some(asked) => {
            let is = |t: &&(&String, String)| t.0.trim().eq_ignore_ascii_case(asked.trim());
            texts.iter().filter(is).collect()
        }
        None => texts.iter().filter(|(_, text)| frame::has_headings(text, known)).collect(),
    };
    if asked.is_none() && fit.is_empty() && texts.len() == 1 {
        // What is wrong with the headings is told as for any table.
        fit.extend(&texts);
    }
    let [(sheet, text)] = fit.as_slice() else {
        let (message, advice) = match asked {
            Some(asked) => (
                format!("{name} has no sheet \"{}\"; its sheets are {names}", shown(asked)),
                did_you_mean(
                    asked,
                    sheets.iter().map(|(sheet, _)| sheet.as_str()),
                    "correct worksheet under [tables] in site.toml, or --worksheet",
                ),
            ),
            None if fit.is_empty() => (
                format!("no sheet of {name} has headings that are known; its sheets are {names}"),
                "name the sheet with --worksheet, or worksheet under [tables] in site.toml; or save \
                 it as CSV UTF-8"
                    .to_owned(),
            ),
            None => {
                let fit = listed(fit.iter().map(|(sheet, _)| format!("\"{}\"", shown(sheet))));
                (
                    format!("several sheets of {name} may be meant: {fit}"),
                    "name one with --worksheet, or worksheet under [tables] in site.toml"
                        .to_owned(),
                )
            }
        };
        return Err(Box::new(refused(name, &message).advice(advice)));
    };
    let told = Diagnostic::new(
        Code::WorksheetRead,
        format!("{name} is a workbook; its sheet \"{}\" is read", shown(sheet)),
    )
    .at(&Origin::file(name))
    .advice(format!("its sheets are {names}; name another one with --worksheet"));
    let (text, name) = (text.clone(), name.to_owned());
    Ok(Text { text, name, inputs: vec![input], form: Form::Sheet, told: vec![told] })
}

/// The names of a workbook's sheets; none where it cannot be read.
pub(in crate::read) fn sheets(path: &Path) -> Vec<String> {
    let Ok((bytes, _)) = input::bytes(path) else { return Vec::new() };
    let read = cells(path, bytes).unwrap_or_default();
    read.into_iter().map(|(name, _)| name).collect()
}

/// The cells of all sheets, or why they cannot be read.
fn cells(path: &Path, bytes: Vec<u8>) -> Result<Vec<(String, Cells)>, String> {
    let ods = path.extension().is_some_and(|e| e.eq_ignore_ascii_case("ods"));
    // What the reader of workbooks cannot take is the file's fault and no reason to stop without a word. In a
    // thread of this name, so that a program can keep what panics print to itself.
    let reader = thread::Builder::new().name(WORKBOOK_THREAD.to_owned());
    let read = move || if ods { of_ods(bytes) } else { of_xlsx(bytes) };
    let reading = reader.spawn(read).map_err(|e| e.to_string())?;
    reading.join().unwrap_or_else(|_| Err("it is damaged".to_owned()))
}

fn refused(name: &str, message: &str) -> Diagnostic {
    Diagnostic::new(Code::FileUnreadable, message).at(&Origin::file(name))
}

fn of_xlsx(bytes: Vec<u8>) -> Result<Vec<(String, Cells)>, String> {
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(|e| e.to_string())?;
    let mut sheets = Vec::new();
    for name in book.sheet_names() {
        // Charts and dialogs are sheets without cells.
        let Ok(mut reader) = book.worksheet_cells_reader(&name) else { continue };
        let mut cells = Cells::new();
        while let Some(cell) = reader.next_cell().map_err(|e| e.to_string())? {
            let (row, column) = cell.get_position();
            put(&mut cells, row, column, &Data::from(cell.get_value().clone()));
        }
        drop(reader);
        sheets.push((name, cells));
    }
    Ok(sheets)
}

fn of_ods(bytes: Vec<u8>) -> Result<Vec<(String, Cells)>, String> {
    let mut book = Ods::new(Cursor::new(bytes)).map_err(|e| e.to_string())?;
    let mut sheets = Vec::new();
    for name in book.sheet_names() {
        let range = book.worksheet_range(&name).map_err(|e| e.to_string())?;
        let (first_row, first_column) = range.start().unwrap_or_default();
        let mut cells = Cells::new();
        for (row, column, value) in range.used_cells() {
            let row = first_row.saturating_add(u32::try_from(row).unwrap_or(u32::MAX));
            let column = first_column.saturating_add(u32::try_from(column).unwrap_or(u32::MAX));
            put(&mut cells, row, column, value);
        }
        sheets.push((name, cells));
    }
    Ok(sheets)
}

fn put(cells: &mut Cells, row: u32, column: u32, value: &Data) {
    let (row, column) = (row as usize, column as usize);
    let text = written(value);
    if column < MOST_COLUMNS && !text.is_empty() {
        cells.entry(row).or_default().insert(column, text);
    }
}

/// A value as a table of text has it: dates in the way of ISO 8601, numbers without binary dust.
fn written(value: &Data) -> String {
    match value {
        Data::Empty => String::new(),
        Data::Int(number) => number.to_string(),
        Data::Float(number) => clean(*number).to_string(),
        Data::String(text) => text.split_whitespace().collect::<Vec<_>>().join(" "),
        Data::Bool(true) => "yes".to_owned(),
        Data::Bool(false) => "no".to_owned(),
        Data::DateTime(at) => moment(at),
        Data::DateTimeIso(text) => text.trim_end_matches("T00:00:00").to_owned(),
        Data::DurationIso(text) => duration(text).unwrap_or_else(|| text.clone()),
        Data::Error(error) => error.to_string(),
    }
}

/// A day, a time of day, or both; what a spreadsheet has as a date and is none, as its number.
fn moment(at: &ExcelDateTime) -> String {
    let number = || clean(at.as_f64()).to_string();
    let (year, month, day, hour, minute, second, milli) = at.to_ymd_hms_milli();
    let read = || {
        let of = |n: u8| i8::try_from(n).ok();
        let nanos = i32::from(milli) * 1_000_000;
        let year = i16::try_from(year).ok()?;
        let read =
            DateTime::new(year, of(month)?, of(day)?, of(hour)?, of(minute)?, of(second)?, nanos);
        // A time of day is a fraction in binary digits.
        read.ok()?.round(Unit::Second).ok()
    };
    let Some(read) = read().filter(|_| at.as_f64() >= 0.0) else { return number() };
    if at.as_f64() < 1.0 {
        read.time().to_string()
    } else if read.time() == Time::midnight() {
        read.date().to_string()
    } else {
        read.to_string()
    }
}

/// `PT09H35M00S` as a time of day.
fn duration(text: &str) -> Option<String> {
    let (hours, rest) = text.strip_prefix("PT")?.split_once('H')?;
    let (minutes, rest) = rest.split_once('M')?;
    let (seconds, _) = rest.trim_end_matches('S').split_once(['.', ',']).unwrap_or((rest, ""));
    let seconds = seconds.trim_end_matches('S');
    Some(format!("{hours:0>2}:{minutes:0>2}:{seconds:0>2}"))
}

/// The sheet as comma-separated text, each row at the line of its number, all of one width.
fn text(cells: &Cells, decimal_comma: bool) -> String {
    let width = cells.values().filter_map(|row| row.last_key_value()).map(|(c, _)| c + 1).max();
    let width = width.unwrap_or_default();
    let mut text = String::new();
    let mut line = 0;
    for (&row, columns) in cells {
        while line < row {
            text.push('\n');
            line += 1;
        }
        for column in 0..width {
            if column > 0 {
                text.push(',');
            }
            let Some(cell) = columns.get(&column) else { continue };
            let comma = decimal_comma && cell.parse::<f64>().is_ok();
            let cell = if comma { cell.replace('.', ",") } else { cell.clone() };
            lines::write_cell(&cell, &mut text);
        }
        text.push('\n');
        line += 1;
    }
    text
}
