//! How heavy a finding weighs.

use schemars::JsonSchema;
use serde::Serialize;

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth knowing; the map is as good with it.
    Note,
    /// The map may be wrong because of it.
    Warning,
    /// No map can be drawn.
    #[serde(rename = "error")]
    Refusal,
}
