//! A site folder to fill in.

#![expect(clippy::disallowed_methods, reason = "a site folder to fill in is made here")]

use std::fs::{self, OpenOptions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use crate::error::Error;

/// The files of the folder, with their texts.
const FILES: [(&str, &str); 4] = [
    ("site.toml", include_str!("start/site.toml")),
    ("wells.csv", include_str!("start/wells.csv")),
    ("rounds/2025-10-14.csv", include_str!("start/rounds/2025-10-14.csv")),
    ("rounds/2026-04-14.csv", include_str!("start/rounds/2026-04-14.csv")),
];

/// Writes a small site folder with invented data, which can be mapped, followed and put on record as it is, and filled in.
///
/// The folder is made when it is not there. Nothing is ever overwritten.
///
/// Returns the files written, in the order of reading.
///
/// # Errors
/// [`Error::Write`] when the folder is not empty, or a file cannot be written.
pub fn start(dir: &Path) -> Result<Vec<PathBuf>, Error> {
    made(dir, &FILES.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())))
}

/// Writes a folder's files, each a name with forward slashes and its bytes. The folder is made when it is not there,
/// and has to be empty.
///
/// # Errors
/// Those of [`start`].
pub(crate) fn made(dir: &Path, files: &[(String, Vec<u8>)]) -> Result<Vec<PathBuf>, Error> {
    fs::create_dir_all(dir).map_err(|e| failed("the folder cannot be created", dir, e))?;
    let mut entries = fs::read_dir(dir).map_err(|e| failed("the folder cannot be read", dir, e))?;
    if entries.next().is_some() {
        let source = io::Error::new(
            io::ErrorKind::AlreadyExists,
            "it already has files, and nothing is overwritten; name a new folder",
        );
        return Err(failed("the site folder cannot be created here", dir, source));
    }
    let mut written = Vec::new();
    for (name, bytes) in files {
        let path: PathBuf = name.split('/').fold(dir.to_owned(), |path, part| path.join(part));
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent)
                .map_err(|e| failed("the folder cannot be created", parent, e))?;
        }
        OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(&path)
            .and_then(|mut file| file.write_all(bytes))
            .map_err(|e| failed("the file cannot be written", &path, e))?;
        written.push(path);
    }
    Ok(written)
}

/// Removes files that [`made`] wrote, and the folders that are empty without them.
pub(crate) fn unmade(dir: &Path, files: &[PathBuf]) {
    for path in files {
        let _ = fs::remove_file(path);
    }
    // A folder that has anything in it stays.
    for folder in files.iter().filter_map(|path| path.parent()).chain([dir]) {
        let _ = fs::remove_dir(folder);
    }
}

fn failed(what: &str, path: &Path, source: io::Error) -> Error {
    Error::Write { what: what.to_owned(), path: path.to_owned(), source }
}
