//! Bytes that stand for the files of a folder. An input is one file, or several in a row, each behind a line that names
//! it:
//!
//! ```text
//! === wells.csv
//! id,easting,northing
//! === rounds/r1.csv
//! id,depth to water
//! ```
//!
//! The tests of the package above make the first inputs with this file, too.

use std::collections::BTreeMap;

/// The settings that every target's site begins with.
pub const SITE: &str = "[site]\nname = \"Site\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"ft\"\n\
                        vertical_datum = \"NAVD 88\"\n";

/// What stands before the name of a part, at the start of a line.
pub const MARK: &str = "=== ";

/// Files by their names.
pub type Files<'a> = BTreeMap<&'a str, &'a [u8]>;

/// Takes an input apart. What stands before the first line that names a part is the part `first`;
/// of two parts of one name the later one counts. Names that `known` does not know are left out.
pub fn parts<'a>(input: &'a [u8], first: &'a str, known: impl Fn(&str) -> bool) -> Files<'a> {
    let mut files = Files::new();
    let (mut name, mut start, mut line) = (Some(first), 0, 0);
    while line <= input.len() {
        let end = input[line..].iter().position(|b| *b == b'\n').map_or(input.len(), |n| line + n);
        let next = input[line..end].strip_prefix(MARK.as_bytes());
        if next.is_some() || end == input.len() {
            let stop = if next.is_some() { line.saturating_sub(1).max(start) } else { end };
            if let Some(name) = name.filter(|n| *n != first || stop > start) {
                files.insert(name, &input[start..stop]);
            }
            start = (end + 1).min(input.len());
        }
        if let Some(next) = next {
            name = std::str::from_utf8(next).ok().filter(|n| known(n));
        }
        line = end + 1;
    }
    files
}

/// Puts files together so that [`parts`] takes them apart.
pub fn together(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut all = Vec::new();
    for (name, bytes) in files {
        all.extend_from_slice(format!("{MARK}{name}\n").as_bytes());
        all.extend_from_slice(bytes);
        all.push(b'\n');
    }
    all
}
