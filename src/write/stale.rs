//! Staging folders of runs that were stopped.

#![expect(clippy::disallowed_methods, reason = "what stopped runs left is taken away here")]

use std::fs;
use std::io;
use std::io::ErrorKind::{NotADirectory, NotFound};
use std::path::{Path, PathBuf};
use std::time::Duration;

use sha2::{Digest, Sha256};

use super::record::Record;

/// The parts of a staging folder: files on their way in, and out.
pub(super) const NEW: &str = "new";
pub(super) const OLD: &str = "old";

/// What failed when such a folder cannot be dealt with.
pub(super) const CANNOT: &str = "an earlier run was stopped here, and its results cannot be undone";

/// The file that a run locks in its staging folder: the system lets go of it however the run ends.
const LOCK: &str = "lock";

/// How long a run may take from making its folder to locking it.
const MAKING: Duration = Duration::from_mins(1);

/// How the names of the staging folders for a results folder begin. What follows is
/// [`RANDOM`] letters and digits. A name may be as long as the system allows, and that of its staging
/// folder must not be longer.
pub(super) fn prefix(out: &Path) -> String {
    const LONGEST: usize = 100;
    let own = own(out);
    let name = own.file_name().unwrap_or_default().to_string_lossy();
    if name.len() <= LONGEST {
        return format!(".{name}-headfall-");
    }
    let ends = name.char_indices().map(|(at, _)| at).take_while(|at| *at <= LONGEST);
    let begin = &name[..ends.last().unwrap_or(0)];
    let hash = Sha256::digest(name.as_bytes());
    let hash = u64::from_be_bytes(std::array::from_fn(|i| hash[i]));
    format!(".{begin}-{hash:016x}-headfall-")
}

/// How many letters and digits end such a name.
const RANDOM: usize = 6;

/// The folder that a results folder stands in.
pub(super) fn beside(out: &Path) -> PathBuf {
    let own = own(out);
    match own.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// A results folder without links, if it exists.
fn own(out: &Path) -> PathBuf {
    out.canonicalize().unwrap_or_else(|_| out.to_owned())
}

/// The staging folders for a results folder: in it, and beside it as far as one may look there.
fn all(out: &Path) -> io::Result<Vec<PathBuf>> {
    let prefix = prefix(out);
    let is_one = |path: &PathBuf| {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let random = name.strip_prefix(&prefix).unwrap_or_default();
        random.len() == RANDOM && random.chars().all(|c| c.is_ascii_alphanumeric())
    };
    let inside: Vec<fs::DirEntry> = match fs::read_dir(out) {
        Ok(entries) => entries.collect::<io::Result<_>>()?,
        // What is made may also be a file.
        Err(e) if matches!(e.kind(), NotFound | NotADirectory) => Vec::new(),
        Err(e) => return Err(e),
    };
    let outside = fs::read_dir(beside(out)).into_iter().flatten().flatten();
    Ok(inside.into_iter().chain(outside).map(|entry| entry.path()).filter(is_one).collect())
}

/// Whether a results folder has a staging folder.
pub(super) fn is_there(out: &Path) -> bool {
    all(out).is_ok_and(|found| !found.is_empty())
}

/// Takes possession of a staging folder for as long as the file is open.
pub(super) fn lock(staging: &Path) -> io::Result<fs::File> {
    // It gets its name once it is locked: another run must not take this one for stopped.
    let making = staging.join("locking");
    let file = fs::File::create_new(&making)?;
    // Where the file system knows no locks, nobody else can have one either.
    let _ = file.try_lock();
    fs::rename(&making, staging.join(LOCK))?;
    Ok(file)
}

/// Removes the staging folders of stopped runs for `out`, and puts back what one had moved out of
/// it. Whether one had.
pub(super) fn swept(out: &Path) -> io::Result<bool> {
    let mut mended = false;
    for staging in all(out)?.into_iter().filter(|staging| !is_living(staging)) {
        mended |= undone(&staging, out)?;
        fs::remove_dir_all(&staging)?;
    }
    Ok(mended)
}

/// Whether a staging folder may belong to a run that lives: it holds the lock, or has just been made.
fn is_living(staging: &Path) -> bool {
    if let Ok(lock) = fs::File::open(staging.join(LOCK)) {
        return lock.try_lock().is_err();
    }
    let made = fs::metadata(staging).and_then(|found| found.modified());
    made.is_ok_and(|made| made.elapsed().is_ok_and(|age| age < MAKING))
}

/// Undoes a swap that was stopped. The record of the new results is the last to move: where it
/// stands in the staging folder, the swap is not done.
fn undone(staging: &Path, out: &Path) -> io::Result<bool> {
    let (new, old) = (staging.join(NEW), staging.join(OLD));
    let Some(record) = Record::read(&new)? else { return Ok(false) };
    let is_there = |path: &Path| fs::symlink_metadata(path).is_ok();
    let mut moved = false;
    for name in record.names().filter(|name| !is_there(&new.join(name))) {
        match fs::remove_file(out.join(name)) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
            _ => moved = true,
        }
    }
    for name in Record::of(&old)?.names() {
        fs::rename(old.join(name), out.join(name))?;
        moved = true;
    }
    Ok(moved)
}
