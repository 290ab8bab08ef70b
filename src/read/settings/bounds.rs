//! What a number of `site.toml` or of the command line may be. The bounds are wide: beyond them
//! stands no choice but a slip of the keyboard. All are common practice, no source.

use crate::units::brief;

/// The bounds of one kind of number.
#[derive(Debug, Clone, Copy)]
pub(in crate::read) enum Bound {
    /// A whole number, both ends among them, and why not another.
    Whole(u32, u32, &'static str),
    /// A number, both ends among them, and its unit.
    Within(f64, f64, &'static str),
    /// A number between two others, the first not among them, and whether the second is.
    Above(f64, f64, bool, &'static str),
}

impl Bound {
    pub(in crate::read) const COUNT: Self = Self::Whole(1, 1_000_000, "");
    pub(in crate::read) const REALIZATIONS: Self =
        Self::Whole(2, 1_000_000, ": one realization has no spread");
    pub(in crate::read) const UP_TO_ONE: Self = Self::Above(0.0, 1.0, true, "");
    pub(in crate::read) const HALF_CIRCLE: Self = Self::Above(0.0, 180.0, false, " degrees");
    pub(in crate::read) const FLOATING_PRODUCT: Self =
        Self::Above(0.0, 1.0, false, ": product floats on water");

    /// Nothing on earth is farther apart, in whatever unit.
    pub(in crate::read) const DISTANCE: Self =
        Self::Within(0.001, 1e8, "in the length unit of the site");
    /// Of contours.
    pub(in crate::read) const INTERVAL: Self = Self::Within(1e-6, 1e5, "in the elevation unit");
    /// Of levels and of the aquifer's base: farther than any land is high and any aquifer deep.
    pub(in crate::read) const LEVEL: Self = Self::Within(-1e5, 1e5, "in the elevation unit");
    /// Of coordinates: no CRS counts farther.
    pub(in crate::read) const POSITION: Self =
        Self::Within(-1e9, 1e9, "in the length unit of the site");
    /// Of errors of positions.
    pub(in crate::read) const POSITION_SD: Self =
        Self::Within(0.0, 1e8, "in the length unit of the site");
    /// Of errors and differences of depths.
    pub(in crate::read) const DEPTHS: Self = Self::Within(0.0, 1000.0, "in the depth unit");
    /// Of what an instrument reads wrong.
    pub(in crate::read) const OFFSET: Self = Self::Within(-1000.0, 1000.0, "in the depth unit");
    /// Of errors of elevations.
    pub(in crate::read) const ELEVATIONS: Self = Self::Within(0.0, 1000.0, "in the elevation unit");
    /// Of what changes with time.
    pub(in crate::read) const PER_HOUR: Self =
        Self::Within(0.0, 1000.0, "in the elevation unit per hour");
    /// Of parts of a length.
    pub(in crate::read) const PER_LENGTH: Self = Self::Within(0.0, 10.0, "for each unit of length");
    pub(in crate::read) const GRAVITY_SD: Self = Self::Within(0.0, 1.0, "without a unit");
    pub(in crate::read) const HOURS: Self = Self::Within(0.001, 1e6, "hours");
    pub(in crate::read) const YEARS: Self = Self::Within(0.001, 1e6, "years");
    /// Of variances: heads squared, or saturated thicknesses to the fourth power.
    pub(in crate::read) const SILL: Self =
        Self::Within(1e-20, 1e20, "in the elevation unit squared");
    pub(in crate::read) const NUGGET: Self =
        Self::Within(0.0, 1e20, "in the elevation unit squared");
    /// Of azimuths, twice around to either side.
    pub(in crate::read) const AZIMUTH: Self = Self::Within(-720.0, 720.0, "degrees");
    pub(in crate::read) const RATE: Self = Self::Within(-1e12, 1e12, "in the unit of the rates");
    pub(in crate::read) const SMOOTHING: Self =
        Self::Within(0.0, 1e20, "in the length unit of the site squared");
    pub(in crate::read) const POWER: Self = Self::Within(0.01, 100.0, "without a unit");
    /// Of what the scale is one in: from a detail of a yard to a country.
    pub(in crate::read) const SCALE: Self = Self::Within(10.0, 1e8, ", such as 500 for 1:500");
    /// Of distances on paper.
    pub(in crate::read) const ON_PAPER: Self = Self::Within(5.0, 1000.0, "mm on paper");
    /// Of borders of paper.
    pub(in crate::read) const MARGIN: Self = Self::Within(5.0, 60.0, "mm on paper");
    /// Of multiples of a spacing or an interval.
    pub(in crate::read) const MULTIPLE: Self = Self::Within(1e-9, 1e9, "without a unit");

    /// Whether a number is within.
    pub(in crate::read) fn holds(self, value: f64) -> bool {
        match self {
            Self::Whole(least, most, _) => {
                (f64::from(least)..=f64::from(most)).contains(&value) && value.fract() == 0.0
            }
            Self::Within(least, most, _) => (least..=most).contains(&value),
            Self::Above(bound, most, true, _) => value > bound && value <= most,
            Self::Above(bound, most, false, _) => value > bound && value < most,
        }
    }

    /// What a number must be, behind "is not".
    pub(in crate::read) fn words(self) -> String {
        match self {
            Self::Whole(least, most, why) => format!("a whole number from {least} to {most}{why}"),
            Self::Within(least, most, unit) => {
                format!("a number from {} to {} {unit}", brief(least), brief(most))
            }
            Self::Above(bound, most, is_among, why) => {
                let end = if is_among { "at most" } else { "below" };
                format!("a number above {} and {end} {}{why}", brief(bound), brief(most))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_finite_number_is_within_no_bounds() {
        let all = [
            Bound::COUNT,
            Bound::UP_TO_ONE,
            Bound::HALF_CIRCLE,
            Bound::DISTANCE,
            Bound::LEVEL,
            Bound::NUGGET,
        ];
        for bound in all {
            for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300] {
                assert!(!bound.holds(value), "{bound:?}: {value}");
            }
        }
    }

    #[test]
    fn ends_are_among_what_is_within_where_they_are_said_to_be() {
        for (bound, within, beyond) in [
            (Bound::DISTANCE, vec![0.001, 1e8], vec![0.000_999, 1.01e8, 0.0]),
            (Bound::COUNT, vec![1.0, 1e6], vec![0.0, 1.5, 1_000_001.0]),
            (Bound::UP_TO_ONE, vec![1e-9, 1.0], vec![0.0, 1.001]),
            (Bound::HALF_CIRCLE, vec![179.9], vec![0.0, 180.0]),
            (Bound::ELEVATIONS, vec![0.0, 1000.0], vec![-0.001, 1000.1]),
        ] {
            assert!(within.iter().all(|v| bound.holds(*v)), "{bound:?}");
            assert!(beyond.iter().all(|v| !bound.holds(*v)), "{bound:?}");
        }
        let words = "a number from 0.001 to 100000000 in the length unit of the site";
        assert_eq!(Bound::DISTANCE.words(), words);
        assert_eq!(Bound::HALF_CIRCLE.words(), "a number above 0 and below 180 degrees");
    }
}
