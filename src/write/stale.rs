//! Staging folders of runs that were stopped.

use std::fs;
use std::io;
use std::path::Path;
use std::time::Duration;

use super::place::{NEW, OLD};
use super::record::Record;

/// What failed when such a folder cannot be dealt with.
pub(super) const CANNOT: &str = "an earlier run was stopped here, and its results cannot be undone";

/// The file that a run locks in its staging folder: the system lets go of it however the run ends.
const LOCK: &str = "lock";

/// How long a run may take from making its folder to locking it.
const MAKING: Duration = Duration::from_mins(1);

/// How the names of the staging folders for a results folder begin.
pub(super) fn prefix(out: &Path) -> String {
    format!(".{}-headfall-", out.file_name().unwrap_or_default().to_string_lossy())
}

/// Whether a results folder holds a staging folder.
pub(super) fn is_there(out: &Path) -> bool {
    let prefix = prefix(out);
    let begins = |entry: fs::DirEntry| entry.file_name().to_string_lossy().starts_with(&prefix);
    fs::read_dir(out).is_ok_and(|entries| entries.flatten().any(begins))
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

/// Removes the staging folders of stopped runs from a folder, by the beginning of their names, and
/// puts back what one had moved out of `out`. Whether one had.
pub(super) fn swept(parent: &Path, prefix: &str, out: &Path) -> io::Result<bool> {
    let mut mended = false;
    let entries = match fs::read_dir(parent) {
        Ok(entries) => entries,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(false),
        Err(e) => return Err(e),
    };
    for entry in entries {
        let entry = entry?;
        let staging = entry.path();
        if !entry.file_name().to_string_lossy().starts_with(prefix) {
            continue;
        }
        if is_living(&staging) {
            continue;
        }
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
