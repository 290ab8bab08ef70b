//! Rounding of what is kept and what is printed, and the border that no other number crosses.

/// Decimals of heads, depths and corrections that are worked out, m and ft: 0.1 mm, a thirtieth of a
/// reading's last digit. Half a foot is 0.1524 m: levels of a usual interval stay exact in both units.
pub(crate) const HEIGHT_DECIMALS: i32 = 4;

/// A number on its way into a file, onto the sheet, the page or the terminal: one that is finite.
///
/// Every number that leaves the program passes here: what is rounded for a file, what is printed as
/// text, the cells and coordinates of tables, layers and drawings, and the members of JSON.
///
/// # Panics
/// When it is not: then a stage has given no number where it had to give one or say that it has
/// none, and nothing is written.
#[inline]
#[must_use]
#[track_caller]
pub fn finite(value: f64) -> f64 {
    assert!(value.is_finite(), "this is a bug in headfall: {value} is to be told as a number");
    value
}

/// 10 to a whole power, by multiplying: the same on every platform, and exact up to 10^22.
#[inline]
#[must_use]
pub(crate) fn power_of_ten(exponent: i32) -> f64 {
    let (mut power, mut factor, mut left) = (1.0, 10.0, exponent.unsigned_abs());
    while left > 0 {
        if left & 1 == 1 {
            power *= factor;
        }
        factor *= factor;
        left >>= 1;
    }
    if exponent < 0 { 1.0 / power } else { power }
}

/// `value` rounded half away from zero to `decimals` places, never `-0`.
#[inline]
#[must_use]
#[track_caller]
pub(crate) fn round_to(value: f64, decimals: i32) -> f64 {
    let scale = power_of_ten(decimals);
    let rounded = (finite(value) * scale).round() / scale;
    // What has no decimal digits to spare is its own rounding.
    let rounded = if rounded.is_finite() { rounded } else { value };
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// `value` rounded to so many decimals as people round: a half of the last place is one in decimals, and goes
/// away from zero. 16.725, which no binary digits hold, becomes 16.73; never `-0`.
///
/// What differs from a half by less than 1e-6 of the last place counts as one.
#[must_use]
#[track_caller]
pub(crate) fn round_half(value: f64, decimals: i32) -> f64 {
    let scale = power_of_ten(decimals);
    let shifted = finite(value) * scale;
    // What has no decimal digits to spare cannot be a half.
    let rounded = if shifted.is_finite() { round_to(shifted, 6).round() / scale } else { value };
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// A number as people read it: with so many decimals, halves away from zero.
#[must_use]
#[track_caller]
pub fn fixed(value: f64, decimals: i32) -> String {
    let places = usize::try_from(decimals).unwrap_or(0);
    format!("{:.places$}", round_half(value, decimals))
}

/// `value` rounded to so many significant digits; what has more digits before its point keeps them.
#[must_use]
#[track_caller]
pub(crate) fn round_to_significant(value: f64, digits: i32) -> f64 {
    const MOST: i32 = 18;
    let bound = power_of_ten(digits - 1);
    let (mut decimals, mut shifted, mut power) = (0, value.abs(), 1.0);
    while shifted < bound && decimals < MOST {
        decimals += 1;
        power *= 10.0;
        shifted = value.abs() * power;
    }
    round_to(value, decimals)
}

/// The decimals with which a number has so many significant digits, none where it has as many
/// before its point.
fn decimals_of(value: f64, digits: i32) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "exponents of doubles are small")]
    let decade = libm::log10(value.abs()).floor() as i32;
    (digits - 1 - decade).max(0)
}

/// A number with so many decimals, or with fewer where it would have more than so many significant
/// digits.
#[track_caller]
fn limited(value: f64, decimals: i32, digits: i32) -> String {
    if value == 0.0 {
        return fixed(value, decimals);
    }
    let as_large_as = |size| fixed(value, decimals.min(decimals_of(size, digits)));
    let text = as_large_as(finite(value));
    // 0.09999 becomes 0.100 and no 0.1000.
    match text.parse::<f64>() {
        Ok(rounded) if rounded != 0.0 => as_large_as(rounded),
        _ => text,
    }
}

/// A number of so many significant digits without an exponent, as people read it.
#[must_use]
#[track_caller]
pub fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 { fixed(value, 0) } else { limited(value, i32::MAX, digits) }
}

/// The most significant digits of a number in a message: no reading and no result has more that
/// mean anything.
const BRIEF_DIGITS: i32 = 6;

/// Whole numbers up to here keep all their digits: a northing has seven or eight.
const WHOLE_UP_TO: f64 = 1e9;

/// From here on, and below [`SMALL`], a message gives a number with its power of ten.
const LARGE: f64 = 1e15;

/// See [`LARGE`].
const SMALL: f64 = 1e-9;

/// A number as a message gives it: with so many decimals, but no more than six significant digits.
#[must_use]
#[track_caller]
pub fn brief_to(value: f64, decimals: i32) -> String {
    if value.abs() >= WHOLE_UP_TO { brief(value) } else { limited(value, decimals, BRIEF_DIGITS) }
}

/// A number as a message repeats it: as short as it can be, with no more than six significant
/// digits.
#[must_use]
#[track_caller]
pub fn brief(value: f64) -> String {
    let size = finite(value).abs();
    if (SMALL..WHOLE_UP_TO).contains(&size) || size == 0.0 {
        return round_to_significant(value, BRIEF_DIGITS).to_string();
    }
    let text = with_power(value, 6);
    let short = text.parse::<f64>().unwrap_or(value);
    if (WHOLE_UP_TO..LARGE).contains(&size) { short.to_string() } else { format!("{short:e}") }
}

/// A number that a user gave, as a message repeats it: what is no finite number is repeated too.
#[must_use]
pub(crate) fn as_given(value: f64) -> String {
    if value.is_finite() { brief(value) } else { value.to_string() }
}

/// A number with its power of ten, of so many significant digits: `2.3e-7`.
#[must_use]
#[track_caller]
pub(crate) fn with_power(value: f64, digits: usize) -> String {
    let places = digits.saturating_sub(1);
    format!("{:.places$e}", finite(value))
}

/// A place on the map as a message gives it, to no more than a tenth of a CRS unit.
#[must_use]
#[track_caller]
pub fn place(x: f64, y: f64) -> String {
    format!("easting {}, northing {}", brief_to(x, 1), brief_to(y, 1))
}

/// A number's text with its sign.
#[must_use]
pub fn signed(text: String) -> String {
    if text.starts_with('-') { text } else { format!("+{text}") }
}

/// Removes the binary dust of a decimal subtraction: 100.02 - 8.52 becomes 91.5 again.
///
/// Rounds to 1e-9 of the unit, seven orders below the 0.01 ft of a field reading, so that
/// "a contour level equal to a head" is a question about decimals and not about binary digits.
#[must_use]
pub fn clean(value: f64) -> f64 {
    if value.is_finite() { round_to(value, 9) } else { value }
}

/// A number with spaces that do not break between thousands.
#[cfg(feature = "sheet")]
pub(crate) fn grouped(value: f64, decimals: i32) -> String {
    let text = fixed(value, decimals);
    let (sign, text) = text.strip_prefix('-').map_or(("", text.as_str()), |t| ("-", t));
    let (whole, rest) = text.split_once('.').map_or((text, None), |(w, r)| (w, Some(r)));
    let mut grouped = String::from(sign);
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            grouped.push('\u{a0}');
        }
        grouped.push(digit);
    }
    if let Some(rest) = rest {
        grouped.push('.');
        grouped.push_str(rest);
    }
    grouped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn powers_of_ten_are_those_of_decimal_numbers() {
        for exponent in -22..=22 {
            let read: f64 = format!("1e{exponent}").parse().expect("a number");
            assert!(power_of_ten(exponent).total_cmp(&read).is_eq(), "10^{exponent}");
        }
    }

    #[test]
    fn halves_of_the_last_decimal_go_away_from_zero() {
        for (value, decimals, text) in [
            (1250.635, 2, "1250.64"),
            (16.725, 2, "16.73"),
            (-0.125, 2, "-0.13"),
            (2.5, 0, "3"),
            (-0.0004, 3, "0.000"),
            (0.634_999, 2, "0.63"),
            (1e300, 2, &format!("{:.2}", 1e300)),
        ] {
            assert_eq!(fixed(value, decimals), text, "{value}");
        }
    }

    #[test]
    fn the_decade_is_that_of_the_rounded_number() {
        for (value, digits, text) in [
            (0.099_99, 3, "0.100"),
            (0.1027, 3, "0.103"),
            (0.004_123_4, 3, "0.00412"),
            (9.996, 3, "10.0"),
            (0.0, 3, "0"),
            (123_456.0, 3, "123456"),
            (0.000_000_999_6, 3, "0.00000100"),
        ] {
            assert_eq!(significant(value, digits), text, "{value}");
        }
    }

    #[test]
    fn no_message_has_more_than_six_significant_digits() {
        for (value, decimals, text) in [
            (1250.635, 2, "1250.64"),
            (12_345.678, 2, "12345.7"),
            (4_980_020.25, 1, "4980020"),
            (99_999.96, 1, "100000"),
            (-0.000_4, 2, "0.00"),
            (0.123_456_789, 8, "0.123457"),
            (8_000_180_001.0, 0, "8000180000"),
            (1e300, 2, "1e300"),
        ] {
            assert_eq!(brief_to(value, decimals), text, "{value}");
        }
        for (value, text) in [
            (15.8032, "15.8032"),
            (100.123_456_78, "100.123"),
            (0.1, "0.1"),
            (4_980_020.25, "4980020"),
            (-2.5e-12, "-2.5e-12"),
            (1.234_567_89e300, "1.23457e300"),
            (0.0, "0"),
            (1e-6, "0.000001"),
        ] {
            assert_eq!(brief(value), text, "{value}");
        }
        assert_eq!([signed(brief_to(0.5, 1)), signed(brief_to(-0.5, 1))], ["+0.5", "-0.5"]);
    }

    #[test]
    fn what_is_no_number_is_never_told_as_one() {
        let told: [fn(f64) -> String; 6] = [
            |v| fixed(v, 2),
            |v| significant(v, 3),
            |v| brief_to(v, 2),
            brief,
            |v| round_to(v, 2).to_string(),
            |v| round_to_significant(v, 3).to_string(),
        ];
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            for tell in told {
                assert!(std::panic::catch_unwind(|| tell(value)).is_err(), "{value}");
            }
        }
        for value in [f64::MAX, f64::MIN_POSITIVE, -5e-324, 1.5] {
            for tell in told {
                let text = tell(value);
                assert!(text.parse::<f64>().is_ok_and(f64::is_finite), "{value}: {text}");
            }
        }
    }

    #[cfg(feature = "sheet")]
    #[test]
    fn thousands_stand_apart() {
        for (value, decimals, text) in [
            (4_980_000.0, 0, "4\u{a0}980\u{a0}000"),
            (999.5, 1, "999.5"),
            (-1234.0, 0, "-1\u{a0}234"),
            (12.0, 0, "12"),
        ] {
            assert_eq!(grouped(value, decimals), text);
        }
    }
}
