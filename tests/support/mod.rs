//! What several tests need: a fresh folder, files in it, a map of them.

mod browser;
mod cli;
mod finite;
mod messages;
mod output;
mod random;
mod schema;
mod site;
mod told;
mod workbook;

use std::collections::BTreeMap;
use std::ops::{Deref, DerefMut};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use headfall::Error;
use headfall::diag::Diagnostic;
use headfall::read::{Overrides, Round, Site};
use headfall::run::{self, Map};

pub(crate) use browser::{Browser, address};
pub(crate) use cli::{PROGRAM, ends, headfall, limited, program, runs, stderr, stdout};
pub(crate) use finite::{absurd_in, absurd_numbers, hold_brief};
pub(crate) use output::{contents, head_of, json, recorded, size_of, table, text, words};
pub(crate) use random::Random;
pub(crate) use schema::{keeps_schema, schema};
pub(crate) use site::{
    EAST, Folder, NORTH, SITES, Sample, of_heads, of_wells, one_high, sample, scatter,
};
pub(crate) use told::{gives, of, told};
pub(crate) use workbook::xlsx;

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

/// Fails unless `found` is within `tolerance` of `expected`.
#[track_caller]
pub(crate) fn near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} is not {expected} within {tolerance}");
}

/// Fails unless `docs/uncertainty.md` has each of these rows.
#[track_caller]
pub(crate) fn documented(rows: &[String]) {
    documented_in("docs/uncertainty.md", rows);
}

/// Fails unless a document of the repository has each of these rows.
#[track_caller]
pub(crate) fn documented_in(name: &str, rows: &[String]) {
    let document = output::text(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(name));
    for row in rows {
        assert!(document.contains(row.as_str()), "{name} has no row\n{}", rows.join("\n"));
    }
}
