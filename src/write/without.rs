//! Map sheet and page where they are not built in: no run has them.

use std::io;
use std::path::Path;

use super::context::Context;
use super::place::Staging;
use crate::diag::Diagnostic;
use crate::error::Error;
use crate::report::{ComparisonResults, Look, Results, SiteRecord};

/// The files of the sheet.
pub(super) const FILES: [&str; 0] = [];

/// Those of the sheet of changes between two rounds.
pub(super) const CHANGE: [&str; 0] = [];

/// Whether a run has them.
pub(super) const fn wanted(_results: &Results) -> bool {
    false
}

/// None of them.
pub(super) const fn files(_results: &Results, _names: &[&'static str]) -> Vec<&'static str> {
    Vec::new()
}

/// No sheet.
pub(super) fn write(
    _results: &Results,
    _names: [&str; 0],
    _staging: &Staging,
) -> Result<(), Error> {
    Ok(())
}

/// No look.
pub(super) const fn layer_look(_results: &Results, _layer: &str) -> Option<Look> {
    None
}

/// No look of the raster of heads.
pub(super) const fn surface_look(_results: &Results, _name: &str) -> Option<Look> {
    None
}

/// No page.
pub(super) fn file(_context: &Context, _path: &Path) -> io::Result<()> {
    Ok(())
}

/// No drawing of a comparison.
pub(super) const fn comparison(_results: &ComparisonResults) -> Option<String> {
    None
}

/// The page of a site's record.
pub(super) const SITE_RECORD: [&str; 0] = [];

/// No page of a record.
pub(super) const fn site_record(
    _record: &SiteRecord,
    _findings: &[Diagnostic],
    _path: &Path,
) -> io::Result<()> {
    Ok(())
}

/// The sheets of the highest, the lowest and the mean heads of years and seasons.
pub(super) const SURFACE_SHEETS: [&str; 0] = [];

/// No such sheets.
pub(super) const fn surface_sheets(_record: &SiteRecord, _staging: &Staging) -> Result<(), Error> {
    Ok(())
}

/// The sheets of a site's record.
pub(super) const RECORD_SHEETS: [&str; 0] = [];

/// No sheets of a record.
pub(super) const fn record_sheets(_record: &SiteRecord, _path: &Path) -> io::Result<()> {
    Ok(())
}
