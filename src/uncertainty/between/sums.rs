//! What the wells around a place say of weighted sums of heads there: of a head, and of the mean
//! slope over a circle.

use faer::Mat;
use geo::Coord;

use super::types::{Circle, KnownHeads, MeanSlope, Member, Part, ROUNDING};
use crate::geom::{Slope, distance};
use crate::interpolate::kriging::linear;
use crate::uncertainty::covariance::Covariance;

/// See [`super::BetweenWells::mean_slope`].
pub(super) fn mean_slope(
    members: &[Member],
    wells: KnownHeads,
    circle: Circle,
) -> Option<MeanSlope> {
    let (mut east, mut north) = (Vec::new(), Vec::new());
    for (place, weight) in circle.around() {
        east.push((place, weight.x));
        north.push((place, weight.y));
    }
    let mut room = Room::new(wells, circle.centre)?;
    let parts = members.iter().map(|member| {
        let (mean, covariance) = room.say(member, wells, [&east, &north])?;
        // Rounding is the least that a variance can be told from nothing.
        let least = ROUNDING * ROUNDING * member.covariance.partial_sill
            / (circle.radius_m * circle.radius_m);
        Some(Part {
            mean: Slope { east: mean[0], north: mean[1] },
            covariance: Covariance {
                east_east: covariance[0].max(least),
                east_north: covariance[1],
                north_north: covariance[2].max(least),
            },
            weight: member.weight,
        })
    });
    Some(MeanSlope { parts: parts.collect::<Option<_>>()? })
}

/// See [`super::BetweenWells::mean_square_about`].
pub(super) fn mean_square_about(
    members: &[Member],
    wells: KnownHeads,
    place: Coord,
    head_m: f64,
) -> Option<f64> {
    let at = [(place, 1.0)];
    let mut room = Room::new(wells, place)?;
    let squares = members.iter().map(|member| {
        let (mean, covariance) = room.say(member, wells, [&at, &[]])?;
        let off = mean[0] + room.mean - head_m;
        Some(member.weight * (off * off + covariance[0].max(0.0)))
    });
    squares.sum()
}

/// A weighted sum of heads: places and weights.
type Sum<'a> = &'a [(Coord, f64)];

/// Terms of a plane.
const TERMS: usize = 3;

/// Room for one set of wells about one place.
struct Room {
    origin: Coord,
    /// The distance to the farthest well.
    scale: f64,
    /// The mean head of the wells.
    mean: f64,
    factor: Mat<f64>,
    rows: Mat<f64>,
}

impl Room {
    /// `None` for fewer wells than a plane has terms.
    fn new(wells: KnownHeads, origin: Coord) -> Option<Self> {
        let n = wells.places.len();
        let scale = wells.places.iter().map(|p| distance(*p, origin)).fold(0.0, f64::max);
        (n >= TERMS && scale > 0.0).then(|| Self {
            origin,
            scale,
            mean: wells.heads.iter().sum::<f64>() / n as f64,
            factor: Mat::zeros(n, n),
            rows: Mat::zeros(n, TERMS + 3),
        })
    }

    fn terms(&self, p: Coord) -> [f64; TERMS] {
        let off = (p - self.origin) / self.scale;
        [1.0, off.x, off.y]
    }

    /// Means of two weighted sums of heads above the wells' mean, and their variances with the
    /// covariance between, from the wells by one covariance.
    ///
    /// Universal kriging of the sums: the plane's terms are reproduced, and their uncertainty is part
    /// of the variances. `None` when the wells stand on one line.
    ///
    /// # References
    /// Cressie (1993), Statistics for Spatial Data, sec. 3.4; a weighted sum of heads is kriged as a
    /// head is.
    fn say(
        &mut self,
        member: &Member,
        wells: KnownHeads,
        sums: [Sum; 2],
    ) -> Option<([f64; 2], [f64; 3])> {
        /// The columns of the heads and of the two sums.
        const HEADS: usize = TERMS;
        let n = wells.places.len();
        let (shape, nugget) = (member.shape(), member.covariance.nugget);
        for j in 0..n {
            let column = self.factor.col_as_slice_mut(j);
            for (i, slot) in column.iter_mut().enumerate().skip(j + 1) {
                *slot = shape.at(distance(wells.places[i], wells.places[j]));
            }
            column[j] = shape.sill() * (1.0 + ROUNDING) + nugget + wells.sds[j] * wells.sds[j];
        }
        linear::cholesky(&mut self.factor).ok()?;
        for (i, p) in wells.places.iter().enumerate() {
            let shared = sums
                .map(|sum| sum.iter().map(|(q, w)| w * shape.at(distance(*p, *q))).sum::<f64>());
            let [one, east, north] = self.terms(*p);
            let row = [one, east, north, wells.heads[i] - self.mean, shared[0], shared[1]];
            for (k, value) in row.into_iter().enumerate() {
                self.rows[(i, k)] = value;
            }
        }
        linear::solve_lower(self.factor.as_ref(), self.rows.as_mut());
        let product =
            |i: usize, j: usize| linear::dot(self.rows.col_as_slice(i), self.rows.col_as_slice(j));
        let mut terms = Mat::from_fn(TERMS, TERMS, product);
        linear::cholesky(&mut terms).ok()?;
        // What the heads have in common with the terms, and what the terms of the sums are beyond
        // what the wells say.
        let own = |term: usize, k: usize| -> f64 {
            sums[k].iter().map(|(q, w)| w * self.terms(*q)[term]).sum()
        };
        let mut beyond = Mat::from_fn(TERMS, 3, |term, k| match k {
            0 => product(term, HEADS),
            k => own(term, k - 1) - product(term, HEADS + k),
        });
        linear::solve_lower(terms.as_ref(), beyond.as_mut());
        let unsure =
            |i: usize, j: usize| linear::dot(beyond.col_as_slice(i), beyond.col_as_slice(j));
        let mean = [1, 2].map(|k| product(HEADS + k, HEADS) + unsure(0, k));
        let covariance = |i: usize, j: usize| {
            let alike = |(p, v): &(Coord, f64)| -> f64 {
                sums[j - 1].iter().map(|(q, w)| v * w * shape.at(distance(*p, *q))).sum()
            };
            let of_sums: f64 = sums[i - 1].iter().map(alike).sum();
            of_sums - product(HEADS + i, HEADS + j) + unsure(i, j)
        };
        let variances = [covariance(1, 1), covariance(1, 2), covariance(2, 2)];
        Some((mean, variances))
    }
}
