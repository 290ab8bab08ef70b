//! The interval of a gradient's magnitude.
//!
//! The heads agree with a magnitude when the estimate is not too far, in standard deviations, from
//! the circle of all gradients of that magnitude. How far is too far follows from the distribution
//! of that distance were the gradient the circle's point nearest to the estimate: the probability
//! content of a band along an ellipse, by one integral. Nothing is linearised, so the interval
//! stays right where the magnitude is a few standard deviations or less.

use serde::Serialize;

use super::confidence::{Confidence, LEVEL};
use super::covariance::Axes;
use super::quadrature;
use crate::geom::Slope;

/// Probability farther than this many standard deviations from the centre is neglected: 4e-6.
const REACH: f64 = 5.0;

/// Farther from the circle than this many standard deviations the probability is replaced by its
/// bound, which is below 4e-4 there.
const FAR: f64 = 4.0;

/// A longer piece of the ellipse, in standard deviations, is integrated in two parts.
const PANEL: f64 = 10.0;

/// Steps between the two bounds of an end of the interval.
const STEPS: usize = 6;

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

    /// The probability of heads at least as far from this magnitude as those read.
    pub(super) fn plausibility(&self, magnitude: f64, confidence: &Confidence) -> f64 {
        let place = self.place(magnitude);
        let beyond = |[q, weight]: &[f64; 2]| weight * place.beyond(*q);
        confidence.scales.iter().map(beyond).sum::<f64>().clamp(0.0, 1.0)
    }

    /// The magnitudes whose plausibility is above 5 %.
    ///
    /// The probability beyond a distance is at least that of the half plane beyond it and at most
    /// that of the outside of a circle of that radius, so each end of the interval lies between the
    /// magnitudes at two known distances.
    pub(super) fn interval(&self, confidence: &Confidence) -> MagnitudeInterval {
        let far = confidence.region.sqrt();
        let distance = |m: f64| self.place(m).distance;
        let end = |outside: f64| {
            let at = |bound: f64| root(outside, self.magnitude, |m| bound - distance(m));
            let excess = |m: f64| libm::log(self.plausibility(m, confidence) / (1.0 - LEVEL));
            // From the outside in: about a thin triangle the probability can cross the level more
            // than once, and the interval is to hold all that is plausible.
            let (first, last) = (at(far), at(confidence.one_sided_sds));
            let step = |i: usize| first + (last - first) * i as f64 / STEPS as f64;
            let inside = (1..STEPS).find(|i| excess(step(*i)) > 0.0).unwrap_or(STEPS);
            root(step(inside - 1), step(inside), excess)
        };
        let low = if libm::hypot(self.x, self.y) > far { end(0.0) } else { 0.0 };
        let mut outside = self.magnitude + far * self.best;
        while distance(outside) <= far {
            outside += far * self.worst;
        }
        MagnitudeInterval { low, high: end(outside) }
    }

    /// Where a circle of gradients lies relative to the estimate.
    fn place(&self, magnitude: f64) -> Place {
        let (a, b) = (magnitude / self.best, magnitude / self.worst);
        let foot = if magnitude > 0.0 { nearest(a, b, [self.x, self.y]) } else { [0.0; 2] };
        Place { a, b, foot, distance: libm::hypot(self.x - foot[0], self.y - foot[1]) }
    }
}

/// All gradients of one magnitude, an ellipse in standard deviations, and the one nearest to the
/// estimate.
struct Place {
    a: f64,
    b: f64,
    foot: [f64; 2],
    distance: f64,
}

impl Place {
    /// The probability of a distance at least as large, were the gradient the nearest one and the
    /// standard deviations `q` times as large.
    fn beyond(&self, q: f64) -> f64 {
        let distance = self.distance / q;
        if self.a <= 0.0 || distance > FAR {
            return libm::exp(-distance * distance / 2.0);
        }
        1.0 - band(self.a / q, self.b / q, self.foot.map(|c| c / q), distance)
    }
}

/// Where `f` changes its sign between two places: regula falsi in the Illinois variant, which needs
/// no slope, to a millionth of their distance.
fn root(mut a: f64, mut b: f64, f: impl Fn(f64) -> f64) -> f64 {
    let close = 1e-6 * (b - a).abs();
    let (mut fa, mut fb) = (f(a), f(b));
    let mut x = b;
    for _ in 0..60 {
        let before = x;
        x = (a * fb - b * fa) / (fb - fa);
        let fx = f(x);
        if fx == 0.0 || (x - before).abs() <= close {
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

/// The point of the ellipse with half axes `a >= b` nearest to a point of the first quadrant.
///
/// Newton's method on the Lagrange condition, from the left of its largest root, where the function
/// is convex and falling: it cannot overshoot.
fn nearest(a: f64, b: f64, [x, y]: [f64; 2]) -> [f64; 2] {
    let (a2, b2) = (a * a, b * b);
    if y == 0.0 {
        // From the long axis: the tip, unless the centre of curvature of the tip lies beyond.
        if a * x >= a2 - b2 {
            return [a, 0.0];
        }
        let cos = a * x / (a2 - b2);
        return [a * cos, b * (1.0 - cos * cos).sqrt()];
    }
    let mut t = -b2 + b * y;
    for _ in 0..200 {
        let (p, q) = (a * x / (t + a2), b * y / (t + b2));
        let f = p * p + q * q - 1.0;
        let step = f / (2.0 * (p * p / (t + a2) + q * q / (t + b2)));
        t += step;
        if step <= 1e-13 * (t + b2) {
            break;
        }
    }
    let (p, q) = (a * x / (t + a2), b * y / (t + b2));
    let length = libm::hypot(p, q);
    [a * p / length, b * q / length]
}

/// The probability that a point of the standard normal distribution about `centre` lies within
/// `distance` of an ellipse with half axes `a >= b`.
///
/// `centre` is on the ellipse in the first quadrant. The quadrants are taken one by one, by
/// reflecting the centre.
fn band(a: f64, b: f64, [x, y]: [f64; 2], distance: f64) -> f64 {
    [[x, y], [-x, y], [x, -y], [-x, -y]].into_iter().map(|c| quadrant(a, b, c, distance)).sum()
}

/// The same for the part of the ellipse in the first quadrant.
///
/// A place near the ellipse is `e + t n`, its foot on the ellipse plus a step along the normal. The
/// integral over `t` is closed; over the foot it is done numerically. Inwards `t` ends where the
/// normal meets the long axis: beyond it another foot is nearer.
fn quadrant(a: f64, b: f64, [cx, cy]: [f64; 2], distance: f64) -> f64 {
    let reach = REACH + distance;
    let unit = |v: f64| v.clamp(0.0, 1.0);
    let from = libm::acos(unit((cx + reach) / a)).max(libm::asin(unit((cy - reach) / b)));
    let to = libm::acos(unit((cx - reach) / a)).min(libm::asin(unit((cy + reach) / b)));
    if from >= to {
        return 0.0;
    }
    // Neither the ellipse's parameter nor the normal's angle is even along a thin ellipse; an angle
    // half way between the two is even enough for the rule.
    let k = (a / b).sqrt();
    let even = |parameter: f64| libm::atan2(k * libm::sin(parameter), libm::cos(parameter));
    let chord =
        libm::hypot(a * (libm::cos(to) - libm::cos(from)), b * (libm::sin(to) - libm::sin(from)));
    quadrature::integral(even(from), even(to), chord > PANEL, |angle| {
        let (s, c) = (libm::sin(angle), k * libm::cos(angle));
        let length = libm::hypot(s, c);
        let (cos, sin) = (c / length, s / length);
        let per_angle = k / (length * length);
        let speed = libm::hypot(a * sin, b * cos);
        let curvature = a * b / (speed * speed * speed);
        let normal = [b * cos / speed, a * sin / speed];
        let (dx, dy) = (a * cos - cx, b * sin - cy);
        let across = normal[0] * dx + normal[1] * dy;
        let along = normal[0] * dy - normal[1] * dx;
        if along.abs() > REACH {
            return 0.0;
        }
        let inward = distance.min(b * speed / a);
        let (near, far) = (across - inward, across + distance);
        let content = (1.0 - across * curvature) * (normal_cdf(far) - normal_cdf(near))
            + curvature * (normal_pdf(near) - normal_pdf(far));
        normal_pdf(along) * content * speed * per_angle
    })
}

fn normal_pdf(x: f64) -> f64 {
    const SCALE: f64 = 0.398_942_280_401_432_7;
    SCALE * libm::exp(-x * x / 2.0)
}

fn normal_cdf(x: f64) -> f64 {
    0.5 * libm::erfc(-x * std::f64::consts::FRAC_1_SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The band about a circle through the centre is exact: the noncentral chi-square distribution.
    /// Values of `scipy.stats.ncx2.cdf((m + d)**2, 2, m * m) - ncx2.cdf(max(m - d, 0)**2, 2, m * m)`.
    #[test]
    fn about_a_circle_it_is_the_noncentral_chi_square() {
        for (m, d, expected) in CIRCLES {
            let found = band(m, m, [m, 0.0], d);
            assert!((found - expected).abs() < 2e-6, "m {m}, d {d}: {found} for {expected}");
        }
    }

    const CIRCLES: [(f64, f64, f64); 10] = [
        (0.3, 0.5, 0.263_589_607_968_672_5),
        (0.3, 2.2, 0.949_807_272_161_428_4),
        (1.0, 1.0, 0.730_987_939_964_09),
        (1.0, 2.2, 0.972_663_840_627_680_1),
        (2.0, 1.5, 0.886_804_017_295_831_6),
        (3.0, 1.96, 0.954_190_759_433_312_1),
        (5.0, 1.96, 0.951_241_459_824_81),
        (10.0, 2.0, 0.954_774_735_344_108_4),
        (40.0, 1.0, 0.682_727_320_758_180_3),
        (1000.0, 1.96, 0.950_004_238_339_710_5),
    ];

    #[test]
    fn the_nearest_point_is_on_the_ellipse_and_square_to_it() {
        for (a, b) in [(1.0, 1.0), (3.0, 1.0), (86.6, 10.0), (1e4, 2.0)] {
            for p in [[0.1, 0.2], [2.0, 0.0], [0.0, 0.3], [5.0, 7.0], [90.0, 1e-9], [0.0, 20.0]] {
                let [x, y] = nearest(a, b, p);
                assert!(((x / a).powi(2) + (y / b).powi(2) - 1.0).abs() < 1e-9, "{a} {b} {p:?}");
                let (dx, dy) = (p[0] - x, p[1] - y);
                let square = (dx * y / (b * b) - dy * x / (a * a)).abs();
                let scale = libm::hypot(dx, dy) * libm::hypot(x / (a * a), y / (b * b));
                assert!(square <= 1e-6 * scale + 1e-12, "{a} {b} {p:?}: {square} of {scale}");
            }
        }
    }
}
