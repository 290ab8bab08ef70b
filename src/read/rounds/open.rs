//! A table opened and its columns found.

use std::path::Path;

use crate::diag::{Code, Diagnostic, Origin};
use crate::read::files::input::{self, Text};
use crate::read::files::names::WORKBOOKS;
use crate::read::table::columns::Column;
use crate::read::table::heading;
use crate::read::table::layout::Layout;
use crate::read::table::rows::Table;
use crate::read::table::rules::{How, Rules};
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
    let Rules { delimiter, decimal_comma, .. } = how.rules;
    let worksheet = how.rules.worksheet.as_deref();
    let names: Vec<String> = how.columns.iter().map(|d| d.heading.clone()).collect();
    let known =
        |h: &str| heading::recognise(h, among).is_some() || names.iter().any(|n| n == h.trim());
    let mut table = text(path, file, worksheet, decimal_comma, &known)
        .and_then(|text| Table::open(text, delimiter, decimal_comma, known))
        .map_err(|fault| said.push(*fault))
        .ok()?;
    said.append(&mut table.told);
    if table.headings.iter().all(String::is_empty) {
        said.push(
            Diagnostic::new(Code::ColumnMissing, format!("{file} has no headings"))
                .at(&Origin::line(file, table.heading_line))
                .advice("put the column headings in the first line"),
        );
        return None;
    }
    let mut layout = Layout::of(&table, among, &mut how.columns, said);
    layout.find_dates(&table, among, how, said);
    Some((table, layout))
}

/// Whether a file is read as a workbook.
pub(in crate::read) fn is_workbook(path: &Path) -> bool {
    let ending = path.extension();
    cfg!(feature = "formats")
        && ending.is_some_and(|e| WORKBOOKS.iter().any(|known| e.eq_ignore_ascii_case(known)))
}

/// The file of a table in a site folder: the one of this name, or a workbook of the same name in its
/// place.
pub(in crate::read) fn present(folder: &Path, file: &str) -> String {
    let there = |name: &String| input::there(&folder.join(name));
    let Some((stem, _)) = file.rsplit_once('.').filter(|_| !there(&file.to_owned())) else {
        return file.to_owned();
    };
    let others = WORKBOOKS.map(|ending| format!("{stem}.{ending}"));
    let mut others = others.into_iter().filter(|n| is_workbook(Path::new(n)) && there(n));
    others.next().unwrap_or_else(|| file.to_owned())
}

/// The text of a table, or of a sheet of a workbook.
fn text(
    path: &Path,
    file: &str,
    worksheet: Option<&str>,
    decimal_comma: bool,
    known: &impl Fn(&str) -> bool,
) -> Result<Text, Box<Diagnostic>> {
    #[cfg(feature = "formats")]
    if is_workbook(path) {
        return workbook::load(path, file, worksheet, decimal_comma, known);
    }
    #[cfg(not(feature = "formats"))]
    let _ = (worksheet, decimal_comma, known);
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
