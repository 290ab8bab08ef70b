//! Workbooks: a table with numbers that are numbers, each shown with its decimals.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::io;
use std::path::Path;

use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Workbook, Worksheet, XlsxError,
};

use crate::diag::printable;
use crate::write::tables::columns::Columns;
use crate::write::tables::grid::{Cell, Grid};

/// Rows that a sheet has room for, the headings among them.
///
/// # References
/// ECMA-376 leaves it open; spreadsheet programs open 1 048 576 rows (documentation of the crates excel-rs and xlsxwriter).
pub(super) const MOST_ROWS: usize = 1_048_576;

/// Characters that a cell has room for: 32 767 units of UTF-16, of which a character takes up to two.
const MOST_CHARACTERS: usize = 16_000;

/// Widths of columns, in digits: of headings that wrap, and of the last column, which holds words.
const WIDTH: f64 = 14.0;
const LAST_WIDTH: f64 = 60.0;

/// The widest that a column is made for its cells, pixels.
const WIDEST: u32 = 330;

/// The day of the first archives of this kind: no file holds the time of the run.
const MADE: (u16, u8, u8) = (1980, 1, 1);

/// A sheet of a workbook.
pub(super) struct Sheet<'a> {
    name: &'static str,
    headings: Vec<&'a str>,
    rows: Box<dyn Iterator<Item = Vec<Cell<'a>>> + 'a>,
    /// Whether columns are as wide as their cells; else all have one width, and the last one room for words.
    fitted: bool,
}

impl<'a> Sheet<'a> {
    /// One with these rows.
    pub(super) fn of<'c: 'a, R>(
        name: &'static str,
        columns: &'a Columns<'c, R>,
        rows: &'a [R],
    ) -> Self {
        let cells = rows.iter().map(|row| -> Vec<Cell<'a>> { columns.cells(row) });
        Self { name, headings: columns.headings().collect(), rows: Box::new(cells), fitted: false }
    }

    /// One of a table.
    pub(super) fn of_grid<'c: 'a>(name: &'static str, grid: &'a Grid<'c>) -> io::Result<Self> {
        let rows: Vec<Vec<Cell<'a>>> =
            (0..grid.count).map(|i| (grid.cells)(i)).collect::<io::Result<_>>()?;
        let headings = grid.headings.iter().map(String::as_str).collect();
        Ok(Self { name, headings, rows: Box::new(rows.into_iter()), fitted: true })
    }
}

/// Writes sheets as a workbook, with a title above each printed page.
pub(super) fn write(path: &Path, title: &str, sheets: Vec<Sheet<'_>>) -> io::Result<()> {
    let bytes = workbook(title, sheets).map_err(io::Error::other)?;
    io::Write::write_all(&mut std::fs::File::create_new(path)?, &bytes)
}

/// Writes tables as the sheets of a workbook, by their names.
pub(in crate::write) fn sheets(
    path: &Path,
    title: &str,
    grids: &[(&'static str, Grid<'_>)],
) -> io::Result<()> {
    const MOST: usize = MOST_ROWS - 1;
    if let Some((name, grid)) = grids.iter().find(|(_, grid)| grid.count > MOST) {
        return Err(io::Error::other(format!(
            "{name} has {} rows, and a sheet has room for {MOST}: leave out the format xlsx",
            grid.count
        )));
    }
    let sheets = grids.iter().map(|(name, grid)| Sheet::of_grid(name, grid));
    write(path, title, sheets.collect::<io::Result<_>>()?)
}

fn workbook(title: &str, sheets: Vec<Sheet<'_>>) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let (year, month, day) = MADE;
    let made = ExcelDateTime::from_ymd(year, month, day)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&made));
    let title = title.replace('&', "&&");
    for sheet in sheets {
        fill(book.add_worksheet(), &title, sheet)?;
    }
    book.save_to_buffer()
}

fn fill(sheet: &mut Worksheet, title: &str, of: Sheet<'_>) -> Result<(), XlsxError> {
    sheet.set_name(of.name)?;
    let heading = Format::new()
        .set_bold()
        .set_text_wrap()
        .set_align(FormatAlign::Top)
        .set_border_bottom(FormatBorder::Thin);
    let mut last = 0;
    for (column, text) in (0u16..).zip(of.headings) {
        sheet.write_string_with_format(0, column, shown(text), &heading)?;
        last = column;
    }
    sheet.set_column_range_width(0, last, WIDTH)?.set_column_width(last, LAST_WIDTH)?;
    for (line, cells) in (1u32..).zip(of.rows) {
        for (column, cell) in (0u16..).zip(cells) {
            put(sheet, (line, column), &cell)?;
        }
    }
    if of.fitted {
        sheet.set_autofit_max_width(WIDEST).autofit();
    }
    sheet.set_freeze_panes(1, 1)?.set_repeat_rows(0, 0)?.set_landscape();
    sheet.set_print_fit_to_pages(1, 0).set_header(format!("&L{}", short(title)));
    Ok(())
}

fn put(sheet: &mut Worksheet, (line, column): (u32, u16), cell: &Cell) -> Result<(), XlsxError> {
    match cell {
        Cell::Empty => {}
        Cell::Text(text) => {
            let words = Format::new().set_text_wrap().set_align(FormatAlign::Top);
            sheet.write_string_with_format(line, column, shown(text), &words)?;
        }
        // Here nothing begins with what a spreadsheet would run: a text is a text.
        Cell::Safe(text) => {
            let text = text.strip_prefix('\'').unwrap_or(text);
            if !text.is_empty() {
                put(sheet, (line, column), &Cell::Text(text.into()))?;
            }
        }
        Cell::Figure(number) => {
            let value: f64 =
                number.parse().map_err(|_| XlsxError::ParameterError(number.clone()))?;
            let format = Format::new().set_align(FormatAlign::Top);
            sheet.write_number_with_format(line, column, value, &format)?;
        }
        Cell::Number(number) => {
            let places = usize::try_from(number.places()).unwrap_or(0);
            let pattern =
                if places == 0 { "0".to_owned() } else { format!("0.{}", "0".repeat(places)) };
            let format = Format::new().set_num_format(pattern).set_align(FormatAlign::Top);
            sheet.write_number_with_format(line, column, number.value(), &format)?;
        }
    }
    Ok(())
}

/// A text as a cell can hold it.
fn shown(text: &str) -> String {
    printable(text).chars().take(MOST_CHARACTERS).collect()
}

/// A text as the margin of a page can hold it: 255 characters in all.
fn short(text: &str) -> String {
    printable(text).chars().take(120).collect()
}
