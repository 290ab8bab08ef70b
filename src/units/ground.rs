//! Lengths on the ground, as they are printed: feet for a site in feet, metres for any other.

use super::length::LengthUnit;
use super::number::{brief_to, fixed};

/// From here on, metres, a distance is given in kilometres or miles.
const LONG_FROM_M: f64 = 10_000.0;

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

    /// The unit of pumping rates: US gallons a minute on a site in feet, else cubic metres a day.
    #[must_use]
    pub const fn rate_name(self) -> &'static str {
        if self.0.is_foot() { "gpm" } else { "m3/d" }
    }

    /// A pumping rate in that unit.
    ///
    /// # Units
    /// - `m3_per_day`: m³/d
    ///
    /// # References
    /// A US gallon has 231 cubic inches of 0.0254 m.
    #[must_use]
    pub fn rate(self, m3_per_day: f64) -> f64 {
        const GALLONS_A_MINUTE: f64 = 1440.0 * 231.0 * 0.0254 * 0.0254 * 0.0254;
        if self.0.is_foot() { m3_per_day / GALLONS_A_MINUTE } else { m3_per_day }
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

    /// A distance to the whole unit, to a tenth below ten, and from 10 km on in kilometres or miles.
    ///
    /// # Units
    /// - `metres`: m
    #[must_use]
    pub fn away(self, metres: f64) -> String {
        const MILE_M: f64 = 5280.0 * LengthUnit::Foot.metres();
        if metres >= LONG_FROM_M {
            let (long, name) =
                if self.0.is_foot() { (metres / MILE_M, "miles") } else { (metres / 1000.0, "km") };
            return format!("{} {name}", brief_to(long, 0));
        }
        self.away_to(metres, i32::from(self.length(metres) < 10.0))
    }

    /// A distance with so many decimals, in m or ft however long it is.
    ///
    /// # Units
    /// - `metres`: m
    #[must_use]
    pub fn away_to(self, metres: f64, decimals: i32) -> String {
        format!("{} {}", brief_to(self.length(metres), decimals), self.name())
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
        assert_eq!(fixed(ft.area(0.3048 * 0.3048), 6), "1.000000");
    }

    #[test]
    fn distances_are_in_the_units_of_the_site() {
        let all = |metres| LengthUnit::ALL.map(|unit| GroundUnit::of(unit).away(metres));
        assert_eq!(all(1.23), ["1.2 m", "4.0 ft", "4.0 ft"]);
        assert_eq!(all(304.8), ["305 m", "1000 ft", "1000 ft"]);
        assert_eq!(all(160_934.4), ["161 km", "100 miles", "100 miles"]);
        assert_eq!(GroundUnit::of(LengthUnit::Foot).away_to(0.01, 3), "0.033 ft");
    }
}
