//! The files of a field sheet: `form.csv`, `form.html`, `form.json`.

mod page;
mod table;

use std::path::Path;

use schemars::JsonSchema;
use serde::Serialize;

use crate::diag::Diagnostic;
use crate::error::Error;
use crate::report::Form;
use crate::units::LengthUnit;
use crate::write::json::json;
use crate::write::made::{AskedFor, Command, Made};
use crate::write::record::RECORD;
use crate::write::written::{Written, placed, staging};

const TABLE: &str = "form.csv";
const PAGE: &str = "form.html";
const ACCOUNT: &str = "form.json";

/// The names of the files, sorted.
const NAMES: &[&str] = &[RECORD, TABLE, PAGE, ACCOUNT];

/// A field sheet, with the files written: the content of `form.json`.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FormSummary<'a> {
    /// The version of headfall.
    headfall: &'static str,
    /// The site's name.
    site: &'a str,
    /// The unit of measuring points and elevations.
    #[schemars(with = "LengthUnit")]
    elevation_unit: &'static str,
    /// The unit of what is read, and of bottoms.
    #[schemars(with = "LengthUnit")]
    depth_unit: &'static str,
    /// The sheet.
    #[serde(flatten)]
    form: &'a Form,
    /// All that was found in the rounds.
    findings: &'a [Diagnostic],
    /// The files written, by name.
    files: &'static [&'static str],
}

/// All that is said with a field sheet.
///
/// # Units
/// Named by the members.
#[must_use]
pub fn summary<'a>(form: &'a Form, findings: &'a [Diagnostic]) -> FormSummary<'a> {
    FormSummary {
        headfall: env!("CARGO_PKG_VERSION"),
        site: &form.site.settings.name,
        elevation_unit: form.site.settings.elevation_unit.name(),
        depth_unit: form.depth_unit.name(),
        form,
        findings,
        files: NAMES,
    }
}

/// Writes a field sheet into the folder `out`, all files or none, as [`crate::write::write`] does.
///
/// # Units
/// Given in the headings, or beside the numbers.
///
/// # Errors
/// [`Error::Write`], naming the file and the cause. Earlier results in `out` are then untouched.
pub fn form(form: &Form, findings: &[Diagnostic], out: &Path) -> Result<Written, Error> {
    let staging = staging(out)?;
    staging.make_of(TABLE, table::text(form))?;
    staging.make_of(PAGE, Ok(page::page(form)))?;
    staging.make_of(ACCOUNT, Ok(json(&summary(form, findings)) + "\n"))?;
    let asked = AskedFor::of(Command::Form, &form.site);
    let asked = AskedFor { day: form.day.clone(), ..asked };
    placed(staging, out, NAMES.iter().copied(), Made::now(&asked, &form.inputs))
}
