//! Ticks of an axis and their labels.

use crate::interpolate::RoundNumber;
use crate::units::fixed;

/// Ticks of an axis from `low` to `high`: about `count` round numbers.
pub(crate) fn ticks(low: f64, high: f64, count: f64) -> Vec<f64> {
    if high <= low {
        return vec![low];
    }
    let step = RoundNumber::nearest((high - low) / count).value();
    let first = (low / step).ceil();
    (0..64)
        .map(|k| (first + f64::from(k)) * step)
        .take_while(|t| *t <= high + 1e-9 * step)
        .map(|t| if t.abs() < 1e-9 * step { 0.0 } else { t })
        .collect()
}

/// A tick's label: as many decimals as its step asks for.
pub(crate) fn tick(value: f64, all: &[f64]) -> String {
    let step = all.windows(2).map(|w| w[1] - w[0]).next().unwrap_or(1.0);
    #[expect(clippy::cast_possible_truncation, reason = "exponents of doubles are small")]
    let decimals = (-(libm::log10(step) + 1e-9).floor()).max(0.0) as i32;
    fixed(value, decimals)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_within_the_axis() {
        assert_eq!(ticks(-0.13, 0.21, 3.0), [-0.1, 0.0, 0.1, 0.2]);
        assert_eq!(tick(0.1, &[0.0, 0.1]), "0.1");
        assert_eq!(tick(50.0, &[0.0, 50.0]), "50");
        assert_eq!(ticks(3.0, 3.0, 5.0), [3.0]);
    }
}
