//! Files on the disk, not only on their way there.

#![expect(clippy::disallowed_methods, reason = "results are brought onto the disk here")]

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::Path;

use rayon::prelude::*;

use super::record::{RECORD, Record};

/// Has the system write the files of a record, the record and their folders to the disk, so that a
/// machine that stops finds either results whole or none.
pub(super) fn all(folder: &Path, record: &Record) -> io::Result<()> {
    let names: Vec<&str> = record.names().chain([RECORD]).collect();
    names.par_iter().with_max_len(1).try_for_each(|name| file(&folder.join(name)))?;
    let folders: BTreeSet<_> = names.iter().filter_map(|name| Path::new(name).parent()).collect();
    for inside in folders {
        self::folder(&folder.join(inside));
    }
    Ok(())
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
