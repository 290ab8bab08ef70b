//! The record of a site: all its rounds side by side.

use std::path::Path;
use std::sync::Arc;

use super::all_rounds::AllRounds;
use crate::diag::Diagnostic;
use crate::error::Error;
use crate::read::Overrides;
use crate::record;
use crate::report::SiteRecord;

/// Reads every round of a site once and puts them side by side. A round that cannot be read is named with the reason;
/// one whose heads carry no map has its heads in the record and no gradient.
///
/// # Errors
/// [`Error::Read`] when the site itself cannot be read, when no round can, and (R111) when the rounds of one table do not
/// have the same wells.
pub fn record(
    source: &Path,
    overrides: &Overrides,
    findings: &mut Vec<Diagnostic>,
) -> Result<SiteRecord, Error> {
    let all = AllRounds::read(source, overrides)?;
    Ok(of(&all, findings))
}

/// The record of rounds that were read.
pub(super) fn of(all: &AllRounds, findings: &mut Vec<Diagnostic>) -> SiteRecord {
    let record = record::of(&all.site, &all.reduced());
    findings.extend(all.said.iter().cloned());
    let (site, not_read) = (Arc::clone(&all.site), all.not_read.clone());
    SiteRecord { site, record, not_read, inputs: all.inputs() }
}
