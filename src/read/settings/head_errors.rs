//! What a site says about the errors of its heads: `[uncertainty]` of `site.toml`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::units::LengthUnit;

/// The parts of a head's error as a site declares them in `[uncertainty]`, each optional.
///
/// Lengths are in the unit the site gives: depths in the depth unit, elevations in the elevation
/// unit. [`HeadErrorTable::in_metres`] fills in the defaults.
#[derive(Debug, Clone, Copy, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct HeadErrorTable {
    /// Standard deviation of one reading of the instrument, depth unit.
    pub reading_sd: Option<f64>,
    /// Standard deviation of the tape's length, for each unit of length read, dimensionless.
    pub tape_sd_per_length: Option<f64>,
    /// Standard deviation of the measuring point's surveyed elevation, elevation unit.
    pub survey_sd: Option<f64>,
    /// How far a well may lean: horizontal offset for each unit of depth, dimensionless.
    pub lean_per_length: Option<f64>,
    /// How fast levels move during the round, elevation unit per hour.
    pub level_change_per_hour: Option<f64>,
    /// Standard deviation of the specific gravity of floating product, dimensionless.
    pub specific_gravity_sd: Option<f64>,
}

impl HeadErrorTable {
    /// The parts in metres, with the default for each that is not declared.
    ///
    /// # Errors
    /// Every declared value that is negative or not finite, by the name of its setting, and
    /// `reading_sd` and `survey_sd` when both are zero: a head without error has no interval.
    pub fn in_metres(
        &self,
        depth_unit: LengthUnit,
        elevation_unit: LengthUnit,
    ) -> Result<HeadErrors, Vec<(&'static str, f64)>> {
        let all = [
            ("reading_sd", self.reading_sd),
            ("tape_sd_per_length", self.tape_sd_per_length),
            ("survey_sd", self.survey_sd),
            ("lean_per_length", self.lean_per_length),
            ("level_change_per_hour", self.level_change_per_hour),
            ("specific_gravity_sd", self.specific_gravity_sd),
        ];
        let mut bad: Vec<(&'static str, f64)> = all
            .into_iter()
            .filter_map(|(name, value)| Some((name, value?)))
            .filter(|(_, value)| !(*value >= 0.0 && value.is_finite()))
            .collect();
        let (depth_m, elevation_m) = (depth_unit.metres(), elevation_unit.metres());
        let default = HeadErrors::default();
        let parts = HeadErrors {
            reading_sd_m: self.reading_sd.map_or(default.reading_sd_m, |v| v * depth_m),
            tape_sd_per_length: self.tape_sd_per_length.unwrap_or(default.tape_sd_per_length),
            survey_sd_m: self.survey_sd.map_or(default.survey_sd_m, |v| v * elevation_m),
            lean_per_length: self.lean_per_length.unwrap_or(default.lean_per_length),
            level_change_m_per_hour: self
                .level_change_per_hour
                .map_or(default.level_change_m_per_hour, |v| v * elevation_m),
            specific_gravity_sd: self.specific_gravity_sd.unwrap_or(default.specific_gravity_sd),
        };
        if parts.reading_sd_m == 0.0 && parts.survey_sd_m == 0.0 {
            bad.extend([("reading_sd", 0.0), ("survey_sd", 0.0)]);
        }
        if bad.is_empty() { Ok(parts) } else { Err(bad) }
    }
}

/// The parts of a head's error, in metres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct HeadErrors {
    /// Standard deviation of one reading, m. Default 0.01 ft: the accuracy of an electric tape (USGS TM 1-A1,
    /// GWPD 4, 2010: ±0.01 ft), taken as one standard deviation.
    pub reading_sd_m: f64,
    /// Standard deviation of the tape's length for each unit read. Default 0.0001, 0.01 ft in 100 ft, for a tape
    /// that is checked; common practice, no source. A stretched or kinked tape can be off by ten
    /// times that (USGS Hawaii: more than 0.1 ft in 100 ft).
    pub tape_sd_per_length: f64,
    /// Standard deviation of the measuring point's elevation, m. Default 0.010 m: a third of the 0.1 ft that a
    /// licensed survey must keep (New Hampshire Env-Wq 403.30), read as three standard deviations.
    pub survey_sd_m: f64,
    /// Horizontal offset for each unit of depth. Default 0.01: the example of the USGS Pacific
    /// Islands Water Science Center, 1 ft in 100 ft.
    pub lean_per_length: f64,
    /// Rate of change of the levels, m per hour. Default 0: headfall cannot know it, and a round
    /// inside its window (US EPA ERT SOP 2043: 24 hours) counts as one moment unless declared.
    pub level_change_m_per_hour: f64,
    /// Standard deviation of the specific gravity of floating product. Default 0.03: regulatory files correct the
    /// same fuel with 0.83 and with a fixed 0.80.
    pub specific_gravity_sd: f64,
}

impl Default for HeadErrors {
    fn default() -> Self {
        Self {
            reading_sd_m: 0.01 * LengthUnit::Foot.metres(),
            tape_sd_per_length: 0.0001,
            survey_sd_m: 0.010,
            lean_per_length: 0.01,
            level_change_m_per_hour: 0.0,
            specific_gravity_sd: 0.03,
        }
    }
}

/// How many realizations are drawn, and from which seed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct EnsembleOptions {
    /// The seed. Equal seeds give equal realizations on every machine.
    pub seed: u64,
    /// Count of realizations.
    pub members: usize,
}

impl Default for EnsembleOptions {
    fn default() -> Self {
        Self { seed: 1, members: 1000 }
    }
}

/// The stated rule by which a part of a contour is marked as inferred.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct InferredRule {
    /// Farther from the nearest well or gauge than this many mean spacings of wells, a contour is
    /// inferred. Default 1: no place would be so far from a well were as many spread evenly. Common
    /// practice, no source.
    pub spacings: f64,
    /// Where the 95 % interval of a contour's place reaches farther to a side than this part of the
    /// distance to the next contour, it is inferred. Default 1: two neighbouring contours could then
    /// be each other. Common practice, no source.
    pub interval_part: f64,
}

impl Default for InferredRule {
    fn default() -> Self {
        Self { spacings: 1.0, interval_part: 1.0 }
    }
}

/// The angle within which a direction must be known to be called known, degrees. A sector of the
/// compass rose of twelve to each side; common practice, no source.
const KNOWN_WITHIN_DEG: f64 = 30.0;

/// Everything that is said about errors.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct UncertaintySettings {
    /// The parts of a head's error, as declared; in metres they are [`crate::read::Round::head_errors`].
    #[serde(skip)]
    pub head_errors: HeadErrorTable,
    /// Standard deviation of either coordinate of a well that gives none of its own, CRS units. Default 0: positions
    /// count as surveyed unless declared.
    #[schemars(range(min = 0))]
    pub position_sd: f64,
    /// The realizations that are drawn at random.
    pub ensemble: EnsembleOptions,
    /// When a contour is inferred.
    pub inferred: InferredRule,
    /// A direction of flow is known when the true one is within this angle of it with a probability
    /// of 95 %, degrees.
    #[schemars(extend("exclusiveMinimum" = 0, "exclusiveMaximum" = 180))]
    pub direction_within_deg: f64,
    /// Whether the standard deviation of the linear surface and the spread of directions are
    /// written at every node.
    pub rasters: bool,
}

impl Default for UncertaintySettings {
    fn default() -> Self {
        Self {
            head_errors: HeadErrorTable::default(),
            position_sd: 0.0,
            ensemble: EnsembleOptions::default(),
            inferred: InferredRule::default(),
            direction_within_deg: KNOWN_WITHIN_DEG,
            rasters: false,
        }
    }
}
