//! The record of a results folder: the SHA-256 of each of its files, and how they were made.
//!
//! It is a list as the usual checksum tools read it, and tells the next run which files are results,
//! whether anyone has changed them since, and whether they would become the same again.

#![expect(clippy::disallowed_methods, reason = "results are held against their record")]

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Component, Path};

use rayon::prelude::*;

use super::made::Made;
use crate::read::hash;

/// The name of the record in its folder.
pub(super) const RECORD: &str = "files.sha256";

/// The first line: checksum tools pass over it.
const HEAD: &str = "# SHA-256 of the results that headfall wrote into this folder";

/// Names of files, with forward slashes, and their SHA-256 in hexadecimal; and how they were made.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Record {
    files: BTreeMap<String, String>,
    /// Not known of results of an earlier version.
    pub(super) made: Option<Made>,
}

impl Record {
    /// That of all files below a folder.
    pub(super) fn of(folder: &Path) -> io::Result<Self> {
        let mut names = Vec::new();
        below(folder, "", &mut names)?;
        let hash = |name: String| hash(&folder.join(&name)).map(|hash| (name, hash));
        let files = names.into_par_iter().with_max_len(1).map(hash).collect::<io::Result<_>>()?;
        Ok(Self { files, made: None })
    }

    /// The files and their SHA-256.
    pub(super) fn into_files(self) -> BTreeMap<String, String> {
        self.files
    }

    /// With how the files were made.
    pub(super) fn made_so(mut self, made: Made) -> Self {
        self.made = Some(made);
        self
    }

    /// The one that stands in a folder; `None` where none does, or one that no run has written.
    pub(super) fn read(folder: &Path) -> io::Result<Option<Self>> {
        match fs::read(folder.join(RECORD)) {
            Ok(bytes) => Ok(std::str::from_utf8(&bytes).ok().and_then(Self::parse)),
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(e) => Err(e),
        }
    }

    fn parse(text: &str) -> Option<Self> {
        let mut lines = text.lines();
        if lines.next() != Some(HEAD) {
            return None;
        }
        let (told, files): (Vec<&str>, Vec<&str>) = lines.partition(|line| line.starts_with("# "));
        let entry = |line: &str| {
            let (hash, name) = line.split_once("  ")?;
            let within = |c| matches!(c, Component::Normal(_));
            let is_plain = !name.is_empty() && Path::new(name).components().all(within);
            is_plain.then(|| (name.to_owned(), hash.to_owned()))
        };
        let files = files.into_iter().map(entry).collect::<Option<_>>()?;
        Some(Self { files, made: Made::parse(&told) })
    }

    /// As it is written.
    pub(super) fn text(&self) -> String {
        let made = self.made.as_ref().map(Made::text).unwrap_or_default();
        let lines = self.files.iter().map(|(name, hash)| format!("{hash}  {name}\n"));
        format!("{HEAD}\n{made}{}", lines.collect::<String>())
    }

    /// The files, by name.
    pub(super) fn names(&self) -> impl Iterator<Item = &str> {
        self.files.keys().map(String::as_str)
    }

    /// Whether it has a file of this name, and what it was.
    pub(super) fn hash(&self, name: &str) -> Option<&str> {
        self.files.get(name).map(String::as_str)
    }

    /// Names of the files that are the same in another record.
    pub(super) fn shared<'a>(&'a self, other: &'a Self) -> impl Iterator<Item = &'a str> {
        self.names().filter(|name| self.hash(name) == other.hash(name))
    }

    /// Those of its files that stand in a folder as they were recorded.
    pub(super) fn unchanged(&self, folder: &Path) -> Self {
        let is_same = |(name, recorded): &(&String, &String)| {
            let path = folder.join(name);
            let is_file = fs::symlink_metadata(&path).is_ok_and(|found| found.is_file());
            is_file && hash(&path).is_ok_and(|found| found == **recorded)
        };
        let all: Vec<_> = self.files.iter().collect();
        let same = all.into_par_iter().with_max_len(1).filter(is_same);
        let files = same.map(|(name, hash)| (name.clone(), hash.clone())).collect();
        Self { files, made: self.made.clone() }
    }
}

/// The files below a folder, with forward slashes.
fn below(folder: &Path, inside: &str, names: &mut Vec<String>) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let name = format!("{inside}{}", entry.file_name().to_string_lossy());
        if entry.file_type()?.is_dir() {
            below(&entry.path(), &format!("{name}/"), names)?;
        } else {
            names.push(name);
        }
    }
    Ok(())
}

/// What stands in a folder without a record that may be someone's, the first by name: anything but
/// hidden files, folders of results, and folders that hold nothing else.
pub(super) fn stranger(folder: &Path) -> io::Result<Option<String>> {
    let mut names = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = entry.path();
        let is_results = entry.file_type()?.is_dir()
            && (Record::read(&path)?.is_some() || stranger(&path)?.is_none());
        if !(name.starts_with('.') || is_results) {
            names.push(name);
        }
    }
    Ok(names.into_iter().min())
}
