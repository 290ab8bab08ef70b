//! A site folder to fill in.

#![expect(clippy::disallowed_methods, reason = "a site folder to fill in is made here")]

use std::fs::{self, OpenOptions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use crate::error::Error;

/// The files of the folder, with their texts.
const FILES: [(&str, &str); 3] = [
    ("site.toml", include_str!("start/site.toml")),
    ("wells.csv", include_str!("start/wells.csv")),
    ("rounds/2026-04-14.csv", include_str!("start/rounds/2026-04-14.csv")),
];

/// Writes a small site folder with invented data, which can be mapped as it is and filled in.
///
/// The folder is made when it is not there. Nothing is ever overwritten.
///
/// Returns the files written, in the order of reading.
///
/// # Errors
/// [`Error::Write`] when the folder is not empty, or a file cannot be written.
pub fn start(dir: &Path) -> Result<Vec<PathBuf>, Error> {
    let failed = |what: &str, path: &Path, source: io::Error| Error::Write {
        what: what.to_owned(),
        path: path.to_owned(),
        source,
    };
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
    for (name, text) in FILES {
        let path: PathBuf = name.split('/').fold(dir.to_owned(), |path, part| path.join(part));
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent)
                .map_err(|e| failed("the folder cannot be created", parent, e))?;
        }
        OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(&path)
            .and_then(|mut file| file.write_all(text.as_bytes()))
            .map_err(|e| failed("the file cannot be written", &path, e))?;
        written.push(path);
    }
    Ok(written)
}
