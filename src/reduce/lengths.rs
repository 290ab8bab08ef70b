//! The lengths behind one reading, and the head they give.

use crate::reduce::formula;
use crate::reduce::repeats::Depths;
use crate::units::{HEIGHT_DECIMALS, HeightUnits, clean, round_half};

/// The lengths behind one reading, depth unit.
#[derive(Debug, Clone, Copy)]
pub(super) enum Lengths {
    /// A status alone.
    Nothing,
    /// Down to the water.
    Below(f64),
    /// Down to product and water.
    Product { to_product: f64, to_water: f64, gravity: Option<f64> },
    /// Up to the level.
    Above(f64),
    /// The level itself, elevation unit.
    Elevation(f64),
}

impl Lengths {
    /// The depths to water and product, where it has any.
    pub(super) const fn depths(self) -> Option<Depths> {
        match self {
            Self::Below(to_water) => Some(Depths { to_water, to_product: None }),
            Self::Product { to_product, to_water, .. } => {
                Some(Depths { to_water, to_product: Some(to_product) })
            }
            Self::Nothing | Self::Above(_) | Self::Elevation(_) => None,
        }
    }

    /// The specific gravity of the product, where it has one.
    pub(super) const fn gravity(self) -> Option<f64> {
        match self {
            Self::Product { gravity, .. } => gravity,
            _ => None,
        }
    }

    /// What the product takes off the depth to water, where it is known, depth unit.
    pub(super) fn product_correction(self) -> Option<f64> {
        let Self::Product { to_product, to_water, gravity } = self else { return None };
        // Without thickness there is nothing for a gravity to act on.
        let gravity = if to_product < to_water { gravity? } else { 0.0 };
        Some(formula::product_correction(to_water - to_product, gravity))
    }

    /// The same with other depths.
    pub(super) fn with_depths(self, other: impl Fn(f64) -> f64) -> Self {
        match self {
            Self::Below(to_water) => Self::Below(other(to_water)),
            Self::Product { to_product, to_water, gravity } => {
                Self::Product { to_product: other(to_product), to_water: other(to_water), gravity }
            }
            Self::Nothing | Self::Above(_) | Self::Elevation(_) => self,
        }
    }

    /// The head, elevation unit, where the lengths and the measuring point allow one.
    pub(super) fn head(self, measuring_point: Option<f64>, units: HeightUnits) -> Option<f64> {
        let convert = |v| converted(v, units);
        let head = match self {
            Self::Nothing => return None,
            Self::Elevation(elevation) => elevation,
            Self::Below(to_water) => formula::head_of_depth(measuring_point?, convert(to_water)),
            Self::Above(height) => formula::head_above(measuring_point?, convert(height)),
            Self::Product { to_water, .. } => {
                let depth = clean(to_water - self.product_correction()?);
                formula::head_of_depth(measuring_point?, convert(depth))
            }
        };
        Some(clean(head))
    }
}

/// A length in the elevation unit: untouched where the units are one, else to 0.0001.
fn converted(length: f64, units: HeightUnits) -> f64 {
    if units.depth == units.elevation {
        return length;
    }
    round_half(units.depth.convert(length, units.elevation), HEIGHT_DECIMALS)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::LengthUnit;

    #[test]
    fn lengths_are_converted_to_four_decimals_and_left_alone_in_their_own_unit() {
        // NIST Special Publication 811, appendix B: 1 ft is 0.3048 m.
        let (ft, m) = (LengthUnit::Foot, LengthUnit::Metre);
        let in_unit = |depth, elevation| converted(9.313_131, HeightUnits { elevation, depth });
        assert!((in_unit(ft, m) - 2.8386).abs() < 1e-12);
        assert!((in_unit(ft, ft) - 9.313_131).abs() < 1e-12);
    }
}
