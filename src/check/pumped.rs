//! Pumped wells that the site declares, against the wells.

use geo::Coord;

use super::types::ControlSet;
use crate::diag::{Code, Diagnostic};
use crate::geom::distance;
use crate::geom::tolerance::FAR_FEATURE_M;
use crate::read::{PumpedWell, Site};
use crate::units::GroundUnit;

/// Where a pumped well stands: as given, or as the register has it.
///
/// # Units
/// - returns: CRS units
#[must_use]
pub fn position(pumped: &PumpedWell, site: &Site, control: &ControlSet) -> Option<Coord> {
    let given = pumped.position.map(|(x, y)| Coord { x, y });
    given.or_else(|| {
        let index = site.wells.iter().position(|w| w.id == pumped.well)?;
        control.places()[index].map(|p| p.crs)
    })
}

/// Pumped wells whose own level is a control point (T506), or that lie far from the wells (R120).
pub(super) fn wells(site: &Site, control: &ControlSet) -> Vec<Diagnostic> {
    let mut told = Vec::new();
    let frame = control.frame();
    for pumped in &site.pumped_wells {
        let name = &pumped.well;
        if control.points().iter().any(|p| p.id == *name) {
            told.push(
                Diagnostic::new(
                    Code::PumpedLevelUsed,
                    format!("the level in pumped well {name} is used for the map as it was read"),
                )
                .well(name)
                .advice(
                    "correct it for well losses, or leave it out and use piezometers beside the \
                     well: an uncorrected level makes the cone too deep and the capture zone too \
                     large",
                ),
            );
        }
        let far = pumped
            .position
            .zip(control.points().first())
            .map(|((x, y), first)| distance(Coord { x, y }, first.crs) * frame.metres_per_unit());
        if let Some(metres) = far.filter(|m| *m > FAR_FEATURE_M) {
            told.push(
                Diagnostic::new(
                    Code::FeatureFar,
                    format!(
                        "pumped well {name} lies {} from the wells",
                        GroundUnit::of(control.elevation_unit()).away(metres)
                    ),
                )
                .well(name)
                .advice("check its easting and northing under [[pumped_wells]] in site.toml"),
            );
        }
    }
    told
}
