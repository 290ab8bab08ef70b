//! The files of a comparison: `compare.csv`, `compare.json`, `compare.svg`.

mod account;
mod figure;
mod table;

use std::fs;
use std::io;
use std::io::Write as _;
use std::path::Path;

use crate::error::Error;
use crate::results::ComparisonResults;
use crate::write::Written;
use crate::write::json::json;
use crate::write::place;
use crate::write::record::RECORD;

pub use account::{
    ComparisonSummary, EffectSummary, LeftOutSummary, MethodSummary, PredictionSummary,
    ScoreSummary, WellSummary, comparison_summary,
};

/// The names of the files, sorted.
const NAMES: &[&str] = &["compare.csv", "compare.json", "compare.svg", RECORD];

/// Writes a comparison into the folder `out`, all files or none, as [`crate::write::write`] does.
///
/// # Units
/// Given in the name of each column and member.
///
/// # Errors
/// [`Error::Write`], naming the file and the cause. Earlier results in `out` are then untouched.
#[expect(clippy::disallowed_methods, reason = "results are written here")]
pub fn comparison(results: &ComparisonResults, out: &Path) -> Result<Written, Error> {
    let staging = super::staging(out)?;
    let make = |name: &str, bytes: io::Result<Vec<u8>>| {
        bytes
            .and_then(|bytes| fs::File::create_new(staging.path(name))?.write_all(&bytes))
            .map_err(place::failed("a result cannot be written", &out.join(name)))
    };
    make("compare.csv", table::table(results))?;
    make("compare.json", Ok((json(&comparison_summary(results)) + "\n").into_bytes()))?;
    make("compare.svg", Ok(figure::figure(results).into_bytes()))?;
    let told = staging.place(&results.site.inputs.iter().collect::<Vec<_>>())?;
    Ok(Written { files: NAMES.iter().map(|name| out.join(name)).collect(), told })
}
