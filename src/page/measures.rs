//! How numbers are written for a reader: as many digits as a field reading carries.

use crate::uncertainty::DirectionInterval;
use crate::uncertainty::MagnitudeInterval;
use crate::units::LengthUnit;
pub(super) use crate::units::{fixed, significant};

/// What is written where a table has no number.
pub(super) const NONE: &str = "–";

/// Decimals of a head, an elevation or a depth: 0.001 m, 0.01 ft.
const fn height_decimals(unit: LengthUnit) -> i32 {
    match unit {
        LengthUnit::Metre => 3,
        LengthUnit::Foot | LengthUnit::UsSurveyFoot => 2,
    }
}

/// A head, an elevation, a depth or a residual in its unit.
pub(super) fn height(value: f64, unit: LengthUnit) -> String {
    fixed(value, height_decimals(unit))
}

/// A standard deviation of a head in its unit: 0.001 of either.
pub(super) fn sd(value: f64) -> String {
    fixed(value, 3)
}

/// Three significant digits without an exponent.
pub(super) fn three_digits(value: f64) -> String {
    significant(value, 3)
}

/// The two ends of a gradient's interval.
pub(super) fn magnitude(interval: MagnitudeInterval) -> String {
    format!("{} to {}", three_digits(interval.low), three_digits(interval.high))
}

/// The two ends of a direction's interval, clockwise.
pub(super) fn arc(interval: DirectionInterval) -> String {
    match interval {
        DirectionInterval::Arc { from, to } => {
            format!("{} to {}", from.whole_degrees(), to.whole_degrees())
        }
        DirectionInterval::WholeCircle => "any".to_owned(),
    }
}

/// Ticks of an axis from `low` to `high`: about `count` round numbers.
pub(super) fn ticks(low: f64, high: f64, count: f64) -> Vec<f64> {
    if high <= low {
        return vec![low];
    }
    let step = crate::interpolate::RoundNumber::nearest((high - low) / count).value();
    let first = (low / step).ceil();
    (0..64)
        .map(|k| (first + f64::from(k)) * step)
        .take_while(|t| *t <= high + 1e-9 * step)
        .map(|t| if t.abs() < 1e-9 * step { 0.0 } else { t })
        .collect()
}

/// A tick's label: as many decimals as its step asks for.
pub(super) fn tick(value: f64, all: &[f64]) -> String {
    let step = all.windows(2).map(|w| w[1] - w[0]).next().unwrap_or(1.0);
    #[expect(clippy::cast_possible_truncation, reason = "exponents of doubles are small")]
    let decimals = (-(libm::log10(step) + 1e-9).floor()).max(0.0) as i32;
    fixed(value, decimals)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Azimuth;

    #[test]
    fn heads_are_told_as_closely_as_they_are_read() {
        assert_eq!(height(101.23456, LengthUnit::Metre), "101.235");
        assert_eq!(height(1250.005, LengthUnit::UsSurveyFoot), "1250.01");
        assert_eq!(height(-0.0004, LengthUnit::Metre), "0.000");
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

    #[test]
    fn ticks_are_round_and_within_the_axis() {
        assert_eq!(ticks(-0.13, 0.21, 3.0), [-0.1, 0.0, 0.1, 0.2]);
        assert_eq!(tick(0.1, &[0.0, 0.1]), "0.1");
        assert_eq!(tick(50.0, &[0.0, 50.0]), "50");
        assert_eq!(ticks(3.0, 3.0, 5.0), [3.0]);
    }
}
