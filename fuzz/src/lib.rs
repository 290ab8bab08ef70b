//! What the fuzz targets share: bytes that stand for the files of a folder, and the folder.
//!
//! An input is one file, or several in a row, each behind a line that names it:
//!
//! ```text
//! === wells.csv
//! id,easting,northing
//! === rounds/r1.csv
//! id,depth to water
//! ```
//!
//! Only names that a target knows are written, so that no input leaves the folder.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use headfall::Error;
use headfall::diag::Diagnostic;
use headfall::read::Overrides;
use headfall::run;

/// What stands before the name of a part, at the start of a line.
pub const MARK: &str = "=== ";

/// Files by their names.
pub type Files<'a> = BTreeMap<&'a str, &'a [u8]>;

/// Takes an input apart. What stands before the first line that names a part is the part `first`;
/// of two parts of one name the later one counts. Names that `known` does not know are left out.
pub fn parts<'a>(input: &'a [u8], first: &'a str, known: impl Fn(&str) -> bool) -> Files<'a> {
    let mut files = Files::new();
    let (mut name, mut start, mut line) = (Some(first), 0, 0);
    while line <= input.len() {
        let end = input[line..].iter().position(|b| *b == b'\n').map_or(input.len(), |n| line + n);
        let next = input[line..end].strip_prefix(MARK.as_bytes());
        if next.is_some() || end == input.len() {
            let stop = if next.is_some() { line.saturating_sub(1).max(start) } else { end };
            if let Some(name) = name.filter(|n| *n != first || stop > start) {
                files.insert(name, &input[start..stop]);
            }
            start = (end + 1).min(input.len());
        }
        if let Some(next) = next {
            name = std::str::from_utf8(next).ok().filter(|n| known(n));
        }
        line = end + 1;
    }
    files
}

/// Puts files together so that [`parts`] takes them apart.
pub fn together(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut all = Vec::new();
    for (name, bytes) in files {
        all.extend_from_slice(format!("{MARK}{name}\n").as_bytes());
        all.extend_from_slice(bytes);
        all.push(b'\n');
    }
    all
}

/// A folder with files, gone with this value.
pub struct Folder(tempfile::TempDir);

impl Folder {
    /// Writes the files into a new folder.
    pub fn of(files: &Files<'_>) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        for (name, bytes) in files {
            let path = folder.path().join(name);
            fs::create_dir_all(path.parent().expect("inside the folder")).expect("a folder");
            fs::write(path, bytes).expect("written");
        }
        Self(folder)
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        self.0.path()
    }

    /// A run must have left every file as it was, and no other beside them.
    pub fn untouched(&self, files: &Files<'_>) {
        let mut left = Vec::new();
        below(self.path(), &mut left);
        let names: Vec<String> = left
            .iter()
            .map(|p| p.strip_prefix(self.path()).expect("inside").to_string_lossy().into_owned())
            .collect();
        let expected: Vec<&str> = files.keys().copied().collect();
        assert_eq!(names, expected, "files came or went");
        for (name, bytes) in files {
            let now = fs::read(self.path().join(name)).expect("still there");
            assert!(now == *bytes, "{name} was changed");
        }
    }
}

/// All files below a folder, sorted as their names.
fn below(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() { below(&path, into) } else { into.push(path) }
    }
    into.sort_by(|a, b| a.to_string_lossy().cmp(&b.to_string_lossy()));
}

/// Reads a site and reduces its round; what is refused must say why.
pub fn heads(source: &Path, overrides: &Overrides) {
    let mut findings = Vec::new();
    match run::heads(source, overrides, &mut findings) {
        Ok(_) => told(&findings),
        Err(error) => refused(&error),
    }
}

/// A refusal has at least one reason that is one.
pub fn refused(error: &Error) {
    assert!(
        matches!(error, Error::Write { .. })
            || error.diagnostics().iter().any(Diagnostic::is_refusal),
        "refused without a reason: {error:?}"
    );
    told(error.diagnostics());
}

/// Whatever is told says something.
pub fn told(findings: &[Diagnostic]) {
    for finding in findings {
        assert!(!finding.message.is_empty(), "{finding:?}");
    }
}
