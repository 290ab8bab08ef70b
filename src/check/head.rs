//! The standard deviation of a head, from declared parts.

use jiff::civil::DateTime;
use serde::Serialize;

use super::types::{Carrier, ControlPoint, ControlSet};
use crate::read::{HeadErrors, Moment, Round};
use crate::units::median;

/// What is known of one head beside its value.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Situation {
    /// Depth to water, m; `None` for an elevation that was read or given directly.
    pub depth_m: Option<f64>,
    /// Time from the middle of the round, hours, either sign; `None` when not known.
    pub hours_from_middle: Option<f64>,
    /// Thickness of floating product, m.
    pub product_thickness_m: Option<f64>,
    /// What one standard deviation of the position makes of the head: the slope of the surface there
    /// times it, m.
    pub position_m: f64,
}

/// The standard deviation of one head and its parts, m.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
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
    /// From the position: the head is that of another place.
    pub position_m: f64,
    /// All parts together: the root of the sum of their squares.
    pub sd_m: f64,
}

impl HeadErrors {
    /// The standard deviation of a stream's stage: the survey's part. The stage is a line between
    /// surveyed heights, and nothing was read at this place.
    ///
    /// # Units
    /// - returns: m
    #[must_use]
    pub(crate) fn of_stage(&self) -> HeadSd {
        HeadSd {
            reading_m: 0.0,
            tape_m: 0.0,
            survey_m: self.survey_sd_m,
            lean_m: 0.0,
            time_m: 0.0,
            product_m: 0.0,
            position_m: 0.0,
            sd_m: self.survey_sd_m,
        }
    }

    /// The standard deviation of a head: the parts taken as independent, added in squares.
    ///
    /// # Units
    /// - returns: m
    ///
    /// # References
    /// Addition in squares: JCGM 100:2008, 5.1. The parts: `docs/uncertainty.md`.
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
            position_m: situation.position_m.abs(),
            sd_m: 0.0,
        };
        let of_reading = [sd.reading_m, sd.tape_m, sd.time_m, sd.product_m];
        let of_well = [sd.survey_m, sd.lean_m, sd.position_m];
        sd.sd_m = of_reading.iter().chain(&of_well).map(|p| p * p).sum::<f64>().sqrt();
        sd
    }
}

/// The standard deviation of each control point's head, in the control set's order.
///
/// # Units
/// - `positions_m`: [`Situation::position_m`] of each, m
pub(crate) fn heads(round: &Round, control: &ControlSet, positions_m: &[f64]) -> Vec<HeadSd> {
    of_points(round, control.points(), control.from_to(), positions_m)
}

/// The same for some points of a round that began and ended at these moments.
pub(super) fn of_points(
    round: &Round,
    points: &[ControlPoint],
    from_to: Option<(Moment, Moment)>,
    positions_m: &[f64],
) -> Vec<HeadSd> {
    let depth_m = round.depth_unit.metres();
    let middle = from_to.map(|(first, last)| {
        let (first, last) = (clock(first), clock(last));
        (first, last.duration_since(first).as_secs_f64() / 2.0)
    });
    let from_middle = |m: Moment| {
        let (first, half) = middle?;
        Some((clock(m).duration_since(first).as_secs_f64() - half) / 3600.0)
    };
    let errors = &round.head_errors;
    let of = |(p, position_m): (&ControlPoint, &f64)| match p.carrier {
        Carrier::Stream { .. } => errors.of_stage(),
        // Held as it is given: nobody measured it.
        Carrier::Judged { .. } => HeadSd::default(),
        Carrier::Read { .. } => errors.of(Situation {
            position_m: *position_m,
            depth_m: p.depth.map(|d| d * depth_m),
            hours_from_middle: p.moment.and_then(from_middle),
            product_thickness_m: p.product_thickness.map(|t| t * depth_m),
        }),
    };
    points.iter().zip(positions_m).map(of).collect()
}

/// The median of the standard deviations of the heads of wells, elevation unit.
///
/// # Units
/// - `heads`: one for each control point
#[must_use]
pub(crate) fn usual_sd(control: &ControlSet, heads: &[HeadSd]) -> f64 {
    let of_wells = control.wells().into_iter().map(|i| heads[i].sd_m);
    median(of_wells).unwrap_or(0.0) / control.elevation_unit().metres()
}

/// A day without a time counts from noon.
fn clock(moment: Moment) -> DateTime {
    match moment {
        Moment::Time(t) => t,
        Moment::Day(d) => d.at(12, 0, 0, 0),
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
pub(crate) fn plumbness(depth: f64, offset: f64) -> f64 {
    libm::hypot(depth, offset) - depth
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::HeadErrorTable;
    use crate::units::LengthUnit;

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
            position_m: 0.0,
        });
        // 3, 4, 12, 84 make 85.
        assert!((sd.sd_m - 85.0).abs() < 1e-12, "{sd:?}");
        // And 85, 132 make 157.
        let moved = Situation { position_m: -132.0, depth_m: Some(1200.0), ..Situation::default() };
        let sd = parts.of(Situation { hours_from_middle: Some(168.0), ..moved });
        assert!((sd.sd_m - 157.0).abs() < 1e-12, "{sd:?}");
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
