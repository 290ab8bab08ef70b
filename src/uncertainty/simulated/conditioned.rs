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

/// What a covariance and a drift are at the nodes of a lattice, for all wells.
#[derive(Debug)]
pub(super) struct Nodes<'a> {
    wells: KnownHeads<'a>,
    covariance: Covariance,
    cones: &'a [Vec<PumpedWell>],
    lattice: Lattice,
    /// The covariance of each node with each well, well by well.
    kernel: Vec<Vec<f64>>,
    /// The drift's terms at each node, term by term.
    drift: Vec<Vec<f64>>,
}

/// The kriging system of some of the wells.
#[derive(Debug)]
pub(super) struct Conditioned<'a> {
    nodes: &'a Nodes<'a>,
    /// Which wells.
    wells: Vec<usize>,
    /// The factor of the covariance of the heads, `K = L L'`.
    lower: Mat<f64>,
    /// `L⁻¹ F` of the drift's terms at the wells, and the factor of its square.
    terms: Mat<f64>,
    square: Mat<f64>,
    /// The standard deviation of each well's own error: that of the reading and its scatter.
    errors: Vec<f64>,
}

impl<'a> Nodes<'a> {
    pub(super) fn new(
        wells: KnownHeads<'a>,
        covariance: Covariance,
        cones: &'a [Vec<PumpedWell>],
        lattice: Lattice,
    ) -> Self {
        let places: Vec<Coord> = (0..lattice.count()).map(|node| lattice.place(node)).collect();
        let shape = covariance.shape();
        let mut nodes =
            Self { wells, covariance, cones, lattice, kernel: Vec::new(), drift: Vec::new() };
        let of_well = |p: &Coord| places.iter().map(|q| shape.at(distance(*p, *q))).collect();
        nodes.kernel = wells.places.iter().map(of_well).collect();
        let of_term = |k: usize| places.iter().map(|q| nodes.term(k, *q)).collect();
        nodes.drift = (0..3 + cones.len()).map(of_term).collect();
        nodes
    }

    /// A term of the drift at a place: a constant, east, north, and the cones.
    fn term(&self, k: usize, p: Coord) -> f64 {
        let Lattice { corner, cell_m, columns, rows } = self.lattice;
        let size = cell_m * columns.max(rows) as f64;
        match k {
            0 => 1.0,
            1 => (p.x - corner.x) / size,
            2 => (p.y - corner.y) / size,
            _ => self.cones[k - 3].iter().map(|w| w.cone_at(p)).sum(),
        }
    }

    /// The surface that is expected from all wells; `None` where they are not enough.
    pub(super) fn expected(&self) -> Option<Drawn> {
        Some(self.of(self.all().collect())?.expected())
    }

    /// The surface that is expected from all wells but one, for each of them; `None` for a well without which the
    /// others are not enough.
    pub(super) fn without_each(&self) -> Vec<Option<Drawn>> {
        let without =
            |out: usize| Some(self.of(self.all().filter(|i| *i != out).collect())?.expected());
        self.all().into_par_iter().map(without).collect()
    }

    pub(super) fn all(&self) -> std::ops::Range<usize> {
        0..self.wells.places.len()
    }

    /// The system of some wells; `None` where they do not determine covariance and drift.
    pub(super) fn of(&self, wells: Vec<usize>) -> Option<Conditioned<'_>> {
        let Self { covariance, .. } = self;
        let shape = covariance.shape();
        let rounding = ROUNDING * (covariance.partial_sill + covariance.nugget);
        let error = |i: &usize| {
            let sd = self.wells.sds[*i];
            (sd * sd + covariance.nugget + rounding).sqrt()
        };
        let errors: Vec<f64> = wells.iter().map(error).collect();
        let place = |i: usize| self.wells.places[wells[i]];
        let n = wells.len();
        let mut lower = Mat::from_fn(n, n, |i, j| {
            let own = if i == j { errors[i] * errors[i] } else { 0.0 };
            own + shape.at(distance(place(i), place(j)))
        });
        linear::cholesky(&mut lower).ok()?;
        let mut terms = Mat::from_fn(n, self.drift.len(), |i, k| self.term(k, place(i)));
        linear::solve_lower(lower.as_ref(), terms.as_mut());
        let mut square = linear::gram(terms.as_ref());
        linear::cholesky(&mut square).ok()?;
        Some(Conditioned { nodes: self, wells, lower, terms, square, errors })
    }
}

impl Conditioned<'_> {
    /// The surface that is expected.
    fn expected(&self) -> Drawn {
        let heads: Vec<f64> = self.wells.iter().map(|i| self.nodes.wells.heads[*i]).collect();
        self.fitted(&heads)
    }

    /// The field where it is added to what the drift and the covariance make of the heads without it.
    pub(super) fn draw(&self, waves: &Waves, normal: &mut Normal) -> Drawn {
        let KnownHeads { places, heads, .. } = self.nodes.wells;
        let wells = self.wells.iter().zip(&self.errors);
        let rest: Vec<f64> = wells
            .map(|(i, error)| heads[*i] - waves.at(places[*i]) - error * normal.next())
            .collect();
        let mut drawn = self.fitted(&rest);
        waves.add_to(self.nodes.lattice, &mut drawn.heads);
        drawn
    }

    /// What the drift and the covariance make of heads at the wells.
    fn fitted(&self, heads: &[f64]) -> Drawn {
        let Nodes { kernel, drift, lattice, .. } = self.nodes;
        let (n, count) = (heads.len(), drift.len());
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
        let mut heads = vec![0.0; lattice.count()];
        let weights = self.wells.iter().enumerate().map(|(i, well)| (&kernel[*well], rest[(i, 0)]));
        for (column, weight) in weights.chain(drift.iter().zip(factors.iter().copied())) {
            for (head, value) in heads.iter_mut().zip(column) {
                *head += weight * value;
            }
        }
        Drawn { heads, cones: factors[3..].to_vec() }
    }
}
