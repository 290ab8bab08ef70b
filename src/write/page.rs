//! `report.html`, `record.html`.

use std::io;
use std::path::Path;

use super::context::Context;
use crate::diag::Diagnostic;
use crate::page;
use crate::report::{Results, SiteRecord};

/// Whether a run has it.
pub(super) fn wanted(results: &Results) -> bool {
    results.site.settings.sheet.drawn
}

/// Writes it.
#[expect(clippy::disallowed_methods, reason = "results are written here")]
pub(super) fn file(context: &Context, path: &Path) -> io::Result<()> {
    std::fs::write(path, page::report(context.results))
}

/// The page of a site's record.
pub(super) const SITE_RECORD: [&str; 1] = ["record.html"];

/// Writes it.
#[expect(clippy::disallowed_methods, reason = "results are written here")]
pub(super) fn site_record(
    record: &SiteRecord,
    findings: &[Diagnostic],
    path: &Path,
) -> io::Result<()> {
    std::fs::write(path, page::record(record, findings))
}
