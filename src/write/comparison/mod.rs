//! The files of a comparison: `cross-validation.csv`, `cross-validation.json`, `cross-validation.svg`.

mod table;

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::io::Write as _;
use std::path::Path;

use crate::error::Error;
use crate::report::{Compared, ComparisonResults, ComparisonSummary};
use crate::write::json::json;
use crate::write::made::{AskedFor, Command, Made};
use crate::write::place;
use crate::write::record::RECORD;
use crate::write::sheet;
use crate::write::written::{Written, staging};

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
#[expect(clippy::disallowed_methods, reason = "results are written here")]
pub fn comparison(results: &ComparisonResults, out: &Path) -> Result<Written, Error> {
    let staging = staging(out)?;
    let make = |name: &str, bytes: io::Result<Vec<u8>>| {
        bytes
            .and_then(|bytes| fs::File::create_new(staging.path(name))?.write_all(&bytes))
            .map_err(place::failed("a result cannot be written", &out.join(name)))
    };
    make("cross-validation.csv", table::table(results))?;
    make("cross-validation.json", Ok((json(&summary(results)) + "\n").into_bytes()))?;
    let drawing = sheet::comparison(results);
    let names = NAMES.iter().filter(|name| **name != DRAWING || drawing.is_some());
    let files = names.map(|name| out.join(name)).collect();
    drawing.map_or(Ok(()), |svg| make(DRAWING, Ok(svg.into_bytes())))?;
    let Compared { site, round, .. } = results.compared;
    let asked = AskedFor::of_round(Command::CrossValidate, site, round);
    let told = staging.place(Made::now(&asked, results.inputs()))?;
    Ok(Written { files, told, sha256: BTreeMap::new() })
}
