//! What several files need, worked out once.

use std::io;

use geo::Coord;

use super::heights::Units;
use crate::results::Results;

/// The results with the units and positions their files share.
#[derive(Debug)]
pub(super) struct Context<'a> {
    /// All that is to be written.
    pub(super) results: &'a Results<'a>,
    /// Units of heads and depths.
    pub(super) units: Units,
    /// Longitude and latitude of each triangle's centroid.
    pub(super) centroids: Vec<Coord>,
    /// Longitude and latitude of each contour's vertices, one line after another.
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
        let units = Units { elevation: settings.elevation_unit, depth: settings.depth_unit };
        let lines = &results.contours.lines;
        let mut centroids: Vec<_> = results.flow.triangles.iter().map(|f| f.centroid).collect();
        let mut vertices: Vec<_> = lines.iter().flat_map(|l| l.points.iter().copied()).collect();
        let crs = results.control.crs();
        crs.to_lon_lat(&mut centroids).map_err(io::Error::other)?;
        crs.to_lon_lat(&mut vertices).map_err(io::Error::other)?;
        Ok(Self { results, units, centroids, vertices })
    }
}
