//! Text to records, with the lines they begin on.

use csv::ReaderBuilder;

/// Reads the records of a text, whatever their number of cells.
pub(super) fn reader(text: &str, delimiter: u8) -> csv::Reader<&[u8]> {
    ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .buffer_capacity(1 << 16)
        .from_reader(text.as_bytes())
}

/// The line a record begins on: the reader counts the blank lines before it as its own.
pub(super) fn true_line(text: &str, (byte, line): (u64, u64)) -> u64 {
    let start = usize::try_from(byte).unwrap_or(usize::MAX).min(text.len());
    let blank = text.as_bytes()[start..].iter().take_while(|b| matches!(b, b'\n' | b'\r'));
    line + blank.filter(|b| **b == b'\n').count() as u64
}

/// Writes a cell of comma-separated text. Other delimiters are put in quotation marks too, so that a cell is
/// one under each of them.
pub(in crate::read) fn write_cell(cell: &str, text: &mut String) {
    if cell.contains([',', '"', ';', '\t', '|']) {
        text.push('"');
        text.push_str(&cell.replace('"', "\"\""));
        text.push('"');
    } else {
        text.push_str(cell);
    }
}

/// A cell's text for a message: cut when it is long, without line breaks.
pub(in crate::read) fn shown(cell: &str) -> String {
    const LONGEST: usize = 40;
    let mut text: String =
        cell.chars().take(LONGEST).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if cell.chars().nth(LONGEST).is_some() {
        text.push('\u{2026}');
    }
    text
}
