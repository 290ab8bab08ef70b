//! Times, ranges and shares, as they are printed.

use super::number::{fixed, with_power};

/// Days in a year, as calendars have it in the mean.
const YEAR: f64 = 365.25;

/// Two significant digits: a range of conductivity carries no more.
#[must_use]
pub fn two_digits(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let exponent = libm::log10(value.abs()).floor();
    if !(-3.0..6.0).contains(&exponent) {
        return with_power(value, 2);
    }
    let unit = libm::pow(10.0, exponent - 1.0);
    #[expect(clippy::cast_possible_truncation, reason = "0 to 4")]
    let decimals = (1.0 - exponent).max(0.0) as i32;
    fixed((value / unit).round() * unit, decimals)
}

/// A time of travel, in years where it is long; `high` is `None` or infinite
/// where it has no end.
///
/// # Units
/// - `low`, `high`: days
#[must_use]
pub fn time_words(low: f64, high: Option<f64>) -> String {
    let high = high.filter(|h| h.is_finite());
    if high == Some(0.0) {
        return "0 days".to_owned();
    }
    let unit = |days: f64| if days > 2.0 * YEAR { (YEAR, "years") } else { (1.0, "days") };
    let (long, name) = unit(high.unwrap_or(low));
    match high {
        // Nobody thinks in thousandths of a year.
        Some(high) if long > 1.0 && low < 0.1 * long => {
            format!("{} days to {} {name}", two_digits(low), two_digits(high / long))
        }
        Some(high) => {
            let [low, high] = [low, high].map(|days| two_digits(days / long));
            if low == high {
                format!("about {low} {name}")
            } else {
                format!("{low} to {high} {name}")
            }
        }
        None => format!("{} {name} or more", two_digits(low / long)),
    }
}

/// A share in percent; one that is not 0 or 1 is never told as 0 or 100.
#[must_use]
pub fn percent(share: f64, decimals: i32) -> String {
    let told = |decimals| fixed(100.0 * share, decimals);
    let whole = |text: &str| text.parse() == Ok(0.0) || text.parse() == Ok(100.0);
    let exact = share <= 0.0 || share >= 1.0;
    (decimals..=6).map(told).find(|text| exact || !whole(text)).unwrap_or_else(|| told(6))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_are_told_with_two_digits_and_an_end_only_where_they_have_one() {
        assert_eq!(time_words(123.4, Some(456.0)), "120 to 460 days");
        assert_eq!(time_words(400.0, Some(4000.0)), "1.1 to 11 years");
        assert_eq!(time_words(2.9, Some(1000.0)), "2.9 days to 2.7 years");
        assert_eq!(time_words(400.0, Some(f64::INFINITY)), "400 days or more");
        assert_eq!(time_words(36525.0, None), "100 years or more");
        assert_eq!(two_digits(0.0), "0");
        assert_eq!(two_digits(0.012_34), "0.012");
        assert_eq!(two_digits(1.0e-7), "1.0e-7");
        assert_eq!(time_words(0.0, Some(0.0)), "0 days");
        assert_eq!([percent(1.0, 0), percent(0.0, 1)], ["100", "0.0"]);
        assert_eq!([percent(0.9996, 0), percent(0.000_04, 1)], ["99.96", "0.004"]);
    }
}
