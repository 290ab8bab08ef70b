//! Whether results that are there would become the same again.

#![expect(clippy::disallowed_methods, reason = "results are looked up here")]

use std::fs;
use std::path::Path;

use super::made::{AskedFor, Made, program};
use super::record::{RECORD, Record};
use super::stale;
use crate::read::{InputFile, Site, hash};

/// How the results of a folder were made; `None` where that cannot be known.
#[must_use]
pub fn made_of(folder: &Path) -> Option<Made> {
    Record::read(folder).ok()??.made
}

/// Whether the results of a folder are what would become of it again: the same program made them, the same was asked, and
/// every file that was read is what it was; they are whole and nobody has changed them since.
///
/// `site` is what its files say now, `source` its folder or table. What a stopped run left beside the folder is taken
/// away.
#[must_use]
pub fn is_current(folder: &Path, asked: &AskedFor, site: &Site, source: &Path) -> bool {
    if !stale::swept(folder).is_ok_and(|mended| !mended) {
        return false;
    }
    let Ok(Some(record)) = Record::read(folder) else { return false };
    let Some(made) = &record.made else { return false };
    made.program == program()
        && made.asked == asked.text()
        && are_what_they_were(&made.inputs, site, source)
        && is_untouched(folder, &record)
}

fn are_what_they_were(inputs: &[InputFile], site: &Site, source: &Path) -> bool {
    let is_same = |input: &InputFile| {
        let mut read = site.inputs.iter().filter(|now| now.file == input.file).peekable();
        if read.peek().is_some() {
            return read.any(|now| now == input);
        }
        hash(&input.path(source)).is_ok_and(|now| now == input.sha256)
    };
    inputs.iter().all(is_same) && site.inputs.iter().all(|now| inputs.contains(now))
}

/// Whether all files are there, and none has changed since their record was written.
fn is_untouched(folder: &Path, record: &Record) -> bool {
    let since = |name: &str| {
        let found = fs::symlink_metadata(folder.join(name)).ok().filter(fs::Metadata::is_file)?;
        found.modified().ok()
    };
    let Some(written) = since(RECORD) else { return false };
    record.names().all(|name| since(name).is_some_and(|changed| changed <= written))
}
