//! A random field made to agree with the heads of the wells.

use faer::Mat;
use geo::Coord;
use rayon::prelude::*;

use super::types::{Drawn, Lattice};
use super::waves::Waves;

use crate::geom::distance;
use crate::interpolate::kriging::{Covariance, PumpedWell, linear};
use crate::uncertainty::between::{KnownHeads, ROUNDING};
use crate::uncertainty::ensemble::Normal;

/// The kriging system of some wells with one covariance, and what it needs of a lattice.
#[derive(Debug)]
pub(super) struct Conditioned {
    /// The factor of the covariance of the heads, `K = L L'`.
    lower: Mat<f64>,
    /// `L⁻¹ F` of the drift's terms at the wells, and the factor of its square.
    terms: Mat<f64>,
    square: Mat<f64>,
    /// The standard deviation of each well's own error: that of the reading and its scatter.
    errors: Vec<f64>,
    /// The covariance of each node with each well, well by well.
    kernel: Vec<Vec<f64>>,
    /// The drift's terms at each node, term by term.
    drift: Vec<Vec<f64>>,
    lattice: Lattice,
}

/// The surface that is expected from all wells but one, for each of them, with one covariance; `None` for a well
/// without which the drift cannot be told.
pub(super) fn without_each(
    wells: KnownHeads,
    covariance: Covariance,
    cones: &[Vec<PumpedWell>],
    lattice: Lattice,
) -> Vec<Option<Drawn>> {
    let all = 0..wells.places.len();
    let of = |out: usize| {
        let rest = |i: &usize| *i != out;
        let places: Vec<Coord> = all.clone().filter(rest).map(|i| wells.places[i]).collect();
        let heads: Vec<f64> = all.clone().filter(rest).map(|i| wells.heads[i]).collect();
        let sds: Vec<f64> = all.clone().filter(rest).map(|i| wells.sds[i]).collect();
        let known = KnownHeads { places: &places, heads: &heads, sds: &sds };
        Conditioned::new(known, covariance, cones, lattice).map(|c| c.expected(known))
    };
    all.clone().into_par_iter().map(of).collect()
}

impl Conditioned {
    /// The surface that is expected.
    pub(super) fn expected(&self, wells: KnownHeads) -> Drawn {
        self.fitted(wells.heads)
    }

    /// `None` where the covariance or the drift cannot be told from the wells.
    pub(super) fn new(
        wells: KnownHeads,
        covariance: Covariance,
        cones: &[Vec<PumpedWell>],
        lattice: Lattice,
    ) -> Option<Self> {
        let (shape, n) = (covariance.shape(), wells.places.len());
        let rounding = ROUNDING * (covariance.partial_sill + covariance.nugget);
        let errors: Vec<f64> =
            wells.sds.iter().map(|sd| (sd * sd + covariance.nugget + rounding).sqrt()).collect();
        let mut lower = Mat::from_fn(n, n, |i, j| {
            let own = if i == j { errors[i] * errors[i] } else { 0.0 };
            own + shape.at(distance(wells.places[i], wells.places[j]))
        });
        linear::cholesky(&mut lower).ok()?;
        let size = lattice.cell_m * lattice.columns.max(lattice.rows) as f64;
        let term = |k: usize, p: Coord| match k {
            0 => 1.0,
            1 => (p.x - lattice.corner.x) / size,
            2 => (p.y - lattice.corner.y) / size,
            _ => cones[k - 3].iter().map(|w| w.cone_at(p)).sum(),
        };
        let count = 3 + cones.len();
        let mut terms = Mat::from_fn(n, count, |i, k| term(k, wells.places[i]));
        linear::solve_lower(lower.as_ref(), terms.as_mut());
        let mut square = linear::gram(terms.as_ref());
        linear::cholesky(&mut square).ok()?;
        let nodes: Vec<Coord> = (0..lattice.rows)
            .flat_map(|row| (0..lattice.columns).map(move |column| lattice.node(row, column)))
            .collect();
        let of_well = |p: &Coord| nodes.iter().map(|q| shape.at(distance(*p, *q))).collect();
        let of_term = |k: usize| nodes.iter().map(|q| term(k, *q)).collect();
        Some(Self {
            lower,
            terms,
            square,
            errors,
            kernel: wells.places.iter().map(of_well).collect(),
            drift: (0..count).map(of_term).collect(),
            lattice,
        })
    }

    /// The field where it is added to what the drift and the covariance make of the heads without it.
    pub(super) fn draw(&self, wells: KnownHeads, waves: &Waves, normal: &mut Normal) -> Drawn {
        let rest: Vec<f64> = wells
            .places
            .iter()
            .zip(wells.heads)
            .zip(&self.errors)
            .map(|((p, h), error)| h - waves.at(*p) - error * normal.next())
            .collect();
        let mut drawn = self.fitted(&rest);
        waves.add_to(self.lattice, &mut drawn.heads);
        drawn
    }

    /// What the drift and the covariance make of heads at the wells.
    fn fitted(&self, heads: &[f64]) -> Drawn {
        let (n, count) = (heads.len(), self.drift.len());
        let mut rest = Mat::from_fn(n, 1, |i, _| heads[i]);
        linear::solve_lower(self.lower.as_ref(), rest.as_mut());
        let mut factors = Mat::from_fn(count, 1, |k, _| {
            linear::dot(self.terms.col_as_slice(k), rest.col_as_slice(0))
        });
        linear::solve_lower(self.square.as_ref(), factors.as_mut());
        linear::solve_lower_transposed(self.square.as_ref(), factors.as_mut());
        let factors: Vec<f64> = (0..count).map(|k| factors[(k, 0)]).collect();
        for i in 0..n {
            let foretold: f64 = (0..count).map(|k| self.terms[(i, k)] * factors[k]).sum();
            rest[(i, 0)] -= foretold;
        }
        linear::solve_lower_transposed(self.lower.as_ref(), rest.as_mut());
        let mut heads = vec![0.0; self.lattice.rows * self.lattice.columns];
        let weights = self.kernel.iter().zip((0..n).map(|i| rest[(i, 0)]));
        for (column, weight) in weights.chain(self.drift.iter().zip(factors.iter().copied())) {
            for (head, value) in heads.iter_mut().zip(column) {
                *head += weight * value;
            }
        }
        Drawn { heads, cones: factors[3..].to_vec() }
    }
}
