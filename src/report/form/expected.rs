//! Between which values the next reading of a well is expected.

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;

use crate::record::{SEASON_DAYS, YEAR_DAYS};
use crate::uncertainty::Confidence;
use crate::units::{clean, finite};

/// Of fewer readings of a season nothing is said about their scatter.
const FEWEST_OF_SEASON: usize = 3;

/// Of fewer readings there is no range.
const FEWEST: usize = 2;

/// What a range is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ExpectedBy {
    /// The readings of the season: one more is within it with 95 %.
    Season,
    /// The lowest and the highest of all readings.
    AllReadings,
}

/// Between which values a reading is expected.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Expected {
    /// The lower one.
    pub low: f64,
    /// The higher one.
    pub high: f64,
    /// What it is made of.
    pub by: ExpectedBy,
    /// Of how many readings.
    pub readings: usize,
}

/// The range of the next reading, from earlier ones with their days: of three or more within 45 days of the same day of the
/// year, mean -+ t s sqrt(1 + 1/n), with s their standard deviation and t the 97.5 % quantile of Student's t with n - 1
/// degrees of freedom; else the lowest and the highest of all, where there are two or more. The ends are rounded outward.
///
/// # Units
/// - `readings`: any one unit, which the result has; `decimals`: those that readings are written with
///
/// # References
/// Prediction interval of a single future reading of a normal distribution: P. M. Berthouex and L. C. Brown (2002), Statistics
/// for Environmental Engineers, 2nd ed., CRC Press, chapter 21. That readings of one season are normal and independent is a
/// simplification: the range is for the eye of whoever reads, and no test.
#[must_use]
pub fn expected(
    readings: &[(Option<Date>, f64)],
    day: Option<Date>,
    decimals: i32,
) -> Option<Expected> {
    let is_near =
        |of: Option<Date>| of.zip(day).is_some_and(|(a, b)| apart_in_year(a, b) <= SEASON_DAYS);
    let season: Vec<f64> = readings.iter().filter(|r| is_near(r.0)).map(|r| r.1).collect();
    let n = season.len();
    let (low, high, by, count) = if n >= FEWEST_OF_SEASON {
        let mean = season.iter().sum::<f64>() / n as f64;
        let squares: f64 = season.iter().map(|v| (v - mean) * (v - mean)).sum();
        let sd = (squares / (n - 1) as f64).sqrt();
        let half = Confidence::residual(n - 1).sds * sd * (1.0 + 1.0 / n as f64).sqrt();
        (mean - half, mean + half, ExpectedBy::Season, n)
    } else if readings.len() >= FEWEST {
        let ends = readings.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), r| {
            (low.min(r.1), high.max(r.1))
        });
        (ends.0, ends.1, ExpectedBy::AllReadings, readings.len())
    } else {
        return None;
    };
    let scale = libm::pow(10.0, f64::from(decimals));
    let [low, high] = [finite(low), finite(high)].map(|v| clean(v) * scale);
    let (low, high) = (clean(low).floor() / scale, clean(high).ceil() / scale);
    Some(Expected { low, high, by, readings: count })
}

/// Days between the same days of a year, at most half a year.
fn apart_in_year(a: Date, b: Date) -> f64 {
    let days = f64::from((a - b).get_days()).rem_euclid(YEAR_DAYS);
    days.min(YEAR_DAYS - days)
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    #[test]
    fn three_readings_of_a_season_give_a_prediction_interval() {
        // Mean 10, s = 0.1; t(0.975, 2) = 4.303 (NIST/SEMATECH e-Handbook, section 1.3.6.7.2): half of the range is
        // 4.303 * 0.1 * sqrt(4 / 3) = 0.4969.
        let readings = [
            (Some(date(2023, 4, 2)), 9.9),
            (Some(date(2024, 5, 10)), 10.0),
            (Some(date(2025, 3, 20)), 10.1),
            (Some(date(2024, 10, 1)), 14.0),
            (None, 15.0),
        ];
        let found = expected(&readings, Some(date(2026, 4, 10)), 2).expect("a range");
        assert_eq!((found.by, found.readings), (ExpectedBy::Season, 3));
        assert!((found.low - 9.5).abs() < 1e-9 && (found.high - 10.5).abs() < 1e-9, "{found:?}");
        // Across the turn of the year.
        assert!((apart_in_year(date(2025, 12, 20), date(2023, 1, 10)) - 21.0).abs() < 1.0);
    }

    #[test]
    fn of_fewer_it_is_the_lowest_and_the_highest_of_all() {
        let readings =
            [(Some(date(2024, 4, 2)), 9.9), (Some(date(2025, 4, 2)), 10.0), (None, 14.0)];
        let day = Some(date(2026, 4, 10));
        let found = expected(&readings, day, 2).expect("a range");
        assert_eq!((found.by, found.readings), (ExpectedBy::AllReadings, 3));
        assert!((found.low - 9.9).abs() < 1e-9 && (found.high - 14.0).abs() < 1e-9);
        assert_eq!(expected(&readings[..1], day, 2), None);
    }
}
