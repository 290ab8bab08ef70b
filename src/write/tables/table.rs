//! A table of rows.

use std::fs::File;
use std::io;
use std::io::Write;
use std::path::Path;

use serde::Serialize;

use crate::write::stream;

/// Writes a table of `count` rows with a heading line, which names the fields of `R`.
pub(in crate::write) fn table<R: Serialize>(
    path: &Path,
    count: usize,
    row: impl Fn(usize) -> R + Sync,
) -> io::Result<()> {
    let mut file = File::create_new(path)?;
    stream::rows(
        count,
        |range| {
            let mut text = csv::WriterBuilder::new()
                .has_headers(range.start == 0)
                .from_writer(Vec::with_capacity(stream::TEXT));
            for i in range {
                text.serialize(row(i)).map_err(io::Error::other)?;
            }
            text.into_inner().map_err(|e| io::Error::other(e.to_string()))
        },
        |text| file.write_all(text),
    )
}
