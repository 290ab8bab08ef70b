//! What the command line says over `site.toml`.

use serde::{Deserialize, Serialize};

use crate::units::LengthUnit;

use super::common_frame::CommonFrame;
use super::formats::VectorFormat;
use super::method::Method;
use super::sheet::SheetOverrides;

/// What the command line says over `site.toml`. Results keep it, so that they can be made again.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Overrides {
    /// The project CRS.
    pub crs: Option<String>,
    /// The unit of elevations.
    pub elevation_unit: Option<LengthUnit>,
    /// The aquifer unit to map.
    pub aquifer_unit: Option<String>,
    /// The node distance, in the site's length unit (the CRS's own unless declared).
    pub cell: Option<f64>,
    /// The contour interval, elevation unit.
    pub interval: Option<f64>,
    /// How heads between wells are worked out.
    pub surface: Option<Method>,
    /// Whether rasters of uncertainty are asked for.
    pub rasters: bool,
    /// The round to map: its file's name without the ending; or its day, its month or its year, as
    /// `2025-10`.
    pub round: Option<String>,
    /// Whether a folder without rounds is read: its first round is to come.
    pub before_first_round: bool,
    /// The sheet to read where a table is a workbook.
    pub worksheet: Option<String>,
    /// The layer to read where the table of wells is a vector file.
    pub layer: Option<String>,
    /// Formats beside those of `site.toml`.
    pub formats: Vec<VectorFormat>,
    /// How the map sheet is drawn.
    pub sheet: SheetOverrides,
    /// What the map shares with those of other rounds.
    pub common_frame: Option<CommonFrame>,
}
