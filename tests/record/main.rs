//! The record of a site: its statistics against reference libraries, its claims by simulation.
//!
//! A binary of its own, for it needs nothing of the others and its lots are drawn often.

#![expect(clippy::disallowed_methods, reason = "tests know formulas")]

/// Directions of rounds and turns between two.
mod turned;

/// The record of a site, put together.
mod site;

/// Trends of a real record against reference libraries.
mod trends;

/// Heads that are unlike themselves.
mod unfitting;

/// Numbers by lot, the same on every machine.
#[path = "../support/random.rs"]
#[expect(dead_code, reason = "other tests draw more from it")]
mod random;

use std::collections::BTreeMap;
use std::path::PathBuf;

pub(crate) use random::Random;

/// The rows of a CSV file below `tests/data`, by heading; lines that begin with `#` say where it is from.
pub(crate) fn rows(file: &str) -> Vec<BTreeMap<String, String>> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(file);
    let reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path);
    let rows = reader.expect("the data file").deserialize().collect::<Result<_, _>>();
    rows.expect("rows")
}

/// The whole part of a small number, for seeds.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small and positive")]
pub(crate) fn whole(value: f64) -> u64 {
    value as u64
}

/// Fails unless `found` is within `tolerance` of `expected`.
#[track_caller]
pub(crate) fn near(found: f64, expected: f64, tolerance: f64, about: &str) {
    let off = (found - expected).abs();
    assert!(off <= tolerance, "{about}: {found} is not {expected} within {tolerance}");
}

/// Fails unless a document of the repository has each of these rows.
#[track_caller]
pub(crate) fn documented(name: &str, rows: &[String]) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(name);
    let document = std::fs::read_to_string(&path).unwrap_or_default();
    let missing: Vec<&String> =
        rows.iter().filter(|row| !document.contains(row.as_str())).collect();
    assert!(missing.is_empty(), "{name} lacks rows of\n{}", rows.join("\n"));
}
