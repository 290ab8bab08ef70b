//! Decimals as people reckon with them: whole numbers of 1e-12, no binary digits.

use std::ops::{Add, Sub};

/// Digits behind the point that are kept.
const PLACES: u32 = 12;

/// A decimal number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(crate) struct Exact(i128);

impl Exact {
    /// A number as it is printed; fails on any other text.
    #[track_caller]
    pub(crate) fn of(text: &str) -> Self {
        let (sign, digits) = text.strip_prefix('-').map_or((1, text), |rest| (-1, rest));
        let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
        assert!(part.len() <= PLACES as usize && !whole.is_empty(), "\"{text}\" is no decimal");
        let all = format!("{whole}{part:0<width$}", width = PLACES as usize);
        Self(sign * all.parse::<i128>().unwrap_or_else(|e| panic!("\"{text}\": {e}")))
    }

    /// A product, rounded to so many decimals, halves away from zero.
    pub(crate) fn times(self, other: Self, decimals: u32) -> Self {
        Self::rounded_from(self.0 * other.0, 2 * PLACES, decimals)
    }

    /// This times a fraction, rounded to so many decimals.
    pub(crate) fn scaled(self, (over, under): (i128, i128), decimals: u32) -> Self {
        let unit = 10_i128.pow(PLACES - decimals);
        let (n, d) =
            (2 * self.0 * over + (self.0 * over).signum() * under * unit, 2 * under * unit);
        Self(n / d * unit)
    }

    /// Half of it.
    pub(crate) fn half(self) -> Self {
        Self(self.0 / 2)
    }

    pub(crate) fn rounded(self, decimals: u32) -> Self {
        Self::rounded_from(self.0, PLACES, decimals)
    }

    pub(crate) fn distance(self, other: Self) -> Self {
        Self((self.0 - other.0).abs())
    }

    fn rounded_from(value: i128, places: u32, decimals: u32) -> Self {
        let unit = 10_i128.pow(places - decimals);
        let rounded = (2 * value + value.signum() * unit) / (2 * unit);
        Self(rounded * 10_i128.pow(PLACES - decimals))
    }
}

impl Add for Exact {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Exact {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

#[test]
fn decimals_are_reckoned_without_binary_digits() {
    assert_eq!(Exact::of("0.1") + Exact::of("0.2"), Exact::of("0.3"));
    assert_eq!(Exact::of("-0.84").times(Exact::of("0.44"), 4), Exact::of("-0.3696"));
    assert_eq!(Exact::of("0.5").times(Exact::of("0.0001"), 4), Exact::of("0.0001"));
    assert_eq!(Exact::of("9.31").scaled((3048, 10_000), 4), Exact::of("2.8377"));
    assert_eq!(Exact::of("-1.00005").rounded(4), Exact::of("-1.0001"));
}
