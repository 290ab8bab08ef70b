//! The points of an ellipse nearest to and farthest from a given point.

/// The point of the ellipse with half axes `a >= b` nearest to a point of the first quadrant.
pub(super) fn nearest(a: f64, b: f64, [x, y]: [f64; 2]) -> [f64; 2] {
    let [sin, cos] = square_to(b * y, a * x, squares_apart(a, b));
    [a * cos, b * sin]
}

/// The point of the ellipse with half axes `a >= b` farthest from a point of the third quadrant,
/// given by its mirror image in the first.
pub(super) fn farthest(a: f64, b: f64, [x, y]: [f64; 2]) -> [f64; 2] {
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

#[cfg(test)]
mod tests {
    #![expect(clippy::disallowed_methods, reason = "a test may be as exact as the platform")]
    use super::*;

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
