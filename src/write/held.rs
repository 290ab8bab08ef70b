//! Results that are there, held against their record.

#![expect(clippy::disallowed_methods, reason = "results are looked up here")]

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use super::made::Made;
use super::record::Record;

/// A folder of results, held against its record.
#[derive(Debug)]
pub struct Held {
    /// How they were made; not known of results of an earlier version.
    pub made: Option<Made>,
    /// The files that its record lists.
    pub files: Vec<String>,
    /// Those of them that are not what was written.
    pub changed: Vec<String>,
    /// Those that are not there.
    pub missing: Vec<String>,
}

/// Holds a folder of results against its record. `None` where it has none.
///
/// # Errors
/// When the record cannot be read.
pub fn held(folder: &Path) -> io::Result<Option<Held>> {
    let Some(record) = Record::read(folder)? else { return Ok(None) };
    let unchanged = record.unchanged(folder);
    let files: Vec<String> = record.names().map(str::to_owned).collect();
    let not_whole = files.iter().filter(|name| unchanged.hash(name).is_none()).cloned();
    let is_there = |name: &String| fs::symlink_metadata(folder.join(name)).is_ok();
    let (changed, missing) = not_whole.partition(is_there);
    Ok(Some(Held { made: record.made, files, changed, missing }))
}

/// All folders of results in a folder and below, sorted.
///
/// # Errors
/// When a folder cannot be read.
pub fn results_below(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    look(folder, &mut found)?;
    found.sort();
    Ok(found)
}

fn look(folder: &Path, found: &mut Vec<PathBuf>) -> io::Result<()> {
    if Record::read(folder)?.is_some() {
        found.push(folder.to_owned());
    }
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        // What a stopped run left has a name that begins with a dot.
        let is_hidden = entry.file_name().to_string_lossy().starts_with('.');
        if entry.file_type()?.is_dir() && !is_hidden {
            look(&entry.path(), found)?;
        }
    }
    Ok(())
}
