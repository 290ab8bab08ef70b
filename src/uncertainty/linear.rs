//! The linear surface between wells: what the errors of the heads make of it.

use geo::Coord;
use rayon::prelude::*;
use serde::Serialize;

use crate::geom::{Frame, Slope, TriangleIndex, slope_of_triangle, weights};
use crate::interpolate::{Grid, GridSpec};

/// How the band of a contour is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BandOptions {
    /// Half width in standard deviations; 1.96 makes a 95 % band at every single vertex.
    pub sds: f64,
    /// The widest half width drawn, m; half the usual spacing of wells is sensible. Where the
    /// water table is nearly flat, the place of a contour is open and the quotient has no bound.
    pub cap_m: f64,
}

/// Half the width of a contour's band at one vertex.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HalfWidth {
    /// On the ground, to each side, m.
    pub half_width_m: f64,
    /// Whether it was cut off at [`BandOptions::cap_m`].
    pub capped: bool,
}

/// A triangulated surface whose heads have standard deviations.
#[derive(Debug)]
pub struct LinearSurface<'a> {
    points: &'a [Coord],
    sds: &'a [f64],
    triangles: &'a [[usize; 3]],
    /// How steep each triangle is, head unit per m; 0 without an area.
    steepness: Vec<f64>,
    index: TriangleIndex,
}

impl<'a> LinearSurface<'a> {
    /// A surface to ask.
    ///
    /// # Units
    /// - `points`: m; `heads`, `sds`: elevation unit, one for each point
    /// - `triangles`: indices into the three slices, counter-clockwise
    ///
    /// # Panics
    /// When an index is not that of a point, or the slices differ in length.
    #[must_use]
    pub fn new(
        points: &'a [Coord],
        heads: &'a [f64],
        sds: &'a [f64],
        triangles: &'a [[usize; 3]],
    ) -> Self {
        let lengths = [heads.len(), sds.len()];
        assert_eq!(lengths, [points.len(); 2], "this is a bug in headfall: lengths differ");
        let steep = |t: &[usize; 3]| {
            let slope = slope_of_triangle(t.map(|i| points[i]), t.map(|i| heads[i]));
            slope.map_or(0.0, Slope::magnitude)
        };
        let steepness = triangles.par_iter().map(steep).collect();
        let index = TriangleIndex::new(triangles.iter().map(|t| t.map(|i| points[i])));
        Self { points, sds, triangles, steepness, index }
    }

    /// The triangle around a place, the first one on an edge, and the weights of its corners;
    /// `None` outside the outline.
    ///
    /// # Units
    /// - `p`: m
    #[must_use]
    pub fn locate(&self, p: Coord) -> Option<(usize, [f64; 3])> {
        self.index.around(p, |t| self.corners(t))
    }

    /// Standard deviation of the surface at a place, from the weights of the three heads:
    /// `sqrt(sum w_i² sd_i²)`. Exact for the linear surface. It is the error of the surface that
    /// the true heads would give, and holds nothing of how the water table bends between wells.
    ///
    /// # Units
    /// - `p`: m; returns: elevation unit
    #[must_use]
    pub fn sd_at(&self, p: Coord) -> Option<f64> {
        self.locate(p).map(|(t, weights)| self.sd(t, weights))
    }

    /// How steep the triangle around a place is, elevation unit per m; `None` outside the outline.
    ///
    /// # Units
    /// - `p`: m
    #[must_use]
    pub(super) fn steepness_at(&self, p: Coord) -> Option<f64> {
        self.locate(p).map(|(t, _)| self.steepness[t])
    }

    /// The standard deviation at every node, elevation unit.
    ///
    /// # Units
    /// - `frame`: the frame of the points; `spec`: CRS units
    #[must_use]
    pub fn sd_grid(&self, frame: &Frame, spec: GridSpec) -> Grid {
        self.grid(frame, spec, |t, weights| self.sd(t, weights))
    }

    /// A value at every node from the triangle around it and its weights, such as the triangle's
    /// spread of directions. Nodes outside the outline have none.
    ///
    /// # Units
    /// - `frame`: the frame of the points; `spec`: CRS units
    #[must_use]
    pub fn grid(
        &self,
        frame: &Frame,
        spec: GridSpec,
        value: impl Fn(usize, [f64; 3]) -> f64 + Sync,
    ) -> Grid {
        let values = (0..spec.rows)
            .into_par_iter()
            .flat_map_iter(|row| {
                let nodes: Vec<Coord> =
                    (0..spec.columns).map(|c| frame.to_local(spec.node(row, c))).collect();
                let at = |place: Option<(usize, [f64; 3])>| {
                    place.map_or(f64::NAN, |(t, weights)| value(t, weights))
                };
                self.along(&nodes).into_iter().map(at).collect::<Vec<_>>()
            })
            .collect();
        Grid::new(spec, values)
    }

    /// Half the width of a contour's band at each of its vertices: the standard deviation of the
    /// head over the gradient there.
    ///
    /// A vertex outside the outline, or on a level triangle, gets the cap.
    ///
    /// # Units
    /// - `contour`: m; returns: m on the ground, horizontally, at right angles to the contour
    ///
    /// # References
    /// First-order propagation through `x = h / |grad h|`; common practice, no source.
    #[must_use]
    pub fn band(&self, contour: &[Coord], options: BandOptions) -> Vec<HalfWidth> {
        let sd = |at: Option<(usize, [f64; 3])>| at.map(|(t, weights)| (t, self.sd(t, weights)));
        self.along(contour).into_iter().map(|at| self.half_width(sd(at), options)).collect()
    }

    /// As [`Self::locate`] for each vertex of a line: most lie in the triangle of the one before,
    /// and the first in that of the second where it is on a side.
    pub(super) fn along(&self, line: &[Coord]) -> Vec<Option<(usize, [f64; 3])>> {
        let mut last = line.get(1).and_then(|p| self.locate(*p)).map(|(t, _)| t);
        let find = |p: &Coord| {
            let same = last.and_then(|t| Some((t, weights(self.corners(t), *p)?)));
            let found = same.or_else(|| self.locate(*p));
            last = found.map(|(t, _)| t);
            found
        };
        line.iter().map(find).collect()
    }

    /// Half the width of a contour's band where a triangle holds it and the head has a standard
    /// deviation.
    pub(super) fn half_width(&self, at: Option<(usize, f64)>, options: BandOptions) -> HalfWidth {
        let free = at.map_or(f64::INFINITY, |(t, sd)| options.sds * sd / self.steepness[t]);
        // The comparison is false for 0/0.
        if free <= options.cap_m {
            HalfWidth { half_width_m: free, capped: false }
        } else {
            HalfWidth { half_width_m: options.cap_m, capped: true }
        }
    }

    pub(super) fn sd(&self, triangle: usize, weights: [f64; 3]) -> f64 {
        let corners = self.triangles[triangle];
        let part = |k: usize| {
            let sd = weights[k] * self.sds[corners[k]];
            sd * sd
        };
        (part(0) + part(1) + part(2)).sqrt()
    }

    fn corners(&self, triangle: usize) -> [Coord; 3] {
        self.triangles[triangle].map(|i| self.points[i])
    }
}
