//! Arrows of flow: where one may be drawn, whether its direction is known, how long it is.

use geo::Coord;

use super::results::Results;
use crate::geom::{Slope, TriangleIndex};
use crate::interpolate::RoundNumber;
use crate::units::{Azimuth, median};

/// A direction of flow that an arrow may show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct FlowArrow {
    /// Its place, m in the local frame.
    pub(crate) at: Coord,
    /// Hydraulic gradient, m/m, above zero.
    pub(crate) gradient: f64,
    /// Direction of flow, grid north.
    pub(crate) azimuth_grid: Azimuth,
    /// Slope of the heads, m/m.
    pub(crate) slope: Slope,
    /// Whether the direction is known to within the stated angle.
    pub(crate) known: bool,
    /// The triangle around it.
    pub(crate) triangle: Option<usize>,
}

impl FlowArrow {
    /// What it is drawn as, for files and scripts.
    pub(crate) const fn sign(&self) -> &'static str {
        if self.known { Self::KNOWN } else { Self::NOT_KNOWN }
    }

    /// Filled.
    pub(crate) const KNOWN: &'static str = "known";
    /// Hollow.
    pub(crate) const NOT_KNOWN: &'static str = "not-known";
}

impl Results<'_> {
    /// One for each triangle without a mark that has a gradient, in the order of the triangles.
    pub(crate) fn triangle_arrows(&self) -> Vec<FlowArrow> {
        let (frame, triangles) = (self.map.control.frame(), self.map.mesh.triangles());
        (0..triangles.len())
            .filter(|t| triangles[*t].marks.is_empty())
            .filter_map(|t| {
                let flow = &self.map.flow.triangles[t];
                Some(FlowArrow {
                    at: frame.to_local(flow.centroid),
                    gradient: flow.gradient.filter(|g| *g > 0.0)?,
                    azimuth_grid: flow.azimuth_grid?,
                    slope: flow.slope?,
                    known: self.known(t).is_some_and(|d| d.known),
                    triangle: Some(t),
                })
            })
            .collect()
    }

    /// That of the surface at a place; `None` where the surface is level or has no slope of its own
    /// side.
    ///
    /// # Units
    /// - `at`, `reach_m`: as [`Results::slope`] takes them
    pub(crate) fn surface_arrow(
        &self,
        triangles: &TriangleIndex,
        at: Coord,
        reach_m: f64,
    ) -> Option<FlowArrow> {
        let slope = self.slope(at, reach_m)?;
        let azimuth_grid = Azimuth::of_vector(-slope.east, -slope.north)?;
        let triangle = self.map.mesh.around(triangles, at);
        let known = triangle.is_some_and(|t| self.known_at(at, t, azimuth_grid));
        Some(FlowArrow { at, gradient: slope.magnitude(), azimuth_grid, slope, known, triangle })
    }
}

/// How long arrows are: in proportion to the gradient, within bounds. A head must be seen, and a map
/// is not its arrows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ArrowScale {
    /// The gradient of an arrow of the reference length, m/m: the median, rounded.
    pub(crate) gradient: f64,
}

impl ArrowScale {
    /// The shortest arrow, in reference lengths.
    pub(crate) const SHORTEST: f64 = 9.0 / 22.0;
    /// The longest.
    pub(crate) const LONGEST: f64 = 2.0;

    /// That of a map with these arrows; `None` without any.
    pub(crate) fn of(arrows: &[FlowArrow]) -> Option<Self> {
        let median = median(arrows.iter().map(|a| a.gradient))?;
        Some(Self { gradient: RoundNumber::nearest(median).value() })
    }

    /// The length of an arrow in reference lengths.
    pub(crate) fn length(self, gradient: f64) -> f64 {
        (gradient / self.gradient).clamp(Self::SHORTEST, Self::LONGEST)
    }
}
