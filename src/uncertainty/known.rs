//! Where the water flows, and whether that is known: the errors of the readings and what the surface
//! does between the wells taken together.

use geo::Coord;
use rayon::prelude::*;
use serde::Serialize;

use super::around::HeadsAround;
use super::between::{BetweenWells, Circle};
use super::confidence::{Confidence, LEVEL};
use super::covariance::Covariance;
use super::direction::DirectionInterval;
use super::gradient::{GradientError, direction_interval};
use super::triangle::MOST_EXACT_TRIANGLES;
use crate::check::ControlSet;
use crate::flow::SiteFlow;
use crate::geom::{Obstacles, Slope};
use crate::triangulate::{Mesh, Triangle};
use crate::units::Azimuth;

/// What the intervals of directions rest on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DirectionBasis {
    /// Errors of the readings and the surface between the wells.
    Surface,
    /// The same by a bound, for a map of very many triangles: they hold the truth in 95 % or more.
    SurfaceBound,
    /// Errors of the readings only: fewer than `FEWEST_WELLS` wells tell nothing of the
    /// surface between them.
    ReadingsOnly,
}

impl DirectionBasis {
    /// The same in words, for files and people.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Surface => "95 %: errors of the readings and the surface between the wells",
            Self::SurfaceBound => {
                "95 % or more: errors of the readings and the surface between the wells"
            }
            Self::ReadingsOnly => "95 %, reading error only: too few wells for more",
        }
    }
}

/// The direction of flow in one triangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownDirection {
    /// The 95 % interval of the direction of the mean flow over the circle of the triangle's area.
    pub interval: DirectionInterval,
    /// Whether the triangle's own direction is known: whether the true one is within the stated
    /// angle of it with a probability of 95 %.
    pub known: bool,
}

/// How well directions of flow are known on one map.
#[derive(Debug, Clone)]
pub struct Directions {
    /// One for each triangle, in the mesh's order; `None` for one without a direction and for one
    /// that is marked as a sliver, as on a long edge of the outline, on one stream or on one line.
    pub triangles: Vec<Option<KnownDirection>>,
    /// What the intervals rest on.
    pub basis: DirectionBasis,
    /// A direction is known when the true one is within this angle of it, degrees.
    pub within_deg: f64,
    between: Option<BetweenWells>,
    around: HeadsAround,
    barriers: Obstacles,
}

impl Directions {
    /// Of every triangle of a map.
    ///
    /// # Units
    /// - `readings`: the errors of each triangle's slope from those of the readings
    pub(super) fn of(
        control: &ControlSet,
        mesh: &Mesh,
        flow: &SiteFlow,
        readings: &[Option<GradientError>],
        (between, around): (Option<BetweenWells>, HeadsAround),
        within_deg: f64,
    ) -> Self {
        let basis = match &between {
            None => DirectionBasis::ReadingsOnly,
            Some(_) if mesh.triangles().len() > MOST_EXACT_TRIANGLES => {
                DirectionBasis::SurfaceBound
            }
            Some(_) => DirectionBasis::Surface,
        };
        let barriers = control.beside().barriers().clone();
        let mut all = Self { triangles: Vec::new(), basis, within_deg, between, around, barriers };
        all.triangles = mesh
            .triangles()
            .par_iter()
            .zip(&flow.triangles)
            .zip(readings)
            .map(|((triangle, flow), reading)| {
                let azimuth = flow.azimuth_grid.filter(|_| !triangle.is_thin())?;
                let slope = flow.slope?;
                all.of_triangle(mesh, triangle, (slope, azimuth), reading.as_ref()?.covariance)
            })
            .collect();
        all
    }

    fn of_triangle(
        &self,
        mesh: &Mesh,
        triangle: &Triangle,
        (slope, azimuth): (Slope, Azimuth),
        reading: Covariance,
    ) -> Option<KnownDirection> {
        let corners = mesh.corners(triangle);
        let off = self.around.is_off(triangle.corners);
        let bound = |covariance: Covariance| {
            let interval = direction_interval(slope, covariance, &Confidence::known());
            KnownDirection { interval, known: !off && interval.is_within(azimuth, self.within_deg) }
        };
        match (self.basis, &self.between) {
            (DirectionBasis::SurfaceBound, Some(between)) if !off => {
                Some(bound(reading.plus(between.triangle_slope(corners)?)))
            }
            (_, Some(between)) => {
                let circle = Circle::of_triangle(corners)?;
                let slope = self.around.mean_slope(between, circle, &self.barriers)?;
                let directions = slope.directions();
                Some(KnownDirection {
                    interval: directions.interval(),
                    known: directions.within(azimuth, self.within_deg) >= LEVEL,
                })
            }
            (_, None) => Some(bound(reading)),
        }
    }

    /// What the wells tell of the surface between them; `None` where they are too few.
    #[must_use]
    pub const fn between(&self) -> Option<&BetweenWells> {
        self.between.as_ref()
    }

    /// Whether a direction of flow at a place is known, where a triangle lies around the place: as
    /// [`KnownDirection::known`], for the circle of the triangle's area about the place.
    ///
    /// # Units
    /// - `at`: m in the frame of the mesh; `triangle`: index into its triangles
    /// - `azimuth`: degrees clockwise from grid north
    #[must_use]
    pub fn known_at(&self, mesh: &Mesh, at: Coord, triangle: usize, azimuth: Azimuth) -> bool {
        let known = || {
            let corners = mesh.corners(&mesh.triangles()[triangle]);
            let circle = Circle { centre: at, ..Circle::of_triangle(corners)? };
            let between = self.between.as_ref()?;
            let slope = self.around.mean_slope(between, circle, &self.barriers)?;
            Some(slope.directions().within(azimuth, self.within_deg) >= LEVEL)
        };
        if mesh.triangles()[triangle].is_thin() {
            return false;
        }
        known().unwrap_or_else(|| {
            let around = self.triangles[triangle];
            let off = self.around.is_off(mesh.triangles()[triangle].corners);
            around.is_some_and(|d| !off && d.interval.is_within(azimuth, self.within_deg))
        })
    }

    /// The triangles whose direction is known.
    #[must_use]
    pub fn known(&self) -> usize {
        self.triangles.iter().flatten().filter(|d| d.known).count()
    }
}
