//! Flow paths on a smooth surface: an embedded Runge-Kutta pair with steps that follow the error.

use geo::Coord;
use rayon::prelude::*;

use super::path::{End, FlowPath, Way};
use crate::geom::Slope;

/// A surface that has a slope at every place it covers.
pub trait Field: Sync {
    /// The head and its slope at a place, `None` beyond the surface.
    ///
    /// # Units
    /// - `p`: m; returns: head unit, head unit per m
    fn at(&self, p: Coord) -> Option<(f64, Slope)>;
}

/// How finely a path is worked out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steps {
    /// No step is longer, m.
    pub longest_m: f64,
    /// The estimated error of a step is at most this part of its length, dimensionless.
    pub error: f64,
    /// No more steps than this.
    pub most: usize,
}

/// The estimated error of a step, as a part of its length.
///
/// The error of a path is then at most 0.0001 of its length, 0.1 m in a kilometre, but for what
/// diverging paths make of it: far below what the heads are known to.
pub const STEP_ERROR: f64 = 1e-4;

/// The shortest step as a part of the longest: where the head no longer falls over such a step
/// lies a low, where the surface ends within one lies its end.
const SHORTEST: f64 = 1e-3;

/// The path of the water from a place over a smooth surface.
///
/// The place is followed in arc length, down the unit vector against the slope. It ends where a
/// step of a thousandth of the longest leaves the surface, and where the head does not fall over
/// such a step.
///
/// # Units
/// - `start`: m
///
/// # References
/// Dormand and Prince (1980), Journal of Computational and Applied Mathematics 6(1), 19-26: the
/// pair of orders 5 and 4; the higher order is kept. `docs/toward.md`.
#[must_use]
pub fn trace(field: &impl Field, start: Coord, way: Way, steps: Steps) -> FlowPath {
    let mut path = FlowPath::begin(way);
    let Some((mut head, slope)) = field.at(start) else { return path };
    let mut at = start;
    path.push(at, head);
    let Some(mut direction) = unit(slope, way) else { return path.ended(End::Level) };
    let shortest = SHORTEST * steps.longest_m;
    let (mut step, mut longest) = (0.25 * steps.longest_m, steps.longest_m);
    let mut tries = 0;
    while tries < steps.most {
        tries += 1;
        let tried = stages(field, at, direction, step, way);
        let (next, error) = match tried {
            Tried::Step { next, error } => (next, error / steps.error),
            Tried::Beyond | Tried::Level if step > shortest => {
                step = (step / 2.0).max(shortest);
                longest = step;
                continue;
            }
            Tried::Beyond => return path.ended(End::LeavesMap { well: None }),
            Tried::Level => return path.ended(End::Stops { well: None }),
        };
        let falls = way.sign() * (head - next.head) > 0.0;
        if step > shortest && (error > 1.0 || !falls) {
            let shrink = if falls { (0.9 * libm::pow(error, -0.25)).max(0.2) } else { 0.5 };
            step = (step * shrink).max(shortest);
            if !falls {
                longest = step;
            }
            continue;
        }
        if !falls {
            return path.ended(End::Stops { well: None });
        }
        (at, head, direction) = (next.at, next.head, next.direction);
        path.push(at, head);
        let grow = if error > 0.0 { (0.9 * libm::pow(error, -0.2)).clamp(0.2, 5.0) } else { 5.0 };
        step = (step * grow).clamp(shortest, longest);
    }
    path.ended(End::Unfinished)
}

/// The paths from many places, in their order, worked out side by side.
///
/// # Units
/// See [`trace`].
#[must_use]
pub fn traces(field: &impl Field, starts: &[Coord], way: Way, steps: Steps) -> Vec<FlowPath> {
    starts.par_iter().map(|start| trace(field, *start, way, steps)).collect()
}

/// A place on the way, with what the next step begins from.
struct Next {
    at: Coord,
    head: f64,
    direction: Coord,
}

enum Tried {
    /// The step, and its estimated error as a part of its length.
    Step { next: Next, error: f64 },
    /// A stage lies beyond the surface.
    Beyond,
    /// A stage lies where the surface has no direction.
    Level,
}

/// The unit vector along the walk; `None` where the surface is level.
fn unit(slope: Slope, way: Way) -> Option<Coord> {
    let steep = (slope.east * slope.east + slope.north * slope.north).sqrt();
    (steep > 0.0).then(|| Coord {
        x: -way.sign() * slope.east / steep,
        y: -way.sign() * slope.north / steep,
    })
}

/// The coefficients of the stages, each of them a row; the last row is the step itself.
const A: [&[f64]; 6] = [
    &[1.0 / 5.0],
    &[3.0 / 40.0, 9.0 / 40.0],
    &[44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0],
    &[19372.0 / 6561.0, -25360.0 / 2187.0, 64448.0 / 6561.0, -212.0 / 729.0],
    &[9017.0 / 3168.0, -355.0 / 33.0, 46732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18656.0],
    &[35.0 / 384.0, 0.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0],
];

/// The weights of the higher order less those of the lower.
const E: [f64; 7] = [
    71.0 / 57600.0,
    0.0,
    -71.0 / 16695.0,
    71.0 / 1920.0,
    -17253.0 / 339_200.0,
    22.0 / 525.0,
    -1.0 / 40.0,
];

fn stages(field: &impl Field, at: Coord, first: Coord, step: f64, way: Way) -> Tried {
    let mut k = [first; 7];
    let mut last = (at, f64::NAN);
    for (i, row) in A.iter().enumerate() {
        let mut place = at;
        for (a, k) in row.iter().zip(&k) {
            place.x += step * a * k.x;
            place.y += step * a * k.y;
        }
        let Some((head, slope)) = field.at(place) else { return Tried::Beyond };
        let Some(direction) = unit(slope, way) else { return Tried::Level };
        k[i + 1] = direction;
        last = (place, head);
    }
    let (mut x, mut y) = (0.0, 0.0);
    for (e, k) in E.iter().zip(&k) {
        x += e * k.x;
        y += e * k.y;
    }
    let next = Next { at: last.0, head: last.1, direction: k[6] };
    Tried::Step { next, error: (x * x + y * y).sqrt() }
}
