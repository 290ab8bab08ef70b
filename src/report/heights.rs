//! Heads and depths in both units.

use crate::report::digits;
use crate::units::{HeightUnits, LengthUnit};

/// A height in m and in the site's foot, rounded as [`digits::height`] says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Height {
    /// Metres.
    pub(crate) m: f64,
    /// The foot of [`LengthUnit::foot`].
    pub(crate) ft: f64,
}

impl HeightUnits {
    /// A head or an elevation.
    ///
    /// # Units
    /// - `value`: elevation unit
    pub(crate) fn elevation(self, value: f64) -> Height {
        self.height(value, self.elevation)
    }

    /// A depth or a thickness.
    ///
    /// # Units
    /// - `value`: depth unit
    pub(crate) fn depth(self, value: f64) -> Height {
        self.height(value, self.depth)
    }

    fn height(self, value: f64, unit: LengthUnit) -> Height {
        Height {
            m: digits::height(unit.convert(value, LengthUnit::Metre)),
            ft: digits::height(unit.convert(value, self.elevation.foot())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn feet_follow_the_elevation_unit_and_the_two_feet_differ() {
        // NIST Special Publication 811, appendix B: 0.3048 m and 1200/3937 m.
        let us = HeightUnits { elevation: LengthUnit::UsSurveyFoot, depth: LengthUnit::Foot };
        assert_eq!(us.elevation(5280.0), Height { m: 1609.3472, ft: 5280.0 });
        assert_eq!(us.depth(5280.0), Height { m: 1609.344, ft: 5279.9894 });
        let metric = HeightUnits { elevation: LengthUnit::Metre, depth: LengthUnit::Metre };
        assert_eq!(metric.depth(304.8), Height { m: 304.8, ft: 1000.0 });
    }
}
