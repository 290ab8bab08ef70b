//! The files that are gathered into: those of an earlier run, or somebody's.

#![expect(clippy::disallowed_methods, reason = "what is gathered is written here")]

use std::fmt::Write as _;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use super::features::layer_names;
use crate::error::Error;
use crate::read::hash;
use crate::write::place::failed;
use crate::write::stale;
use crate::write::unstopped::{InUse, Unstopped};
use crate::write::vector::PARQUET;

/// A GeoPackage and what is beside it: a page, files of its layers, and the SHA-256 of all as the usual checksum tools read it.
pub(super) struct Beside {
    package: PathBuf,
    page: PathBuf,
    record: PathBuf,
    /// The files of layers that an earlier run has written and nobody has changed since.
    earlier: Vec<PathBuf>,
}

/// The same, on its way.
pub(super) struct New<'a> {
    to: &'a Beside,
    folder: TempDir,
    _lock: fs::File,
    _in_use: InUse,
}

impl Beside {
    /// # Errors
    /// [`Error::Write`] when one of them is there and no earlier run has written it, or somebody has changed it since.
    pub(super) fn of(package: &Path) -> Result<Self, Error> {
        let mut files = Self {
            package: package.to_owned(),
            page: package.with_extension("html"),
            record: package.with_extension("sha256"),
            earlier: Vec::new(),
        };
        let listed = fs::read_to_string(&files.record).unwrap_or_default();
        let layers: Vec<PathBuf> = layer_names().map(|layer| files.layer(layer)).collect();
        for file in [&files.package, &files.page].into_iter().chain(&layers) {
            if !file.exists() {
                continue;
            }
            let name = name(file);
            let own = hash(file).map_err(failed("this file cannot be read", file))?;
            if !listed.lines().any(|line| line == format!("{own}  {name}")) {
                let cause = io::Error::other(format!(
                    "{} does not list it as it is; take it away, or give another file with --out",
                    files.record.display()
                ));
                return Err(failed("a file is there that no earlier run has written", file)(cause));
            }
        }
        files.earlier = layers.into_iter().filter(|file| file.exists()).collect();
        Ok(files)
    }

    /// The file of a layer: `all-wells.parquet` beside `all.gpkg`.
    fn layer(&self, layer: &str) -> PathBuf {
        let stem = self.package.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        self.package.with_file_name(format!("{stem}-{layer}.{PARQUET}"))
    }

    /// Makes ready to write them, and takes away what a run left that was stopped.
    pub(super) fn begin(&self) -> io::Result<New<'_>> {
        stale::swept(&self.package)?;
        let _unstopped = Unstopped::begin();
        let folder = tempfile::Builder::new()
            .prefix(&stale::prefix(&self.package))
            .tempdir_in(stale::beside(&self.package))?;
        let in_use = InUse::begin(folder.path(), &[]);
        let lock = stale::lock(folder.path())?;
        Ok(New { to: self, folder, _lock: lock, _in_use: in_use })
    }
}

fn name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

impl New<'_> {
    /// Where the GeoPackage is made.
    pub(super) fn package(&self) -> PathBuf {
        self.folder.path().join(name(&self.to.package))
    }

    /// Where the file of a layer is made.
    pub(super) fn layer(&self, layer: &str) -> PathBuf {
        self.folder.path().join(name(&self.to.layer(layer)))
    }

    /// Writes the page.
    pub(super) fn page(&self, text: &str) -> io::Result<()> {
        fs::write(self.folder.path().join(name(&self.to.page)), text)
    }

    /// Moves all into place; files of layers that an earlier run wrote and this one does not go.
    pub(super) fn placed(self) -> io::Result<Vec<PathBuf>> {
        let made = |file: &PathBuf| self.folder.path().join(name(file));
        let layers = layer_names().map(|layer| self.to.layer(layer));
        let layers: Vec<PathBuf> = layers.filter(|file| made(file).exists()).collect();
        let mut record = String::new();
        for file in [&self.to.package, &self.to.page].into_iter().chain(&layers) {
            let hash = hash(&made(file))?;
            let _ = writeln!(record, "{hash}  {}", name(file));
        }
        fs::write(made(&self.to.record), record)?;
        let _unstopped = Unstopped::begin();
        let files: Vec<&PathBuf> =
            [&self.to.record, &self.to.package, &self.to.page].into_iter().chain(&layers).collect();
        for file in &files {
            fs::rename(made(file), file)?;
        }
        for file in self.to.earlier.iter().filter(|file| !layers.contains(file)) {
            fs::remove_file(file)?;
        }
        Ok(files.into_iter().cloned().collect())
    }
}
