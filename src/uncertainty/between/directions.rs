//! Where the water may flow, when its slope has a mixture of normal distributions.

use std::f64::consts::{PI, TAU};

use super::types::{MeanSlope, Part};
use crate::uncertainty::confidence::LEVEL;
use crate::uncertainty::direction::DirectionInterval;
use crate::units::Azimuth;

/// Steps over all directions, and over the few that are likely where the slope is well known.
const STEPS_AROUND: usize = 360;
const STEPS_ACROSS: usize = 120;

/// A slope whose standard deviation is more than this part of it may have any direction.
const WEAK: f64 = 0.25;

/// A direction that may lie anywhere in a wider arc, three quarters of the circle, may be any.
const WIDEST_ARC: f64 = 0.75 * TAU;

/// So many standard deviations to each side of a well known direction are looked at.
const REACH: f64 = 7.0;

/// The directions of flow, each with its probability: in steps clockwise.
#[derive(Debug, Clone)]
pub struct LikelyDirections {
    /// Where the steps begin, radians clockwise from north.
    from: f64,
    /// Width of a step, radians.
    step: f64,
    /// The probability of all steps before, from 0 to 1.
    below: Vec<f64>,
}

impl LikelyDirections {
    pub(super) fn of(parts: &[Part]) -> Self {
        let flows: Vec<Flow> = parts.iter().map(Flow::of).collect();
        let sum = |of: fn(&Flow) -> f64| flows.iter().map(|f| f.weight * of(f)).sum::<f64>();
        let middle = libm::atan2(sum(|f| f.east), sum(|f| f.north));
        let likely = flows.iter().map(|f| f.reach(middle)).fold(0.0, f64::max);
        let (half, steps) =
            if likely < 0.75 * PI { (likely, STEPS_ACROSS) } else { (PI, STEPS_AROUND) };
        let (from, step) = (middle - half, 2.0 * half / steps as f64);
        let mut below = Vec::with_capacity(steps + 1);
        let mut sum = 0.0;
        below.push(sum);
        for k in 0..steps {
            let azimuth = from + (k as f64 + 0.5) * step;
            let (sin, cos) = (libm::sin(azimuth), libm::cos(azimuth));
            sum += flows.iter().map(|f| f.density(sin, cos)).sum::<f64>();
            below.push(sum);
        }
        for b in &mut below {
            *b /= sum;
        }
        Self { from, step, below }
    }

    /// The narrowest arc that holds the direction with a probability of 95 %.
    #[must_use]
    pub fn interval(&self) -> DirectionInterval {
        let steps = self.below.len() - 1;
        let around = self.goes_around();
        // Past the last step the first one follows.
        let below = |k: usize| {
            if k <= steps { self.below[k] } else { 1.0 + self.below[k - steps] }
        };
        let last = if around { 2 * steps } else { steps };
        let (mut narrowest, mut end) = ((0, f64::INFINITY), 0);
        for begin in 0..steps {
            while end < last && below(end) - below(begin) < LEVEL {
                end += 1;
            }
            let held = below(end) - below(begin);
            if held < LEVEL {
                break;
            }
            let surplus = (held - LEVEL) / (below(end) - below(end - 1));
            let width = (end - begin) as f64 - surplus;
            if width < narrowest.1 {
                narrowest = (begin, width);
            }
        }
        let (begin, width) = narrowest;
        if !width.is_finite() || width * self.step > WIDEST_ARC {
            return DirectionInterval::WholeCircle;
        }
        let from = self.from + begin as f64 * self.step;
        let azimuth = |radians: f64| Azimuth::of_vector(libm::sin(radians), libm::cos(radians));
        match (azimuth(from), azimuth(from + width * self.step)) {
            (Some(from), Some(to)) => DirectionInterval::Arc { from, to },
            _ => DirectionInterval::WholeCircle,
        }
    }

    /// The probability that the direction is within an angle of one, to either side.
    ///
    /// # Units
    /// - `half_deg`: degrees, at most 180
    #[must_use]
    pub fn within(&self, azimuth: Azimuth, half_deg: f64) -> f64 {
        let half = half_deg.to_radians();
        let begin = (azimuth.degrees().to_radians() - half - self.from).rem_euclid(TAU);
        let (begin, end) = (begin, begin + 2.0 * half);
        let held = |begin: f64, end: f64| self.up_to(end) - self.up_to(begin);
        held(begin, end) + held(begin - TAU, end - TAU)
    }

    /// The probability of all directions up to an angle from where the steps begin.
    fn up_to(&self, angle: f64) -> f64 {
        let steps = self.below.len() - 1;
        let at = (angle / self.step).clamp(0.0, steps as f64);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "held within the count of steps before"
        )]
        let k = (at as usize).min(steps - 1);
        self.below[k] + (self.below[k + 1] - self.below[k]) * (at - k as f64)
    }

    fn goes_around(&self) -> bool {
        self.below.len() == STEPS_AROUND + 1
    }
}

/// The flow down one normally distributed slope.
struct Flow {
    east: f64,
    north: f64,
    weight: f64,
    /// Of its covariance.
    variances: [f64; 3],
    inverse: [f64; 3],
    /// The inverse times the mean.
    drive: [f64; 2],
    /// The square of the mean, in standard deviations.
    square: f64,
    /// The weight over the covariance's volume.
    scale: f64,
}

impl Flow {
    fn of(part: &Part) -> Self {
        let (east, north) = (-part.mean.east, -part.mean.north);
        let c = part.covariance;
        // Rounding may leave a matrix that is not quite positive.
        let least = 1e-12 * c.east_east * c.north_north;
        let determinant = (c.east_east * c.north_north - c.east_north * c.east_north).max(least);
        let inverse =
            [c.north_north / determinant, -c.east_north / determinant, c.east_east / determinant];
        let drive =
            [inverse[0] * east + inverse[1] * north, inverse[1] * east + inverse[2] * north];
        Self {
            east,
            north,
            weight: part.weight,
            variances: [c.east_east, c.east_north, c.north_north],
            inverse,
            drive,
            square: east * drive[0] + north * drive[1],
            scale: part.weight / (TAU * determinant.sqrt()),
        }
    }

    /// How far to each side of a direction its own may be.
    fn reach(&self, middle: f64) -> f64 {
        let size = libm::hypot(self.east, self.north);
        let (x, y) = (self.east / size, self.north / size);
        let [ee, en, nn] = self.variances;
        let along = (ee * x * x + 2.0 * en * x * y + nn * y * y).sqrt() / size;
        let across = (ee * y * y - 2.0 * en * x * y + nn * x * x).sqrt() / size;
        // Also where the slope is nothing.
        if !(along <= WEAK && across <= WEAK) {
            return PI;
        }
        let off = (libm::atan2(self.east, self.north) - middle).rem_euclid(TAU);
        off.min(TAU - off) + REACH * across
    }

    /// The density of its direction, times its weight: the normal density of the plane, integrated
    /// along a ray.
    ///
    /// # References
    /// Mardia and Jupp (2000), Directional Statistics, sec. 3.5.6 (the projected normal
    /// distribution).
    fn density(&self, sin: f64, cos: f64) -> f64 {
        /// Below this the tail is nothing beside the rest.
        const FAR: f64 = -6.0;
        let [ee, en, nn] = self.inverse;
        let a = ee * sin * sin + 2.0 * en * sin * cos + nn * cos * cos;
        let t = (sin * self.drive[0] + cos * self.drive[1]) / a.sqrt();
        let tail = if t < FAR {
            0.0
        } else {
            let below = 0.5 * libm::erfc(-t * std::f64::consts::FRAC_1_SQRT_2);
            TAU.sqrt() * t * below * libm::exp(0.5 * (t * t - self.square).min(0.0))
        };
        self.scale / a * (libm::exp(-0.5 * self.square) + tail).max(0.0)
    }
}

impl MeanSlope {
    /// Where the water may flow: the directions down the slope, each as probable as it is.
    #[must_use]
    pub fn directions(&self) -> LikelyDirections {
        LikelyDirections::of(&self.parts)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Slope;
    use crate::uncertainty::Covariance;

    fn part(east: f64, north: f64, variances: [f64; 3], weight: f64) -> Part {
        let [east_east, east_north, north_north] = variances;
        Part {
            mean: Slope { east: -east, north: -north },
            covariance: Covariance { east_east, east_north, north_north },
            weight,
        }
    }

    fn azimuth(degrees: f64) -> Azimuth {
        let angle = degrees.to_radians();
        Azimuth::of_vector(libm::sin(angle), libm::cos(angle)).expect("a direction")
    }

    /// NumPy's `Generator(PCG64(1)).multivariate_normal`, 20 million samples: the share
    /// of directions within 30 degrees of the azimuth.
    #[test]
    fn the_share_within_an_angle_is_that_of_samples() {
        for (east, north, variances, at, expected) in WITHIN {
            let found = LikelyDirections::of(&[part(east, north, variances, 1.0)]);
            let share = found.within(azimuth(at), 30.0);
            assert!((share - expected).abs() < 4e-4, "{east} {north} {at}: {share}");
        }
    }

    const WITHIN: [(f64, f64, [f64; 3], f64, f64); 5] = [
        (1.0, 0.0, [1.0, 0.0, 1.0], 90.0, 0.419_249),
        (2.0, -1.0, [1.0, 0.5, 2.0], 140.0, 0.518_420),
        (0.5, 3.0, [4.0, -1.0, 1.0], 20.0, 0.568_752),
        (6.0, 2.0, [1.0, 0.3, 0.5], 60.0, 0.997_664),
        (0.1, -0.2, [1.0, 0.8, 1.0], 200.0, 0.329_530),
    ];

    #[test]
    fn a_slope_of_nothing_may_have_any_direction_and_a_steep_one_a_narrow_arc() {
        let level = LikelyDirections::of(&[part(0.0, 0.0, [1.0, 0.0, 1.0], 1.0)]);
        assert_eq!(level.interval(), DirectionInterval::WholeCircle);
        assert!((level.within(azimuth(77.0), 30.0) - 1.0 / 6.0).abs() < 1e-9);
        let steep = LikelyDirections::of(&[part(100.0, 0.0, [1.0, 0.0, 1.0], 1.0)]);
        // 1.96 standard deviations of a hundredth of a radian, in steps of 0.07 degrees.
        let DirectionInterval::Arc { from, to } = steep.interval() else { panic!("an arc") };
        assert!((from.degrees() - (90.0 - 1.123)).abs() < 0.07, "{from:?}");
        assert!((to.degrees() - (90.0 + 1.123)).abs() < 0.07, "{to:?}");
        assert!((steep.within(azimuth(90.0), 30.0) - 1.0).abs() < 1e-12);
        assert!(steep.within(azimuth(130.0), 30.0) < 1e-12);
    }

    #[test]
    fn two_ways_that_the_slope_may_go_are_held_together() {
        let parts = [part(30.0, 0.0, [1.0, 0.0, 1.0], 0.5), part(0.0, 30.0, [1.0, 0.0, 1.0], 0.5)];
        let DirectionInterval::Arc { from, to } = LikelyDirections::of(&parts).interval() else {
            panic!("an arc")
        };
        // Either side leaves 2.5 % beyond, 5 % of its own distribution: 1.645 of 1/30 radian. The arc
        // begins at a step, which is a degree wide here.
        for (found, expected) in [(from.degrees(), 360.0 - 3.15), (to.degrees(), 93.15)] {
            assert!((found - expected).abs() < 1.0, "{found} is not {expected}");
        }
    }
}
