//! What the fuzz targets share: bytes that stand for the files of a folder (`input`), and the folder.
//!
//! Only names that a target knows are written, so that no input leaves the folder.

mod input;

use std::fs;
use std::path::{Path, PathBuf};

use headfall::Error;
use headfall::diag::Diagnostic;
use headfall::read::Overrides;
use headfall::run;

pub use input::{Files, SITE, parts, together};

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
