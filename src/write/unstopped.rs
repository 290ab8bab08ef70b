//! Folders in which files are made, and what becomes of them where a program is asked to end.

#![expect(clippy::disallowed_methods, reason = "folders of files on their way are taken away here")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError, RwLock, RwLockReadGuard};
use std::time::Duration;

/// Held while folders are made and results are moved into place.
static AT_WORK: RwLock<()> = RwLock::new(());

/// The folders in use, with those that were made on the way to them, deepest first.
static IN_USE: Mutex<BTreeMap<PathBuf, Vec<PathBuf>>> = Mutex::new(BTreeMap::new());

/// While one lives the program does not end by [`abandon`]: what it is doing takes milliseconds and leaves nothing half
/// done.
#[derive(Debug)]
pub(super) struct Unstopped(#[expect(dead_code, reason = "held")] RwLockReadGuard<'static, ()>);

impl Unstopped {
    pub(super) fn begin() -> Self {
        Self(AT_WORK.read().unwrap_or_else(PoisonError::into_inner))
    }
}

/// A folder in which files are made.
#[derive(Debug)]
pub(super) struct InUse(PathBuf);

impl InUse {
    /// `made` are the folders that were made on the way to it, deepest first.
    pub(super) fn begin(folder: &Path, made: &[PathBuf]) -> Self {
        in_use(|all| all.insert(folder.to_owned(), made.to_vec()));
        Self(folder.to_owned())
    }
}

impl Drop for InUse {
    fn drop(&mut self) {
        in_use(|all| all.remove(&self.0));
    }
}

fn in_use<T>(act: impl FnOnce(&mut BTreeMap<PathBuf, Vec<PathBuf>>) -> T) -> T {
    act(&mut IN_USE.lock().unwrap_or_else(PoisonError::into_inner))
}

/// Takes away all files that are on their way into results, so that the program can end. Results that are being moved into
/// place are placed first; none is from then on.
///
/// It is for a program that ends at once: whatever still makes results waits for ever.
pub fn abandon() {
    std::mem::forget(AT_WORK.write().unwrap_or_else(PoisonError::into_inner));
    for (folder, made) in in_use(std::mem::take) {
        // Under another name, so that no thread makes one more file in it. It is a name of such folders: what cannot be
        // taken away the next run does.
        let other = renamed(&folder);
        let folder = if fs::rename(&folder, &other).is_ok() { other } else { folder };
        for _ in 0..TRIES {
            if fs::remove_dir_all(&folder).is_ok() || !folder.exists() {
                break;
            }
            std::thread::sleep(AGAIN);
        }
        // One that holds something else by now stays, and so do those that it is in.
        let _ = made.iter().try_for_each(fs::remove_dir);
    }
}

/// How often, and how soon again, a folder is to be removed in which somebody still makes a file.
const TRIES: usize = 20;
const AGAIN: Duration = Duration::from_millis(5);

fn renamed(folder: &Path) -> PathBuf {
    let mut name = folder.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let last = if name.pop() == Some('Z') { 'Y' } else { 'Z' };
    name.push(last);
    folder.with_file_name(name)
}
