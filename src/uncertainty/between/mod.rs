//! What the surface of heads does between the wells, as far as the wells tell.
//!
//! Readings err by a centimetre; between two wells the surface may bend by decimetres, and that is
//! what makes a direction of flow or the place of a contour unsure. The heads are taken as a plane
//! plus a smooth random part of unknown variance, range and roughness plus scatter of single wells
//! plus the declared errors of the readings. Which of these fit the wells, and how well, is worked
//! out over a lattice of parameters, so that few wells make wide intervals. Equations, constants and
//! proven coverage: `docs/uncertainty.md`.

mod directions;
mod fit;
mod sums;
mod types;

use geo::Coord;

pub use directions::LikelyDirections;
pub use types::{BetweenWells, Circle, KnownHeads, MeanSlope};

use super::covariance::Covariance as SlopeCovariance;
use crate::geom::{distance, doubled_area};
pub(super) use types::ROUNDING;
use types::{AROUND, Member};

impl BetweenWells {
    /// What some wells tell of the surface between them. `None` for fewer than `FEWEST_WELLS`,
    /// for heads that lie on a plane exactly and have no errors, and for wells on one line.
    ///
    /// # Units
    /// - `spacing_m`: the usual spacing of the wells, m
    ///
    /// # References
    /// Restricted likelihood: Patterson and Thompson (1971), Biometrika 58, 545-554. Weighting the
    /// parameters of a covariance by their likelihood instead of taking the likeliest: Handcock and
    /// Stein (1993), Technometrics 35(4), 403-410. `docs/uncertainty.md`.
    #[must_use]
    pub fn of(wells: KnownHeads, spacing_m: f64) -> Option<Self> {
        fit::fit(wells, spacing_m, 0.0)
    }

    /// The same also for heads that lie on a plane exactly: between wells they then scatter by a small part of
    /// what their readings err.
    #[must_use]
    pub(crate) fn of_even_heads(wells: KnownHeads, spacing_m: f64) -> Option<Self> {
        /// Of the variance of the readings.
        const PART: f64 = 1e-3;
        let errors = wells.sds.iter().map(|sd| sd * sd).sum::<f64>() / wells.sds.len() as f64;
        fit::fit(wells, spacing_m, PART * errors)
    }

    /// The same with the most probable covariance alone, for the many places of a large map. With
    /// many wells the others differ little from it.
    #[must_use]
    pub(crate) fn most_probable(&self) -> Self {
        let first =
            |best: Member, next: &Member| if next.weight > best.weight { *next } else { best };
        let most = self.members.iter().fold(self.members[0], first);
        Self { members: vec![Member { weight: 1.0, ..most }], nearest: self.nearest }
    }

    /// The mean slope of the surface over a circle, from the wells given. `None` when they are fewer
    /// than three or stand on one line.
    #[must_use]
    pub fn mean_slope(&self, wells: KnownHeads, circle: Circle) -> Option<MeanSlope> {
        sums::mean_slope(&self.members, wells, circle)
    }

    /// The mean square of the difference between the head at a place and a head drawn there, m²: how
    /// far off a surface may be, from the wells given. `None` when they are fewer than three or stand
    /// on one line.
    ///
    /// # Units
    /// - `place`, `head_m`: m
    #[must_use]
    pub fn mean_square_about(&self, wells: KnownHeads, place: Coord, head_m: f64) -> Option<f64> {
        sums::mean_square_about(&self.members, wells, place, head_m)
    }

    /// Half the variance of the difference of the surface's heads at two places a distance apart,
    /// m², scatter of single wells left out: the mean over all covariances.
    ///
    /// # Units
    /// - `distance_m`: m
    #[must_use]
    pub fn semivariance(&self, distance_m: f64) -> f64 {
        let of = |m: &Member| m.weight * m.shape().semivariance(distance_m);
        self.members.iter().map(of).sum()
    }

    /// The variance of the scatter of single wells beyond the declared errors, m².
    #[must_use]
    pub fn scatter(&self) -> f64 {
        self.members.iter().map(|m| m.weight * m.covariance.nugget).sum()
    }

    /// The semivariances along the sides of a triangle, from each corner to the next, m².
    ///
    /// # Units
    /// - `corners`: m
    #[must_use]
    pub fn along_sides(&self, corners: [Coord; 3]) -> [f64; 3] {
        [0, 1, 2].map(|i| self.semivariance(distance(corners[i], corners[(i + 1) % 3])))
    }

    /// The variance of the head at a place about the plane through three wells around it, m², the
    /// errors of the readings left out: what the linear surface does not know of its own error.
    ///
    /// # Units
    /// - `corners`: m; `weights`: of the corners at the place, sum 1; `sides`: what
    ///   [`Self::along_sides`] gives for these corners
    #[must_use]
    pub fn about_plane(&self, corners: [Coord; 3], weights: [f64; 3], sides: [f64; 3]) -> f64 {
        let [a, b, c] = weights;
        let place = corners[0] * a + corners[1] * b + corners[2] * c;
        let to_place: f64 =
            (0..3).map(|i| weights[i] * self.semivariance(distance(corners[i], place))).sum();
        let among = a * b * sides[0] + b * c * sides[1] + c * a * sides[2];
        (2.0 * (to_place - among)).max(0.0) + self.scatter() * (a * a + b * b + c * c)
    }

    /// Covariance of the error of a triangle's slope as the mean slope over the circle of its area,
    /// the errors of the readings left out. `None` without an area.
    ///
    /// # Units
    /// - `corners`: m; returns: dimensionless
    #[must_use]
    pub(crate) fn triangle_slope(&self, corners: [Coord; 3]) -> Option<SlopeCovariance> {
        let area2 = doubled_area(corners);
        let circle = Circle::of_triangle(corners)?;
        // The triangle's slope less the circle's is a weighted sum of heads, whose weights sum to
        // nothing and reproduce no plane.
        let mut places = Vec::with_capacity(3 + AROUND);
        let mut weights = Vec::with_capacity(3 + AROUND);
        for i in 0..3 {
            let (p, q) = (corners[(i + 1) % 3], corners[(i + 2) % 3]);
            places.push(corners[i]);
            weights.push([(p.y - q.y) / area2, (q.x - p.x) / area2]);
        }
        for (place, weight) in circle.around() {
            places.push(place);
            weights.push([-weight.x, -weight.y]);
        }
        let mut sum = [0.0; 3];
        for i in 0..places.len() {
            for j in 0..i {
                let shared = -2.0 * self.semivariance(distance(places[i], places[j]));
                let ([a, b], [c, d]) = (weights[i], weights[j]);
                sum[0] += shared * a * c;
                sum[1] += shared * (a * d + b * c) / 2.0;
                sum[2] += shared * b * d;
            }
        }
        for [east, north] in &weights[..3] {
            let scatter = self.scatter();
            sum[0] += scatter * east * east;
            sum[1] += scatter * east * north;
            sum[2] += scatter * north * north;
        }
        Some(SlopeCovariance { east_east: sum[0], east_north: sum[1], north_north: sum[2] })
    }
}
