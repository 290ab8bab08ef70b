//! What features are read against: the folder, the coordinate systems, the wells.

use std::path::Path;

use geo::Coord;

use crate::geom::{Crs, Similarity};
use crate::read::wells::well::Well;
use crate::units::LengthUnit;

/// What features are read against.
#[derive(Debug)]
pub(in crate::read) struct Surroundings<'a> {
    /// The site folder.
    pub(in crate::read) folder: &'a Path,
    pub(in crate::read) project: &'a Crs,
    /// The register's own CRS, where it has one.
    pub(in crate::read) register: Option<&'a Crs>,
    /// From local coordinates to the project CRS, where wells tie them: those of wells are in it already.
    pub(in crate::read) tie: Option<&'a Similarity>,
    /// Units of the register's CRS in one length unit, for positions.
    pub(in crate::read) per_length_unit: f64,
    /// Units of the project CRS in one length unit, for distances.
    pub(in crate::read) distance_unit: f64,
    pub(in crate::read) elevation_unit: LengthUnit,
    pub(in crate::read) wells: &'a [Well],
}

impl Surroundings<'_> {
    /// Where the wells stand, CRS units; `None` for one that PROJ cannot place.
    pub(super) fn positions(&self) -> Vec<Option<Coord>> {
        let given = self.wells.iter().map(|w| Coord { x: w.easting, y: w.northing });
        given.map(|p| self.of_register(p)).collect()
    }

    /// A position of `site.toml`, where it stands as it would in the register's table, in the project CRS.
    pub(super) fn of_settings(&self, p: Coord) -> Option<Coord> {
        // Positions of wells are already in the CRS unit, those written there in the length unit.
        match self.tie {
            Some(tie) => Some(tie.apply(p)),
            None => self.of_register(p * self.per_length_unit),
        }
    }

    /// A position in the register's CRS as one in the project's.
    pub(super) fn of_register(&self, p: Coord) -> Option<Coord> {
        let mut place = [p];
        if let Some(register) = self.register {
            self.project.convert_from(register, &mut place).ok()?;
        }
        Some(place[0])
    }
}
