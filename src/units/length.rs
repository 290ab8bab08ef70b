//! Units of length and their exact sizes.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A unit of length that a register, a round or a CRS may use.
///
/// # References
/// International foot: 0.3048 m exactly. US survey foot: 1200/3937 m exactly
/// (US National Geodetic Survey; deprecated for new work after 31 December 2022).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub enum LengthUnit {
    /// The metre.
    #[serde(rename = "m", alias = "metre", alias = "meter")]
    Metre,
    /// The international foot, 0.3048 m.
    #[serde(rename = "ft", alias = "foot", alias = "feet")]
    Foot,
    /// The US survey foot, 1200/3937 m.
    #[serde(rename = "ft-us", alias = "us-ft", alias = "US survey foot")]
    UsSurveyFoot,
}

impl LengthUnit {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Metre, Self::Foot, Self::UsSurveyFoot];

    /// Metres in one of this unit.
    ///
    /// # Units
    /// - returns: m per unit
    #[must_use]
    pub const fn metres(self) -> f64 {
        match self {
            Self::Metre => 1.0,
            Self::Foot => 0.3048,
            Self::UsSurveyFoot => 1200.0 / 3937.0,
        }
    }

    /// The unit's name in `site.toml`, tables and messages: `m`, `ft` or `ft-us`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Metre => "m",
            Self::Foot => "ft",
            Self::UsSurveyFoot => "ft-us",
        }
    }

    /// The unit as people say it: `m`, `ft` or `US survey ft`.
    #[must_use]
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::Metre => "m",
            Self::Foot => "ft",
            Self::UsSurveyFoot => "US survey ft",
        }
    }

    /// The unit at the end of a name: `m`, `ft` or `ft_us`.
    #[must_use]
    pub const fn in_names(self) -> &'static str {
        match self {
            Self::Metre => "m",
            Self::Foot => "ft",
            Self::UsSurveyFoot => "ft_us",
        }
    }

    /// Whether this is one of the two feet.
    #[must_use]
    pub const fn is_foot(self) -> bool {
        !matches!(self, Self::Metre)
    }

    /// The foot in which `head_ft` columns are given for a site of this elevation unit:
    /// the site's own foot, else the international one.
    #[must_use]
    pub const fn foot(self) -> Self {
        match self {
            Self::UsSurveyFoot => Self::UsSurveyFoot,
            _ => Self::Foot,
        }
    }

    /// `value` in this unit, given in `to`. Equal units return `value` untouched, so that
    /// a reading in the site's own unit keeps every digit.
    ///
    /// # Units
    /// - `value`: this unit
    /// - returns: `to`
    #[must_use]
    pub fn convert(self, value: f64, to: Self) -> f64 {
        if self == to { value } else { value * self.metres() / to.metres() }
    }

    /// The unit whose size in metres this is, within 1 part in 10^9 (the two feet differ by
    /// 2 parts in 10^6).
    #[must_use]
    pub fn from_metres(metres_per_unit: f64) -> Option<Self> {
        [Self::Metre, Self::Foot, Self::UsSurveyFoot]
            .into_iter()
            .find(|u| (u.metres() - metres_per_unit).abs() <= 1e-9 * u.metres())
    }
}

impl std::fmt::Display for LengthUnit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name())
    }
}
/// The units that heights are given in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HeightUnits {
    /// Unit of heads and elevations.
    pub elevation: LengthUnit,
    /// Unit of depths.
    pub depth: LengthUnit,
}
