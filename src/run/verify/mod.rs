//! Results held against what they were made from.
//!
//! | file | what it does |
//! |---|---|
//! | `types` | what is said of a folder of results |
//! | `again` | the same run once more, into a folder of its own |
//! | `moved` | what is different in a file, and by how much |
//! | `outdated` | results that no longer follow from the files of their site |

mod again;
mod moved;
mod outdated;
mod types;

use std::path::{Path, PathBuf};

use crate::error::Error;
use crate::read::{InputFile, hash};
use crate::write::{self, Made};

pub use moved::Difference;
pub use outdated::{Outdated, outdated};
pub use types::{Again, Verified};

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
            match hash(&input.path(&site)) {
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

/// The site of some results: the nearest folder above them that has the most of their inputs.
#[expect(clippy::disallowed_methods, reason = "the files of the site are looked for")]
fn found(folder: &Path, made: &Made) -> Option<PathBuf> {
    let table = made.asked().and_then(|asked| asked.table);
    let real = std::path::absolute(folder).ok()?;
    let has = |above: &&Path| {
        let there = |input: &&InputFile| input.path(above).is_file();
        made.inputs.iter().filter(there).count()
    };
    let mut all: Vec<&Path> = real.ancestors().skip(1).collect();
    // The first of those that have as many.
    all.reverse();
    let above = all.into_iter().max_by_key(has).filter(|above| has(above) > 0)?;
    Some(table.map_or_else(|| above.to_owned(), |table| above.join(table)))
}
