//! The files of a comparison: `cross-validation.csv`, `cross-validation.json`, `cross-validation.svg`.

mod table;

use std::path::Path;

use crate::error::Error;
use crate::report::{Compared, ComparisonResults, ComparisonSummary};
use crate::write::json::json;
use crate::write::made::{AskedFor, Command, Made};
use crate::write::record::RECORD;
use crate::write::sheet;
use crate::write::written::{Written, placed, staging};

/// The names of the files, sorted; the drawing only where it is made.
const NAMES: &[&str] = &["cross-validation.csv", "cross-validation.json", DRAWING, RECORD];

/// The drawing.
const DRAWING: &str = "cross-validation.svg";

/// All a comparison says, with the files it writes: the content of `cross-validation.json`.
///
/// # Units
/// Named by the members; rounded as `docs/outputs.md` says.
#[must_use]
pub fn summary<'a>(results: &ComparisonResults<'a>) -> ComparisonSummary<'a> {
    ComparisonSummary::of(results, NAMES)
}

/// Writes a comparison into the folder `out`, all files or none, as [`crate::write::write`] does.
///
/// # Units
/// Given in the name of each column and member.
///
/// # Errors
/// [`Error::Write`], naming the file and the cause. Earlier results in `out` are then untouched.
pub fn comparison(results: &ComparisonResults, out: &Path) -> Result<Written, Error> {
    let staging = staging(out)?;
    staging.make_of("cross-validation.csv", table::table(results))?;
    staging.make_of("cross-validation.json", Ok(json(&summary(results)) + "\n"))?;
    let drawing = sheet::comparison(results);
    let names = NAMES.iter().filter(|name| **name != DRAWING || drawing.is_some());
    let names: Vec<&str> = names.copied().collect();
    drawing.map_or(Ok(()), |svg| staging.make_of(DRAWING, Ok(svg)))?;
    let Compared { site, round, .. } = results.compared;
    let asked = AskedFor::of_round(Command::CrossValidate, site, round);
    placed(staging, out, names, Made::now(&asked, results.inputs()))
}
