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

use super::confidence::{Confidence, LEVEL};
use super::covariance::Axes;
use super::quadrature;
use crate::geom::Slope;

/// Probability farther than this many standard deviations from the centre is neglected: 4e-6.
const REACH: f64 = 5.0;

/// Farther from the circle than this many yardsticks the probability is replaced by its bound, which
/// is below 4e-4 there.
const FAR: f64 = 4.0;

/// A probability below this is lost in the rounding of the integral's 1e-7, and may come out as 0.
const FAINT: f64 = 1e-7;

/// The most by which the yardstick at the tip of an ellipse exceeds that beside it.
const STRETCH: f64 = 2.0 / 3.0;

/// A longer piece of the ellipse, in standard deviations, is integrated in two parts.
const PANEL: f64 = 10.0;

/// An ellipse that is more than so many times as long as wide is integrated in parts: about its tip,
/// where its normal turns, beside it, where the lean of the normal fades, and along its side.
const NEEDLE: f64 = 20.0;

/// The tip ends where the normal's component along the needle is so many times that across, and its
/// side begins where it is no more than that, or so far from the tip, in standard deviations.
const TIP_LEAN: f64 = 1.0 / 3.0;
const SIDE_LEAN: f64 = 1e-3;
const TIP_LENGTH: f64 = 0.3;

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

/// By how much the yardstick at the tip of the ellipse with half axes `a >= b` exceeds that beside
/// it, which is one standard deviation.
///
/// Nothing about a circle, where no direction differs from another; nothing about an ellipse so
/// small that it is a point, or with a tip so blunt that it is a straight line, next to the errors;
/// two thirds about a needle. Where the coverage of 95 % intervals is nearest to 95 % in all
/// directions (`docs/uncertainty.md`).
fn stretch(a: f64, b: f64) -> f64 {
    if a <= 0.0 {
        return 0.0;
    }
    let radius = b * b / a;
    let blunt = radius * radius * radius * radius;
    STRETCH * (1.0 - b / a) / (1.0 + 3.0 * blunt + 1.0 / (3.0 * a * a))
}

/// How far a band reaches to both sides of an ellipse.
#[derive(Clone, Copy)]
struct Reach {
    yardsticks: f64,
    stretch: f64,
}

impl Reach {
    /// In standard deviations, where the normal has this component along the long axis.
    fn at(self, toward_tip: f64) -> f64 {
        self.yardsticks * (1.0 + self.stretch * toward_tip)
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

/// The point of the ellipse with half axes `a >= b` nearest to a point of the first quadrant.
fn nearest(a: f64, b: f64, [x, y]: [f64; 2]) -> [f64; 2] {
    let [sin, cos] = square_to(b * y, a * x, squares_apart(a, b));
    [a * cos, b * sin]
}

/// The point of the ellipse with half axes `a >= b` farthest from a point of the third quadrant,
/// given by its mirror image in the first.
fn farthest(a: f64, b: f64, [x, y]: [f64; 2]) -> [f64; 2] {
    let [cos, sin] = square_to(a * x, b * y, squares_apart(a, b));
    [a * cos, b * sin]
}

/// The square of the longer half axis less that of the shorter.
fn squares_apart(a: f64, b: f64) -> f64 {
    ((a - b) * (a + b)).max(0.0)
}

/// The parameter of an ellipse, as its sine and cosine or the other way round, where the ellipse is
/// square to a line from a given point: `p = m / u` and `q = n / (u + c)` of the largest `u` with
/// `p² + q² = 1`, Lagrange's condition. None of the three numbers is negative; `c` is the
/// difference of the squares of the half axes.
///
/// Newton's method, from the left of the root, where the function is convex and falling: it cannot
/// overshoot. `u` is counted from the pole that the root is never left of, so that nothing is lost
/// where the root is next to that pole: `m` may be as small as numbers get.
fn square_to(m: f64, n: f64, c: f64) -> [f64; 2] {
    // Neither of the two terms exceeds 1 at the root.
    let mut u = m.max(n - c);
    if u <= 0.0 {
        // On the axis, between the centres of curvature of its two ends: the root is the pole. At
        // the centre of a circle all points are alike.
        let q = if c > 0.0 { n / c } else { 0.0 };
        return [(1.0 - q * q).sqrt(), q];
    }
    for _ in 0..200 {
        let (p, q) = (m / u, n / (u + c));
        let f = p * p + q * q - 1.0;
        let step = f / (2.0 * (p * p / u + q * q / (u + c)));
        u += step;
        if step <= 1e-13 * u {
            break;
        }
    }
    let (p, q) = (m / u, n / (u + c));
    let length = libm::hypot(p, q);
    [p / length, q / length]
}

/// The probability that a point of the standard normal distribution about `centre` lies within
/// reach of an ellipse with half axes `a >= b`.
///
/// `centre` is on the ellipse in the first quadrant. The quadrants are taken one by one, by
/// reflecting the centre.
fn band(a: f64, b: f64, [x, y]: [f64; 2], reach: Reach) -> f64 {
    [[x, y], [-x, y], [x, -y], [-x, -y]].into_iter().map(|c| quadrant(a, b, c, reach)).sum()
}

/// The same for the part of the ellipse in the first quadrant.
///
/// A place near the ellipse is `e + t n`, its foot on the ellipse plus a step along the normal. The
/// integral over `t` is closed; over the foot it is done numerically. Inwards `t` ends where the
/// normal meets the long axis: beyond it another foot is nearer.
fn quadrant(a: f64, b: f64, [cx, cy]: [f64; 2], reach: Reach) -> f64 {
    let unit = |v: f64| v.clamp(0.0, 1.0);
    // Inwards a step ends at the long axis at the latest; outwards, away from the tip, the normal
    // at the place one would come to without any step leans toward the tip more than any beyond.
    let (outward, inward) = (REACH + reach.at(1.0), REACH + reach.at(1.0).min(b));
    let cos = unit((cx - REACH) / a);
    let lean = b * cos / libm::hypot(a * (1.0 - cos * cos).sqrt(), b * cos);
    let backward = REACH + reach.at(lean) * lean;
    let from = libm::acos(unit((cx + inward) / a)).max(libm::asin(unit((cy - outward) / b)));
    let to = libm::acos(unit((cx - backward) / a)).min(libm::asin(unit((cy + inward) / b)));
    if from >= to {
        return 0.0;
    }
    // What a place on the ellipse holds, per unit of its parameter.
    let held = |cos: f64, sin: f64| {
        let speed = (a * sin * a * sin + b * cos * b * cos).sqrt();
        let curvature = a * b / (speed * speed * speed);
        let normal = [b * cos / speed, a * sin / speed];
        let (dx, dy) = (a * cos - cx, b * sin - cy);
        let across = normal[0] * dx + normal[1] * dy;
        let along = normal[0] * dy - normal[1] * dx;
        if along.abs() > REACH {
            return 0.0;
        }
        let distance = reach.at(normal[0]);
        let inward = distance.min(b * speed / a);
        let [near, far] = [across - inward, across + distance].map(Normal::at);
        let content = (1.0 - across * curvature) * (far.below - near.below)
            + curvature * (near.density - far.density);
        density(along) * content * speed
    };
    // By the angle whose tangent is `k` times the parameter's: the parameter itself for 1, that of
    // the normal for `a / b`.
    let by_angle = |k: f64, from: f64, to: f64| {
        let angle = |parameter: f64| libm::atan2(k * libm::sin(parameter), libm::cos(parameter));
        let chord = libm::hypot(
            a * (libm::cos(to) - libm::cos(from)),
            b * (libm::sin(to) - libm::sin(from)),
        );
        quadrature::integral(angle(from), angle(to), chord > PANEL, |angle| {
            let (s, c) = (libm::sin(angle), k * libm::cos(angle));
            let length = (s * s + c * c).sqrt();
            held(c / length, s / length) * k / (length * length)
        })
    };
    if a <= NEEDLE * b {
        // Neither of the two angles is even along an ellipse; what is half way between them is
        // even enough for the rule.
        return by_angle((a / b).sqrt(), from, to);
    }
    let leaning = |part: f64| libm::atan2(b, part * a);
    let tip = leaning(TIP_LEAN).clamp(from, to);
    let along_tip = libm::acos(unit(1.0 - TIP_LENGTH / a));
    let side = leaning(SIDE_LEAN).min(along_tip).clamp(tip, to);
    let mut all = by_angle(1.0, side, to);
    if tip > from {
        all += by_angle(a / b, from, tip);
    }
    if side > tip {
        // From the tip on its lean falls as one over the parameter.
        all += quadrature::integral(libm::log(tip), libm::log(side), false, |log| {
            let parameter = libm::exp(log);
            held(libm::cos(parameter), libm::sin(parameter)) * parameter
        });
    }
    all
}

/// The standard normal distribution's density.
fn density(x: f64) -> f64 {
    const SCALE: f64 = 0.398_942_280_401_432_7;
    SCALE * libm::exp(-x * x / 2.0)
}

/// The standard normal distribution at a place.
struct Normal {
    density: f64,
    /// The probability below.
    below: f64,
}

impl Normal {
    /// To 7.5e-8, for the price of one exponential.
    ///
    /// # References
    /// Abramowitz and Stegun (1964), Handbook of Mathematical Functions, 26.2.17 (from memory; the
    /// circles of the tests hold it against scipy).
    fn at(x: f64) -> Self {
        let density = density(x);
        let t = 1.0 / (1.0 + 0.231_641_9 * x.abs());
        let sum = (1.330_274_429 * t - 1.821_255_978) * t + 1.781_477_937;
        let sum = (sum * t - 0.356_563_782) * t + 0.319_381_530;
        let beyond = density * t * sum;
        Self { density, below: if x > 0.0 { 1.0 - beyond } else { beyond } }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::disallowed_methods, reason = "a test may be as exact as the platform")]
    use super::*;

    /// The band about a circle through the centre is exact: the noncentral chi-square distribution.
    /// Values of `scipy.stats.ncx2.cdf((m + d)**2, 2, m * m) - ncx2.cdf(max(m - d, 0)**2, 2, m * m)`.
    #[test]
    fn about_a_circle_it_is_the_noncentral_chi_square() {
        for (m, d, expected) in CIRCLES {
            let found = band(m, m, [m, 0.0], Reach { yardsticks: d, stretch: stretch(m, m) });
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

    /// Values of `tests/data/uncertainty/make_needles.py`: half axes, parameter of the centre and
    /// yardsticks.
    #[test]
    fn about_a_needle_it_is_the_sum_over_a_lattice() {
        for (a, b, parameter, yardsticks, expected) in NEEDLES {
            let centre = [a * libm::cos(parameter), b * libm::sin(parameter)];
            let found = band(a, b, centre, Reach { yardsticks, stretch: stretch(a, b) });
            assert!((found - expected).abs() < 1.5e-4, "a {a}, b {b}, {parameter}: {found}");
        }
    }

    const NEEDLES: [(f64, f64, f64, f64, f64); 12] = [
        (26.93, 0.0417, 0.4903, 1.762, 0.92568),
        (28.0, 0.0434, 0.5567, 1.76, 0.92578),
        (6.1, 0.0141, 0.1, 1.67, 0.91537),
        (20.2, 0.0313, 0.0001, 2.5, 0.99104),
        (733.0, 1.69, 1.5, 1.0, 0.69153),
        (300.0, 5.0, 0.02, 1.9, 0.98269),
        (150.0, 5.0, 0.1, 1.96, 0.98899),
        (150.0, 5.0, 1.2, 1.5, 0.86959),
        (60.0, 2.0, 0.1, 1.9, 0.98075),
        (30.0, 2.0, 0.2, 1.9, 0.98493),
        (5000.0, 0.3, 0.002, 1.8, 0.93830),
        (100.0, 0.01, 1.4, 1.96, 0.95115),
    ];

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

    /// A yardstick that changed along a circle would make its exact interval wrong, and one that
    /// changed about a point the verdict.
    #[test]
    fn the_yardstick_is_even_about_circles_and_points() {
        let near = |found: f64, expected: f64| assert!((found - expected).abs() < 1e-6, "{found}");
        near(stretch(3.0, 3.0), 0.0);
        near(stretch(0.0, 0.0), 0.0);
        near(stretch(1e-4, 1e-5), 0.0);
        near(stretch(1e4, 1e-2), STRETCH * (1.0 - 1e-6));
        assert!(stretch(1e4, 1e3) < 1e-6, "a tip as good as straight");
    }

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
