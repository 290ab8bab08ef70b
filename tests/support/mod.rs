//! What several tests need: a fresh folder, files in it, a map of them.

mod browser;

use std::collections::BTreeMap;
use std::path::PathBuf;

use headfall::Error;
use headfall::diag::{Code, Diagnostic};
use headfall::read::Overrides;
use headfall::run::{self, Map};

pub(crate) use browser::{Browser, address};

/// A folder of its own that goes away with the test.
pub(crate) struct Folder(tempfile::TempDir);

impl Folder {
    pub(crate) fn new() -> Self {
        Self(tempfile::tempdir().expect("a temporary folder"))
    }

    pub(crate) fn path(&self) -> &std::path::Path {
        self.0.path()
    }

    /// Writes a file, with the folders on the way to it.
    pub(crate) fn file(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path().join(name);
        std::fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
        std::fs::write(&path, text).expect("a file");
        path
    }
}

/// The rows of a provenance-headed CSV file below `tests/data`, by heading.
pub(crate) fn rows(file: &str) -> Vec<BTreeMap<String, String>> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(file);
    csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_path(path)
        .expect("the data file")
        .deserialize()
        .collect::<Result<_, _>>()
        .expect("rows")
}

/// The map of a site folder or table, with the findings made on the way.
pub(crate) fn map(
    source: &std::path::Path,
    overrides: &Overrides,
) -> (Result<Map, Error>, Vec<Diagnostic>) {
    let mut findings = Vec::new();
    let result = run::heads(source, overrides, &mut findings)
        .and_then(|heads| run::map(heads, &mut findings));
    if let Err(error) = &result {
        findings.extend(error.diagnostics().iter().cloned());
    }
    (result, findings)
}

/// The findings of one code.
pub(crate) fn of(code: Code, findings: &[Diagnostic]) -> Vec<&Diagnostic> {
    findings.iter().filter(|d| d.code == code).collect()
}

/// Fails unless `found` is within `tolerance` of `expected`.
#[track_caller]
pub(crate) fn near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} is not {expected} within {tolerance}");
}
