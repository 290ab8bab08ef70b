//! The lengths behind one reading, and the head they give.

use crate::read::Settings;
use crate::reduce::formula;
use crate::units::clean;

/// The lengths behind one reading after tape correction, depth unit.
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
    /// The head, elevation unit, where the lengths and the measuring point allow one.
    pub(super) fn head(self, measuring_point: Option<f64>, settings: &Settings) -> Option<f64> {
        let convert = |v| settings.depth_unit.convert(v, settings.elevation_unit);
        let head = match self {
            Self::Nothing => return None,
            Self::Elevation(elevation) => elevation,
            Self::Below(to_water) => formula::head_of_depth(measuring_point?, convert(to_water)),
            Self::Above(height) => formula::head_above(measuring_point?, convert(height)),
            Self::Product { to_product, to_water, gravity } => {
                // Without thickness there is nothing for a gravity to act on.
                let gravity = if to_product < to_water { gravity? } else { 0.0 };
                let (to_product, to_water) = (convert(to_product), convert(to_water));
                formula::head_of_product(measuring_point?, to_product, to_water, gravity)
            }
        };
        Some(clean(head))
    }
}
