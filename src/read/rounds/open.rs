//! A table opened and its columns found.

use std::path::Path;

use crate::diag::{Code, Diagnostic};
use crate::read::files::input::{self, Text};
use crate::read::files::names::{LAYERS, WORKBOOKS};
use crate::read::table::columns::Column;
use crate::read::table::heading;
use crate::read::table::layout::Layout;
use crate::read::table::rows::Table;
use crate::read::table::rules::{DeclaredColumn, How, Rules};
#[cfg(feature = "formats")]
use crate::read::table::workbook;

use super::readings;

/// Opens a table and finds its columns.
pub(in crate::read) fn open(
    path: &Path,
    file: &str,
    among: &[Column],
    how: &mut How,
    said: &mut Vec<Diagnostic>,
) -> Option<(Table, Layout)> {
    let text = text(path, file, among, how).map_err(|fault| said.push(*fault)).ok()?;
    of_text(text, among, how, said)
}

/// Whether a heading is that of a column, or is declared as one.
fn known(heading: &str, among: &[Column], how: &How) -> bool {
    let is_declared = |d: &DeclaredColumn| d.heading == heading.trim();
    heading::recognise(heading, among).is_some() || how.columns.iter().any(is_declared)
}

/// The table of a text, with its columns.
pub(in crate::read) fn of_text(
    text: Text,
    among: &[Column],
    how: &mut How,
    said: &mut Vec<Diagnostic>,
) -> Option<(Table, Layout)> {
    let Rules { delimiter, decimal_comma, .. } = how.rules;
    let mut table = Table::open(text, delimiter, decimal_comma, |h| known(h, among, how))
        .map_err(|fault| said.push(*fault))
        .ok()?;
    said.append(&mut table.told);
    if table.headings.iter().all(String::is_empty) {
        said.push(
            Diagnostic::new(Code::ColumnMissing, format!("{} has no headings", table.file))
                .at(&table.heading_origin())
                .advice("put the column headings in the first line"),
        );
        return None;
    }
    let mut layout = Layout::of(&table, among, &mut how.columns, said);
    table.find_decimal(&layout, how.rules.decimal_comma, said);
    layout.find_dates(&table, among, how, said);
    Some((table, layout))
}

/// Whether a file is read as a workbook.
pub(in crate::read) fn is_workbook(path: &Path) -> bool {
    let ending = path.extension();
    cfg!(feature = "formats")
        && ending.is_some_and(|e| WORKBOOKS.iter().any(|known| e.eq_ignore_ascii_case(known)))
}

/// Whether a file is read as a vector file.
pub(in crate::read) fn is_layer(path: &Path) -> bool {
    let ending = path.extension();
    ending.is_some_and(|e| LAYERS.iter().any(|known| e.eq_ignore_ascii_case(known)))
}

/// The file of a table in a site folder: the one of this name, or one of the same name with another of these
/// endings in its place.
pub(in crate::read) fn present(folder: &Path, file: &str, endings: &[&[&str]]) -> String {
    let there = |name: &String| input::there(&folder.join(name));
    let Some((stem, _)) = file.rsplit_once('.').filter(|_| !there(&file.to_owned())) else {
        return file.to_owned();
    };
    let is_read = |name: &String| is_workbook(Path::new(name)) || is_layer(Path::new(name));
    let mut others = endings.iter().copied().flatten().map(|ending| format!("{stem}.{ending}"));
    others.find(|name| is_read(name) && there(name)).unwrap_or_else(|| file.to_owned())
}

/// The text of a table, or of a sheet of a workbook.
///
/// # Errors
/// R101 when it cannot be read.
pub(in crate::read) fn text(
    path: &Path,
    file: &str,
    among: &[Column],
    how: &How,
) -> Result<Text, Box<Diagnostic>> {
    #[cfg(feature = "formats")]
    if is_workbook(path) {
        let Rules { worksheet, decimal_comma, .. } = &how.rules;
        let known = |heading: &str| known(heading, among, how);
        return workbook::load(
            path,
            file,
            worksheet.as_deref(),
            *decimal_comma == Some(true),
            &known,
        );
    }
    #[cfg(not(feature = "formats"))]
    let _ = (among, how);
    input::load_table(path, file)
}

/// R103 when a table has no column of measurements.
pub(in crate::read) fn has_measurements(
    table: &Table,
    layout: &Layout,
    said: &mut Vec<Diagnostic>,
) -> bool {
    let has = readings::MEASUREMENTS.iter().any(|c| layout.has(*c));
    if !has {
        let columns = [Column::DepthToWater, Column::Elevation];
        let more = "; hold with cut, pressure_head and stage are measurements too";
        said.push(
            layout.bare_level(table).unwrap_or_else(|| layout.missing(table, &columns, more)),
        );
    }
    has
}
