//! Rounding of what is kept and what is printed.

/// `value` rounded half away from zero to `decimals` places, never `-0`.
#[inline]
#[must_use]
pub fn round_to(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    let rounded = (value * scale).round() / scale;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// A number as people read it: with so many decimals, halves away from zero, never `-0`.
///
/// A half of the last place is one in decimals: 16.725, which no binary digits hold, becomes
/// 16.73. What differs from a half by less than 1e-6 of the last place counts as one.
#[must_use]
pub fn fixed(value: f64, decimals: i32) -> String {
    let scale = 10f64.powi(decimals);
    let places = usize::try_from(decimals).unwrap_or(0);
    let rounded = round_to(value * scale, 6).round() / scale;
    // What has no decimal digits to spare cannot be a half.
    let rounded = if rounded.is_finite() { rounded } else { value };
    format!("{:.places$}", if rounded == 0.0 { 0.0 } else { rounded })
}

/// `value` rounded to so many significant digits; what has more digits before its point keeps them.
#[must_use]
pub fn round_to_significant(value: f64, digits: i32) -> f64 {
    const MOST: i32 = 18;
    let bound = 10f64.powi(digits - 1);
    let (mut decimals, mut shifted, mut power) = (0, value.abs(), 1.0);
    while shifted < bound && decimals < MOST {
        decimals += 1;
        power *= 10.0;
        shifted = value.abs() * power;
    }
    round_to(value, decimals)
}

/// A number of so many significant digits without an exponent, as people read it.
#[must_use]
pub fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return fixed(value, 0);
    }
    let decimals = |value: f64| {
        #[expect(clippy::cast_possible_truncation, reason = "exponents of doubles are small")]
        let decade = libm::log10(value.abs()).floor() as i32;
        (digits - 1 - decade).max(0)
    };
    let text = fixed(value, decimals(value));
    // 0.09999 becomes 0.100 and no 0.1000.
    match text.parse::<f64>() {
        Ok(rounded) if rounded != 0.0 => fixed(value, decimals(rounded)),
        _ => text,
    }
}

/// Removes the binary dust of a decimal subtraction: 100.02 - 8.52 becomes 91.5 again.
///
/// Rounds to 1e-9 of the unit, seven orders below the 0.01 ft of a field reading, so that
/// "a contour level equal to a head" is a question about decimals and not about binary digits.
#[must_use]
pub fn clean(value: f64) -> f64 {
    round_to(value, 9)
}

#[cfg(test)]
mod tests {
    use super::*;

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
}
