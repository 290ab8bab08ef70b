//! A table opened and its columns found.

use std::path::Path;

use crate::diag::{Code, Diagnostic, Origin};
use crate::read::files::input;
use crate::read::table::columns::Column;
use crate::read::table::heading;
use crate::read::table::layout::Layout;
use crate::read::table::rows::Table;
use crate::read::table::rules::{How, Rules};

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
    let names: Vec<String> = how.columns.iter().map(|d| d.heading.clone()).collect();
    let known =
        |h: &str| heading::recognise(h, among).is_some() || names.iter().any(|n| n == h.trim());
    let table = input::load(path, file)
        .and_then(|text| Table::open(text, delimiter, decimal_comma, known))
        .map_err(|fault| said.push(*fault))
        .ok()?;
    if table.headings.iter().all(String::is_empty) {
        said.push(
            Diagnostic::new(Code::ColumnMissing, format!("{file} has no headings"))
                .at(&Origin::line(file, table.heading_line))
                .advice("put the column headings in the first line"),
        );
        return None;
    }
    let layout = Layout::of(&table, among, &mut how.columns, said);
    Some((table, layout))
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
