//! All results or none: files are made in a staging folder and then moved into place.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use rayon::prelude::*;
use tempfile::TempDir;

use crate::error::Error;

/// A fresh folder on the same file system as the folder the results go to.
///
/// A results folder that does not exist yet gets its staging folder beside it and comes into
/// being by one rename. One that exists gets its staging folder inside, because it may be a mount
/// point, beside which lies another file system. The staging folder vanishes with this value.
#[derive(Debug)]
pub(super) struct Staging {
    out: PathBuf,
    exists: bool,
    folder: TempDir,
    /// Folders that were made on the way to `out`, deepest first.
    made: Vec<PathBuf>,
    placed: bool,
    /// Whether a run may have made a file in a folder, given the names of both.
    made_here: fn(&str, &str) -> bool,
}

impl Staging {
    /// Makes a staging folder for results in `out`.
    ///
    /// # Errors
    /// [`Error::Write`] when `out` is not a folder or no folder can be made there.
    pub(super) fn open(out: &Path) -> Result<Self, Error> {
        let exists = match fs::metadata(out) {
            Ok(found) if found.is_dir() => true,
            Ok(_) => {
                let cause = io::Error::from(io::ErrorKind::NotADirectory);
                return Err(failed("the results need a folder, and this is a file", out)(cause));
            }
            Err(e) if e.kind() == io::ErrorKind::NotFound => false,
            Err(e) => return Err(failed("the results folder cannot be reached", out)(e)),
        };
        let parent = match out.parent() {
            _ if exists => out,
            Some(p) if !p.as_os_str().is_empty() => p,
            _ => Path::new("."),
        };
        let mut made: Vec<PathBuf> =
            parent.ancestors().take_while(|p| !p.exists()).map(Path::to_owned).collect();
        made.retain(|p| !p.as_os_str().is_empty());
        let remove_made = |e| {
            remove_empty(&made);
            failed("the results folder cannot be made", out)(e)
        };
        fs::create_dir_all(parent).map_err(remove_made)?;
        let name = out.file_name().unwrap_or_default().to_string_lossy();
        let folder = tempfile::Builder::new()
            .prefix(&format!(".{name}-headfall-"))
            .tempdir_in(parent)
            .map_err(remove_made)?;
        // Folders of tempfile's making are for their owner alone; results are not.
        for part in ["new", "old"] {
            fs::create_dir(folder.path().join(part)).map_err(remove_made)?;
        }
        Ok(Self {
            out: out.to_owned(),
            exists,
            folder,
            made,
            placed: false,
            made_here: |_, _| false,
        })
    }

    /// Lets folders be results too: an earlier one is moved when it holds nothing but files of
    /// which `made_here`, given the names of both, says that a run may have made them.
    pub(super) fn with_folders(mut self, made_here: fn(&str, &str) -> bool) -> Self {
        self.made_here = made_here;
        self
    }

    /// Where a new file is to be made.
    pub(super) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join("new").join(name)
    }

    /// Moves the new files into place and takes away those in `gone`. Other files in the results
    /// folder are not touched.
    ///
    /// # Errors
    /// [`Error::Write`] when one cannot be moved; the earlier results are then back in place.
    pub(super) fn place(mut self, names: &[&str], gone: &[&str]) -> Result<(), Error> {
        if self.exists {
            self.swap(names, gone)?;
            // Those of a large map take a while to go; what is left goes with the folder.
            let old = self.folder.path().join("old");
            names.par_iter().with_max_len(1).for_each(|name| drop(fs::remove_file(old.join(name))));
        } else {
            fs::rename(self.folder.path().join("new"), &self.out)
                .map_err(failed("the results cannot be moved into place", &self.out))?;
        }
        self.placed = true;
        Ok(())
    }

    /// Swaps old files for new ones, one by one, and back again if one will not move.
    fn swap(&mut self, names: &[&str], gone: &[&str]) -> Result<(), Error> {
        let (new, old) = (self.folder.path().join("new"), self.folder.path().join("old"));
        let mut moves: Vec<(PathBuf, PathBuf)> = Vec::new();
        let with = names.iter().map(|name| (name, true));
        for (name, made) in with.chain(gone.iter().map(|name| (name, false))) {
            let target = self.out.join(name);
            let mut step = |from: PathBuf, to: PathBuf| {
                fs::rename(&from, &to)?;
                moves.push((from, to));
                Ok(())
            };
            let moved = match fs::symlink_metadata(&target) {
                Ok(found) if found.is_dir() => match self.holds_results(name, &target) {
                    Ok(()) => step(target.clone(), old.join(name)),
                    Err(e) if made => Err(e),
                    Err(_) => Ok(()),
                },
                Ok(_) => step(target.clone(), old.join(name)),
                Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(()),
                Err(e) => Err(e),
            };
            let moved = moved
                .and_then(|()| if made { step(new.join(name), target.clone()) } else { Ok(()) });
            if let Err(cause) = moved {
                return Err(self.undo(&moves, &target, cause));
            }
        }
        Ok(())
    }

    /// Refuses a folder with other files in it than results, or with folders.
    fn holds_results(&self, folder: &str, path: &Path) -> io::Result<()> {
        for entry in fs::read_dir(path)? {
            let entry = entry?;
            let name = entry.file_name();
            let ours = name.to_str().is_some_and(|file| (self.made_here)(folder, file));
            if entry.file_type()?.is_dir() || !ours {
                let text = format!("it holds {}, which is no result of headfall", name.display());
                return Err(io::Error::other(text));
            }
        }
        Ok(())
    }

    /// Takes moves back, last one first.
    fn undo(&mut self, moves: &[(PathBuf, PathBuf)], target: &Path, cause: io::Error) -> Error {
        let back = moves.iter().rev().try_for_each(|(from, to)| fs::rename(to, from));
        if back.is_err() {
            // The earlier results must not be swept away with the staging folder.
            self.folder.disable_cleanup(true);
            let path = self.folder.path().to_owned();
            let what = format!(
                "{} cannot be moved into place and the earlier results cannot be moved back; they \
                 are kept here",
                target.display()
            );
            return Error::Write { what, path, source: cause };
        }
        let what = "a result cannot be moved into place; the earlier results are untouched";
        failed(what, target)(cause)
    }
}

impl Drop for Staging {
    fn drop(&mut self) {
        if !self.placed && !self.made.is_empty() {
            // The staging folder stands inside the folders that were made for it.
            let _ = fs::remove_dir_all(self.folder.path());
            remove_empty(&self.made);
        }
    }
}

/// Removes folders that are empty, deepest first.
fn remove_empty(folders: &[PathBuf]) {
    for folder in folders {
        if fs::remove_dir(folder).is_err() {
            break;
        }
    }
}

/// An error about a file or folder.
pub(super) fn failed(what: &str, path: &Path) -> impl FnOnce(io::Error) -> Error {
    let (what, path) = (what.to_owned(), path.to_owned());
    move |source| Error::Write { what, path, source }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test may panic")]

    use std::collections::BTreeMap;

    use super::*;

    /// Every file below a folder with its text; folders end in a slash.
    fn tree(folder: &Path) -> BTreeMap<String, String> {
        let mut found = BTreeMap::new();
        for entry in fs::read_dir(folder).unwrap() {
            let entry = entry.unwrap();
            let name = entry.file_name().into_string().unwrap();
            if entry.file_type().unwrap().is_dir() {
                found.insert(format!("{name}/"), String::new());
                for (inner, text) in tree(&entry.path()) {
                    found.insert(format!("{name}/{inner}"), text);
                }
            } else {
                found.insert(name, fs::read_to_string(entry.path()).unwrap());
            }
        }
        found
    }

    fn expected<const N: usize>(files: [(&str, &str); N]) -> BTreeMap<String, String> {
        files.into_iter().map(|(n, t)| (n.to_owned(), t.to_owned())).collect()
    }

    fn stage(out: &Path, files: &[(&str, &str)]) -> Staging {
        let staging = Staging::open(out).unwrap();
        for (name, text) in files {
            fs::write(staging.path(name), text).unwrap();
        }
        staging
    }

    #[test]
    fn a_new_folder_appears_with_all_files_and_nothing_else() {
        let site = tempfile::tempdir().unwrap();
        let out = site.path().join("deep/er/out");
        stage(&out, &[("a", "1"), ("b", "2")]).place(&["a", "b"], &[]).unwrap();
        let all = expected([
            ("deep/", ""),
            ("deep/er/", ""),
            ("deep/er/out/", ""),
            ("deep/er/out/a", "1"),
            ("deep/er/out/b", "2"),
        ]);
        assert_eq!(tree(site.path()), all);
    }

    #[cfg(unix)]
    #[test]
    fn a_new_folder_has_the_rights_of_any_new_folder() {
        use std::os::unix::fs::PermissionsExt;
        let site = tempfile::tempdir().unwrap();
        stage(&site.path().join("out"), &[("a", "1")]).place(&["a"], &[]).unwrap();
        fs::create_dir(site.path().join("plain")).unwrap();
        let mode = |name| fs::metadata(site.path().join(name)).unwrap().permissions().mode();
        assert_eq!(mode("out"), mode("plain"));
    }

    #[test]
    fn earlier_results_are_replaced_and_other_files_stay() {
        let out = tempfile::tempdir().unwrap();
        fs::write(out.path().join("a"), "old").unwrap();
        fs::write(out.path().join("notes.txt"), "mine").unwrap();
        stage(out.path(), &[("a", "new"), ("b", "new")]).place(&["a", "b"], &[]).unwrap();
        assert_eq!(tree(out.path()), expected([("a", "new"), ("b", "new"), ("notes.txt", "mine")]));
    }

    #[test]
    fn an_abandoned_staging_folder_leaves_no_trace() {
        let site = tempfile::tempdir().unwrap();
        fs::create_dir(site.path().join("out")).unwrap();
        fs::write(site.path().join("out/a"), "old").unwrap();
        let before = tree(site.path());
        drop(stage(&site.path().join("out"), &[("a", "new")]));
        drop(stage(&site.path().join("other/out"), &[("a", "new")]));
        assert_eq!(tree(site.path()), before);
    }

    #[test]
    fn a_file_in_place_of_the_folder_is_refused_and_kept() {
        let site = tempfile::tempdir().unwrap();
        let out = site.path().join("out");
        fs::write(&out, "mine").unwrap();
        let error = Staging::open(&out).unwrap_err();
        assert!(matches!(&error, Error::Write { path, .. } if *path == out), "{error}");
        assert_eq!(tree(site.path()), expected([("out", "mine")]));
    }

    #[test]
    fn a_file_in_place_of_the_parent_is_refused_and_kept() {
        let site = tempfile::tempdir().unwrap();
        fs::write(site.path().join("results"), "mine").unwrap();
        for out in ["results/out", "results/deeper/out"] {
            let out = site.path().join(out);
            let error = Staging::open(&out).unwrap_err();
            assert!(matches!(&error, Error::Write { path, .. } if *path == out), "{error}");
        }
        assert_eq!(tree(site.path()), expected([("results", "mine")]));
    }

    #[test]
    fn a_file_that_was_never_made_brings_all_earlier_results_back() {
        let out = tempfile::tempdir().unwrap();
        for name in ["a", "b", "c"] {
            fs::write(out.path().join(name), "old").unwrap();
        }
        let before = tree(out.path());
        let staging = stage(out.path(), &[("a", "new"), ("z", "new"), ("c", "new")]);
        let error = staging.place(&["a", "z", "b", "c"], &[]).unwrap_err();
        assert!(
            matches!(&error, Error::Write { path, .. } if *path == out.path().join("b")),
            "{error}"
        );
        assert_eq!(tree(out.path()), before);
    }

    #[test]
    fn a_folder_with_a_results_name_is_neither_moved_nor_emptied() {
        let out = tempfile::tempdir().unwrap();
        fs::write(out.path().join("a"), "old").unwrap();
        fs::create_dir(out.path().join("b")).unwrap();
        fs::write(out.path().join("b/mine"), "mine").unwrap();
        let before = tree(out.path());
        let error = stage(out.path(), &[("a", "new"), ("b", "new")]).place(&["a", "b"], &[]);
        assert!(matches!(error, Err(Error::Write { path, .. }) if path == out.path().join("b")));
        assert_eq!(tree(out.path()), before);
    }

    #[test]
    fn a_folder_that_appears_meanwhile_is_not_overwritten() {
        let site = tempfile::tempdir().unwrap();
        let out = site.path().join("out");
        let staging = stage(&out, &[("a", "new")]);
        fs::create_dir(&out).unwrap();
        fs::write(out.join("a"), "theirs").unwrap();
        assert!(staging.place(&["a"], &[]).is_err());
        assert_eq!(tree(site.path()), expected([("out/", ""), ("out/a", "theirs")]));
    }

    #[test]
    fn a_folder_of_results_takes_the_place_of_one_with_nothing_else_in_it() {
        let out = tempfile::tempdir().unwrap();
        let made_here = |folder: &str, file: &str| folder == "layers" && file.starts_with('a');
        for (found, taken) in [(&["a1", "a2"][..], true), (&["a1", "mine"], false)] {
            fs::create_dir(out.path().join("layers")).unwrap();
            for name in found {
                fs::write(out.path().join("layers").join(name), "old").unwrap();
            }
            let before = tree(out.path());
            let staging = Staging::open(out.path()).unwrap();
            fs::create_dir(staging.path("layers")).unwrap();
            fs::write(staging.path("layers").join("a3"), "new").unwrap();
            let placed = staging.with_folders(made_here).place(&["layers"], &[]);
            assert_eq!(placed.is_ok(), taken, "{placed:?}");
            let after =
                if taken { expected([("layers/", ""), ("layers/a3", "new")]) } else { before };
            assert_eq!(tree(out.path()), after);
            fs::remove_dir_all(out.path().join("layers")).unwrap();
        }
    }
}
