//! The covariance of a gradient and its principal axes.

use serde::Serialize;

use crate::geom::Slope;

/// Covariance of the two components of a gradient, dimensionless (heads and distances in one
/// unit).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Covariance {
    /// Variance of dh/dx, east.
    pub east_east: f64,
    /// Covariance of dh/dx and dh/dy.
    pub east_north: f64,
    /// Variance of dh/dy, north.
    pub north_north: f64,
}

impl Covariance {
    /// The covariance of a weighted sum of independent heads, each weight a vector.
    pub(crate) fn of_weights(weights: impl Iterator<Item = (Slope, f64)>) -> Self {
        let mut sum = Self { east_east: 0.0, east_north: 0.0, north_north: 0.0 };
        for (w, sd) in weights {
            let variance = sd * sd;
            sum.east_east += variance * w.east * w.east;
            sum.east_north += variance * w.east * w.north;
            sum.north_north += variance * w.north * w.north;
        }
        sum
    }

    /// That of two independent errors together.
    pub(crate) fn plus(self, other: Self) -> Self {
        Self {
            east_east: self.east_east + other.east_east,
            east_north: self.east_north + other.east_north,
            north_north: self.north_north + other.north_north,
        }
    }

    /// Standard deviation of the component in the direction that is best known.
    #[must_use]
    pub fn best_sd(&self) -> f64 {
        self.axes().best
    }

    /// Standard deviation of the component in the direction that is worst known.
    #[must_use]
    pub fn worst_sd(&self) -> f64 {
        self.axes().worst
    }

    /// Worst over best: 1 for an equilateral triangle with equal head errors, 4.3 for an isosceles
    /// one whose base is five times its height.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        let axes = self.axes();
        axes.worst / axes.best
    }

    /// The principal axes.
    pub(super) fn axes(&self) -> Axes {
        let half_sum = f64::midpoint(self.east_east, self.north_north);
        let half_difference = (self.east_east - self.north_north) / 2.0;
        let worst = half_sum + libm::hypot(half_difference, self.east_north);
        let determinant = self.east_east * self.north_north - self.east_north * self.east_north;
        let best = if worst > 0.0 { (determinant / worst).max(0.0) } else { 0.0 };
        let angle = 0.5 * libm::atan2(self.east_north, half_difference);
        Axes {
            worst: worst.sqrt(),
            best: best.sqrt(),
            along_worst: Slope { east: libm::cos(angle), north: libm::sin(angle) },
        }
    }
}

/// Principal axes of a covariance.
#[derive(Debug, Clone, Copy)]
pub(super) struct Axes {
    pub(super) worst: f64,
    pub(super) best: f64,
    /// Unit vector; the best axis is this one turned a quarter to the left.
    along_worst: Slope,
}

impl Axes {
    /// A vector's components along the worst and the best axis, each over its sd.
    pub(super) fn whitened(&self, v: Slope) -> [f64; 2] {
        let u = self.along_worst;
        [
            (v.east * u.east + v.north * u.north) / self.worst,
            (v.north * u.east - v.east * u.north) / self.best,
        ]
    }

    /// The vector whose whitened components these are.
    pub(super) fn unwhitened(&self, [along_worst, along_best]: [f64; 2]) -> Slope {
        let u = self.along_worst;
        let (w, b) = (along_worst * self.worst, along_best * self.best);
        Slope { east: w * u.east - b * u.north, north: w * u.north + b * u.east }
    }
}
