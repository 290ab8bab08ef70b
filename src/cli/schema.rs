//! The schemas that `headfall schema` prints.

use clap::builder::PossibleValuesParser;

/// The schemas of what is written and printed, by name.
const SCHEMAS: [(&str, &str); 6] = [
    ("check", include_str!("../../docs/check.schema.json")),
    ("cross-validation", include_str!("../../docs/cross-validation.schema.json")),
    ("record", include_str!("../../docs/record.schema.json")),
    ("refusal", include_str!("../../docs/refusal.schema.json")),
    ("rounds", include_str!("../../docs/rounds.schema.json")),
    ("summary", include_str!("../../docs/summary.schema.json")),
];

/// Their names, for the command line.
pub(super) fn names() -> PossibleValuesParser {
    PossibleValuesParser::new(SCHEMAS.map(|(name, _)| name))
}

/// One of them.
pub(super) fn text(name: &str) -> &'static str {
    SCHEMAS.iter().find(|(known, _)| *known == name).map_or("", |(_, schema)| schema)
}
