//! How numbers are written for a reader, on sheet, page and terminal: as many digits as a field
//! reading carries.

use crate::read::Moment;
use crate::uncertainty::{DirectionInterval, MagnitudeInterval};
use crate::units::Azimuth;
use crate::units::signed;
use crate::units::{Decimal, LengthUnit};
pub(crate) use crate::units::{fixed, significant};

/// What is written where a table has no number.
pub(crate) const NONE: &str = "–";

/// Decimals of a head, an elevation or a depth: 0.001 m, 0.01 ft.
const fn height_decimals(unit: LengthUnit) -> i32 {
    match unit {
        LengthUnit::Metre => 3,
        LengthUnit::Foot | LengthUnit::UsSurveyFoot => 2,
    }
}

/// A head, an elevation, a depth or a residual in its unit.
pub(crate) fn height(value: f64, unit: LengthUnit) -> String {
    fixed(value, height_decimals(unit))
}

/// The depth of a head below its measuring point: the difference of both as [`height`] writes them, so that who
/// subtracts what is printed has what is printed.
pub(crate) fn depth_between(point: f64, head: f64, unit: LengthUnit) -> String {
    let [point, head] = [point, head].map(|v| Decimal::new(v, 0).rounded(height_decimals(unit)));
    point.less(head).to_string()
}

/// A head beside its well on a map: 0.01 of either unit, which is what most tapes are read to.
pub(crate) fn posted(value: f64) -> String {
    fixed(value, 2)
}

/// A standard deviation of a head in its unit: 0.001 of either.
pub(crate) fn sd(value: f64) -> String {
    fixed(value, 3)
}

/// A hydraulic gradient of the whole site: the readings rarely support a third digit.
pub(crate) fn gradient(value: f64) -> String {
    significant(value, 2)
}

/// Three significant digits without an exponent.
pub(crate) fn three_digits(value: f64) -> String {
    significant(value, 3)
}

/// The two ends of a gradient's interval.
pub(crate) fn magnitude(interval: MagnitudeInterval) -> String {
    format!("{} to {}", three_digits(interval.low), three_digits(interval.high))
}

/// The two ends of a direction's interval, clockwise.
pub(crate) fn arc(interval: DirectionInterval) -> String {
    match interval {
        DirectionInterval::Arc { from, to } => {
            format!("{} to {}", from.whole_degrees(), to.whole_degrees())
        }
        DirectionInterval::WholeCircle => "any".to_owned(),
    }
}

/// A direction with its point of the compass: `157° (SSE)`.
pub(crate) fn toward(azimuth: Azimuth) -> String {
    format!("{}° ({})", azimuth.whole_degrees(), azimuth.compass_point())
}

/// A turn, clockwise positive, degrees: whole ones, and tenths below one, where the sign is what counts.
pub(crate) fn turn(degrees: f64) -> String {
    signed(fixed(degrees, i32::from(degrees.abs() < 0.95)))
}

/// The two ends of a direction's interval with their sign: `350° to 10°`.
pub(crate) fn degrees(interval: DirectionInterval) -> String {
    match interval {
        DirectionInterval::Arc { from, to } => {
            format!("{}° to {}°", from.whole_degrees(), to.whole_degrees())
        }
        DirectionInterval::WholeCircle => "any direction".to_owned(),
    }
}

/// Local clock time without seconds where there are none: `2026-04-14 08:26`.
pub(crate) fn moment(moment: Moment) -> String {
    let text = moment.to_string().replace('T', " ");
    match (moment, text.strip_suffix(":00")) {
        (Moment::Time(_), Some(short)) => short.to_owned(),
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heads_are_told_as_closely_as_they_are_read() {
        assert_eq!(height(101.23456, LengthUnit::Metre), "101.235");
        assert_eq!(height(1250.005, LengthUnit::UsSurveyFoot), "1250.01");
        assert_eq!(height(-0.0004, LengthUnit::Metre), "0.000");
    }

    #[test]
    fn a_depth_is_the_difference_of_what_is_printed() {
        let between = |point, head| depth_between(point, head, LengthUnit::UsSurveyFoot);
        // 15.785, and 1250.975 is printed as 1250.98.
        assert_eq!(between(1266.76, 1250.975), "15.78");
        assert_eq!([between(1266.14, 1250.1768), between(100.0, 101.2)], ["15.96", "-1.20"]);
    }

    #[test]
    fn gradients_have_three_digits_whatever_their_size() {
        for (value, text) in [
            (0.004_123_4, "0.00412"),
            (0.09999, "0.100"),
            (12.3456, "12.3"),
            (0.0, "0"),
            (1e-6, "0.00000100"),
        ] {
            assert_eq!(three_digits(value), text);
        }
        assert_eq!(significant(0.004_16, 2), "0.0042");
        assert_eq!(significant(123_456.0, 3), "123456");
    }

    #[test]
    fn a_small_turn_keeps_its_sign() {
        assert_eq!(
            [turn(0.3), turn(-0.04), turn(12.4), turn(-181.0)],
            ["+0.3", "+0.0", "+12", "-181"]
        );
    }

    #[test]
    fn a_direction_that_rounds_up_to_a_full_turn_is_north() {
        assert_eq!(Azimuth::from_degrees(359.6).whole_degrees(), "0");
        let arc_of = |from, to| {
            arc(DirectionInterval::Arc {
                from: Azimuth::from_degrees(from),
                to: Azimuth::from_degrees(to),
            })
        };
        assert_eq!(arc_of(350.4, 9.5), "350 to 10");
        assert_eq!(arc(DirectionInterval::WholeCircle), "any");
    }
}
