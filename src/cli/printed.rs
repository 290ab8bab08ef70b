//! What `--json` prints of the program's own: checks and refusals.

use headfall::diag::Diagnostic;
use headfall::reduce::Fate;
use headfall::schema::Moment;
use headfall::units::LengthUnit;
use schemars::JsonSchema;
use serde::Serialize;

/// What `headfall check --json` prints: the heads of a round, and what was found.
#[derive(Serialize, JsonSchema)]
pub(super) struct Checked<'a> {
    /// The site's name.
    pub(super) site: &'a str,
    /// The round's name.
    pub(super) round: &'a str,
    /// The unit of elevations and heads.
    #[schemars(with = "LengthUnit")]
    pub(super) elevation_unit: &'a str,
    /// The unit of depths.
    #[schemars(with = "LengthUnit")]
    pub(super) depth_unit: &'a str,
    /// Whether the heads give a map.
    pub(super) mappable: bool,
    /// Every reading, by well.
    pub(super) readings: Vec<CheckedReading<'a>>,
    /// All that was found, in the order of the stages.
    pub(super) findings: Vec<&'a Diagnostic>,
}

/// A reading, and what became of it.
#[derive(Serialize, JsonSchema)]
pub(super) struct CheckedReading<'a> {
    /// The well.
    pub(super) well: &'a str,
    /// When it was read, local clock time of the site.
    #[schemars(with = "Option<Moment>")]
    pub(super) read_at: Option<String>,
    /// Elevation of the measuring point, elevation unit.
    pub(super) measuring_point: Option<f64>,
    /// Depth to water below it, corrected, depth unit.
    pub(super) depth: Option<f64>,
    /// Head, elevation unit.
    pub(super) head: Option<f64>,
    #[serde(flatten)]
    pub(super) fate: &'a Fate,
    /// The file of the reading.
    pub(super) file: &'a str,
    /// Its line, counted from 1.
    pub(super) line: Option<u64>,
}

/// What `--json` prints where a command gives nothing: why, and all that was found.
#[derive(Serialize, JsonSchema)]
pub(super) struct Refusal<'a> {
    /// The version of headfall.
    pub(super) headfall: &'static str,
    /// Why the command gave no result, in words.
    pub(super) refused: &'a str,
    /// All that was found, in the order of the stages.
    pub(super) findings: Vec<&'a Diagnostic>,
}
