//! The kriged surface: heads and variances at any places.

use faer::Mat;
use geo::Coord;
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::factored::Factored;
use super::linear;
use super::network::Network;

/// Places solved for together: enough for the triangular solve to run as a product of matrices.
const BLOCK: usize = 256;

/// Variances below this part of the sill are rounding and given as 0.
const ROUNDING: f64 = 1e-11;

/// A head at a place and how sure it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Prediction {
    /// The head, head unit.
    pub head: f64,
    /// The variance of its error, head unit². The true head lies within two square roots of it in
    /// about 95 % of cases, as far as the covariance is the right one.
    pub variance: f64,
}

impl Prediction {
    /// None, at a node outside.
    pub(super) const NONE: Self = Self { head: f64::NAN, variance: f64::NAN };
}

/// What each well contributes to one prediction.
#[derive(Debug, Clone, PartialEq)]
pub struct Weights {
    /// The weight of each well; they sum to 1.
    pub weights: Vec<f64>,
    /// The multiplier of each drift term's condition, head unit² over the term's unit.
    pub multipliers: Vec<f64>,
}

/// A term of the drift as found from the heads.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TrendTerm {
    /// Which: `constant` (at the mean position of the wells), `slope to the east`, ...
    pub name: String,
    /// Its factor, head unit over the term's unit (m for slopes; rate for cones).
    pub factor: f64,
    /// The standard error of the factor.
    pub standard_error: f64,
}

/// A kriging system that is solved as a whole.
#[derive(Debug, Clone)]
pub(super) struct System {
    pub(super) network: Network,
    pub(super) factored: Factored,
    /// `K⁻¹ (h - F b)`: the heads in dual form.
    pub(super) dual: Vec<f64>,
    /// The drift's factors `b`.
    pub(super) factors: Vec<f64>,
}

impl System {
    pub(super) fn of(network: Network, factored: Factored) -> Self {
        let dual = factored.unwhiten(&factored.regression.left);
        let factors = factored.regression.factors();
        Self { network, factored, dual, factors }
    }

    /// The surface of other values at the same wells, with the same covariance and drift.
    ///
    /// # Panics
    /// When there is not one value for each well.
    pub(super) fn with_values(&self, values: Vec<f64>) -> Self {
        assert_eq!(values.len(), self.dual.len(), "this is a bug in headfall: lengths differ");
        let factored = self.factored.clone().fitted_to(&values);
        Self::of(Network { values, ..self.network.clone() }, factored)
    }

    /// Heads and variances at places.
    ///
    /// # Units
    /// - `places`: m; returns: head unit and its square
    pub(super) fn predict(&self, places: &[Coord]) -> Vec<Prediction> {
        places.par_chunks(BLOCK).flat_map_iter(|block| self.block(block)).collect()
    }

    /// Heads alone at places, in dual form: much quicker than [`Self::predict`].
    ///
    /// # Units
    /// - `places`: m; returns: head unit
    pub(super) fn heads(&self, places: &[Coord]) -> Vec<f64> {
        places.par_iter().with_min_len(BLOCK).map(|p| self.head(*p)).collect()
    }

    /// The head at one place.
    pub(super) fn head(&self, p: Coord) -> f64 {
        let place = self.factored.metric.apply(p);
        let random: f64 =
            self.dual.iter().enumerate().map(|(i, a)| a * self.factored.covariance(place, i)).sum();
        self.trend_at(p) + random
    }

    /// The drift at a place.
    pub(super) fn trend_at(&self, p: Coord) -> f64 {
        let mut terms = vec![0.0; self.factors.len()];
        self.network.drift.at(p, self.network.centre, &mut terms);
        linear::dot(&terms, &self.factors)
    }

    /// Heads and variances of one block of places, on the calling thread.
    pub(super) fn block(&self, places: &[Coord]) -> Vec<Prediction> {
        let mut k = self.covariances(places);
        let heads: Vec<f64> = places
            .iter()
            .enumerate()
            .map(|(j, p)| self.trend_at(*p) + linear::dot(linear::column(&k, j), &self.dual))
            .collect();
        linear::solve_lower(self.factored.lower.as_ref(), k.as_mut());
        heads
            .into_iter()
            .enumerate()
            .map(|(j, head)| {
                let v = linear::column(&k, j);
                let explained = linear::dot(v, v);
                let shared = linear::project(&self.factored.regression.q, v);
                let variance = self.variance(places[j], explained, &shared);
                Prediction { head, variance }
            })
            .collect()
    }

    /// The variance at a place from `|L⁻¹ k|²` and `Q' L⁻¹ k`.
    pub(super) fn variance(&self, p: Coord, explained: f64, shared: &[f64]) -> f64 {
        let whole = self.factored.structure.sill + self.factored.nugget;
        let unsure = self.unsure(p, shared);
        let variance = whole - explained + linear::dot(&unsure, &unsure);
        if variance < ROUNDING * whole { 0.0 } else { variance }
    }

    /// `R⁻' f - Q' L⁻¹ k`: what the drift's uncertainty adds, made independent.
    fn unsure(&self, p: Coord, shared: &[f64]) -> Vec<f64> {
        let mut terms = vec![0.0; self.factors.len()];
        self.network.drift.at(p, self.network.centre, &mut terms);
        self.factored.regression.forward(&mut terms);
        for (t, s) in terms.iter_mut().zip(shared) {
            *t -= s;
        }
        terms
    }

    /// The covariances between the wells (rows) and places (columns).
    fn covariances(&self, places: &[Coord]) -> Mat<f64> {
        let mut k = Mat::zeros(self.dual.len(), places.len());
        for (j, p) in places.iter().enumerate() {
            let place = self.factored.metric.apply(*p);
            for (i, slot) in k.col_as_slice_mut(j).iter_mut().enumerate() {
                *slot = self.factored.covariance(place, i);
            }
        }
        k
    }

    /// What each well contributes to the head at one place.
    ///
    /// # Units
    /// - `place`: m
    pub(super) fn weights(&self, place: Coord) -> Weights {
        let mut v = self.covariances(&[place]);
        linear::solve_lower(self.factored.lower.as_ref(), v.as_mut());
        let mut whitened = linear::column(&v, 0).to_vec();
        let q = |j: usize| linear::column(&self.factored.regression.q, j);
        let shared = linear::project(&self.factored.regression.q, &whitened);
        let unsure = self.unsure(place, &shared);
        for (j, u) in unsure.iter().enumerate() {
            for (x, q) in whitened.iter_mut().zip(q(j)) {
                *x += u * q;
            }
        }
        Weights {
            weights: self.factored.unwhiten(&whitened),
            multipliers: self.factored.regression.back(&unsure),
        }
    }
}
