//! Lengths on the ground, as they are printed: feet for a site in feet, metres for any other.

use super::length::LengthUnit;
use super::number::{brief_to, fixed};

/// From here on, metres, a length is given in kilometres.
const KILOMETRES_FROM: f64 = 10_000.0;

/// The unit of lengths on the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GroundUnit(LengthUnit);

impl GroundUnit {
    /// That of a site whose elevations are in this unit.
    #[must_use]
    pub const fn of(elevation: LengthUnit) -> Self {
        Self(elevation)
    }

    /// `ft` or `m`: over the ground both feet are feet.
    #[must_use]
    pub const fn name(self) -> &'static str {
        if self.0.is_foot() { "ft" } else { "m" }
    }

    /// A length in this unit.
    ///
    /// # Units
    /// - `metres`: m
    #[must_use]
    pub fn length(self, metres: f64) -> f64 {
        LengthUnit::Metre.convert(metres, self.0)
    }

    /// An area in the square of this unit.
    ///
    /// # Units
    /// - `square_metres`: m²
    #[must_use]
    pub fn area(self, square_metres: f64) -> f64 {
        let side = self.length(1.0);
        square_metres * side * side
    }

    /// A length to the whole unit: `175 m`.
    ///
    /// # Units
    /// - `metres`: m
    #[must_use]
    #[track_caller]
    pub fn whole(self, metres: f64) -> String {
        format!("{} {}", fixed(self.length(metres), 0), self.name())
    }

    /// A length to the whole unit, to a tenth below ten, and in kilometres from ten of them on.
    ///
    /// # Units
    /// - `metres`: m
    #[must_use]
    #[track_caller]
    pub fn brief(self, metres: f64) -> String {
        if metres >= KILOMETRES_FROM {
            return format!("{} km", brief_to(metres / 1000.0, 0));
        }
        let long = self.length(metres);
        format!("{} {}", brief_to(long, i32::from(long < 10.0)), self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_site_in_feet_has_its_lengths_in_feet() {
        // 0.3048 m exactly: NIST Special Publication 811, appendix B.
        let [m, ft] = [LengthUnit::Metre, LengthUnit::Foot].map(GroundUnit::of);
        assert_eq!((m.whole(175.4), ft.whole(304.8)), ("175 m".to_owned(), "1000 ft".to_owned()));
        assert_eq!((m.brief(4.25), ft.brief(1.524)), ("4.2 m".to_owned(), "5.0 ft".to_owned()));
        assert_eq!(ft.brief(12_400.0), "12 km");
        assert_eq!(fixed(ft.area(0.3048 * 0.3048), 6), "1.000000");
    }
}
