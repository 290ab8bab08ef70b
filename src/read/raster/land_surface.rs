//! The land surface of a site: elevations at places of the map.

use std::path::{Path, PathBuf};

use geo::Coord;

use super::pixels;
use crate::error::Error;
use crate::geom::Crs;
use crate::read::files::input_file::InputFile;
use crate::read::settings::aquifer::GroundSettings;
use crate::units::LengthUnit;

/// The elevation of the ground at places.
#[derive(Debug, Clone, PartialEq)]
pub struct Ground {
    /// One for each place, in the unit asked for; `None` where the raster has no value.
    pub elevations: Vec<Option<f64>>,
    /// The file and all that says more about it, for the record.
    pub inputs: Vec<InputFile>,
}

/// The land surface of a site: a raster that is opened where elevations are asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct LandSurface {
    folder: PathBuf,
    declared: GroundSettings,
}

impl LandSurface {
    /// The raster that a site declares; its name counts from `folder`.
    #[must_use]
    pub fn new(folder: &Path, declared: GroundSettings) -> Self {
        Self { folder: folder.to_owned(), declared }
    }

    /// What the site says of it.
    #[must_use]
    pub const fn declared(&self) -> &GroundSettings {
        &self.declared
    }

    /// Reads the elevation of the ground at places, between pixels by bilinear interpolation.
    ///
    /// A place whose four pixels do not all have a value has none, and neither has one beyond the
    /// raster. The places are transformed to the raster's CRS, not the raster to the map's.
    ///
    /// # Units
    /// - `crs`, `places`: the project CRS and positions in it; `unit`: of what is returned
    ///
    /// # Errors
    /// [`Error::Read`] with R101 when the file cannot be read or GDAL is not built in, R117 when it has no CRS that PROJ
    /// knows, R139 when it has one and the places are in local coordinates, R112 when it states another unit than the settings, D218 when a pixel about the places has
    /// an elevation that no ground has.
    pub fn at(&self, crs: &Crs, places: &[Coord], unit: LengthUnit) -> Result<Ground, Error> {
        let Self { folder, declared } = self;
        let (elevations, inputs) = pixels::elevations(folder, declared, crs, places, unit)?;
        Ok(Ground { elevations, inputs })
    }
}
