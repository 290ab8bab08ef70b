//! A site's units and the facts that several parts of the page tell.

use crate::page::plain;
use crate::report::measures;
use crate::report::{Norths, Results};
use crate::uncertainty::GradientError;
use crate::units::Azimuth;
use crate::units::GroundUnit;
use crate::units::LengthUnit;

/// The results with what several parts of the page need of them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Site<'a> {
    pub(super) results: &'a Results<'a>,
    /// Unit of heads and elevations.
    pub(super) elevation: LengthUnit,
    /// Unit of depths.
    pub(super) depth: LengthUnit,
    pub(super) norths: Norths,
}

impl<'a> Site<'a> {
    pub(super) fn of(results: &'a Results<'a>) -> Self {
        Self {
            results,
            elevation: results.control.elevation_unit(),
            depth: results.round.depth_unit,
            norths: Norths::of(&results.control),
        }
    }

    /// A head or an elevation with its unit.
    pub(super) fn head(&self, value: f64) -> String {
        format!("{} {}", measures::height(value, self.elevation), self.elevation.in_words())
    }

    /// A depth with its unit.
    pub(super) fn depth_to(&self, value: f64) -> String {
        format!("{} {}", measures::height(value, self.depth), self.depth.in_words())
    }

    /// A length of heads given in metres, in the elevation unit.
    pub(super) fn in_elevation_unit(&self, metres: f64) -> f64 {
        LengthUnit::Metre.convert(metres, self.elevation)
    }

    /// The unit of distances on the ground.
    pub(super) fn ground(&self) -> GroundUnit {
        GroundUnit::of(self.elevation)
    }

    /// The well's name, safe to show.
    pub(super) fn well(&self, point: usize) -> String {
        plain::text(&self.results.control.points()[point].id)
    }

    /// The file beside the page that holds all of a layer: local coordinates have no GeoJSON.
    pub(super) fn layer(&self, name: &str) -> String {
        if self.results.control.crs().is_on_earth() {
            format!("{name}.geojson")
        } else {
            "layers.gpkg".to_owned()
        }
    }
}

/// A gradient's direction and interval against the stated north in words.
pub(super) fn direction(
    azimuth: Option<Azimuth>,
    error: Option<&GradientError>,
    norths: Norths,
) -> String {
    match (azimuth, error) {
        (None, _) => "none: the heads are level".to_owned(),
        (Some(_), Some(e)) if !e.resolved => e.verdict().to_owned(),
        (Some(azimuth), Some(e)) => format!(
            "{}, 95 % {}",
            measures::toward(azimuth),
            measures::arc(e.direction.turned(norths.turn_deg()))
        ),
        (Some(azimuth), None) => measures::toward(azimuth),
    }
}
