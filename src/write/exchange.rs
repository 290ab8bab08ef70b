//! A results folder exchanged for another in one step, where the system can.

#![expect(clippy::disallowed_methods, reason = "results are moved into place here")]

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::Path;

use super::record::{RECORD, Record};

/// Whether a results folder may be exchanged for another one beside it: nobody is known to stand in
/// it, and it is as any new folder there would be. (One who stands in a folder that is exchanged is
/// left in the old one.)
pub(super) fn is_thinkable(out: &Path) -> bool {
    let stands_in_it = std::env::current_dir()
        .and_then(|here| here.canonicalize())
        .map_or(true, |here| here.starts_with(out));
    !stands_in_it && out.parent().is_some_and(|parent| system::may_be_exchanged(out, parent))
}

/// Whether a folder holds the files of a record and nothing else, not even an empty folder.
pub(super) fn holds_only(out: &Path, record: &Record) -> bool {
    let files: BTreeSet<&Path> = record.names().chain([RECORD]).map(Path::new).collect();
    let folders: BTreeSet<&Path> = files.iter().flat_map(|file| file.ancestors().skip(1)).collect();
    is_listed(out, Path::new(""), &files, &folders).unwrap_or(false)
}

fn is_listed(
    out: &Path,
    inside: &Path,
    files: &BTreeSet<&Path>,
    folders: &BTreeSet<&Path>,
) -> io::Result<bool> {
    for entry in fs::read_dir(out.join(inside))? {
        let entry = entry?;
        let name = inside.join(entry.file_name());
        let is_listed = if entry.file_type()?.is_dir() {
            folders.contains(name.as_path()) && is_listed(out, &name, files, folders)?
        } else {
            files.contains(name.as_path())
        };
        if !is_listed {
            return Ok(false);
        }
    }
    Ok(true)
}

/// Exchanges two folders. Whether that was done: where the system cannot, or the new one would have
/// other rights, all is as before.
pub(super) fn exchanged(new: &Path, out: &Path) -> bool {
    system::same_rights(new, out).is_ok_and(|same| same) && system::exchange(new, out).is_ok()
}

/// Moves what someone has put into the old folder just before the exchange over to the new one.
pub(super) fn carried_over(old: &Path, out: &Path) {
    let _ = fs::remove_file(old.join(RECORD));
    let Ok(left) = Record::of(old) else { return };
    for name in left.names() {
        let to = out.join(name);
        if fs::symlink_metadata(&to).is_err() {
            let _ = to.parent().map_or(Ok(()), fs::create_dir_all);
            let _ = fs::rename(old.join(name), to);
        }
    }
}

/// Keeps other runs from placing results into the same folder for as long as it lives; nothing where
/// the system cannot lock folders.
pub(super) fn alone(out: &Path) -> Option<fs::File> {
    loop {
        let folder = fs::File::open(out).ok()?;
        folder.lock().ok()?;
        // While this run waited, another may have exchanged the folder.
        if system::is_still(&folder, out)? {
            return Some(folder);
        }
    }
}

#[cfg(target_os = "linux")]
mod system {
    use std::fs;
    use std::io;
    use std::os::unix::fs::MetadataExt;
    use std::path::Path;

    use rustix::fs::{CWD, RenameFlags, renameat_with};

    /// What lists who may do what in a folder, beside its owner, group and mode.
    const LISTS: [&str; 2] = ["system.posix_acl_access", "system.posix_acl_default"];

    pub(super) fn may_be_exchanged(out: &Path, parent: &Path) -> bool {
        let device = |path: &Path| fs::metadata(path).map(|found| found.dev()).ok();
        let has = |list: &&str| rustix::fs::getxattr(out, *list, &mut [0_u8; 0]).is_ok();
        device(out).is_some_and(|own| Some(own) == device(parent)) && !LISTS.iter().any(has)
    }

    pub(super) fn exchange(new: &Path, out: &Path) -> io::Result<()> {
        Ok(renameat_with(CWD, new, CWD, out, RenameFlags::EXCHANGE)?)
    }

    /// Gives a folder the mode of another; whether it has its owner and group too.
    pub(super) fn same_rights(new: &Path, out: &Path) -> io::Result<bool> {
        let (own, theirs) = (fs::metadata(new)?, fs::metadata(out)?);
        fs::set_permissions(new, theirs.permissions())?;
        Ok((own.uid(), own.gid()) == (theirs.uid(), theirs.gid()))
    }

    pub(super) fn is_still(folder: &fs::File, out: &Path) -> Option<bool> {
        let (own, there) = (folder.metadata().ok()?, fs::metadata(out).ok()?);
        Some((own.dev(), own.ino()) == (there.dev(), there.ino()))
    }
}

#[cfg(not(target_os = "linux"))]
mod system {
    use std::fs;
    use std::io;
    use std::path::Path;

    pub(super) fn may_be_exchanged(_: &Path, _: &Path) -> bool {
        false
    }

    pub(super) fn exchange(_: &Path, _: &Path) -> io::Result<()> {
        Err(io::ErrorKind::Unsupported.into())
    }

    pub(super) fn same_rights(_: &Path, _: &Path) -> io::Result<bool> {
        Ok(false)
    }

    #[expect(clippy::unnecessary_wraps, reason = "where folders are exchanged it can fail")]
    pub(super) fn is_still(_: &fs::File, _: &Path) -> Option<bool> {
        Some(true)
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test may panic")]

    use super::*;

    #[test]
    fn what_was_put_into_the_old_folder_meanwhile_goes_over_to_the_new_one() {
        let (old, out) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        for (folder, text) in [(&old, "old"), (&out, "new")] {
            fs::write(folder.path().join(RECORD), text).unwrap();
        }
        fs::create_dir(old.path().join("sub")).unwrap();
        fs::write(old.path().join("sub/notes"), "mine").unwrap();
        carried_over(old.path(), out.path());
        assert_eq!(fs::read_to_string(out.path().join("sub/notes")).unwrap(), "mine");
        assert_eq!(fs::read_to_string(out.path().join(RECORD)).unwrap(), "new");
    }

    #[test]
    fn the_folder_that_one_stands_in_is_not_exchanged() {
        let here = std::env::current_dir().unwrap().canonicalize().unwrap();
        assert!(here.ancestors().all(|folder| !is_thinkable(folder)));
    }
}
