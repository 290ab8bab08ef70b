//! Rounding of what is kept and what is printed.

/// `value` rounded half away from zero to `decimals` places, never `-0`.
#[inline]
#[must_use]
pub fn round_to(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    let rounded = (value * scale).round() / scale;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// Removes the binary dust of a decimal subtraction: 100.02 - 8.52 becomes 91.5 again.
///
/// Rounds to 1e-9 of the unit, seven orders below the 0.01 ft of a field reading, so that
/// "a contour level equal to a head" is a question about decimals and not about binary digits.
#[must_use]
pub fn clean(value: f64) -> f64 {
    round_to(value, 9)
}

/// `value` with `decimals` places, or as many more as show that it exceeds the `bound` it is told
/// with: "3.504 (bound 3.5)" rather than "3.5 (bound 3.5)".
#[must_use]
pub fn above(value: f64, bound: f64, decimals: usize) -> String {
    const MOST: usize = 9;
    let shown = |places: usize| format!("{value:.places$}");
    let exceeds = |text: &String| text.parse::<f64>().is_ok_and(|v| v > bound);
    (decimals..MOST).map(shown).find(exceeds).unwrap_or_else(|| shown(decimals))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_is_shown_to_exceed_its_bound() {
        for (value, bound, decimals, text) in [
            (3.504, 3.5, 1, "3.504"),
            (3.56, 3.5, 1, "3.6"),
            (12.34, 3.5, 1, "12.3"),
            (24.03, 24.0, 1, "24.03"),
            (3.5, 3.5, 1, "3.5"),
            (f64::INFINITY, 3.5, 1, "inf"),
        ] {
            assert_eq!(above(value, bound, decimals), text);
        }
    }
}
