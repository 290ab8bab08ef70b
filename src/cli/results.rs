//! Folders of results that a command line names.

use std::path::PathBuf;

use headfall::Error;
use headfall::write;

use super::exit::Exit;
use super::refused;

/// All folders of results in some folders and below, each once.
///
/// # Errors
/// The exit code of a folder that is not readable; the message is printed here.
pub(super) fn below(dirs: &[PathBuf]) -> Result<Vec<PathBuf>, Exit> {
    let mut folders = Vec::new();
    for dir in dirs {
        folders.extend(write::results_below(dir).map_err(|source| {
            let what = "this folder cannot be read".to_owned();
            refused::told(&[], &Error::Write { what, path: dir.clone(), source })
        })?);
    }
    folders.sort();
    folders.dedup();
    Ok(folders)
}
