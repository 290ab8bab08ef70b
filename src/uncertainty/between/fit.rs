//! Which covariances the wells agree with, and how well.

use faer::Mat;
use geo::Coord;
use rayon::prelude::*;

use super::types::{BetweenWells, FEWEST_WELLS, KnownHeads, Member, ROUNDING};
use crate::geom::{bounds, distance};
use crate::interpolate::kriging::{Covariance, Model, linear};

/// How rough the surface may be between the wells: with slopes that change from place to place,
/// with slopes that change smoothly, and as smooth as can be.
const MODELS: [Model; 3] = [Model::Matern32, Model::Matern52, Model::Gaussian];

/// The shortest effective range, in usual spacings of wells. A surface that bends within less is
/// scatter of single wells to them.
const SHORTEST_SPACINGS: f64 = 1.3;

/// The longest, in diagonals of the wells' rectangle. A longer one bends no more over the map.
const LONGEST_DIAGONALS: f64 = 2.1;

/// Effective ranges looked at.
const RANGES: usize = 6;

/// Parts of the variance that are scatter of single wells, and the probability of each beforehand:
/// as a rule there is none beyond the declared errors.
const SCATTERS: [[f64; 2]; 3] = [[0.0, 0.85], [0.05, 0.075], [0.3, 0.075]];

/// Variances looked at, as multiples of the one that fits the wells with the other parameters. Wide,
/// because few wells tell a variance badly, and from below by less than from above: the upper tail
/// of the reciprocal of a chi-square variable is the long one.
const VARIANCES: [f64; 6] = [0.1, 0.35, 1.0, 3.0, 9.0, 27.0];

/// Steps toward the variance that fits.
const STEPS: usize = 3;

/// Covariances that are kept.
const KEPT: usize = 12;

/// Wells are looked at in compact groups of no more than this, each with a plane of its own.
const MOST_IN_GROUP: usize = 32;

/// Groups that are looked at.
const MOST_GROUPS: usize = 4;

/// Wells around a place that tell its slope where near wells screen off the farther ones, and where
/// they do not because heads scatter more than the surface bends from well to well.
const NEAREST: usize = 16;
const NEAREST_SCATTERED: usize = 48;

/// See [`BetweenWells::of`].
///
/// Heads that lie on a plane are taken to scatter about it by no less than `least`, m².
pub(super) fn fit(wells: KnownHeads, spacing_m: f64, least: f64) -> Option<BetweenWells> {
    let count = wells.places.len();
    if count < FEWEST_WELLS || spacing_m <= 0.0 {
        return None;
    }
    let groups: Vec<Group> =
        groups(wells.places).iter().filter_map(|members| Group::new(wells, members)).collect();
    let spare: usize = groups.iter().map(Group::spare).sum();
    if spare < FEWEST_WELLS - 3 {
        return None;
    }
    let start = groups.iter().map(Group::scatter_about_plane).sum::<f64>() / spare as f64;
    let start = start.max(least);
    if start <= 0.0 {
        return None;
    }
    let shortest = SHORTEST_SPACINGS * spacing_m;
    let longest = (LONGEST_DIAGONALS * diagonal(wells.places)).max(2.0 * shortest);
    let range = |k: usize| shortest * libm::pow(longest / shortest, k as f64 / (RANGES - 1) as f64);
    let lattice: Vec<(Model, f64)> =
        MODELS.iter().flat_map(|model| (0..RANGES).map(move |k| (*model, range(k)))).collect();
    let found: Vec<Vec<(Covariance, f64)>> = lattice
        .par_iter()
        .map(|(model, range_m)| of_shape(&groups, Covariance::new(*model, 1.0, *range_m), start))
        .collect();
    let members = kept(&found.concat())?;
    let nearest = nearest(wells, spacing_m, &members);
    Some(BetweenWells { members, nearest })
}

/// All variances and scatters of one shape, with the logarithm of the probability of each.
fn of_shape(groups: &[Group], shape: Covariance, start: f64) -> Vec<(Covariance, f64)> {
    let spare: usize = groups.iter().map(Group::spare).sum();
    let mut work: Vec<Work> = groups.iter().map(|g| Work::new(g, shape)).collect();
    let mut all = Vec::with_capacity(SCATTERS.len() * VARIANCES.len());
    for [scatter, probability] in SCATTERS {
        let mut at = |variance: f64| -> Option<(f64, f64)> {
            let (mut log, mut squares) = (0.0, 0.0);
            for (group, work) in groups.iter().zip(&mut work) {
                let (l, s) = work.likelihood(group, variance, scatter)?;
                log += l;
                squares += s;
            }
            Some((log, squares))
        };
        let mut fits = start;
        for _ in 0..STEPS {
            let Some((_, squares)) = at(fits) else { break };
            // As many as there are contrasts where the variance is the right one; where errors of
            // readings explain all, the variance may sink to next to nothing.
            fits *= (squares / spare as f64).clamp(1e-3, 1e6);
        }
        for multiple in VARIANCES {
            let variance = multiple * fits;
            let Some((log, _)) = at(variance) else { continue };
            let covariance = Covariance {
                partial_sill: variance * (1.0 - scatter),
                nugget: variance * scatter,
                ..shape
            };
            all.push((covariance, log + libm::log(probability)));
        }
    }
    all
}

/// The covariances that stand for all: as many as [`KEPT`], each for an equal part of the
/// probability.
fn kept(found: &[(Covariance, f64)]) -> Option<Vec<Member>> {
    let best = found.iter().map(|f| f.1).fold(f64::NEG_INFINITY, f64::max);
    if !best.is_finite() {
        return None;
    }
    let weights: Vec<f64> = found.iter().map(|f| libm::exp(f.1 - best)).collect();
    let all: f64 = weights.iter().sum();
    let mut members: Vec<Member> = Vec::new();
    let (mut below, mut taken) = (0.0, 0);
    for ((covariance, _), weight) in found.iter().zip(weights) {
        below += weight / all;
        let mut times = 0;
        while taken < KEPT && (taken as f64 + 0.5) / KEPT as f64 <= below {
            (taken, times) = (taken + 1, times + 1);
        }
        if times > 0 {
            let weight = f64::from(times) / KEPT as f64;
            members.push(Member { covariance: *covariance, weight });
        }
    }
    Some(members)
}

/// How many wells around a place tell its slope.
fn nearest(wells: KnownHeads, spacing_m: f64, members: &[Member]) -> usize {
    let errors = wells.sds.iter().map(|sd| sd * sd).sum::<f64>() / wells.sds.len() as f64;
    let (mut scatter, mut bend) = (0.0, 0.0);
    for member in members {
        scatter += member.weight * (member.covariance.nugget + errors);
        bend += member.weight * member.shape().semivariance(spacing_m);
    }
    if scatter > bend { NEAREST_SCATTERED } else { NEAREST }
}

/// The diagonal of the wells' rectangle.
fn diagonal(places: &[Coord]) -> f64 {
    let (low, high) = bounds(places.iter().copied());
    distance(low, high)
}

/// Compact groups of wells, evenly taken from all when there are many: the wells are halved across
/// their longer side until no group is too large, and only the halves that lead to a group that is
/// wanted are halved on.
fn groups(places: &[Coord]) -> Vec<Vec<usize>> {
    let mut halvings = 0;
    while places.len() >> halvings > MOST_IN_GROUP {
        halvings += 1;
    }
    let all = 1_usize << halvings;
    let wanted: Vec<usize> = if all <= MOST_GROUPS {
        (0..all).collect()
    } else {
        (0..MOST_GROUPS).map(|i| (2 * i + 1) * all / (2 * MOST_GROUPS)).collect()
    };
    let mut found = Vec::new();
    halved(places, (0..places.len()).collect(), halvings, &wanted, &mut found);
    found
}

fn halved(
    places: &[Coord],
    mut group: Vec<usize>,
    halvings: u32,
    wanted: &[usize],
    found: &mut Vec<Vec<usize>>,
) {
    if wanted.is_empty() {
        return;
    }
    if halvings == 0 {
        group.sort_unstable();
        found.push(group);
        return;
    }
    let side = |of: fn(&Coord) -> f64| {
        let range = group.iter().map(|i| of(&places[*i]));
        let ends = (f64::INFINITY, f64::NEG_INFINITY);
        let (low, high) = range.fold(ends, |(low, high), v| (low.min(v), high.max(v)));
        high - low
    };
    let of: fn(&Coord) -> f64 = if side(|p| p.x) >= side(|p| p.y) { |p| p.x } else { |p| p.y };
    let middle = group.len() / 2;
    group.select_nth_unstable_by(middle, |i, j| {
        of(&places[*i]).total_cmp(&of(&places[*j])).then(i.cmp(j))
    });
    let second = group.split_off(middle);
    let half = 1 << (halvings - 1);
    let (here, there): (Vec<usize>, Vec<usize>) = wanted.iter().partition(|w| **w < half);
    let there: Vec<usize> = there.iter().map(|w| w - half).collect();
    halved(places, group, halvings - 1, &here, found);
    halved(places, second, halvings - 1, &there, found);
}

/// A group of wells made ready: positions about their mean, heads about theirs.
struct Group {
    places: Vec<Coord>,
    /// Variance of the error of each head.
    errors: Vec<f64>,
    /// Rows of a plane's three terms and the head.
    rows: Vec<[f64; 4]>,
}

impl Group {
    fn new(wells: KnownHeads, members: &[usize]) -> Option<Self> {
        let n = members.len() as f64;
        if members.len() < 4 {
            return None;
        }
        let mean = |of: &dyn Fn(usize) -> f64| members.iter().map(|i| of(*i)).sum::<f64>() / n;
        let (x, y) = (mean(&|i| wells.places[i].x), mean(&|i| wells.places[i].y));
        let head = mean(&|i| wells.heads[i]);
        let places: Vec<Coord> = members.iter().map(|i| wells.places[*i]).collect();
        let scale = diagonal(&places);
        let row = |i: &usize| {
            let p = wells.places[*i];
            [1.0, (p.x - x) / scale, (p.y - y) / scale, wells.heads[*i] - head]
        };
        let rows = members.iter().map(row).collect();
        let errors = members.iter().map(|i| wells.sds[*i] * wells.sds[*i]).collect();
        Some(Self { places, errors, rows })
    }

    /// Wells that a plane leaves to spare.
    fn spare(&self) -> usize {
        self.places.len() - 3
    }

    /// The sum of squares of the heads about their plane.
    fn scatter_about_plane(&self) -> f64 {
        let mut sums = [[0.0; 4]; 4];
        for row in &self.rows {
            for (sums, a) in sums.iter_mut().zip(row) {
                for (sum, b) in sums.iter_mut().zip(row) {
                    *sum += a * b;
                }
            }
        }
        let mut sums = Mat::from_fn(4, 4, |i, j| sums[i][j]);
        match linear::cholesky(&mut sums) {
            Ok(()) => sums[(3, 3)] * sums[(3, 3)],
            Err(_) => 0.0,
        }
    }
}

/// Room for the likelihoods of a group, and the shape's covariances among its wells.
struct Work {
    /// For a sill of 1; the lower triangle.
    shape: Mat<f64>,
    factor: Mat<f64>,
    rows: Mat<f64>,
}

impl Work {
    fn new(group: &Group, shape: Covariance) -> Self {
        let (n, shape) = (group.places.len(), shape.shape());
        let at = |i: usize, j: usize| match i.cmp(&j) {
            std::cmp::Ordering::Greater => shape.at(distance(group.places[i], group.places[j])),
            std::cmp::Ordering::Equal => 1.0,
            std::cmp::Ordering::Less => 0.0,
        };
        Self { shape: Mat::from_fn(n, n, at), factor: Mat::zeros(n, n), rows: Mat::zeros(n, 4) }
    }

    /// The logarithm of the restricted likelihood but for a constant, and the sum of squares of the
    /// heads that the plane leaves, made independent and of variance 1.
    ///
    /// # References
    /// Harville (1977), JASA 72, 320-338.
    fn likelihood(&mut self, group: &Group, variance: f64, scatter: f64) -> Option<(f64, f64)> {
        let n = group.places.len();
        let smooth = variance * (1.0 - scatter);
        for j in 0..n {
            let (to, from) = (self.factor.col_as_slice_mut(j), self.shape.col_as_slice(j));
            for (to, from) in to[j..].iter_mut().zip(&from[j..]) {
                *to = smooth * from;
            }
            to[j] = variance * (1.0 + ROUNDING) + group.errors[j];
        }
        linear::cholesky(&mut self.factor).ok()?;
        for k in 0..4 {
            for (to, row) in self.rows.col_as_slice_mut(k).iter_mut().zip(&group.rows) {
                *to = row[k];
            }
        }
        linear::solve_lower(self.factor.as_ref(), self.rows.as_mut());
        let product =
            |i: usize, j: usize| linear::dot(self.rows.col_as_slice(i), self.rows.col_as_slice(j));
        let mut sums = Mat::from_fn(4, 4, product);
        linear::cholesky(&mut sums).ok()?;
        let squares = sums[(3, 3)] * sums[(3, 3)];
        let log = |m: &Mat<f64>, n: usize| (0..n).map(|i| libm::log(m[(i, i)])).sum::<f64>();
        Some((-log(&self.factor, n) - log(&sums, 3) - squares / 2.0, squares))
    }
}
