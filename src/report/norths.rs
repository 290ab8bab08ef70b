//! The norths of a map: that of its plan, and the one that directions are stated against.

use serde::Serialize;

use crate::check::ControlSet;
use crate::units::Azimuth;

/// What a direction is counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum North {
    /// The meridian.
    #[serde(rename = "true north")]
    True,
    /// The northings of a CRS.
    #[serde(rename = "grid north")]
    Grid,
    /// The northings of local coordinates.
    #[serde(rename = "site north")]
    Site,
}

impl North {
    /// Its name.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::True => "true north",
            Self::Grid => "grid north",
            Self::Site => "site north",
        }
    }

    /// Its name behind "toward".
    #[must_use]
    pub const fn toward(self) -> &'static str {
        match self {
            Self::True => "toward, true north",
            Self::Grid => "toward, grid north",
            Self::Site => "toward, site north",
        }
    }
}

/// The norths of a map.
///
/// Where true north is known, directions are stated against it; in local coordinates of which nobody knows
/// the azimuth of site north, against site north.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Norths {
    /// What directions are stated against.
    pub stated: North,
    /// What is up on the map.
    pub plan: North,
    /// Whether these are two.
    pub both: bool,
    /// From true north to that of the plan, degrees clockwise at the site's centre; `None` where true north
    /// is not known.
    pub convergence_deg: Option<f64>,
}

impl Norths {
    /// The norths of a map.
    #[must_use]
    pub fn of(control: &ControlSet) -> Self {
        let convergence_deg = control.convergence_deg();
        let plan = if control.crs().is_on_earth() { North::Grid } else { North::Site };
        let both = convergence_deg.is_some();
        Self { stated: if both { North::True } else { plan }, plan, both, convergence_deg }
    }

    /// From the plan's north to the stated one, degrees.
    #[must_use]
    pub fn turn_deg(&self) -> f64 {
        self.convergence_deg.unwrap_or(0.0)
    }

    /// A direction against the plan's north as it is stated.
    #[must_use]
    pub fn state(&self, plan: Azimuth) -> Azimuth {
        plan.turned(self.turn_deg())
    }
}
