//! The probability content of a band along an ellipse, as wide as a yardstick that is longer toward
//! the tip.

use super::quadrature;

/// Probability farther than this many standard deviations from the centre is neglected: 4e-6.
const REACH: f64 = 5.0;

/// The most by which the yardstick at the tip of an ellipse exceeds that beside it.
pub(super) const STRETCH: f64 = 2.0 / 3.0;

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

/// By how much the yardstick at the tip of the ellipse with half axes `a >= b` exceeds that beside
/// it, which is one standard deviation.
///
/// Nothing about a circle, where no direction differs from another; nothing about an ellipse so
/// small that it is a point, or with a tip so blunt that it is a straight line, next to the errors;
/// two thirds about a needle. Where the coverage of 95 % intervals is nearest to 95 % in all
/// directions (`docs/uncertainty.md`).
pub(super) fn stretch(a: f64, b: f64) -> f64 {
    if a <= 0.0 {
        return 0.0;
    }
    let radius = b * b / a;
    let blunt = radius * radius * radius * radius;
    STRETCH * (1.0 - b / a) / (1.0 + 3.0 * blunt + 1.0 / (3.0 * a * a))
}

/// How far a band reaches to both sides of an ellipse.
#[derive(Clone, Copy)]
pub(super) struct Reach {
    pub(super) yardsticks: f64,
    pub(super) stretch: f64,
}

impl Reach {
    /// In standard deviations, where the normal has this component along the long axis.
    fn at(self, toward_tip: f64) -> f64 {
        self.yardsticks * (1.0 + self.stretch * toward_tip)
    }
}

/// The probability that a point of the standard normal distribution about `centre` lies within
/// reach of an ellipse with half axes `a >= b`.
///
/// `centre` is on the ellipse in the first quadrant. The quadrants are taken one by one, by
/// reflecting the centre.
pub(super) fn band(a: f64, b: f64, [x, y]: [f64; 2], reach: Reach) -> f64 {
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
}
