//! What several tests need: a fresh folder, files in it, a map of them.

mod browser;
mod finite;
mod random;

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::ops::{Deref, DerefMut};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

use headfall::Error;
use headfall::diag::{Code, Diagnostic};
use headfall::read::{Overrides, Round, Site};
use headfall::run::{self, Map};

pub(crate) use browser::{Browser, address};
pub(crate) use finite::{absurd_in, absurd_numbers, hold_brief};
pub(crate) use random::Random;

/// A folder of its own that goes away with the test.
pub(crate) struct Folder(tempfile::TempDir);

impl Folder {
    pub(crate) fn new() -> Self {
        Self(tempfile::tempdir().expect("a temporary folder"))
    }

    pub(crate) fn path(&self) -> &Path {
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

/// A site and a round of it.
#[derive(Debug, Clone)]
pub(crate) struct Both {
    pub(crate) site: Site,
    pub(crate) round: Round,
}

impl From<(Site, Arc<Round>)> for Both {
    fn from((site, round): (Site, Arc<Round>)) -> Self {
        Self { site, round: Arc::unwrap_or_clone(round) }
    }
}

impl Deref for Both {
    type Target = Site;

    fn deref(&self) -> &Site {
        &self.site
    }
}

impl DerefMut for Both {
    fn deref_mut(&mut self) -> &mut Site {
        &mut self.site
    }
}

/// A copy of a sample site as git tracks it: results drawn into the checkout's own, as the README
/// asks for, are no part of it.
pub(crate) struct Sample(Folder);

pub(crate) fn sample(name: &str) -> Sample {
    let checkout = Path::new(env!("CARGO_MANIFEST_DIR"));
    let site = checkout.join("sample-sites").join(name);
    let listed = Command::new("git")
        .args(["-c", "safe.directory=*", "ls-files", "-z"])
        .current_dir(&site)
        .output()
        .expect("git runs");
    let names = String::from_utf8(listed.stdout).expect("names in UTF-8");
    let names: Vec<&str> = names.split_terminator('\0').collect();
    assert!(names.contains(&"site.toml"), "git tracks {}: {names:?}", site.display());
    let folder = Folder::new();
    for file in names {
        folder.file(file, std::fs::read(site.join(file)).expect("a tracked file"));
    }
    Sample(folder)
}

impl Deref for Sample {
    type Target = Path;

    fn deref(&self) -> &Path {
        self.0.path()
    }
}

/// Where the wells of [`of_wells`] count from, CRS units.
pub(crate) const EAST: f64 = 500_000.0;
pub(crate) const NORTH: f64 = 4_980_000.0;

/// A scatter without pattern: 25 wells over a square of 400 m (halves and thirds of whole
/// numbers, so that none share a line).
pub(crate) fn scatter() -> Vec<(f64, f64)> {
    (0..25)
        .map(|i| {
            let (row, column) = (f64::from(i / 5), f64::from(i % 5));
            let shift = |k: i32| 17.0 * f64::from((i * k) % 5) / 2.0;
            (100.0 * column + shift(3), 100.0 * row + shift(7))
        })
        .collect()
}

/// An invented site in metres whose heads follow `head(x, y)`, with more lines of site.toml. The
/// wells are `W-0`, `W-1` and so on.
pub(crate) fn of_wells(wells: &[(f64, f64)], more: &str, head: impl Fn(f64, f64) -> f64) -> Folder {
    let folder = Folder::new();
    folder.file(
        "site.toml",
        format!(
            "[site]\nname = \"Low Ings (invented)\"\ncrs = \"EPSG:26915\"\nelevation_unit = \
             \"m\"\nvertical_datum = \"NAVD 88\"\n{more}"
        ),
    );
    let mut register = "id,easting,northing\n".to_owned();
    let mut round = "id,date,elevation\n".to_owned();
    for (i, (x, y)) in wells.iter().enumerate() {
        writeln!(register, "W-{i},{},{}", EAST + x, NORTH + y).expect("text");
        writeln!(round, "W-{i},2026-05-04,{}", head(*x, *y)).expect("text");
    }
    folder.file("wells.csv", register);
    folder.file("rounds/spring.csv", round);
    folder
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
pub(crate) fn map(source: &Path, overrides: &Overrides) -> (Result<Map, Error>, Vec<Diagnostic>) {
    let mut findings = Vec::new();
    let result = run::heads(source, overrides, &mut findings)
        .and_then(|heads| run::map(heads, &mut findings));
    if let Err(error) = &result {
        findings.extend(error.diagnostics().iter().cloned());
    }
    hold_brief(&findings);
    (result, findings)
}

/// The findings of one code.
pub(crate) fn of(code: Code, findings: &[Diagnostic]) -> Vec<&Diagnostic> {
    hold_brief(findings);
    findings.iter().filter(|d| d.code == code).collect()
}

/// Fails unless `found` is within `tolerance` of `expected`.
#[track_caller]
pub(crate) fn near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} is not {expected} within {tolerance}");
}

/// Fails unless `docs/uncertainty.md` has each of these rows.
#[track_caller]
pub(crate) fn documented(rows: &[String]) {
    const DOCUMENT: &str = include_str!("../../docs/uncertainty.md");
    for row in rows {
        assert!(
            DOCUMENT.contains(row.as_str()),
            "docs/uncertainty.md has no row\n{}",
            rows.join("\n")
        );
    }
}
