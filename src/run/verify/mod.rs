//! Results held against what they were made from.
//!
//! | file | what it does |
//! |---|---|
//! | `again` | the same run once more, into a folder of its own |
//! | `moved` | what is different in a file, and by how much |
//! | `outdated` | results that no longer follow from the files of their site |

mod again;
mod moved;
mod outdated;

use std::path::{Path, PathBuf};

use serde::Serialize;

use crate::error::Error;
use crate::read::{InputFile, hash};
use crate::write::{self, Made};

pub use moved::Difference;
pub use outdated::{Outdated, outdated};

/// What became of a run that was made once more.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Again {
    /// It was not asked for.
    NotAsked,
    /// Every file has the same bytes.
    Same,
    /// Some have not.
    Differs(Vec<Difference>),
    /// There are no results, and why.
    Refused(String),
}

/// A folder of results, held against its record, its inputs and, where that is asked, the run made once more.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verified {
    /// The folder.
    pub folder: PathBuf,
    /// The program that made the results.
    pub by: Option<String>,
    /// Count of the files of the record.
    pub files: usize,
    /// Files that were changed since.
    pub changed: Vec<String>,
    /// Files that are not there.
    pub missing: Vec<String>,
    /// The site that they were made from, where it was found.
    pub site: Option<PathBuf>,
    /// Count of the files they were made from.
    pub inputs: usize,
    /// Those of them that are not what they were.
    pub inputs_changed: Vec<String>,
    /// Those that are not there.
    pub inputs_missing: Vec<String>,
    /// The run made once more.
    pub again: Again,
}

impl Verified {
    /// Whether nothing speaks against them: all that was looked at is as it was.
    #[must_use]
    pub fn holds(&self) -> bool {
        let nothing = [&self.changed, &self.missing, &self.inputs_changed, &self.inputs_missing];
        nothing.iter().all(|names| names.is_empty())
            && self.site.is_some()
            && matches!(self.again, Again::NotAsked | Again::Same)
    }
}

/// Holds a folder of results against its record and its inputs; with `redraw` the run is made once more as it is
/// recorded. `None` where the folder has no record.
///
/// `site` is the folder, or the table, that the results were made from; without it the nearest folder above them that has
/// such files is taken.
///
/// # Errors
/// [`Error::Write`] when the record cannot be read, or the run cannot be made once more for want of room.
pub fn verify(folder: &Path, site: Option<&Path>, redraw: bool) -> Result<Option<Verified>, Error> {
    let unreadable = |source| Error::Write {
        what: "the record of results cannot be read".to_owned(),
        path: folder.to_owned(),
        source,
    };
    let Some(held) = write::held(folder).map_err(unreadable)? else { return Ok(None) };
    let made = held.made.as_ref();
    let site = made.and_then(|made| site.map(Path::to_owned).or_else(|| found(folder, made)));
    let mut verified = Verified {
        folder: folder.to_owned(),
        by: made.map(|made| made.program.clone()),
        files: held.files.len(),
        changed: held.changed,
        missing: held.missing,
        inputs: made.map_or(0, |made| made.inputs.len()),
        inputs_changed: Vec::new(),
        inputs_missing: Vec::new(),
        again: Again::NotAsked,
        site,
    };
    if let (Some(made), Some(site)) = (made, verified.site.clone()) {
        for input in &made.inputs {
            match hash(&within(&site, &input.file)) {
                Ok(now) if now == input.sha256 => {}
                Ok(_) => verified.inputs_changed.push(input.file.clone()),
                Err(_) => verified.inputs_missing.push(input.file.clone()),
            }
        }
        if redraw {
            verified.again = again::made(folder, &held.files, made, &site)?;
        }
    }
    Ok(Some(verified))
}

/// A file of a site that is a folder or a table.
#[expect(clippy::disallowed_methods, reason = "whether a site is a folder is asked of it")]
fn within(site: &Path, file: &str) -> PathBuf {
    if site.is_dir() { site.join(file) } else { site.with_file_name("").join(file) }
}

/// The site of some results: the nearest folder above them that has the most of their inputs.
fn found(folder: &Path, made: &Made) -> Option<PathBuf> {
    let table = made.asked().and_then(|asked| asked.table);
    let real = std::path::absolute(folder).ok()?;
    let has = |above: &&Path| {
        let there = |input: &&InputFile| within(above, &input.file).is_file();
        made.inputs.iter().filter(there).count()
    };
    let mut all: Vec<&Path> = real.ancestors().skip(1).collect();
    // The first of those that have as many.
    all.reverse();
    let above = all.into_iter().max_by_key(has).filter(|above| has(above) > 0)?;
    Some(table.map_or_else(|| above.to_owned(), |table| above.join(table)))
}
