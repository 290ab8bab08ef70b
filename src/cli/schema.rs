//! The schemas that `headfall schema` prints.

use clap::builder::PossibleValuesParser;
use headfall::report::{ComparisonSummary, OverRoundsSummary, SiteRecordSummary, Summary};
use headfall::run::UnitSummary;
use headfall::schema::text;
use headfall::write::{ChangesSummary, FormSummary};

use super::printed::{Checked, Refusal};

/// Name, title, and what makes the text.
type Made = (&'static str, &'static str, fn(&str, &str) -> String);

/// The schemas of what is written and printed, by name.
const SCHEMAS: [Made; 9] = [
    ("changes", "headfall changes.json", text::<ChangesSummary<'_>>),
    ("check", "headfall check --json", text::<Checked<'_>>),
    ("cross-validation", "headfall cross-validation.json", text::<ComparisonSummary<'_>>),
    ("form", "headfall form.json", text::<FormSummary<'_>>),
    ("over-rounds", "headfall over-rounds.json", text::<OverRoundsSummary<'_>>),
    ("record", "headfall record.json", text::<SiteRecordSummary<'_>>),
    ("refusal", "headfall --json, refused", text::<Refusal<'_>>),
    ("rounds", "headfall draw of many rounds, --json", text::<UnitSummary<'_>>),
    ("summary", "headfall summary.json", text::<Summary<'_>>),
];

/// Their names, for the command line.
pub(super) fn names() -> PossibleValuesParser {
    PossibleValuesParser::new(SCHEMAS.map(|(name, ..)| name))
}

/// One of them.
pub(super) fn of(asked: &str) -> String {
    let known = SCHEMAS.iter().find(|(name, ..)| *name == asked);
    known.map_or_else(String::new, |(name, title, make)| make(name, title))
}
