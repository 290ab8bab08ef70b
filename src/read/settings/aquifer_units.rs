//! Units of conductivity, transmissivity and pumping rates, as they are written and how large they are.

use toml::Spanned;

use super::reader::Reader;
use crate::diag::listed;
use crate::units::LengthUnit;

/// A unit of one of these quantities.
#[derive(Debug)]
pub(super) struct Unit {
    /// Its name in `site.toml` and in messages.
    pub(super) name: &'static str,
    /// How many m/d, m²/d or m³/d one of it is.
    pub(super) size: f64,
}

/// Seconds in a day.
pub(super) const DAY_S: f64 = 86_400.0;
const FOOT_M: f64 = LengthUnit::Foot.metres();

/// The US gallon, 231 cubic inches exactly.
const GALLON_M3: f64 = 231.0 * 0.0254 * 0.0254 * 0.0254;

const fn unit(name: &'static str, size: f64) -> Unit {
    Unit { name, size }
}

/// Of hydraulic conductivity, in m/d.
pub(super) const CONDUCTIVITY: &[Unit] = &[
    unit("m/d", 1.0),
    unit("m/s", DAY_S),
    unit("cm/s", 0.01 * DAY_S),
    unit("ft/d", FOOT_M),
    unit("gpd/ft2", GALLON_M3 / (FOOT_M * FOOT_M)),
];

/// Of transmissivity, in m²/d.
pub(super) const TRANSMISSIVITY: &[Unit] = &[
    unit("m2/d", 1.0),
    unit("m2/s", DAY_S),
    unit("ft2/d", FOOT_M * FOOT_M),
    unit("gpd/ft", GALLON_M3 / FOOT_M),
];

/// Of times, in d; a year is one of 365.25 days.
pub(super) const TIME: &[Unit] = &[unit("d", 1.0), unit("yr", 365.25)];

/// Of pumping rates, in m³/d.
pub(super) const RATE: &[Unit] = &[
    unit("m3/d", 1.0),
    unit("m3/h", 24.0),
    unit("L/s", 86.4),
    unit("ft3/d", FOOT_M * FOOT_M * FOOT_M),
    unit("gpm", 1440.0 * GALLON_M3),
];

impl Unit {
    /// Whether a text names it, times and powers in any of their usual spellings.
    fn is_named(&self, text: &str) -> bool {
        let parts = text.trim().split('/').map(|part| {
            let part = part.replace('²', "2").replace('³', "3").replace('^', "").to_lowercase();
            match part.as_str() {
                "day" => "d".to_owned(),
                "hr" | "hour" => "h".to_owned(),
                "sec" => "s".to_owned(),
                _ => part,
            }
        });
        parts.eq(self.name.split('/').map(str::to_lowercase))
    }
}

impl Reader<'_> {
    /// The unit that is named; R102 where it is none of them.
    pub(super) fn unit(
        &mut self,
        key: &str,
        given: Option<&Spanned<String>>,
        units: &'static [Unit],
    ) -> Option<&'static Unit> {
        let given = given?;
        let found = units.iter().find(|u| u.is_named(given.get_ref()));
        if found.is_none() {
            let names = listed(units.iter().map(|u| u.name));
            self.refuse(
                &given.span(),
                format!("{key} = \"{}\" is not one of {names}", given.get_ref()),
                "write one of these; convert numbers that are in any other unit",
            );
        }
        found
    }
}
