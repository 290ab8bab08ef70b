//! What is known of the surface between wells.

use geo::Coord;

use crate::geom::{Slope, doubled_area};
use crate::interpolate::kriging::{Covariance, Shape};
use crate::uncertainty::covariance::Covariance as SlopeCovariance;

/// Fewer wells than this leave a plane one well to spare or none: nothing is known of the surface
/// between them.
pub(crate) const FEWEST_WELLS: usize = 5;

/// Added to the variance of each head, as a part of the covariance's: keeps wells next to each other
/// on a smooth surface apart from rounding.
pub(in crate::uncertainty) const ROUNDING: f64 = 1e-9;

/// Directions around a circle in which the surface is looked at for its mean slope. Eight make the
/// mean slope of every surface of the seventh order in the angle exact.
pub(super) const AROUND: usize = 8;

/// Heads at places, with the standard deviation of each.
#[derive(Debug, Clone, Copy)]
pub struct KnownHeads<'a> {
    /// Where, m.
    pub places: &'a [Coord],
    /// The heads, m.
    pub heads: &'a [f64],
    /// The standard deviations of their errors, m.
    pub sds: &'a [f64],
}

/// One covariance that the wells agree with, its nugget the scatter of single wells.
#[derive(Debug, Clone, Copy)]
pub(in crate::uncertainty) struct Member {
    pub(in crate::uncertainty) covariance: Covariance,
    /// Its probability among all that were looked at.
    pub(in crate::uncertainty) weight: f64,
}

impl Member {
    pub(super) fn shape(&self) -> Shape {
        self.covariance.shape()
    }
}

/// What the surface may do between the wells: covariances, each as probable as the wells make it.
#[derive(Debug, Clone)]
pub struct BetweenWells {
    pub(in crate::uncertainty) members: Vec<Member>,
    /// So many wells around a place tell its slope; farther ones add little.
    pub nearest: usize,
}

/// What is known of the mean slope over a circle: normal distributions, one for each covariance that
/// the wells agree with.
#[derive(Debug, Clone)]
pub struct MeanSlope {
    pub(super) parts: Vec<Part>,
}

/// One of the distributions.
#[derive(Debug, Clone, Copy)]
pub(super) struct Part {
    pub(super) mean: Slope,
    pub(super) covariance: SlopeCovariance,
    pub(super) weight: f64,
}

/// A circle over which a slope is the mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circle {
    /// Its middle, m.
    pub centre: Coord,
    /// Its radius, m.
    pub radius_m: f64,
}

impl Circle {
    /// The circle about the centroid of a triangle that has its area; `None` without an area.
    ///
    /// # Units
    /// - `corners`: m
    #[must_use]
    pub fn of_triangle(corners: [Coord; 3]) -> Option<Self> {
        let area = doubled_area(corners).abs() / 2.0;
        let [a, b, c] = corners;
        let centre = Coord { x: (a.x + b.x + c.x) / 3.0, y: (a.y + b.y + c.y) / 3.0 };
        let radius_m = (area / std::f64::consts::PI).sqrt();
        (radius_m > 0.0).then_some(Self { centre, radius_m })
    }

    /// Places on the circle and the weight of the head at each in the mean slope over it: the mean
    /// of a gradient over an area is the integral of head times outward normal along its edge, over
    /// the area (Gauss's theorem), here by the trapezoidal rule.
    pub(super) fn around(self) -> impl Iterator<Item = (Coord, Coord)> {
        let Self { centre, radius_m } = self;
        (0..AROUND).map(move |k| {
            let angle = k as f64 * std::f64::consts::TAU / AROUND as f64;
            let normal = Coord { x: libm::cos(angle), y: libm::sin(angle) };
            (centre + normal * radius_m, normal * (2.0 / (AROUND as f64 * radius_m)))
        })
    }
}
