//! A table of rows.

use std::io;
use std::path::Path;

use serde::Serialize;

use crate::read::TableMarks;
use crate::write::tables::grid::Grid;
use crate::write::tables::{marks, rows};

/// Writes a table of `count` rows below a heading line: [`grid`] as a table of text.
pub(in crate::write) fn table<R: Serialize + Default, O: Serialize + Default + Clone + Sync>(
    (path, of_site): (&Path, TableMarks),
    of: &O,
    count: usize,
    row: impl Fn(usize) -> R + Sync,
) -> io::Result<()> {
    grid(of.clone(), count, row)?.csv((path, of_site))
}

/// A table of `count` rows below a heading line, which names the fields of `R` also where there is no row; behind them is what
/// all rows belong to. Texts in it are safe.
pub(in crate::write) fn grid<'a, R: Serialize + Default, O: Serialize + Default + Sync + 'a>(
    of: O,
    count: usize,
    row: impl Fn(usize) -> R + Sync + 'a,
) -> io::Result<Grid<'a>> {
    let cells = move |i: usize| rows::cells(&(row(i), &of)).map_err(io::Error::other);
    Ok(Grid { headings: headings::<R, O>()?, count, cells: Box::new(cells) })
}

/// The headings.
fn headings<R: Serialize + Default, O: Serialize + Default>() -> io::Result<Vec<String>> {
    let mut text = csv::Writer::from_writer(Vec::new());
    // The names of fields are known of a row alone, whatever stands in it.
    text.serialize((R::default(), O::default())).map_err(io::Error::other)?;
    let text = marks::written(text)?;
    let mut reader = csv::Reader::from_reader(text.as_slice());
    let headings = reader.headers().map_err(io::Error::other)?;
    Ok(headings.iter().map(str::to_owned).collect())
}
