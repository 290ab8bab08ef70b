//! The interval of a gradient's magnitude.
//!
//! The heads agree with a magnitude when the estimate is not too far, in standard deviations, from
//! the circle of all gradients of that magnitude. How far is too far follows from the distribution
//! of that distance were the gradient the circle's point nearest to the estimate: the probability
//! content of a band along an ellipse, by one integral. Nothing is linearised, so the interval
//! stays right where the magnitude is a few standard deviations or less.
//!
//! Beyond the tip of a thin ellipse chance moves the estimate in two dimensions, beside it in one.
//! Distances are therefore measured with a yardstick that is longer toward the tip, so that the
//! same count of yardsticks is about equally rare everywhere along the ellipse, and little depends
//! on which of its points is the true one.

use serde::Serialize;

use super::band::{Reach, STRETCH, band, stretch};
use super::confidence::{Confidence, LEVEL};
use super::covariance::Axes;
use super::ellipse::{farthest, nearest};
use crate::geom::Slope;

/// Farther from the circle than this many yardsticks the probability is replaced by its bound, which
/// is below 4e-4 there.
const FAR: f64 = 4.0;

/// A probability below this is lost in the rounding of the integral's 1e-7, and may come out as 0.
const FAINT: f64 = 1e-7;

/// A circle of gradients with no more curvature than this, in one over standard deviations, is
/// nearly straight.
const NEARLY_STRAIGHT: f64 = 0.25;

/// So near to the estimate, in standard deviations, its curvature counts.
const NEAR: f64 = 4.0;

/// Steps between the two bounds of an end of the interval.
const STEPS: usize = 6;

/// How finely a bound of an end is found, as a part of its distance from the estimate, and an end as
/// a part of a step: to less than a ten thousandth of a standard deviation.
const FINE: f64 = 1e-4;

/// The magnitudes that agree with the heads, 95 %, dimensionless.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MagnitudeInterval {
    /// Its lower end; 0 when the heads agree with a level water table.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
}

impl MagnitudeInterval {
    /// Whether a magnitude lies in it.
    #[must_use]
    pub fn holds(&self, magnitude: f64) -> bool {
        self.low <= magnitude && magnitude <= self.high
    }
}

/// An estimated gradient in the frame of its principal axes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Estimate {
    /// Components along the best and the worst axis, each over its sd; not negative.
    x: f64,
    y: f64,
    best: f64,
    worst: f64,
    magnitude: f64,
}

impl Estimate {
    pub(super) fn new(slope: Slope, axes: &Axes) -> Self {
        let [worst, best] = axes.whitened(slope);
        Self {
            x: best.abs(),
            y: worst.abs(),
            best: axes.best,
            worst: axes.worst,
            magnitude: slope.magnitude(),
        }
    }

    /// The probability of heads at least as far, in yardsticks, from this magnitude as those read.
    pub(super) fn plausibility(&self, magnitude: f64, confidence: &Confidence) -> f64 {
        let place = self.place(magnitude);
        let beyond = |[q, weight]: &[f64; 2]| weight * place.beyond(*q);
        confidence.scales.iter().map(beyond).sum::<f64>().clamp(0.0, 1.0)
    }

    /// The magnitudes whose plausibility is above 5 %.
    ///
    /// The probability beyond a distance is at least that of the half plane beyond it and at most
    /// that of the outside of a circle of that radius. With the shortest yardstick for the one and
    /// the longest for the other, each end of the interval lies between the magnitudes at two known
    /// distances.
    pub(super) fn interval(&self, confidence: &Confidence) -> MagnitudeInterval {
        self.steep_interval(confidence).unwrap_or_else(|| self.exact_interval(confidence))
    }

    /// The same by the integral, however steep the gradient is.
    fn exact_interval(&self, confidence: &Confidence) -> MagnitudeInterval {
        let far = confidence.region.sqrt();
        let longest = 1.0 + STRETCH * (1.0 - self.best / self.worst);
        let distance = |m: f64| {
            let place = self.place(m);
            place.distance / (1.0 + (longest - 1.0) * place.toward_tip)
        };
        let end = |outside: f64| {
            let at = |bound: f64| {
                let missing = |m: f64| bound - distance(m);
                root([outside, missing(outside)], [self.magnitude, bound], missing)
            };
            let (first, last) = (at(far), at(confidence.one_sided_sds / longest));
            let excess =
                |m: f64| libm::log(self.plausibility(m, confidence).max(FAINT) / (1.0 - LEVEL));
            // From the outside in, in steps that grow: about a thin triangle the probability can
            // cross the level more than once, and the interval is to hold all that is plausible.
            let step = |i: usize| {
                let part = i as f64 / STEPS as f64;
                let m = first + (last - first) * part * part;
                [m, excess(m)]
            };
            let (mut before, mut inside) = (step(0), step(1));
            if before[1] >= 0.0 {
                return before[0];
            }
            for i in 2..=STEPS {
                if inside[1] > 0.0 {
                    break;
                }
                (before, inside) = (inside, step(i));
            }
            root(before, inside, excess)
        };
        let low = if libm::hypot(self.x, self.y) > far { end(0.0) } else { 0.0 };
        let mut outside = self.magnitude + far * self.best;
        while distance(outside) <= far {
            outside += far * self.worst;
        }
        MagnitudeInterval { low, high: end(outside) }
    }

    /// The interval of a gradient so steep that circles of gradients are nearly straight where it
    /// lies: the magnitudes of the gradients within a corrected number of standard deviations.
    /// `None` when they are bent too much.
    ///
    /// About a circle of radius R the probability within `d` is that of a straight band plus
    /// `d pdf(d) / (4 R²)`, from the expansion of the noncentral chi-square distribution, so that
    /// `d (1 - 1/(8 R²))` holds 95 %.
    pub(super) fn steep_interval(&self, confidence: &Confidence) -> Option<MagnitudeInterval> {
        if confidence.degrees_of_freedom.is_some()
            || self.bend(self.magnitude, self.x + NEAR) > NEARLY_STRAIGHT
        {
            return None;
        }
        let (low, high) = (self.lowest(confidence.sds), self.highest(confidence.sds));
        // The smaller circle at the lower end is the more bent one; and its far side must be out
        // of the estimate's reach.
        let straight = self.bend(low.magnitude, low.x + NEAR) <= NEARLY_STRAIGHT;
        (straight && low.magnitude >= NEAR * self.worst).then(|| {
            let corrected = |end: End| {
                let bend = self.bend(end.magnitude, end.x);
                confidence.sds * (1.0 - bend * bend / 8.0)
            };
            MagnitudeInterval {
                low: self.lowest(corrected(low)).magnitude,
                high: self.highest(corrected(high)).magnitude,
            }
        })
    }

    /// The magnitudes of all gradients in the joint 95 % region: they hold the truth in 95 % or more,
    /// and as a rule reach farther than need be.
    pub(super) fn joint_interval(&self, confidence: &Confidence) -> MagnitudeInterval {
        let sds = confidence.region.sqrt();
        MagnitudeInterval { low: self.lowest(sds).magnitude, high: self.highest(sds).magnitude }
    }

    /// The curvature of a circle of gradients at a place on it, in one over standard deviations.
    /// The place is given by its component along the best axis, in standard deviations.
    fn bend(&self, magnitude: f64, x: f64) -> f64 {
        if magnitude <= 0.0 {
            return f64::INFINITY;
        }
        let (a, b) = (magnitude / self.best, magnitude / self.worst);
        let cos = (x / a).min(1.0);
        let sin = (1.0 - cos * cos).sqrt();
        let speed = libm::hypot(a * sin, b * cos);
        a * b / (speed * speed * speed)
    }

    /// Where the smallest magnitude within some standard deviations of the estimate is.
    fn lowest(&self, sds: f64) -> End {
        if libm::hypot(self.x, self.y) <= sds {
            return End { magnitude: 0.0, x: 0.0 };
        }
        let [long, short] = nearest(sds * self.worst, sds * self.best, self.origin());
        self.end([-long, -short])
    }

    /// Where the largest magnitude within some standard deviations of the estimate is.
    fn highest(&self, sds: f64) -> End {
        self.end(farthest(sds * self.worst, sds * self.best, self.origin()))
    }

    /// The origin relative to the ellipses about the estimate, along their long and short axis.
    fn origin(&self) -> [f64; 2] {
        [self.y * self.worst, self.x * self.best]
    }

    /// The gradient at a step from the estimate, along those axes.
    fn end(&self, step: [f64; 2]) -> End {
        let origin = self.origin();
        let (long, short) = (origin[0] + step[0], origin[1] + step[1]);
        End { magnitude: libm::hypot(long, short), x: short / self.best }
    }

    /// Where a circle of gradients lies relative to the estimate.
    fn place(&self, magnitude: f64) -> Place {
        let (a, b) = (magnitude / self.best, magnitude / self.worst);
        if magnitude <= 0.0 {
            let distance = libm::hypot(self.x, self.y);
            return Place { a, b, foot: [0.0; 2], toward_tip: 0.0, distance };
        }
        let foot = nearest(a, b, [self.x, self.y]);
        let (along, across) = (foot[0] / a, foot[1] / b);
        let toward_tip = b * along / libm::hypot(a * across, b * along);
        let distance = libm::hypot(self.x - foot[0], self.y - foot[1]);
        Place { a, b, foot, toward_tip, distance }
    }
}

/// An end of an interval: a magnitude, and the gradient of that magnitude nearest to the estimate
/// by its component along the best axis, in standard deviations.
#[derive(Clone, Copy)]
struct End {
    magnitude: f64,
    x: f64,
}

/// All gradients of one magnitude, an ellipse in standard deviations, and the one nearest to the
/// estimate.
struct Place {
    a: f64,
    b: f64,
    foot: [f64; 2],
    /// The component of the ellipse's normal there along its long axis.
    toward_tip: f64,
    distance: f64,
}

impl Place {
    /// The probability of at least as many yardsticks, were the gradient the nearest one and the
    /// standard deviations `q` times as large.
    fn beyond(&self, q: f64) -> f64 {
        let (a, b) = (self.a / q, self.b / q);
        let stretch = stretch(a, b);
        let yardsticks = self.distance / q / (1.0 + stretch * self.toward_tip);
        if a <= 0.0 || yardsticks > FAR {
            return libm::exp(-yardsticks * yardsticks / 2.0);
        }
        1.0 - band(a, b, self.foot.map(|c| c / q), Reach { yardsticks, stretch })
    }
}

/// Where `f` changes its sign between two places, given with its values there: regula falsi in the
/// Illinois variant, which needs no slope, to a part [`FINE`] of their distance.
fn root([mut a, mut fa]: [f64; 2], [mut b, mut fb]: [f64; 2], f: impl Fn(f64) -> f64) -> f64 {
    let close = FINE * (b - a).abs();
    let mut x = b;
    for _ in 0..60 {
        let before = x;
        x = (a * fb - b * fa) / (fb - fa);
        if (x - before).abs() <= close {
            break;
        }
        let fx = f(x);
        if fx == 0.0 {
            break;
        }
        if (fx > 0.0) == (fb > 0.0) {
            fa /= 2.0;
        } else {
            (a, fa) = (b, fb);
        }
        (b, fb) = (x, fx);
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_steep_gradients_interval_is_the_integrals_to_two_parts_in_a_hundred() {
        let confidence = Confidence::known();
        let mut worst = 0.0_f64;
        let mut steep = 0;
        for ratio in [1.0, 1.3, 2.0, 3.5, 6.0, 10.0] {
            for angle in (0..=9).map(|i| f64::from(i) * std::f64::consts::FRAC_PI_2 / 9.0) {
                for strength in [1.5, 3.0, 4.0, 5.0, 6.5, 9.0, 15.0, 40.0] {
                    let magnitude = strength * ratio;
                    let (x, y) = (magnitude * libm::cos(angle), strength * libm::sin(angle));
                    let e = Estimate { x, y, best: 1.0, worst: ratio, magnitude };
                    let Some(found) = e.steep_interval(&confidence) else { continue };
                    let exact = e.exact_interval(&confidence);
                    let half = (exact.high - exact.low) / 2.0;
                    let off = (found.low - exact.low).abs().max((found.high - exact.high).abs());
                    worst = worst.max(off / half);
                    steep += 1;
                }
            }
        }
        assert!(steep > 150, "{steep}");
        assert!(worst < 0.02, "{worst}");
    }

    #[test]
    fn the_joint_interval_is_as_a_rule_the_longer_one() {
        let confidence = Confidence::known();
        for (x, y, worst) in [(0.3, 0.2, 1.0), (2.0, 1.0, 2.0), (4.0, 2.0, 5.0), (9.0, 3.0, 1.5)] {
            let e = Estimate { x, y, best: 1.0, worst, magnitude: libm::hypot(x, y * worst) };
            let (joint, exact) = (e.joint_interval(&confidence), e.exact_interval(&confidence));
            assert!(joint.low <= exact.low + 1e-9 && joint.high >= exact.high - 1e-9, "{x} {y}");
        }
    }

    #[test]
    fn the_interval_holds_all_that_is_plausible() {
        let confidence = Confidence::known();
        let region = confidence.region.sqrt();
        for ratio in [1.0, 1.7, 4.3, 8.7, 15.0] {
            for (x, y) in [(0.0, 0.0), (0.7, 2.3), (2.5, 0.0), (4.0, 2.1), (12.0, 0.6), (9.0, 4.0)]
            {
                let e = Estimate {
                    x,
                    y,
                    best: 1.0,
                    worst: ratio,
                    magnitude: libm::hypot(x, y * ratio),
                };
                let found = e.exact_interval(&confidence);
                assert!(found.holds(e.magnitude), "{e:?}: {found:?}");
                assert_eq!(found.low > 0.0, libm::hypot(x, y) > region, "{e:?}: {found:?}");
                let step = (found.high - found.low) / 200.0;
                for m in (0..600).map(|i| f64::from(i) * step) {
                    let outside = m < found.low - step || m > found.high + step;
                    let p = e.plausibility(m, &confidence);
                    assert!(!outside || p <= 1.0 - LEVEL, "{e:?}: {found:?}, {p} at {m}");
                }
            }
        }
    }
}
