//! Results to `report.html`: one page that shows the map and explains every number on it. The record of a site to
//! `record.html`, a page of the same kind.
//!
//! The page needs nothing but itself: styles, script and data stand in it, and its policy forbids
//! the browser to load anything or to run a script that was not in this program when it was built.
//! What stands where, and the rules for large sites: `docs/report-page.md`.

mod arrows;
mod drawing;
mod explain;
mod facts;
mod features;
mod layer;
mod limits;
mod lines;
mod map;
mod nests;
mod options;
mod paths;
mod plain;
mod policy;
mod record;
mod residuals;
mod rose;
mod site;
mod site_record;
mod sure;
mod tables;
mod templates;
mod toward;
mod view;

use crate::diag::Diagnostic;
use crate::report::{Results, SiteRecord};

/// The page of a map, as the text of an HTML file.
///
/// # Units
/// Every heading of the page names its unit: heads in the site's elevation unit, depths in its
/// depth unit, gradients dimensionless, directions in degrees clockwise from north.
///
/// # Panics
/// Never for any results: the templates are part of the program, and one that does not fit its data is a
/// bug in headfall.
#[must_use]
pub fn report(results: &Results) -> String {
    templates::report(&view::Page::of(results))
}

/// The page of a site's record, as the text of an HTML file.
///
/// # Units
/// Every heading names its unit: heads in the site's elevation unit, gradients dimensionless, directions in degrees
/// clockwise from north.
///
/// # Panics
/// As [`report`].
#[must_use]
pub fn record(record: &SiteRecord, findings: &[Diagnostic]) -> String {
    templates::record(&site_record::RecordPage::of(record, findings))
}
