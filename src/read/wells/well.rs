//! A well or gauge, its measuring points, and the instruments it is measured with.

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::diag::Origin;

/// From where depths of wells and screens are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum DepthDatum {
    /// Below the measuring point.
    MeasuringPoint,
    /// Below the ground surface.
    Ground,
}

/// A well, or a gauge on surface water.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum WellKind {
    /// A monitoring well or piezometer.
    Well,
    /// A surface-water gauge or reference mark: a control point of the surface.
    Gauge,
}

impl WellKind {
    /// The word as it is written in tables.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Well => "well",
            Self::Gauge => "gauge",
        }
    }
}

/// One row of the register.
#[derive(Debug, Clone, PartialEq)]
pub struct Well {
    /// The well's name, trimmed.
    pub id: String,
    /// Well or gauge.
    pub kind: WellKind,
    /// Easting (or longitude), as given.
    pub easting: f64,
    /// Northing (or latitude), as given.
    pub northing: f64,
    /// Sd of either coordinate, CRS units; `None` for that of the site
    /// ([`crate::read::UncertaintySettings::position_sd`]).
    pub position_sd: Option<f64>,
    /// The aquifer unit its screen is open to.
    pub aquifer_unit: Option<String>,
    /// Ground elevation, elevation unit.
    pub ground_elevation: Option<f64>,
    /// Built depth of the well, elevation unit, from [`crate::read::Settings::depths_from`].
    pub total_depth: Option<f64>,
    /// Depth last sounded, elevation unit, from [`crate::read::Settings::sounded_from`].
    pub sounded_depth: Option<f64>,
    /// Depth of the screen's top, elevation unit, from [`crate::read::Settings::depths_from`].
    pub screen_top: Option<f64>,
    /// Depth of the screen's bottom, elevation unit, from [`crate::read::Settings::depths_from`].
    pub screen_bottom: Option<f64>,
    /// Specific gravity of the product that floats in it.
    pub specific_gravity: Option<f64>,
    /// Where the row stands.
    pub origin: Origin,
}

impl Well {
    /// A well of a name at a place, of which nothing more is known.
    ///
    /// # Units
    /// - `easting`, `northing`: CRS units
    #[must_use]
    pub fn new(id: &str, easting: f64, northing: f64) -> Self {
        Self {
            id: id.to_owned(),
            kind: WellKind::Well,
            easting,
            northing,
            position_sd: None,
            aquifer_unit: None,
            ground_elevation: None,
            total_depth: None,
            sounded_depth: None,
            screen_top: None,
            screen_bottom: None,
            specific_gravity: None,
            origin: Origin::file(GIVEN),
        }
    }
}

/// What stands for the file of that which no file says.
pub(super) const GIVEN: &str = "given in memory";

/// A measuring point's elevation, from a survey.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuringPoint {
    /// The first day it is valid; `None` when it is valid from the beginning.
    pub valid_from: Option<Date>,
    /// Elevation, elevation unit.
    pub elevation: f64,
    /// Where it stands.
    pub origin: Origin,
}

/// A tape's calibration: true depth = reading + offset + stretch x reading.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Calibration {
    /// To be added to every reading, depth unit.
    pub offset: f64,
    /// To be added for each unit of length read, dimensionless.
    pub stretch: f64,
}
