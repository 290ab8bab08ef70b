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

/// A value beside a bound it is not equal to, both with `decimals` places, or with as many more as
/// show which of them is larger: 5.02 beside 5.00, and not 5.0 beside 5.0.
#[must_use]
pub fn apart(value: f64, bound: f64, decimals: usize) -> [String; 2] {
    const MOST_MORE: usize = 9;
    let told = |decimals: usize| [value, bound].map(|x| format!("{x:.decimals$}"));
    let differ = |texts: &[String; 2]| texts[0] != texts[1];
    (decimals..decimals + MOST_MORE).map(told).find(differ).unwrap_or_else(|| told(decimals))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_is_told_so_that_it_differs_from_its_bound() {
        assert_eq!(apart(5.021, 5.0, 1), ["5.02", "5.00"]);
        assert_eq!(apart(241.54, 5.0, 1), ["241.5", "5.0"]);
        assert_eq!(apart(0.89996, 0.9, 3), ["0.89996", "0.90000"]);
        assert_eq!(apart(5.0, 5.0, 1), ["5.0", "5.0"]);
    }
}
