//! The tables of a result: files of text, and with the format of workbooks `tables.xlsx`, where each is a sheet.

use std::io;
use std::path::Path;

use super::context::Context;
use super::tables;
use super::toward;
use crate::report::Results;

/// A table of a run.
pub(super) struct Table {
    pub(super) name: &'static str,
    pub(super) grid: for<'a> fn(&'a Context<'a>) -> io::Result<tables::Grid<'a>>,
    /// Whether a run has it.
    pub(super) when: fn(&Results) -> bool,
}

/// Every table: each is a file of text, and with the format of workbooks a sheet of one. The first are read first.
pub(super) const TABLES: &[Table] = &[
    Table {
        name: "water-levels.csv",
        grid: |context| Ok(tables::water_levels(context)),
        when: always,
    },
    Table { name: "wells.csv", grid: |context| Ok(tables::wells(context)), when: always },
    Table { name: "heads.csv", grid: |context| Ok(tables::heads(context)), when: always },
    Table { name: "triangles.csv", grid: |context| tables::triangles(context), when: always },
    Table { name: "receptors.csv", grid: |context| toward::verdicts(context), when: toward::asked },
];

fn always(_: &Results) -> bool {
    true
}

/// The name of the workbook.
pub(super) const WORKBOOK: &str = "tables.xlsx";

/// Writes all tables of a result as sheets of a workbook, each under the name of its file of text.
pub(super) fn workbook(context: &Context, path: &Path) -> io::Result<()> {
    let of_run = TABLES.iter().filter(|table| (table.when)(context.results));
    let grids =
        of_run.map(|table| Ok((table.name.trim_end_matches(".csv"), (table.grid)(context)?)));
    tables::sheets(path, &context.of.in_words(), &grids.collect::<io::Result<Vec<_>>>()?)
}
