//! Whether the direction of flow turned between two rounds.
//!
//! Two rounds share the errors of surveys: their intervals say how sure each direction is by itself, and not how
//! sure the turn is. A turn agrees with the heads when there is a direction that the first round may have had, from
//! which the second, turned by it, lies off by no more than chance: both components across it are held against
//! their errors together, those in common and those of each round.

use geo::Coord;
use serde::Serialize;

use crate::geom::{FittedPlane, Slope, fit_plane_known_to};
use crate::uncertainty::{Confidence, Covariance, GradientError};
use crate::units::Azimuth;

/// A well that two rounds share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SharedWell {
    /// Its position, m.
    pub at: Coord,
    /// Its heads in the two rounds, m.
    pub heads_m: [f64; 2],
    /// Standard deviation of each head from errors that are its own, m.
    pub own_sds_m: [f64; 2],
    /// Standard deviation from errors that both heads have in common, m.
    pub common_sd_m: f64,
}

/// What is said of a turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Turned {
    /// No turn would leave the heads as they are by chance in fewer than 5 of 100 pairs of rounds.
    Turned,
    /// Both directions are resolved, and they may be one.
    NotShown,
    /// The direction of a round is not resolved: there is nothing to turn.
    NotResolved,
}

/// The turns that agree with the heads, 95 %, degrees, clockwise positive.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum TurnInterval {
    /// From one turn clockwise to another. Ends may lie beyond 180 degrees, never a full circle apart.
    Between {
        /// Its anticlockwise end.
        from_deg: f64,
        /// Its clockwise end.
        to_deg: f64,
    },
    /// Every turn.
    Any,
}

/// The gradients of two rounds side by side, by planes through the wells that both have.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Turn {
    /// Count of wells that both rounds have.
    pub wells: usize,
    /// Hydraulic gradient of each round, dimensionless.
    pub gradients: [f64; 2],
    /// Direction of flow of each round, against grid north; `None` of a level plane.
    pub azimuths_grid: [Option<Azimuth>; 2],
    /// Whether each direction is resolved.
    pub resolved: [bool; 2],
    /// The second gradient less the first and its errors, without those in common: its magnitude is that of the
    /// change, its direction the one into which flow was added.
    pub change: GradientError,
    /// From the first direction to the second, degrees clockwise, above -180 to 180; `None` with a level plane.
    pub turn_deg: Option<f64>,
    /// The turns that agree with the heads by the declared errors and by the residuals of the changes: what holds
    /// both.
    pub stated: TurnInterval,
    /// By the declared errors alone.
    pub from_head_errors: TurnInterval,
    /// By the residuals of the changes about their plane, with n - 3 degrees of freedom; `None` for three wells, and
    /// where the changes lie on a plane exactly.
    pub from_residuals: Option<TurnInterval>,
    /// What is said of it.
    pub verdict: Turned,
}

impl TurnInterval {
    /// Whether a turn lies in it.
    ///
    /// # Units
    /// - `turn_deg`: degrees, clockwise positive
    #[must_use]
    pub fn holds(&self, turn_deg: f64) -> bool {
        match self {
            Self::Between { from_deg, to_deg } => {
                (turn_deg - from_deg).rem_euclid(360.0) <= to_deg - from_deg
            }
            Self::Any => true,
        }
    }

    /// What holds both of two intervals about one turn.
    fn and(self, other: Self) -> Self {
        match (self, other) {
            (
                Self::Between { from_deg: a, to_deg: b },
                Self::Between { from_deg: c, to_deg: d },
            ) => Self::between(a.min(c), b.max(d)),
            _ => Self::Any,
        }
    }

    fn between(from_deg: f64, to_deg: f64) -> Self {
        if to_deg - from_deg >= 360.0 { Self::Any } else { Self::Between { from_deg, to_deg } }
    }
}

/// Whether and by how much the direction of flow turned between two rounds.
///
/// `None` for fewer than three shared wells, for wells on one line, and where fewer than two of the three heads of
/// either round have an error of their own.
///
/// # Units
/// - `rounding_m`: m, how finely positions are known as numbers; azimuths against grid north
///
/// # References
/// Likelihood ratio of two gradients of one direction against two of any, the errors of surveys in common: our own,
/// with the set of directions of Fieller (1954) for one round. Equations and proven coverage: `docs/record.md`.
#[must_use]
pub fn turned(wells: &[SharedWell], rounding_m: f64) -> Option<Turn> {
    let at: Vec<Coord> = wells.iter().map(|w| w.at).collect();
    let plane = |head: &dyn Fn(&SharedWell) -> f64| {
        fit_plane_known_to(&at, &wells.iter().map(head).collect::<Vec<f64>>(), rounding_m)
    };
    let planes = [plane(&|w| w.heads_m[0])?, plane(&|w| w.heads_m[1])?];
    let of_changes = plane(&|w| w.heads_m[1] - w.heads_m[0])?;
    let of = |sd: &dyn Fn(&SharedWell) -> f64| {
        Covariance::of_weights(wells.iter().map(|w| (of_changes.weight(w.at), sd(w))))
    };
    let (own, common) =
        ([of(&|w| w.own_sds_m[0]), of(&|w| w.own_sds_m[1])], of(&|w| w.common_sd_m));
    let known = Confidence::known();
    let alone = |i: usize| {
        let by_errors =
            GradientError::quick(planes[i].slope, own[i].plus(common), &known)?.resolved;
        let by_residuals = planes[i].residual_sd.filter(|sd| *sd > 0.0).and_then(|sd| {
            let confidence = Confidence::residual(wells.len() - 3);
            GradientError::quick(planes[i].slope, of_variance(&planes[i], sd * sd), &confidence)
        });
        Some(by_errors && by_residuals.is_none_or(|r| r.resolved))
    };
    let resolved = [alone(0)?, alone(1)?];
    let change = GradientError::new(of_changes.slope, own[0].plus(own[1]), &known)?;
    let slopes = [planes[0].slope, planes[1].slope];
    let azimuths_grid = slopes.map(|s| Azimuth::of_vector(-s.east, -s.north));
    let turn_deg = azimuths_grid[0].zip(azimuths_grid[1]).map(|(a, b)| {
        let clockwise = b.turned(-a.degrees()).degrees();
        if clockwise > 180.0 { clockwise - 360.0 } else { clockwise }
    });
    let interval = |own, common| match turn_deg {
        Some(turn) => Both { slopes, own, common, most: known.sds * known.sds }.interval(turn),
        None => TurnInterval::Any,
    };
    let from_head_errors = interval(own, common);
    let from_residuals =
        scatter(wells, &planes, &of_changes).map(|(own, common)| interval([own; 2], common));
    let stated = from_residuals.map_or(from_head_errors, |r| r.and(from_head_errors));
    let verdict = match (resolved, stated.holds(0.0)) {
        ([true, true], false) => Turned::Turned,
        ([true, true], true) => Turned::NotShown,
        _ => Turned::NotResolved,
    };
    Some(Turn {
        wells: wells.len(),
        gradients: slopes.map(Slope::magnitude),
        azimuths_grid,
        resolved,
        change,
        turn_deg,
        stated,
        from_head_errors,
        from_residuals,
        verdict,
    })
}

/// What the residuals about the planes tell of the errors of each round and of those in common. They are known from
/// few wells, and made longer by as much as Student's t is longer than the normal distribution at 95 %.
fn scatter(
    wells: &[SharedWell],
    planes: &[FittedPlane; 2],
    of_changes: &FittedPlane,
) -> Option<(Covariance, Covariance)> {
    let of_change = of_changes.residual_sd.filter(|sd| *sd > 0.0)?;
    let spare = wells.len() - 3;
    let longer = Confidence::residual(spare).sds / Confidence::known().sds;
    let both = planes[0].residuals.iter().zip(&planes[1].residuals);
    let together = both.map(|(a, b)| a * b).sum::<f64>() / spare as f64;
    let declared =
        wells.iter().map(|w| w.common_sd_m * w.common_sd_m).sum::<f64>() / wells.len() as f64;
    let times = |variance| of_variance(of_changes, variance);
    let own = longer * longer * of_change * of_change / 2.0;
    Some((times(own), times(declared.max(longer * longer * together))))
}

/// The covariance of a plane's slopes where its heads have this variance each.
fn of_variance(plane: &FittedPlane, variance: f64) -> Covariance {
    let [east_east, east_north, north_north] = plane.unit_covariance.map(|c| variance * c);
    Covariance { east_east, east_north, north_north }
}

/// Directions tried about half the circle, the other half being the same.
const TRIED: usize = 60;

/// How finely a turn is found at first, degrees.
const STEP_DEG: f64 = 2.0;

/// Partings of what is left of a step or of a direction's neighbourhood: a ten thousandth of it.
const PARTINGS: usize = 18;

/// The golden section.
const GOLDEN: f64 = 0.618_033_988_749_894_8;

/// Steps to half a circle.
const STEPS: usize = 90;

/// From one direction that is tried to the next, radians.
const APART: f64 = std::f64::consts::PI / TRIED as f64;

/// The unit vector of an angle against the clock from east, radians.
fn unit(angle: f64) -> [f64; 2] {
    let (sin, cos) = libm::sincos(angle);
    [cos, sin]
}

/// Two gradients with their errors.
struct Both {
    slopes: [Slope; 2],
    own: [Covariance; 2],
    common: Covariance,
    /// How far off zero, in squared standard deviations, chance brings a turn at most.
    most: f64,
}

impl Both {
    /// The turns about that of the heads which agree with them.
    fn interval(&self, turn_deg: f64) -> TurnInterval {
        let tried: Vec<[f64; 2]> = (0..TRIED).map(|i| unit(i as f64 * APART)).collect();
        let end = |way: f64| {
            let agrees = |by: f64| self.least(turn_deg + way * by, &tried) <= self.most;
            let beyond = (1..=STEPS).map(|i| i as f64 * STEP_DEG).find(|by| !agrees(*by))?;
            let (mut inside, mut outside) = (beyond - STEP_DEG, beyond);
            for _ in 0..PARTINGS {
                let middle = f64::midpoint(inside, outside);
                if agrees(middle) { inside = middle } else { outside = middle }
            }
            Some(turn_deg + way * outside)
        };
        match (end(-1.0), end(1.0)) {
            (Some(from_deg), Some(to_deg)) => TurnInterval::between(from_deg, to_deg),
            _ => TurnInterval::Any,
        }
    }

    /// How far off a turn the heads are at least, in squared standard deviations, whatever the first direction.
    fn least(&self, turn_deg: f64, tried: &[[f64; 2]]) -> f64 {
        let back = TurnedBack::new(self, turn_deg);
        let mut best = (f64::INFINITY, 0);
        for (i, across) in tried.iter().enumerate() {
            let off = back.off(*across);
            if off < best.0 {
                best = (off, i);
            }
        }
        let at = |angle: f64| back.off(unit(angle));
        let (step, best) = (APART, best.1);
        // Golden section within the two steps about the best one.
        let (mut low, mut high) = ((best as f64 - 1.0) * step, (best as f64 + 1.0) * step);
        let (mut a, mut b) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
        let (mut at_a, mut at_b) = (at(a), at(b));
        for _ in 0..PARTINGS {
            if at_a <= at_b {
                (high, b, at_b) = (b, a, at_a);
                a = high - GOLDEN * (high - low);
                at_a = at(a);
            } else {
                (low, a, at_a) = (a, b, at_b);
                b = low + GOLDEN * (high - low);
                at_b = at(b);
            }
        }
        at_a.min(at_b)
    }
}

/// The second of two gradients turned back, so that both have one direction if that is the turn between them.
struct TurnedBack {
    first: [f64; 2],
    second: [f64; 2],
    /// Covariance of the first, of the second, and of the first with the second, as forms of a direction across.
    forms: [[f64; 3]; 3],
}

impl TurnedBack {
    fn new(both: &Both, turn_deg: f64) -> Self {
        // Clockwise by the turn is what the second was turned by: against the clock is back.
        let (sin, cos) = libm::sincos(turn_deg.to_radians());
        let back = |s: Slope| [cos * s.east - sin * s.north, sin * s.east + cos * s.north];
        let full = |c: Covariance| [[c.east_east, c.east_north], [c.east_north, c.north_north]];
        let rotation = [[cos, -sin], [sin, cos]];
        let times = |a: [[f64; 2]; 2], b: [[f64; 2]; 2]| {
            let cell = |i: usize, j: usize| a[i][0] * b[0][j] + a[i][1] * b[1][j];
            [[cell(0, 0), cell(0, 1)], [cell(1, 0), cell(1, 1)]]
        };
        let transposed = [[cos, sin], [-sin, cos]];
        let form = |m: [[f64; 2]; 2]| [m[0][0], m[0][1] + m[1][0], m[1][1]];
        let of_second = full(both.own[1].plus(both.common));
        Self {
            first: [both.slopes[0].east, both.slopes[0].north],
            second: back(both.slopes[1]),
            forms: [
                form(full(both.own[0].plus(both.common))),
                form(times(times(rotation, of_second), transposed)),
                form(times(full(both.common), transposed)),
            ],
        }
    }

    /// How far both gradients are off one direction, in squared standard deviations; without bound for two that are
    /// opposite.
    ///
    /// # Units
    /// - a unit vector across the direction
    fn off(&self, [cos, sin]: [f64; 2]) -> f64 {
        let along = |g: [f64; 2]| cos * g[1] - sin * g[0];
        if along(self.first) * along(self.second) <= 0.0 {
            return f64::INFINITY;
        }
        let across = |g: [f64; 2]| cos * g[0] + sin * g[1];
        let form = |f: [f64; 3]| f[0] * cos * cos + f[1] * cos * sin + f[2] * sin * sin;
        let [a, b, ab] = self.forms.map(form);
        let (x, y) = (across(self.first), across(self.second));
        let determinant = a * b - ab * ab;
        if determinant > 0.0 {
            (x * x * b - 2.0 * x * y * ab + y * y * a) / determinant
        } else {
            f64::INFINITY
        }
    }
}
