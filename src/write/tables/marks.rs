//! Files of text with the marks of a site.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::fs::File;
use std::io;
use std::io::Write;
use std::path::Path;

use crate::read::TableMarks;
use crate::write::stream;

/// What a file begins with where the site asks for it.
const BYTE_ORDER_MARK: &[u8] = "\u{feff}".as_bytes();

/// A writer of rows.
pub(in crate::write) fn writer(marks: TableMarks) -> csv::Writer<Vec<u8>> {
    csv::WriterBuilder::new()
        .delimiter(marks.delimiter)
        .has_headers(false)
        .from_writer(Vec::with_capacity(stream::TEXT))
}

/// What was written.
pub(in crate::write) fn written(text: csv::Writer<Vec<u8>>) -> io::Result<Vec<u8>> {
    text.into_inner().map_err(|e| io::Error::other(e.to_string()))
}

/// A whole table: its text behind what a file begins with.
pub(in crate::write) fn whole(
    marks: TableMarks,
    text: csv::Writer<Vec<u8>>,
) -> io::Result<Vec<u8>> {
    let begin = if marks.byte_order_mark { BYTE_ORDER_MARK } else { b"" };
    Ok([begin, &written(text)?].concat())
}

/// Writes a heading line and `count` rows below it.
pub(super) fn file(
    path: &Path,
    marks: TableMarks,
    headings: impl IntoIterator<Item = impl AsRef<[u8]>>,
    count: usize,
    cells: impl Fn(usize) -> io::Result<Vec<String>> + Sync,
) -> io::Result<()> {
    let mut file = File::create_new(path)?;
    let mut first = writer(marks);
    first.write_record(headings).map_err(io::Error::other)?;
    file.write_all(&whole(marks, first)?)?;
    stream::rows(
        count,
        |range| {
            let mut text = writer(marks);
            for i in range {
                text.write_record(cells(i)?).map_err(io::Error::other)?;
            }
            written(text)
        },
        |text| file.write_all(text),
    )
}
