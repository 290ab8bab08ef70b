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
