//! The interval of a direction of flow.

use serde::Serialize;

use super::confidence::Confidence;
use super::covariance::Axes;
use crate::geom::Slope;
use crate::units::Azimuth;

/// A direction that is known to no better than half the circle may be any.
const WIDEST_DEG: f64 = 180.0;

/// The directions of flow that agree with the heads, 95 %.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum DirectionInterval {
    /// Clockwise from one direction to another.
    Arc {
        /// Where it begins, degrees clockwise from north.
        from: Azimuth,
        /// Where it ends, degrees clockwise from north.
        to: Azimuth,
    },
    /// Every direction agrees with the heads.
    WholeCircle,
}

impl DirectionInterval {
    /// Whether a direction lies in it.
    #[must_use]
    pub fn holds(&self, direction: Azimuth) -> bool {
        match self {
            Self::Arc { from, to } => {
                let turn = |a: Azimuth| a.turned(-from.degrees()).degrees();
                turn(direction) <= turn(*to)
            }
            Self::WholeCircle => true,
        }
    }

    /// Whether all of it is within an angle of a direction, to either side.
    ///
    /// # Units
    /// - `half_deg`: degrees, less than 180
    #[must_use]
    pub(crate) fn is_within(&self, direction: Azimuth, half_deg: f64) -> bool {
        match self {
            Self::Arc { from, .. } => {
                let before = direction.turned(-from.degrees()).degrees();
                self.holds(direction) && before <= half_deg && self.width_deg() - before <= half_deg
            }
            Self::WholeCircle => false,
        }
    }

    /// Clockwise between two directions, degrees; every direction where that is half the circle or more.
    pub(crate) fn of_degrees(from: f64, to: f64) -> Self {
        if to - from >= WIDEST_DEG {
            return Self::WholeCircle;
        }
        let [from, to] = [from, to].map(Azimuth::from_degrees);
        Self::Arc { from, to }
    }

    /// The same, wide enough to hold a direction too; every direction where that takes half the circle, and where
    /// there is none.
    pub(crate) fn holding(self, direction: Option<Azimuth>) -> Self {
        let (Self::Arc { from, to }, Some(direction)) = (self, direction) else {
            return Self::WholeCircle;
        };
        if self.holds(direction) {
            return self;
        }
        let before = from.turned(-direction.degrees()).degrees();
        let after = direction.turned(-to.degrees()).degrees();
        let wide = self.width_deg() + before.min(after);
        let from = if before < after { direction } else { from }.degrees();
        Self::of_degrees(from, from + wide)
    }

    /// What reaches as far to both sides of a direction as the wider of two intervals about it.
    pub(super) fn widened(self, other: Self, about: Option<Azimuth>) -> Self {
        let (Self::Arc { from, to }, Self::Arc { from: first, to: last }, Some(about)) =
            (self, other, about)
        else {
            return Self::WholeCircle;
        };
        let before = |a: Azimuth| about.turned(-a.degrees()).degrees();
        let after = |a: Azimuth| a.turned(-about.degrees()).degrees();
        let from = if before(first) > before(from) { first } else { from };
        let to = if after(last) > after(to) { last } else { to };
        if before(from) + after(to) >= 360.0 { Self::WholeCircle } else { Self::Arc { from, to } }
    }

    /// Its width, degrees: less than 180, or 360.
    #[must_use]
    pub fn width_deg(&self) -> f64 {
        match self {
            Self::Arc { from, to } => to.turned(-from.degrees()).degrees(),
            Self::WholeCircle => 360.0,
        }
    }

    /// The same interval against another north.
    ///
    /// # Units
    /// - `degrees`: meridian convergence when going from grid to true north
    #[must_use]
    pub fn turned(self, degrees: f64) -> Self {
        match self {
            Self::Arc { from, to } => {
                Self::Arc { from: from.turned(degrees), to: to.turned(degrees) }
            }
            Self::WholeCircle => Self::WholeCircle,
        }
    }
}

/// Fieller's set of directions, on the side of the estimate.
///
/// A direction stays when the gradient's component across it is within [`Confidence::sds`] standard
/// deviations of zero. In components divided by their sds that is a wedge of `asin(sds / R)` to
/// both sides of the estimate, `R` its length; for `R` below that bound every direction stays.
///
/// # References
/// Fieller (1954), Journal of the Royal Statistical Society B 16(2), 175-185 (from memory), for the
/// ratio of two normal means, which the tangent of a direction is.
pub(super) fn fieller(slope: Slope, axes: &Axes, confidence: &Confidence) -> DirectionInterval {
    let w = axes.whitened(slope);
    let length = libm::hypot(w[0], w[1]);
    if length <= confidence.sds {
        return DirectionInterval::WholeCircle;
    }
    let sin = confidence.sds / length;
    let cos = (1.0 - sin * sin).sqrt();
    // Flow is down the slope; a turn to the left is against the clock.
    let end = |sin: f64| {
        let v = axes.unwhitened([w[0] * cos - w[1] * sin, w[0] * sin + w[1] * cos]);
        Azimuth::of_vector(-v.east, -v.north)
    };
    match (end(sin), end(-sin)) {
        (Some(from), Some(to)) => DirectionInterval::Arc { from, to },
        _ => DirectionInterval::WholeCircle,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ends(interval: DirectionInterval) -> Option<[f64; 2]> {
        match interval {
            DirectionInterval::Arc { from, to } => Some([from.degrees(), to.degrees()]),
            DirectionInterval::WholeCircle => None,
        }
    }

    #[test]
    fn an_interval_widened_to_hold_a_direction_holds_it_and_no_more() {
        let of = |from: f64, to: f64, direction: f64| {
            let interval = DirectionInterval::of_degrees(from, to);
            ends(interval.holding(Some(Azimuth::from_degrees(direction))))
        };
        assert_eq!(of(350.0, 370.0, 5.0), Some([350.0, 10.0]));
        assert_eq!(of(350.0, 370.0, 30.0), Some([350.0, 30.0]));
        assert_eq!(of(350.0, 370.0, 300.0), Some([300.0, 10.0]));
        assert_eq!(of(10.0, 50.0, 350.0), Some([350.0, 50.0]));
        // Half the circle says nothing any more.
        assert_eq!(of(350.0, 370.0, 175.0), None);
        assert_eq!(of(10.0, 190.0, 20.0), None);
        assert_eq!(ends(DirectionInterval::of_degrees(10.0, 50.0).holding(None)), None);
        assert_eq!(
            ends(DirectionInterval::WholeCircle.holding(Some(Azimuth::from_degrees(1.0)))),
            None
        );
    }
}
