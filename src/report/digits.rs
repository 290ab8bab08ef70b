//! How many decimals each quantity gets in a file, and why: the one place that knows.
//!
//! A field reading carries 0.01 ft (3 mm). Every bound here lies far enough below that for a
//! value read back from a file to serve in place of the computed one, and far enough above the
//! sixteenth digit for two machines to print the same text.

use geo::Coord;

use crate::units::Azimuth;
use crate::units::{HEIGHT_DECIMALS, round_to, round_to_significant};

/// Longitude and latitude, degrees: 1e-8 degrees is 1.1 mm of latitude, below the 0.01 m of a
/// survey. RFC 7946, section 11.2, calls six decimals (0.1 m) enough for most maps; wells stand
/// closer to each other than most of what maps show.
const LON_LAT: i32 = 8;

/// Significant digits of gradients: the readings rarely support three.
const GRADIENT_DIGITS: i32 = 6;

/// Significant digits of velocities, times and widths that rest on a range of conductivity: its
/// ends are known to one or two.
const RANGE_DIGITS: i32 = 4;

/// Lengths along paths, m and ft: the place of a path is known far less well.
const LENGTH: i32 = 2;

/// Azimuths, degrees: 0.01 degrees is 0.17 m in a kilometre.
const AZIMUTH: i32 = 2;

/// Convergence, degrees: a property of the projection, known better than any direction of flow.
const CONVERGENCE: i32 = 4;

/// The projection's scale, dimensionless: published examples print eight decimals.
const SCALE: i32 = 8;

/// Eastings and northings, CRS units: a tenth of a millimetre or of a thousandth of a foot.
const POSITION: i32 = 4;

/// Areas, m²: the product of two survey digits of 0.1 m.
const AREA: i32 = 2;

/// Ratios and scores, dimensionless.
const RATIO: i32 = 3;

/// Coefficients that are read close to one: R², agreement.
const COEFFICIENT: i32 = 6;

/// A position in degrees.
pub(crate) fn lon_lat(p: Coord) -> Coord {
    Coord { x: round_to(p.x, LON_LAT), y: round_to(p.y, LON_LAT) }
}

/// A head, a depth or a difference of heads, m or ft.
pub(crate) fn height(value: f64) -> f64 {
    round_to(value, HEIGHT_DECIMALS)
}

/// A hydraulic gradient, dimensionless.
pub(crate) fn gradient(value: f64) -> f64 {
    round_to_significant(value, GRADIENT_DIGITS)
}

/// An end of a range that rests on a range of conductivity: a velocity, a time, a width.
pub(crate) fn range_end(value: f64) -> f64 {
    round_to_significant(value, RANGE_DIGITS)
}

/// A length along a path or between places, m or ft.
pub(crate) fn length(value: f64) -> f64 {
    round_to(value, LENGTH)
}

/// A direction, degrees clockwise from north, `0 <= a < 360` after rounding too.
pub(crate) fn azimuth(direction: Azimuth) -> f64 {
    Azimuth::from_degrees(round_to(direction.degrees(), AZIMUTH)).degrees()
}

/// A difference of directions, degrees.
pub(crate) fn azimuth_difference(degrees: f64) -> f64 {
    round_to(degrees, AZIMUTH)
}

/// Meridian convergence, degrees.
pub(crate) fn convergence(degrees: f64) -> f64 {
    round_to(degrees, CONVERGENCE)
}

/// The projection's scale.
pub(crate) fn scale(value: f64) -> f64 {
    round_to(value, SCALE)
}

/// An easting or a northing, CRS units.
pub(crate) fn position(value: f64) -> f64 {
    round_to(value, POSITION)
}

/// An area, m².
pub(crate) fn area(value: f64) -> f64 {
    round_to(value, AREA)
}

/// A ratio or a score.
pub(crate) fn ratio(value: f64) -> f64 {
    round_to(value, RATIO)
}

/// A ratio that may be infinite, which has no number.
pub(crate) fn finite_ratio(value: f64) -> Option<f64> {
    value.is_finite().then(|| ratio(value))
}

/// R² and its like.
pub(crate) fn coefficient(value: f64) -> f64 {
    round_to(value, COEFFICIENT)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gradient_keeps_six_significant_digits_whatever_its_size() {
        for (value, text) in [
            (0.001_234_567_89, "0.00123457"),
            (-0.098_765_432_1, "-0.0987654"),
            (1.234_567_89, "1.23457"),
            (12.345_678_9, "12.3457"),
            (0.000_000_012_345_678, "0.0000000123457"),
            (0.0, "0"),
            (-0.0, "0"),
        ] {
            assert_eq!(gradient(value).to_string(), text);
        }
    }

    #[test]
    fn an_azimuth_that_rounds_up_to_a_full_turn_is_north() {
        assert_eq!(azimuth(Azimuth::from_degrees(359.996)).to_string(), "0");
        assert_eq!(azimuth(Azimuth::from_degrees(359.994)).to_string(), "359.99");
    }

    #[test]
    fn positions_have_at_most_eight_decimals() {
        let p = lon_lat(Coord { x: -93.123_456_789_012, y: 44.987_654_321_098 });
        assert_eq!(
            (p.x.to_string().as_str(), p.y.to_string().as_str()),
            ("-93.12345679", "44.98765432")
        );
    }
}
