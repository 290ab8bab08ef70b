//! All results or none: files are made in a staging folder and then moved into place.

#![expect(clippy::disallowed_methods, reason = "results are moved into place here")]

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use rayon::prelude::*;
use tempfile::TempDir;

use super::exchange;
use super::made::Made;
use super::record::{RECORD, Record, stranger};
use super::settled;
use super::stale::{self, NEW, OLD};
use super::swap::{Move, Moves};
use super::unstopped::{InUse, Unstopped};
use crate::error::Error;
use crate::read::InputFile;

/// A fresh folder on the same file system as the folder the results go to.
///
/// It stands beside the results folder, so that the finished set can take that folder's place in one
/// step; inside it where that cannot be, because the results folder is a mount point or nothing may
/// be made beside it. It vanishes with this value.
#[derive(Debug)]
pub(super) struct Staging {
    out: PathBuf,
    /// The results folder without links, where it exists.
    existing: Option<PathBuf>,
    folder: TempDir,
    /// Locked for as long as the folder is in use.
    _lock: fs::File,
    _in_use: InUse,
    /// Folders that were made on the way to `out`, deepest first.
    made: Vec<PathBuf>,
    placed: bool,
    /// What people are told beside the names of the files.
    told: Vec<String>,
}

/// The finished set on its way in as a whole, and after that the earlier one.
const WHOLE: &str = "whole";

impl Staging {
    /// Makes a staging folder for results in `out`, and mends there what an earlier run could not
    /// finish.
    ///
    /// # Errors
    /// [`Error::Write`] when `out` is not a folder or no folder can be made there, and when it holds
    /// files and no record that they are earlier results.
    pub(super) fn open(out: &Path) -> Result<Self, Error> {
        let existing = match fs::metadata(out) {
            Ok(found) if found.is_dir() => Some(out.canonicalize()),
            Ok(_) => {
                let cause = io::Error::from(io::ErrorKind::NotADirectory);
                return Err(failed("the results need a folder, and this is a file", out)(cause));
            }
            Err(e) if e.kind() == io::ErrorKind::NotFound => None,
            Err(e) => Some(Err(e)),
        };
        let existing =
            existing.transpose().map_err(failed("the results folder cannot be reached", out))?;
        let mut told = Vec::new();
        if stale::swept(out).map_err(failed(stale::CANNOT, out))? {
            told.push(format!(
                "an earlier run was stopped while it moved results into {}: the results from before \
                 it were put back first",
                out.display()
            ));
        }
        if existing.is_some() {
            earlier(out)?;
        }
        let _unstopped = Unstopped::begin();
        let parent = stale::beside(out);
        let mut made: Vec<PathBuf> =
            parent.ancestors().take_while(|p| !p.exists()).map(Path::to_owned).collect();
        made.retain(|p| !p.as_os_str().is_empty());
        let remove_made = |e| {
            remove_empty(&made);
            failed("the results folder cannot be made", out)(e)
        };
        fs::create_dir_all(&parent).map_err(remove_made)?;
        let prefix = stale::prefix(out);
        let within = |parent: &Path| tempfile::Builder::new().prefix(&prefix).tempdir_in(parent);
        let folder = match &existing {
            None => within(&parent),
            Some(real) if exchange::is_thinkable(real) => within(&parent).or_else(|_| within(real)),
            Some(real) => within(real),
        };
        let folder = folder.map_err(remove_made)?;
        let in_use = InUse::begin(folder.path(), &made);
        let lock = stale::lock(folder.path()).map_err(remove_made)?;
        // Folders of tempfile's making are for their owner alone; results are not.
        for part in [NEW, OLD] {
            fs::create_dir(folder.path().join(part)).map_err(remove_made)?;
        }
        let out = out.to_owned();
        Ok(Self { out, existing, folder, _lock: lock, _in_use: in_use, made, placed: false, told })
    }

    /// Where a new file is to be made.
    pub(super) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(NEW).join(name)
    }

    /// Makes a file: `make` is given where.
    ///
    /// # Errors
    /// [`Error::Write`], naming the file as it would be called in the results folder.
    pub(super) fn make(
        &self,
        name: &str,
        make: impl FnOnce(&Path) -> io::Result<()>,
    ) -> Result<(), Error> {
        make(&self.path(name)).map_err(self.unwritten(name))
    }

    /// The error of a file that was not made.
    pub(super) fn unwritten(&self, name: &str) -> impl FnOnce(io::Error) -> Error + use<> {
        failed("a result cannot be written", &self.out.join(name))
    }

    /// Makes a file of some bytes, where they could be had.
    ///
    /// # Errors
    /// As [`Staging::make`].
    pub(super) fn make_of(
        &self,
        name: &str,
        bytes: io::Result<impl AsRef<[u8]>>,
    ) -> Result<(), Error> {
        self.make(name, |path| fs::File::create_new(path)?.write_all(bytes?.as_ref()))
    }

    /// The SHA-256 of the files that are there so far.
    pub(super) fn hashes(&self) -> io::Result<Record> {
        Record::of(&self.path(""))
    }

    /// Moves all new files into place with a record of them and of how they were made, and takes away those of the
    /// earlier results that have no successor. What was changed since it was written is kept beside under
    /// another name. Other files in the results folder are not touched. Returns what people are to
    /// be told.
    ///
    /// # Errors
    /// [`Error::Write`] when a file cannot be moved, or would take the place of one that is no
    /// result or one of those that were read; the earlier results are then as they were.
    pub(super) fn place(mut self, made: Made) -> Result<Vec<String>, Error> {
        let new = self
            .hashes()
            .map(|record| record.made_so(made))
            .and_then(|record| fs::write(self.path(RECORD), record.text()).map(|()| record))
            .and_then(|record| settled::all(&self.path(""), &record).map(|()| record))
            .map_err(failed("a result cannot be written", &self.out))?;
        let _unstopped = Unstopped::begin();
        if let Some(real) = self.existing.clone() {
            let _alone = exchange::alone(&real);
            // Another run may have placed its results meanwhile.
            let earlier = earlier(&self.out)?;
            let unchanged = earlier.unchanged(&self.out);
            if new == unchanged {
                self.placed = true;
                return Ok(std::mem::take(&mut self.told));
            }
            let inputs = new.made.as_ref().map_or(&[][..], |made| &made.inputs);
            let moves = self.moves(&new, (&earlier, &unchanged), inputs)?;
            left_alone(&self.path(""), &self.out, new.shared(&unchanged));
            let exchanged = moves.keep_all_names() && self.exchanged(&real, &earlier);
            if !exchanged {
                self.swap(&moves, &new, &earlier)?;
            }
            // Those of a large map take a while to go; what is left goes with the folder.
            let old = self.folder.path().join(if exchanged { WHOLE } else { OLD });
            let names: Vec<&str> = earlier.names().collect();
            names.par_iter().with_max_len(1).for_each(|name| drop(fs::remove_file(old.join(name))));
            if exchanged {
                exchange::carried_over(&old, &real);
            }
        } else {
            fs::rename(self.path(""), &self.out)
                .map_err(failed("the results cannot be moved into place", &self.out))?;
        }
        // The names are on the disk as well, as far as the system can tell.
        settled::folder(&stale::beside(&self.out));
        self.placed = true;
        let told = std::mem::take(&mut self.told);
        // While signals still wait: a staging folder that is half removed looks like a new one.
        drop(self);
        Ok(told)
    }

    /// What moves where, by name, the record last.
    fn moves(
        &self,
        new: &Record,
        (earlier, unchanged): (&Record, &Record),
        inputs: &[InputFile],
    ) -> Result<Moves, Error> {
        let names: BTreeSet<&str> = new.names().chain(earlier.names()).collect();
        let mut moves = Moves::default();
        for name in names.into_iter().chain([RECORD]) {
            let target = self.out.join(name);
            let aside = match fs::symlink_metadata(&target) {
                Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
                Err(e) => Err(e),
                Ok(_) if name == RECORD => Ok(Some(self.old(name))),
                Ok(_) => match (earlier.hash(name), unchanged.hash(name)) {
                    (None, _) => Err(io::Error::other("it is no result that headfall has written")),
                    (Some(_), None) => Ok(Some(kept(&target))),
                    (Some(_), Some(hash)) if is_input(name, hash, inputs) => {
                        Err(io::Error::other("this map is made from it"))
                    }
                    (Some(_), Some(_)) => Ok(Some(self.old(name))),
                },
            };
            let aside = aside.map_err(failed(UNTOUCHED, &target))?;
            let is_new = name == RECORD || new.hash(name).is_some();
            let from = is_new.then(|| self.path(name));
            moves.push(Move { name: name.to_owned(), target, aside, from });
        }
        Ok(moves)
    }

    /// Exchanges the results folder for the new one in one step, if that can be.
    fn exchanged(&self, real: &Path, earlier: &Record) -> bool {
        let whole = self.folder.path().join(WHOLE);
        let is_beside = self.folder.path().parent() == real.parent();
        if !(is_beside && exchange::holds_only(real, earlier)) {
            return false;
        }
        // Under this name no later run takes it for a swap that was stopped.
        if fs::rename(self.path(""), &whole).is_err() {
            return false;
        }
        let exchanged = exchange::exchanged(&whole, real);
        if !exchanged {
            // Should this fail, the first move of the swap does too.
            let _ = fs::rename(&whole, self.path(""));
        }
        exchanged
    }

    /// Swaps old files for new ones, one by one, and back again if one will not move.
    fn swap(&mut self, moves: &Moves, new: &Record, earlier: &Record) -> Result<(), Error> {
        self.told.extend(moves.kept());
        if let Err(stopped) = moves.carry_out() {
            if !stopped.is_undone {
                // The earlier results must not be swept away with the staging folder.
                self.folder.disable_cleanup(true);
                let path = self.folder.path().to_owned();
                let what = format!(
                    "{} cannot be moved into place and the earlier results cannot be moved back; \
                     they are kept here",
                    stopped.target.display()
                );
                return Err(Error::Write { what, path, source: stopped.cause });
            }
            return Err(failed(UNTOUCHED, &stopped.target)(stopped.cause));
        }
        // Folders that held nothing but earlier results.
        let within = |name: &&str| new.hash(name).is_none();
        for folder in earlier.names().filter(within).filter_map(|name| Path::new(name).parent()) {
            let _ = fs::remove_dir(self.out.join(folder));
        }
        Ok(())
    }

    fn old(&self, name: &str) -> PathBuf {
        self.folder.path().join(OLD).join(name)
    }
}

/// Gives new files that are what the earlier ones were the time of these: to whoever asks when a file changed, it has
/// not. Where the system cannot they are only equal.
fn left_alone<'n>(new: &Path, out: &Path, names: impl Iterator<Item = &'n str>) {
    for name in names {
        let since = fs::metadata(out.join(name)).and_then(|found| found.modified());
        let file = fs::OpenOptions::new().write(true).open(new.join(name));
        let _ = since.and_then(|since| file?.set_modified(since));
    }
}

/// What failed where results stay as they were.
const UNTOUCHED: &str = "a result cannot be moved into place; what is there is untouched";

/// Another name for a result that was changed since it was written.
fn kept(target: &Path) -> PathBuf {
    let stem = target.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let ending = target.extension().map(|e| format!(".{}", e.to_string_lossy()));
    let named = |k: u32| {
        let count = if k == 1 { String::new() } else { format!("-{k}") };
        target
            .with_file_name(format!("{stem}.kept{count}{}", ending.as_deref().unwrap_or_default()))
    };
    let free = |path: &PathBuf| fs::symlink_metadata(path).is_err();
    (1..u32::MAX).map(named).find(free).unwrap_or_else(|| named(0))
}

/// The earlier results in a folder that exists.
pub(super) fn earlier(out: &Path) -> Result<Record, Error> {
    let unreadable = || failed("the results folder cannot be read", out);
    if let Some(record) = Record::read(out).map_err(unreadable())? {
        return Ok(record);
    }
    match stranger(out).map_err(unreadable())? {
        None => Ok(Record::default()),
        Some(name) => {
            let cause = format!("it holds {name} and no {RECORD}; give another folder with --out");
            let what = "results go only into a folder that is new, empty or has the record of \
                        earlier results";
            Err(failed(what, out)(io::Error::other(cause)))
        }
    }
}

/// Whether a file of this name and content is one that the map is made from.
fn is_input(name: &str, hash: &str, inputs: &[InputFile]) -> bool {
    let last = |name: &str| name.rsplit('/').next().unwrap_or_default().to_owned();
    inputs.iter().any(|input| input.sha256 == hash && last(&input.file) == last(name))
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
pub(super) fn failed(what: &str, path: &Path) -> impl FnOnce(io::Error) -> Error + use<> {
    let (what, path) = (what.to_owned(), path.to_owned());
    move |source| Error::Write { what, path, source }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test may panic")]

    use std::collections::BTreeMap;

    use super::*;
    use crate::write::made::{AskedFor, program};

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
            let path = staging.path(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        }
        staging
    }

    /// What is below a folder but its record.
    fn results(folder: &Path) -> BTreeMap<String, String> {
        let mut tree = tree(folder);
        tree.retain(|name, _| !name.ends_with(RECORD));
        tree
    }

    fn by(inputs: &[InputFile]) -> Made {
        Made::now(&AskedFor::default(), inputs)
    }

    fn made(out: &Path, files: &[(&str, &str)]) -> Vec<String> {
        stage(out, files).place(by(&[])).unwrap()
    }

    fn refused(out: &Path, files: &[(&str, &str)], inputs: &[InputFile]) -> String {
        let before = tree(out);
        let error = match Staging::open(out) {
            Ok(_) => stage(out, files).place(by(inputs)).unwrap_err(),
            Err(error) => error,
        };
        assert_eq!(tree(out), before);
        format!("{error}: {}", std::error::Error::source(&error).unwrap())
    }

    #[test]
    fn a_new_folder_appears_with_all_files_and_their_record() {
        let site = tempfile::tempdir().unwrap();
        let out = site.path().join("deep/er/out");
        let input = InputFile { file: "rounds/a.csv".to_owned(), sha256: "0".repeat(64) };
        stage(&out, &[("a", "1"), ("b/c", "2")]).place(by(&[input])).unwrap();
        let all = expected([
            ("deep/", ""),
            ("deep/er/", ""),
            ("deep/er/out/", ""),
            ("deep/er/out/a", "1"),
            ("deep/er/out/b/", ""),
            ("deep/er/out/b/c", "2"),
        ]);
        assert_eq!(results(site.path()), all);
        // SHA-256 of "1" and of "2", by hashlib of Python.
        let record = format!(
            "# SHA-256 of the results that headfall wrote into this folder\n\
             # by {}\n\
             # asked {{\"command\":\"draw\"}}\n\
             # read {}  rounds/a.csv\n\
             6b86b273ff34fce19d6b804eff5a3f5747ada4eaa22f1d49c01e52ddb7875b4b  a\n\
             d4735e3a265e16eee03f59718b9b5d03019c07d8b6c51f90da3a666eec13ab35  b/c\n",
            program(),
            "0".repeat(64)
        );
        assert_eq!(fs::read_to_string(out.join(RECORD)).unwrap(), record);
    }

    #[cfg(unix)]
    #[test]
    fn a_new_folder_has_the_rights_of_any_new_folder() {
        use std::os::unix::fs::PermissionsExt;
        let site = tempfile::tempdir().unwrap();
        made(&site.path().join("out"), &[("a", "1")]);
        fs::create_dir(site.path().join("plain")).unwrap();
        let mode = |name| fs::metadata(site.path().join(name)).unwrap().permissions().mode();
        assert_eq!(mode("out"), mode("plain"));
    }

    #[test]
    fn earlier_results_are_replaced_or_go_and_other_files_stay() {
        let out = tempfile::tempdir().unwrap();
        made(out.path(), &[("a", "old"), ("gone", "old"), ("layers/gone", "old")]);
        fs::write(out.path().join("notes.txt"), "mine").unwrap();
        let told = made(out.path(), &[("a", "new"), ("b", "new")]);
        assert!(told.is_empty(), "{told:?}");
        let left = expected([("a", "new"), ("b", "new"), ("notes.txt", "mine")]);
        assert_eq!(results(out.path()), left);
    }

    #[test]
    fn a_result_that_was_changed_is_kept_beside_and_told() {
        let out = tempfile::tempdir().unwrap();
        for (text, kept) in [("first", "a.kept.txt"), ("second", "a.kept-2.txt")] {
            made(out.path(), &[("a.txt", "old"), ("b", "old")]);
            fs::write(out.path().join("a.txt"), text).unwrap();
            let told = made(out.path(), &[("a.txt", "new")]);
            assert_eq!(
                told,
                [format!("a.txt was changed since it was written: it is kept as {kept}")]
            );
            assert_eq!(fs::read_to_string(out.path().join(kept)).unwrap(), text);
        }
        let left =
            expected([("a.txt", "new"), ("a.kept.txt", "first"), ("a.kept-2.txt", "second")]);
        assert_eq!(results(out.path()), left);
    }

    #[test]
    fn a_folder_with_files_and_no_record_is_refused() {
        let out = tempfile::tempdir().unwrap();
        fs::write(out.path().join("notes.txt"), "mine").unwrap();
        assert!(refused(out.path(), &[("a", "new")], &[]).contains("it holds notes.txt"));
        // Nor is a list of other making a record.
        fs::write(out.path().join(RECORD), "00  notes.txt\n").unwrap();
        assert!(refused(out.path(), &[("a", "new")], &[]).contains("it holds files.sha256"));
    }

    #[test]
    fn a_folder_of_folders_of_results_counts_as_empty() {
        let out = tempfile::tempdir().unwrap();
        made(&out.path().join("toward"), &[("a", "1")]);
        fs::create_dir(out.path().join("empty")).unwrap();
        made(out.path(), &[("a", "2")]);
        let left = expected([("a", "2"), ("empty/", ""), ("toward/", ""), ("toward/a", "1")]);
        assert_eq!(results(out.path()), left);
    }

    #[test]
    fn a_file_that_is_no_result_is_not_overwritten() {
        let out = tempfile::tempdir().unwrap();
        made(out.path(), &[("a", "old"), ("c", "old")]);
        fs::write(out.path().join("b"), "mine").unwrap();
        let told = refused(out.path(), &[("a", "new"), ("b", "new"), ("c", "new")], &[]);
        assert!(told.contains("/b: it is no result"), "{told}");
        // A record cannot name what lies elsewhere.
        let list = format!("{}00  ../b\n", Record::default().text());
        fs::write(out.path().join(RECORD), list).unwrap();
        assert!(refused(out.path(), &[("a", "new")], &[]).contains("no files.sha256"));
    }

    #[test]
    fn files_that_become_the_same_again_are_left_alone() {
        let out = tempfile::tempdir().unwrap();
        made(out.path(), &[("a", "1"), ("b", "old")]);
        let since = |name: &str| fs::metadata(out.path().join(name)).unwrap().modified().unwrap();
        let long_ago = std::time::SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(1000);
        for name in ["a", "b", RECORD] {
            let file = fs::OpenOptions::new().write(true).open(out.path().join(name)).unwrap();
            file.set_modified(long_ago).unwrap();
        }
        made(out.path(), &[("a", "1"), ("b", "old")]);
        assert_eq!(["a", "b", RECORD].map(since), [long_ago; 3], "nothing is moved");
        made(out.path(), &[("a", "1"), ("b", "new")]);
        assert_eq!(since("a"), long_ago);
        assert!(since("b") > long_ago && since(RECORD) > long_ago);
        assert_eq!(results(out.path()), expected([("a", "1"), ("b", "new")]));
    }

    #[test]
    fn a_result_that_the_map_is_made_from_is_not_replaced() {
        let out = tempfile::tempdir().unwrap();
        made(out.path(), &[("surface.tif", "1"), ("z", "old")]);
        let sha256 = Record::of(out.path()).unwrap().hash("surface.tif").unwrap().to_owned();
        let input = InputFile { file: "out/surface.tif".to_owned(), sha256 };
        for files in [&[("surface.tif", "new")][..], &[("z", "new")]] {
            let told = refused(out.path(), files, std::slice::from_ref(&input));
            assert!(told.contains("surface.tif: this map is made from it"), "{told}");
        }
    }

    #[test]
    fn an_abandoned_staging_folder_leaves_no_trace() {
        let site = tempfile::tempdir().unwrap();
        made(&site.path().join("out"), &[("a", "old")]);
        let before = tree(site.path());
        drop(stage(&site.path().join("out"), &[("a", "new")]));
        drop(stage(&site.path().join("other/out"), &[("a", "new")]));
        assert_eq!(tree(site.path()), before);
    }

    /// As a run leaves it that is killed after so many moves of its swap.
    fn killed(out: &Path, moves: usize) {
        let mut staging = stage(out, &[("a", "new"), ("b", "new"), ("n", "new")]);
        let record = Record::of(&staging.path("")).unwrap();
        fs::write(staging.path(RECORD), record.text()).unwrap();
        let all = [
            (out.join("a"), staging.old("a")),
            (staging.path("a"), out.join("a")),
            (out.join("b"), staging.old("b")),
            (staging.path("b"), out.join("b")),
            (out.join("gone"), staging.old("gone")),
            (staging.path("n"), out.join("n")),
            (out.join(RECORD), staging.old(RECORD)),
            (staging.path(RECORD), out.join(RECORD)),
        ];
        for (from, to) in &all[..moves] {
            fs::rename(from, to).unwrap();
        }
        staging.folder.disable_cleanup(true);
    }

    #[test]
    fn wherever_a_swap_is_stopped_the_next_run_finds_the_earlier_results_or_the_new_ones() {
        let new = expected([("a", "new"), ("b", "new"), ("n", "new")]);
        for moves in 0..=8 {
            let out = tempfile::tempdir().unwrap();
            made(out.path(), &[("a", "old"), ("b", "old"), ("gone", "old")]);
            let before = tree(out.path());
            killed(out.path(), moves);
            let table = tempfile::NamedTempFile::new().unwrap();
            crate::write::allowed(out.path(), table.path()).unwrap();
            let staging = Staging::open(out.path()).unwrap();
            let mended = !staging.told.is_empty();
            drop(staging);
            if moves == 8 {
                assert_eq!(results(out.path()), new);
            } else {
                assert_eq!(tree(out.path()), before, "after {moves} moves");
            }
            assert_eq!(mended, (1..8).contains(&moves), "after {moves} moves");
        }
    }

    #[cfg(target_os = "linux")]
    fn folder(path: &Path) -> (u64, u32) {
        use std::os::unix::fs::MetadataExt;
        let found = fs::metadata(path).unwrap();
        (found.ino(), found.mode())
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_folder_of_results_alone_is_exchanged_in_one_step() {
        use std::os::unix::fs::PermissionsExt;
        let site = tempfile::tempdir().unwrap();
        let out = site.path().join("out");
        made(&out, &[("a", "old"), ("b/c", "old")]);
        fs::set_permissions(&out, fs::Permissions::from_mode(0o750)).unwrap();
        let (before, mode) = folder(&out);
        made(&out, &[("a", "new"), ("d", "new")]);
        assert_eq!(results(&out), expected([("a", "new"), ("d", "new")]));
        assert_ne!(folder(&out).0, before);
        assert_eq!(folder(&out).1, mode);
        assert_eq!(fs::read_dir(site.path()).unwrap().count(), 1);
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_folder_of_anything_else_stays_the_one_it_is() {
        let site = tempfile::tempdir().unwrap();
        for (name, text) in [("notes", Some("mine")), ("sub/notes", Some("mine")), ("empty/", None)]
        {
            let out = site.path().join("out");
            made(&out, &[("a", "old"), ("sub/b", "old")]);
            match text {
                Some(text) => fs::write(out.join(name), text).unwrap(),
                None => fs::create_dir(out.join(name)).unwrap(),
            }
            let before = folder(&out);
            made(&out, &[("a", "new")]);
            assert_eq!(folder(&out), before);
            let left = results(&out);
            assert_eq!(left["a"], "new");
            assert_eq!(left.get(name).map(String::as_str), Some(text.unwrap_or_default()));
            fs::remove_dir_all(out).unwrap();
        }
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_run_that_is_stopped_after_the_exchange_has_placed_its_results() {
        let site = tempfile::tempdir().unwrap();
        let out = site.path().join("out");
        made(&out, &[("a", "old"), ("gone", "old")]);
        let mut staging = stage(&out, &[("a", "new")]);
        let new = Record::of(&staging.path("")).unwrap();
        fs::write(staging.path(RECORD), new.text()).unwrap();
        let real = out.canonicalize().unwrap();
        assert!(staging.exchanged(&real, &earlier(&out).unwrap()));
        // Some of the earlier files are already gone.
        fs::remove_file(staging.folder.path().join(WHOLE).join("a")).unwrap();
        staging.folder.disable_cleanup(true);
        drop(staging);
        assert_eq!(fs::read_dir(site.path()).unwrap().count(), 2);
        let next = Staging::open(&out).unwrap();
        assert!(next.told.is_empty(), "{:?}", next.told);
        drop(next);
        assert_eq!(results(&out), expected([("a", "new")]));
        assert_eq!(fs::read_dir(site.path()).unwrap().count(), 1);
    }

    #[test]
    fn staging_folders_of_other_results_are_not_taken_for_ones_own() {
        let site = tempfile::tempdir().unwrap();
        // Its staging folders begin as those of `out` do.
        let other = site.path().join("out-headfall-x");
        made(&other, &[("a", "old"), ("b", "old"), ("gone", "old")]);
        killed(&other, 4);
        made(&site.path().join("out"), &[("a", "1")]);
        assert_eq!(results(&other)["b"], "new");
        assert!(!Staging::open(&other).unwrap().told.is_empty());
    }

    #[test]
    fn the_staging_folder_of_a_run_that_lives_is_left_alone() {
        let out = tempfile::tempdir().unwrap();
        made(out.path(), &[("a", "old")]);
        let living = stage(out.path(), &[("a", "of the first")]);
        made(out.path(), &[("a", "of the second")]);
        assert_eq!(fs::read_to_string(living.path("a")).unwrap(), "of the first");
        living.place(by(&[])).unwrap();
        assert_eq!(results(out.path()), expected([("a", "of the first")]));
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
    fn a_folder_with_a_results_name_is_neither_moved_nor_emptied() {
        let out = tempfile::tempdir().unwrap();
        made(out.path(), &[("a", "old")]);
        fs::create_dir(out.path().join("b")).unwrap();
        fs::write(out.path().join("b/mine"), "mine").unwrap();
        assert!(refused(out.path(), &[("a", "new"), ("b", "new")], &[]).contains("/b: it is no"));
    }

    #[test]
    fn a_folder_that_appears_meanwhile_is_not_overwritten() {
        let site = tempfile::tempdir().unwrap();
        let out = site.path().join("out");
        let staging = stage(&out, &[("a", "new")]);
        fs::create_dir(&out).unwrap();
        fs::write(out.join("a"), "theirs").unwrap();
        assert!(staging.place(by(&[])).is_err());
        assert_eq!(tree(site.path()), expected([("out/", ""), ("out/a", "theirs")]));
    }
}
