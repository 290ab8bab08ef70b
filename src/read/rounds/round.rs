//! A synoptic round.

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;

use crate::geom::tolerance;
use crate::read::files::input_file::InputFile;
use crate::read::settings::head_errors::HeadErrors;
use crate::read::settings::of_site::Settings;
use crate::read::wells::reading::Reading;
use crate::units::{HeightUnits, LengthUnit};

/// A synoptic round of a site: the readings, and what holds for them alone. On record are its
/// settings.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Round {
    /// Its name: its file's name without the ending.
    #[serde(skip)]
    pub name: String,
    /// The readings, in the order of wells' names, numbers and times.
    #[serde(skip)]
    pub readings: Vec<Reading>,
    /// Unit of depths, product depths, pressure heads, hold and cut.
    pub depth_unit: LengthUnit,
    /// Repeated readings agree within this, depth unit.
    pub repeat_tolerance: f64,
    /// The parts of a head's error.
    pub head_errors: HeadErrors,
    /// The last day before the round on which the site was read, where it has earlier readings: measuring points
    /// are compared with those of that day.
    #[serde(skip)]
    pub before: Option<Date>,
    /// Each file read for the round alone, for the record.
    #[serde(skip)]
    pub inputs: Vec<InputFile>,
}

impl Round {
    /// A round of a site, its depths in the site's elevation unit, with the usual errors of heads.
    #[must_use]
    pub fn new(name: &str, readings: Vec<Reading>, settings: &Settings) -> Self {
        let depth_unit = settings.elevation_unit;
        Self {
            name: name.to_owned(),
            readings,
            depth_unit,
            repeat_tolerance: Self::usual_tolerance(depth_unit),
            head_errors: HeadErrors::default(),
            before: None,
            inputs: Vec::new(),
        }
    }

    /// Repeated readings agree within this unless the site says otherwise, depth unit.
    pub(in crate::read) const fn usual_tolerance(depth_unit: LengthUnit) -> f64 {
        if depth_unit.is_foot() { tolerance::REPEAT_FT } else { tolerance::REPEAT_M }
    }

    /// The units of its heads and of its depths.
    #[must_use]
    pub const fn units(&self, settings: &Settings) -> HeightUnits {
        HeightUnits { elevation: settings.elevation_unit, depth: self.depth_unit }
    }
}
