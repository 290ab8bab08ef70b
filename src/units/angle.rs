//! Directions on the map.

use schemars::JsonSchema;
use serde::Serialize;

use super::number::fixed;

/// A direction in degrees clockwise from a north (grid north unless a name says true north),
/// `0 <= degrees < 360`.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, JsonSchema)]
#[serde(transparent)]
#[schemars(inline, extend("minimum" = 0, "exclusiveMaximum" = 360))]
pub struct Azimuth(f64);

impl Azimuth {
    /// The azimuth of this many degrees, folded into `0 <= a < 360`.
    ///
    /// # Units
    /// - `degrees`: degrees clockwise from north
    #[must_use]
    pub fn from_degrees(degrees: f64) -> Self {
        let folded = degrees.rem_euclid(360.0);
        // rem_euclid of a tiny negative number rounds up to exactly 360.
        Self(if folded >= 360.0 { 0.0 } else { folded })
    }

    /// The direction of a vector, or `None` for the zero vector, which has none.
    ///
    /// # Units
    /// - `east`, `north`: any one unit
    #[must_use]
    pub fn of_vector(east: f64, north: f64) -> Option<Self> {
        (east != 0.0 || north != 0.0)
            .then(|| Self::from_degrees(libm::atan2(east, north).to_degrees()))
    }

    /// Degrees clockwise from north, `0 <= a < 360`.
    #[must_use]
    pub const fn degrees(self) -> f64 {
        self.0
    }

    /// In whole degrees, as people read it: `0` and never `360`.
    #[must_use]
    pub fn whole_degrees(self) -> String {
        fixed(Self::from_degrees(self.0.round()).0, 0)
    }

    /// This direction turned clockwise by `degrees`.
    #[must_use]
    pub fn turned(self, degrees: f64) -> Self {
        Self::from_degrees(self.0 + degrees)
    }

    /// The smallest turn between two directions, 0 to 180 degrees.
    #[must_use]
    pub fn between(self, other: Self) -> f64 {
        let d = (self.0 - other.0).abs();
        d.min(360.0 - d)
    }

    /// The nearest of the sixteen compass points: `N`, `NNE`, `NE` ...
    #[must_use]
    pub fn compass_point(self) -> &'static str {
        const POINTS: [&str; 16] = [
            "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW",
            "NW", "NNW",
        ];
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 <= a < 360, so the quotient is 0 to 16"
        )]
        let nearest = (self.0 / 22.5).round() as usize;
        POINTS[nearest % 16]
    }
}
