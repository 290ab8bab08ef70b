//! The way of the water over heads that a formula gives, and its time.

use geo::Coord;

/// Heads by a formula: m over m from the south-west corner of the site.
pub(crate) type Heads = fn(Coord) -> f64;

/// Steps of a way, m: its error is below a centimetre in a kilometre (held to closed forms in `tests`).
const STEP_M: f64 = 0.1;

/// Down from a place over an aquifer of one conductivity (m/d) and porosity, until `ends`: where it is then, and after
/// how many days; `None` where it comes to a place without slope or goes farther than 20 km.
///
/// Runge and Kutta's steps of order 4 along the steepest descent, slopes by central differences.
pub(crate) fn down(
    heads: Heads,
    [k, n]: [f64; 2],
    start: Coord,
    ends: impl Fn(Coord) -> bool,
) -> Option<(Coord, f64)> {
    let slope = |p: Coord| {
        let by = |east: f64, north: f64| {
            let to = |sign: f64| heads(Coord { x: p.x + sign * east, y: p.y + sign * north });
            (to(1.0) - to(-1.0)) / (2.0 * 1e-3)
        };
        Coord { x: by(1e-3, 0.0), y: by(0.0, 1e-3) }
    };
    let down = |p: Coord| {
        let s = slope(p);
        s * (-1.0 / libm::hypot(s.x, s.y))
    };
    let (mut at, mut days) = (start, 0.0);
    for _ in 0..200_000 {
        if ends(at) {
            return Some((at, days));
        }
        let s = slope(at);
        if libm::hypot(s.x, s.y) < 1e-9 {
            return None;
        }
        let a = down(at);
        let b = down(at + a * (STEP_M / 2.0));
        let c = down(at + b * (STEP_M / 2.0));
        let d = down(at + c * STEP_M);
        let next = at + (a + b * 2.0 + c * 2.0 + d) * (STEP_M / 6.0);
        let middle = slope((at + next) * 0.5);
        days += STEP_M * n / (k * libm::hypot(middle.x, middle.y));
        at = next;
    }
    None
}
