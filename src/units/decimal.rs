//! Numbers with their decimals: what is printed of them adds up as it is printed.

use super::number::{clean, finite, fixed, round_half};

/// The most decimals of a length: the rounding of [`clean`].
const MOST: i32 = 9;

/// A number and how many decimals it is printed with: those it was read with, or those that its sum needs.
/// Differences of such numbers are exact to 1e-9, so that whoever subtracts the printed texts has the printed
/// difference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Decimal {
    value: f64,
    places: i32,
}

impl Decimal {
    /// A number with all the decimals it needs, and with no fewer than so many; never more than nine.
    #[track_caller]
    pub(crate) fn new(value: f64, least: i32) -> Self {
        let value = clean(finite(value));
        Self { value, places: least.max(needed(value)).min(MOST) }
    }

    /// The number.
    pub(crate) const fn value(self) -> f64 {
        self.value
    }

    /// How many decimals it is printed with.
    pub(crate) const fn places(self) -> i32 {
        self.places
    }

    /// A difference.
    pub(crate) fn less(self, other: Self) -> Self {
        Self::new(self.value - other.value, self.places.max(other.places))
    }

    /// The number rounded to so many decimals, halves away from zero.
    pub(crate) fn rounded(self, places: i32) -> Self {
        Self { value: round_half(self.value, places), places }
    }

    /// The mean of several, exact; nothing where there is none.
    pub(crate) fn mean(of: &[Self]) -> Option<Self> {
        let places = of.iter().map(|d| d.places).max()?;
        let sum: f64 = of.iter().map(|d| d.value).sum();
        Some(Self::new(sum / of.len() as f64, places))
    }
}

impl std::fmt::Display for Decimal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&fixed(self.value, self.places))
    }
}

/// The decimals of the shortest text that reads back as the number, up to nine.
pub(crate) fn needed(value: f64) -> i32 {
    let text = clean(value).to_string();
    let decimals = text.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    i32::try_from(decimals).unwrap_or(MOST).min(MOST)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_printed_adds_up() {
        let [point, depth, tape] = [(1266.14, 2), (15.94, 2), (0.0232, 0)]
            .map(|(value, places)| Decimal::new(value, places));
        assert_eq!(point.less(depth).less(tape).to_string(), "1250.1768");
        let read = Decimal::new(4.0, 2);
        assert_eq!([read.to_string(), read.less(read).to_string()], ["4.00", "0.00"]);
        // In binary digits 100.3 - 99.9 is 0.3999999999999915.
        assert_eq!(Decimal::new(100.3, 1).less(Decimal::new(99.9, 1)).to_string(), "0.4");
        assert_eq!(Decimal::new(-1e-12, 2).to_string(), "0.00");
    }

    #[test]
    fn a_mean_has_the_decimals_it_needs() {
        let of = |values: &[f64]| {
            let all: Vec<Decimal> = values.iter().map(|v| Decimal::new(*v, 2)).collect();
            Decimal::mean(&all).map(|mean| mean.to_string())
        };
        assert_eq!(of(&[15.78, 15.79]).as_deref(), Some("15.785"));
        assert_eq!(of(&[12.99, 12.99]).as_deref(), Some("12.99"));
        assert_eq!(of(&[]), None);
    }

    #[test]
    fn rounding_goes_from_what_is_printed() {
        assert_eq!(Decimal::new(1250.975, 2).rounded(2).to_string(), "1250.98");
        assert_eq!(Decimal::new(1250.9, 1).rounded(2).to_string(), "1250.90");
        assert_eq!([needed(806.311_666_666_7), needed(12.0), needed(0.0232)], [9, 0, 4]);
    }
}
