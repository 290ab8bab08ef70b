//! The round numbers of maps: 1, 2 and 5 times powers of ten.

use crate::units::power_of_ten;

/// 1, 2 or 5 times a power of ten, written without binary dust: 0.2 is the double nearest 0.2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct RoundNumber(f64);

impl RoundNumber {
    /// The number itself.
    pub(crate) const fn value(self) -> f64 {
        self.0
    }

    /// The largest round number that is not above `x`, a positive number.
    pub(crate) fn at_most(x: f64) -> Self {
        let below = |c: &f64| *c <= x;
        Self(around(x).filter(below).last().unwrap_or(x))
    }

    /// The smallest round number that is not below `x`, a positive number.
    pub(crate) fn at_least(x: f64) -> Self {
        Self(around(x).find(|c| *c >= x).unwrap_or(x))
    }

    /// The round number with the smallest ratio to `x`, a positive number.
    pub(crate) fn nearest(x: f64) -> Self {
        let ratio = |c: f64| (c / x).max(x / c);
        Self(around(x).min_by(|a, b| ratio(*a).total_cmp(&ratio(*b))).unwrap_or(x))
    }
}

/// The round numbers of the decades about `x`, ascending.
fn around(x: f64) -> impl Iterator<Item = f64> {
    #[expect(clippy::cast_possible_truncation, reason = "the exponents of doubles are small")]
    let decade = libm::log10(x).floor() as i32;
    (decade - 1..=decade + 1).flat_map(|e| {
        [1.0, 2.0, 5.0].map(|m| {
            // Powers of ten up to 10^22 are exact, so either form is rounded once.
            if e < 0 { m / power_of_ten(-e) } else { m * power_of_ten(e) }
        })
    })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::float_cmp, reason = "round numbers are exact")]

    use super::*;

    #[test]
    fn bounds_are_met_from_their_side() {
        for (x, below, above) in [
            (1.0, 1.0, 1.0),
            (0.2, 0.2, 0.2),
            (0.3, 0.2, 0.5),
            (4.99, 2.0, 5.0),
            (999.0, 500.0, 1000.0),
            (0.0499, 0.02, 0.05),
        ] {
            assert_eq!(RoundNumber::at_most(x).value(), below, "{x}");
            assert_eq!(RoundNumber::at_least(x).value(), above, "{x}");
        }
    }

    #[test]
    fn the_nearest_is_nearest_by_ratio() {
        // The borders are the geometric means: 1.414, 3.162, 7.071.
        for (x, n) in
            [(1.41, 1.0), (1.42, 2.0), (3.16, 2.0), (3.17, 5.0), (7.07, 5.0), (7.08, 10.0)]
        {
            assert_eq!(RoundNumber::nearest(x).value(), n, "{x}");
            assert_eq!(RoundNumber::nearest(x / 1000.0).value(), n / 1000.0, "{x} / 1000");
        }
    }
}
