//! A table of rows.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::fs::File;
use std::io;
use std::io::Write;
use std::path::Path;

use serde::Serialize;

use crate::write::stream;

/// Writes a table of `count` rows below a heading line, which names the fields of `R` also where
/// there is no row; behind them is what all rows belong to.
pub(in crate::write) fn table<R: Serialize + Default, O: Serialize + Default + Sync>(
    path: &Path,
    of: &O,
    count: usize,
    row: impl Fn(usize) -> R + Sync,
) -> io::Result<()> {
    let mut file = File::create_new(path)?;
    file.write_all(&headings::<R, O>()?)?;
    stream::rows(
        count,
        |range| {
            let mut text = csv::WriterBuilder::new()
                .has_headers(false)
                .from_writer(Vec::with_capacity(stream::TEXT));
            for i in range {
                text.serialize((row(i), of)).map_err(io::Error::other)?;
            }
            text.into_inner().map_err(|e| io::Error::other(e.to_string()))
        },
        |text| file.write_all(text),
    )
}

/// The heading line.
fn headings<R: Serialize + Default, O: Serialize + Default>() -> io::Result<Vec<u8>> {
    let mut text = csv::Writer::from_writer(Vec::new());
    // The names of fields are known of a row alone, whatever stands in it.
    text.serialize((R::default(), O::default())).map_err(io::Error::other)?;
    let mut text = text.into_inner().map_err(|e| io::Error::other(e.to_string()))?;
    let end = text.iter().position(|b| *b == b'\n').map_or(text.len(), |at| at + 1);
    text.truncate(end);
    Ok(text)
}
