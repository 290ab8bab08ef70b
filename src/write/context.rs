//! What several files need, worked out once.

use std::io;

use geo::Coord;

use crate::report::Intervals;
use crate::report::Levels;
use crate::report::OfRound;
use crate::report::Results;
use crate::report::digits;
use crate::units::HeightUnits;

/// The results with the units and positions their files share.
#[derive(Debug)]
pub(super) struct Context<'a> {
    /// All that is to be written.
    pub(super) results: &'a Results<'a>,
    /// What each row of its files belongs to.
    pub(super) of: OfRound,
    /// Units of heads and depths.
    pub(super) units: HeightUnits,
    /// The levels of the round with the terms of their heads.
    pub(super) levels: Levels<'a>,
    /// Longitude and latitude of each triangle's centroid; of no use in local coordinates, as all of these.
    pub(super) centroids: Vec<Coord>,
    /// The stretches of all contours: which line each is of, and which of its stretches.
    pub(super) stretches: Vec<(usize, usize)>,
    /// Longitude and latitude of each stretch's vertices, one stretch after another.
    pub(super) vertices: Vec<Coord>,
}

impl<'a> Context<'a> {
    /// Works out what the files share: positions are transformed before the files are written
    /// side by side, so that PROJ is started no more often than there are threads.
    ///
    /// # Errors
    /// When a position has no longitude and latitude.
    pub(super) fn new(results: &'a Results<'a>) -> io::Result<Self> {
        let settings = &results.site.settings;
        let units = results.round.units(settings);
        let mut centroids: Vec<_> = results.flow.triangles.iter().map(|f| f.centroid).collect();
        let supports = &results.uncertainty.contours;
        let stretches: Vec<_> = results.uncertainty.stretches().collect();
        let lines = &results.contours.lines;
        let of_stretch =
            |(line, s): &(usize, usize)| supports[*line].stretches[*s].points(&lines[*line].points);
        let mut vertices: Vec<_> = stretches.iter().flat_map(of_stretch).collect();
        let crs = results.control.crs();
        // Local coordinates have none, and no file that asks for them.
        if crs.is_on_earth() {
            crs.to_lon_lat(&mut centroids).map_err(io::Error::other)?;
            crs.to_lon_lat(&mut vertices).map_err(io::Error::other)?;
        }
        let levels = Levels::of(results);
        let of = OfRound::new(&results.site, &results.round, &results.control);
        Ok(Self { results, of, units, levels, centroids, stretches, vertices })
    }

    /// How sure a triangle's gradient and direction are: the gradient as far as the errors of the
    /// readings go, the direction as far as the surface between the wells does too.
    pub(super) fn sure(&self, triangle: usize) -> Intervals {
        let results = self.results;
        let error = results.uncertainty.triangles[triangle].as_ref();
        let convergence = results.flow.triangles[triangle].convergence_deg;
        let known = results.known(triangle);
        let sure = Intervals::of(error, convergence)
            .with_direction(known.map(|d| d.interval), convergence);
        Intervals { direction_resolved: results.resolves(triangle), ..sure }
    }

    /// Whether a triangle's direction is known to within the stated angle.
    pub(super) fn known(&self, triangle: usize) -> bool {
        self.results.known(triangle).is_some_and(|d| d.known)
    }

    /// How far a triangle's direction spreads over the realizations, degrees.
    pub(super) fn spread_deg(&self, triangle: usize) -> Option<f64> {
        self.results.flow.triangles[triangle].slope?;
        // A judged head is the same in every realization.
        if self.results.mesh.triangles()[triangle].is_judged() {
            return None;
        }
        let spread = self.results.uncertainty.spreads.get(triangle)?;
        // Beyond this the directions go all ways, and the number says nothing more.
        Some(digits::azimuth_difference(spread.sd_deg.min(180.0)))
    }
}
