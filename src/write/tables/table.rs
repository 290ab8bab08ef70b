//! A table of rows.

use std::io;
use std::path::Path;

use serde::Serialize;

use crate::read::TableMarks;
use crate::write::tables::{marks, rows};

/// Writes a table of `count` rows below a heading line, which names the fields of `R` also where
/// there is no row; behind them is what all rows belong to.
pub(in crate::write) fn table<R: Serialize + Default, O: Serialize + Default + Sync>(
    (path, of_site): (&Path, TableMarks),
    of: &O,
    count: usize,
    row: impl Fn(usize) -> R + Sync,
) -> io::Result<()> {
    let headings = headings::<R, O>()?;
    let cells = |i: usize| rows::cells(&(row(i), of), of_site).map_err(io::Error::other);
    marks::file(path, of_site, headings.iter(), count, cells)
}

/// The headings.
fn headings<R: Serialize + Default, O: Serialize + Default>() -> io::Result<csv::ByteRecord> {
    let mut text = csv::Writer::from_writer(Vec::new());
    // The names of fields are known of a row alone, whatever stands in it.
    text.serialize((R::default(), O::default())).map_err(io::Error::other)?;
    let text = marks::written(text)?;
    let mut reader = csv::Reader::from_reader(text.as_slice());
    reader.byte_headers().cloned().map_err(io::Error::other)
}
