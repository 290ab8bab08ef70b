//! Files on the disk, not only on their way there.

#![expect(clippy::disallowed_methods, reason = "results are brought onto the disk here")]

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::record::{RECORD, Record};

/// Has the system write the files of a record, the record and their folders to the disk, so that a
/// machine that stops finds either results whole or none.
pub(super) fn all(folder: &Path, record: &Record) -> io::Result<()> {
    let names: Vec<&str> = record.names().chain([RECORD]).collect();
    at_once(&names, |name| file(&folder.join(name)))?;
    let folders: BTreeSet<_> = names.iter().filter_map(|name| Path::new(name).parent()).collect();
    for inside in folders {
        self::folder(&folder.join(inside));
    }
    Ok(())
}

/// So many files wait for the disk at once: a journal takes them together. Nobody computes meanwhile, so that it has
/// nothing to do with the threads that are asked for.
const WAITING: usize = 8;

fn at_once(names: &[&str], settle: impl Fn(&str) -> io::Result<()> + Sync) -> io::Result<()> {
    let next = AtomicUsize::new(0);
    let work = || {
        while let Some(name) = names.get(next.fetch_add(1, Ordering::Relaxed)) {
            settle(name)?;
        }
        Ok(())
    };
    std::thread::scope(|scope| {
        let others: Vec<_> = (1..WAITING.min(names.len()))
            .filter_map(|_| std::thread::Builder::new().spawn_scoped(scope, work).ok())
            .collect();
        let own = work();
        let joined = others.into_iter().map(|other| {
            other.join().unwrap_or_else(|_| Err(io::Error::other("a thread that writes has ended")))
        });
        joined.fold(own, Result::and)
    })
}

fn file(path: &Path) -> io::Result<()> {
    match fs::OpenOptions::new().write(true).open(path)?.sync_all() {
        // Not every file system can.
        Err(e) if matches!(e.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => {
            Ok(())
        }
        synced => synced,
    }
}

/// The names in a folder, as far as the system can: some cannot open one.
pub(super) fn folder(path: &Path) {
    let _ = fs::File::open(path).and_then(|folder| folder.sync_all());
}
