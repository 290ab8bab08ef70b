//! `report.html`.

use std::io;
use std::path::Path;

use super::context::Context;
use crate::page;
use crate::report::Results;

/// Whether a run has it.
pub(super) fn wanted(results: &Results) -> bool {
    results.site.settings.sheet.drawn
}

/// Writes it.
#[expect(clippy::disallowed_methods, reason = "results are written here")]
pub(super) fn file(context: &Context, path: &Path) -> io::Result<()> {
    std::fs::write(path, page::report(context.results))
}
