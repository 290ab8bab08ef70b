//! Two readings exchanged among five or six wells.
//!
//! Their heads are off by as much, one up and one down, and hide each other: every plane holds at least one of
//! them, and wells are too few for a start that two wrong heads cannot spoil. By how much is known, though: it
//! is what the other reading makes of each head. That needs no well to spare, and few planes fit by chance with
//! just these shifts.

use geo::Coord;

use super::causes::{LEFT, Tried};
use super::scatter::Scatter;
use super::start;
use super::types::ControlPoint;
use crate::geom::{FittedPlane, fit_plane};

/// As many wells as this are judged one by one, and by a start that two wrong heads cannot spoil.
pub(super) const ENOUGH: usize = start::FEWEST;

/// Two heads that fit the plane of all with their readings exchanged, and not as they are.
#[derive(Debug, Clone)]
pub(super) struct Exchange {
    /// Indices among the points, the first one first.
    pub(super) wells: [usize; 2],
    /// Their heads with the readings exchanged, elevation unit.
    pub(super) heads: [f64; 2],
    /// By how many standard deviations the heads are off in that way.
    pub(super) score: f64,
    /// What that may be by chance.
    pub(super) bound: f64,
    /// Other pairs that explain the heads as well.
    pub(super) or_pairs: Vec<[usize; 2]>,
    /// Wells that explain the heads as well when each alone is wrong, and by how much it is too high then,
    /// elevation unit.
    pub(super) or_wells: Vec<(usize, f64)>,
}

/// A pair that is tried.
struct Pair {
    wells: [usize; 2],
    heads: [f64; 2],
    score: f64,
    bound: f64,
    /// What is left when they are exchanged: the sum of squares of the residuals, and the scatter.
    squares: f64,
    scatter: Scatter,
}

/// The two wells whose readings are exchanged, where the plane through all wells shows it and no single wrong
/// head explains more; of several pairs that whose exchange leaves the least.
///
/// The size of the exchange that fits best is held against its standard deviation by Student's t over all pairs
/// ([`Scatter::bound`]), and what is left of it when the readings are exchanged against that of one: the
/// exchange does not only help, it explains.
///
/// # Units
/// - `declared_sd`: the usual standard deviation of a head; `floor`: heads that an exchange shifts by less are left
///   alone; elevation unit
///
/// # References
/// The test of a shift of the mean in a linear model: Cook and Weisberg (1982), Residuals and Influence in
/// Regression, as the manual of `outlierTest` of the R package car quotes it; here of two heads at once.
/// `docs/methods.md`, eq. 11.
pub(super) fn find(
    points: &[ControlPoint],
    tried: &Tried,
    declared_sd: f64,
    floor: f64,
) -> Option<Exchange> {
    let places: Vec<Coord> = points.iter().map(|p| p.local).collect();
    let heads: Vec<f64> = points.iter().map(|p| p.head).collect();
    let count = points.len();
    if !(4..ENOUGH).contains(&count) {
        return None;
    }
    let all = All { plane: fit_plane(&places, &heads)?, places, declared_sd };
    let alone: Vec<(Scatter, f64)> = (0..count).map(|i| all.without(i)).collect();
    let least = alone.iter().map(|(scatter, _)| scatter.sd).fold(f64::INFINITY, f64::min);
    let mut pairs: Vec<Pair> = (0..count)
        .flat_map(|a| (a + 1..count).map(move |b| [a, b]))
        .filter_map(|wells| all.with_exchanged(wells, tried.exchanged_heads(wells)?, points, floor))
        .filter(|pair| pair.scatter.sd <= least)
        .collect();
    pairs.sort_by(|a, b| a.squares.total_cmp(&b.squares).then(a.wells.cmp(&b.wells)));
    let mut pairs = pairs.into_iter();
    let Pair { wells, heads, score, bound, scatter, .. } = pairs.next()?;
    let as_well = |(i, (without, too_high)): (usize, (Scatter, f64))| {
        (without.sd <= scatter.sd && too_high.abs() > floor).then_some((i, too_high))
    };
    Some(Exchange {
        wells,
        heads,
        score,
        bound,
        or_pairs: pairs.map(|pair| pair.wells).collect(),
        or_wells: alone.into_iter().enumerate().filter_map(as_well).collect(),
    })
}

/// The plane through all wells.
struct All {
    plane: FittedPlane,
    places: Vec<Coord>,
    declared_sd: f64,
}

impl All {
    /// What a shift of one head by 1 does to the residual of another, or to its own.
    fn share(&self, i: usize, j: usize) -> f64 {
        let (a, b) = (self.places[i] - self.plane.centre, self.places[j] - self.plane.centre);
        let [ee, en, nn] = self.plane.unit_covariance;
        let of_plane = ee * a.x * b.x + en * (a.x * b.y + a.y * b.x) + nn * a.y * b.y;
        f64::from(i == j) - 1.0 / self.places.len() as f64 - of_plane
    }

    fn squares(&self) -> f64 {
        self.plane.residuals.iter().map(|r| r * r).sum()
    }

    /// The scatter that so large a sum of squares of residuals leaves when so many numbers beside the plane
    /// are fitted.
    fn scatter(&self, squares: f64, fitted: usize) -> Scatter {
        let freedom = self.places.len() as f64 - 3.0 - fitted as f64;
        Scatter::pooled(squares.max(0.0) / freedom, freedom, self.declared_sd)
    }

    /// The scatter when one head is wrong by any number, and by how much it is too high then.
    fn without(&self, i: usize) -> (Scatter, f64) {
        let (residual, share) = (self.plane.residuals[i], self.share(i, i));
        let too_high = residual / share;
        if share <= 0.0 || !too_high.is_finite() {
            return (self.scatter(self.squares(), 1), 0.0);
        }
        (self.scatter(self.squares() - too_high * residual, 1), too_high)
    }

    /// A pair with these heads once exchanged, if that explains what the plane leaves.
    fn with_exchanged(
        &self,
        [a, b]: [usize; 2],
        heads: [f64; 2],
        points: &[ControlPoint],
        floor: f64,
    ) -> Option<Pair> {
        let count = self.places.len();
        let shift = points[a].head - heads[0];
        let share = self.share(a, a) + self.share(b, b) - 2.0 * self.share(a, b);
        if shift.abs() <= floor || share <= 0.0 {
            return None;
        }
        let off = self.plane.residuals[a] - self.plane.residuals[b];
        let fitting = off / share;
        let scatter = self.scatter(self.squares() - fitting * off, 1);
        let size = |shift: f64| shift.abs() * share.sqrt() / scatter.sd;
        let (score, bound) = (size(fitting), scatter.bound(count * (count - 1) / 2));
        let left = fitting - shift;
        let explains = size(left) <= scatter.bound(1) && left.abs() <= LEFT * fitting.abs();
        if score.is_nan() || score <= bound || !explains {
            return None;
        }
        let squares = self.squares() - 2.0 * shift * off + shift * shift * share;
        Some(Pair {
            wells: [a, b],
            heads,
            score,
            bound,
            squares,
            scatter: self.scatter(squares, 0),
        })
    }
}
