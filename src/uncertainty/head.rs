//! The standard deviation of a head, from declared parts.

use serde::{Deserialize, Serialize};

use crate::units::LengthUnit;

/// The parts of a head's error as a site declares them in `[uncertainty]`, each optional.
///
/// Lengths are in the unit the site gives: depths in the depth unit, elevations in the elevation
/// unit. [`HeadErrorTable::in_metres`] fills in the defaults.
#[derive(Debug, Clone, Copy, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct HeadErrorTable {
    /// Sd of one reading of the instrument, depth unit.
    pub reading_sd: Option<f64>,
    /// Sd of the tape's length, for each unit of length read, dimensionless.
    pub tape_sd_per_length: Option<f64>,
    /// Sd of the measuring point's surveyed elevation, elevation unit.
    pub survey_sd: Option<f64>,
    /// How far a well may lean: horizontal offset for each unit of depth, dimensionless.
    pub lean_per_length: Option<f64>,
    /// How fast levels move during the round, elevation unit per hour.
    pub level_change_per_hour: Option<f64>,
    /// Sd of the specific gravity of floating product, dimensionless.
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
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HeadErrors {
    /// Sd of one reading, m. Default 0.01 ft: the accuracy of an electric tape (USGS TM 1-A1,
    /// GWPD 4, 2010: ±0.01 ft), taken as one standard deviation.
    pub reading_sd_m: f64,
    /// Sd of the tape's length for each unit read. Default 0.0001, 0.01 ft in 100 ft, for a tape
    /// that is checked; common practice, no source. A stretched or kinked tape can be off by ten
    /// times that (USGS Hawaii: more than 0.1 ft in 100 ft).
    pub tape_sd_per_length: f64,
    /// Sd of the measuring point's elevation, m. Default 0.010 m: a third of the 0.1 ft that a
    /// licensed survey must keep (New Hampshire Env-Wq 403.30), read as three standard deviations.
    pub survey_sd_m: f64,
    /// Horizontal offset for each unit of depth. Default 0.01: the example of the USGS Pacific
    /// Islands Water Science Center, 1 ft in 100 ft.
    pub lean_per_length: f64,
    /// Rate of change of the levels, m per hour. Default 0: headfall cannot know it, and a round
    /// inside its window (US EPA ERT SOP 2043: 24 hours) counts as one moment unless declared.
    pub level_change_m_per_hour: f64,
    /// Sd of the specific gravity of floating product. Default 0.03: regulatory files correct the
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

/// What is known of one head beside its value.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Situation {
    /// Depth to water, m; `None` for an elevation that was read or given directly.
    pub depth_m: Option<f64>,
    /// Time from the middle of the round, hours, either sign; `None` when not known.
    pub hours_from_middle: Option<f64>,
    /// Thickness of floating product, m.
    pub product_thickness_m: Option<f64>,
}

/// The standard deviation of one head and its parts, m.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HeadSd {
    /// From the reading.
    pub reading_m: f64,
    /// From the tape's length.
    pub tape_m: f64,
    /// From the survey of the measuring point.
    pub survey_m: f64,
    /// From the lean of the well: the largest excess of the tape over the vertical.
    pub lean_m: f64,
    /// From the time within the round.
    pub time_m: f64,
    /// From the correction for floating product.
    pub product_m: f64,
    /// All parts together: the root of the sum of their squares.
    pub sd_m: f64,
}

impl HeadErrors {
    /// The standard deviation of a head: the parts taken as independent, added in squares.
    ///
    /// # Units
    /// - returns: m
    ///
    /// # References
    /// Addition in squares: JCGM 100:2008, 5.1 (from memory). The parts: `docs/uncertainty.md`.
    #[must_use]
    pub fn of(&self, situation: Situation) -> HeadSd {
        let depth_m = situation.depth_m.unwrap_or(0.0).abs();
        let hours = situation.hours_from_middle.unwrap_or(0.0).abs();
        let product_m = situation.product_thickness_m.unwrap_or(0.0).abs();
        let mut sd = HeadSd {
            reading_m: self.reading_sd_m,
            tape_m: self.tape_sd_per_length * depth_m,
            survey_m: self.survey_sd_m,
            lean_m: plumbness(depth_m, self.lean_per_length * depth_m),
            time_m: self.level_change_m_per_hour * hours,
            product_m: self.specific_gravity_sd * product_m,
            sd_m: 0.0,
        };
        let parts = [sd.reading_m, sd.tape_m, sd.survey_m, sd.lean_m, sd.time_m, sd.product_m];
        sd.sd_m = parts.iter().map(|p| p * p).sum::<f64>().sqrt();
        sd
    }
}

/// By how much a tape along a leaning well reads more than the vertical depth.
///
/// # Units
/// - all in one unit: vertical `depth`, horizontal `offset` of the bottom from the top
///
/// # References
/// USGS Pacific Islands Water Science Center, "Possible errors associated with measured water
/// levels": 1 ft in 100 ft makes 100.005 ft.
#[must_use]
pub fn plumbness(depth: f64, offset: f64) -> f64 {
    libm::hypot(depth, offset) - depth
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_foot_out_of_plumb_in_a_hundred_reads_five_thousandths_more() {
        // USGS Pacific Islands Water Science Center: 100.005 ft.
        assert!((100.0 + plumbness(100.0, 1.0) - 100.004_999_875_006_25).abs() < 1e-12);
    }

    #[test]
    fn parts_add_in_squares() {
        let parts = HeadErrors {
            reading_sd_m: 3.0,
            tape_sd_per_length: 0.01,
            survey_sd_m: 4.0,
            lean_per_length: 0.0,
            level_change_m_per_hour: 0.5,
            specific_gravity_sd: 0.03,
        };
        let sd = parts.of(Situation {
            depth_m: Some(1200.0),
            hours_from_middle: Some(-168.0),
            product_thickness_m: Some(0.0),
        });
        // 3, 4, 12, 84 make 85.
        assert!((sd.sd_m - 85.0).abs() < 1e-12, "{sd:?}");
        let product = Situation { product_thickness_m: Some(0.33), ..Situation::default() };
        assert!((parts.of(product).product_m - 0.0099).abs() < 1e-15);
    }

    #[test]
    fn the_defaults_make_the_twelve_millimetres_of_standard_practice() {
        // Rau et al. (2019), HESS 23, 3603: gradients below 1e-4 need about 170 m, 17 mm of head
        // difference, 12 mm for each head. A well with 30 m to water, to a tenth.
        let sd =
            HeadErrors::default().of(Situation { depth_m: Some(30.0), ..Situation::default() });
        assert!((sd.sd_m / 0.01202 - 1.0).abs() < 0.1, "{sd:?}");
    }

    #[test]
    fn a_table_in_feet_is_read_in_feet() {
        let table: HeadErrorTable =
            toml::from_str("reading_sd = 0.02\nsurvey_sd = 0.05").expect("it parses");
        let parts = table.in_metres(LengthUnit::Foot, LengthUnit::Metre).expect("it is usable");
        assert!((parts.reading_sd_m - 0.006_096).abs() < 1e-15);
        assert!((parts.survey_sd_m - 0.05).abs() < 1e-15);
        assert_eq!(parts.tape_sd_per_length.to_bits(), 0.0001_f64.to_bits());
        assert!(toml::from_str::<HeadErrorTable>("reading = 1").is_err());
        let table: HeadErrorTable =
            toml::from_str("reading_sd = -1.0\nlean_per_length = nan").expect("it parses");
        let bad = table.in_metres(LengthUnit::Metre, LengthUnit::Metre).expect_err("both are bad");
        let names: Vec<&str> = bad.iter().map(|b| b.0).collect();
        assert_eq!(names, ["reading_sd", "lean_per_length"]);
    }
}
