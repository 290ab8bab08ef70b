//! The search for the likeliest parameters.

use argmin::core::CostFunction;
use argmin::core::Executor;
use argmin::core::State;
use argmin::solver::neldermead::NelderMead;
use rayon::prelude::*;

use super::likelihood::Likelihood;
use super::types::{FitOptions, StandardErrors};
use crate::geom::usual_spacing;
use crate::interpolate::kriging::covariance::Anisotropy;
use crate::interpolate::kriging::covariance::Covariance;
use crate::interpolate::kriging::covariance::Model;
use crate::interpolate::kriging::error::KrigingError;
use crate::interpolate::kriging::linear;
use crate::interpolate::kriging::network::{Network, diagonal};
use crate::interpolate::kriging::regression::Regression;

/// The least nugget looked at, over the partial sill; a fit that ends there has none.
const LEAST_NUGGET: f64 = 1e-6;

/// The ranges looked at reach from half the wells' spacing to this many diagonals of their
/// rectangle.
const LONGEST_RANGE: f64 = 10.0;

/// A parameter whose logarithm ends this near to a bound has ended at it.
const AT_BOUND: f64 = 0.02;

/// Starts from which the search goes down.
const STARTS: usize = 4;

/// A simplex is done when the likelihoods at its corners, as logarithms, scatter by less: of all
/// wells at once, of wells in blocks, and where a start is looked for.
const TOLERANCE: f64 = 1e-10;
const TOLERANCE_IN_BLOCKS: f64 = 1e-7;
const ROUGH_TOLERANCE: f64 = 1e-3;

/// The cost of parameters whose covariance cannot be factored.
const IMPOSSIBLE: f64 = 1e12;

/// A parameter that is being fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Free {
    Sill,
    Range,
    Nugget,
    Azimuth,
    Ratio,
}

impl Free {
    /// Moves a parameter: its logarithm, the azimuth in radians.
    pub(super) fn shift(self, covariance: &mut Covariance, by: f64) {
        let factor = libm::exp(by);
        match (self, &mut covariance.anisotropy) {
            (Self::Sill, _) => covariance.partial_sill *= factor,
            (Self::Range, _) => covariance.range_m *= factor,
            (Self::Nugget, _) => covariance.nugget *= factor,
            (Self::Azimuth, Some(a)) => a.azimuth_deg += by.to_degrees(),
            (Self::Ratio, Some(a)) => a.ratio *= factor,
            (Self::Azimuth | Self::Ratio, None) => {}
        }
    }

    /// Writes down the standard error of a parameter, given that of its logarithm.
    pub(super) fn record(self, at: &Covariance, of_log: f64, errors: &mut StandardErrors) {
        match self {
            Self::Sill => errors.partial_sill = Some(at.partial_sill * of_log),
            Self::Range => errors.range_m = Some(at.range_m * of_log),
            Self::Nugget => errors.nugget = Some(at.nugget * of_log),
            Self::Azimuth => errors.azimuth_deg = Some(of_log.to_degrees()),
            Self::Ratio => errors.ratio = at.anisotropy.map(|a| a.ratio * of_log),
        }
    }
}

/// The search for one model. The nugget's coordinate is the logarithm of its ratio to the sill.
#[derive(Debug, Clone)]
pub(super) struct Search<'a> {
    likelihood: &'a Likelihood<'a>,
    model: Model,
    /// The coordinates searched.
    free: Vec<Free>,
    /// Their bounds.
    bounds: Vec<(f64, f64)>,
    /// Whether the sill is solved for directly.
    profiled: bool,
    /// The variance of the heads about the drift.
    spread: f64,
    /// Diagonal of the wells' rectangle, m.
    extent_m: f64,
    /// When a descent is done.
    tolerance: f64,
}

impl<'a> Search<'a> {
    pub(super) fn new(
        likelihood: &'a Likelihood<'a>,
        options: FitOptions,
    ) -> Result<Self, KrigingError> {
        /// Heads are decimals; below this about the drift nothing is left to be fitted.
        const NOTHING: f64 = 1e-9;
        let network = likelihood.network;
        let spread = spread(network);
        if spread.sqrt() <= NOTHING {
            return Err(KrigingError::OnDrift { within: NOTHING });
        }
        let profiled = network.error_variances.iter().all(|v| *v == 0.0);
        let (extent_m, spacing_m) = (diagonal(&network.wells), usual_spacing(&network.wells));
        let ln = libm::log;
        let mut free = Vec::new();
        let mut bounds = Vec::new();
        let mut add = |f: Free, low: f64, high: f64| {
            free.push(f);
            bounds.push((low, high));
        };
        if !profiled {
            add(Free::Sill, ln(1e-8 * spread), ln(1e4 * spread));
        }
        if options.model != Model::Linear {
            add(Free::Range, ln(0.5 * spacing_m), ln(LONGEST_RANGE * extent_m));
        }
        if options.nugget {
            add(Free::Nugget, ln(LEAST_NUGGET), ln(1e4));
        }
        if options.anisotropy {
            add(Free::Azimuth, -7.0, 7.0);
            add(Free::Ratio, ln(0.02), 0.0);
        }
        let model = options.model;
        let tolerance = if likelihood.is_in_blocks() { TOLERANCE_IN_BLOCKS } else { TOLERANCE };
        Ok(Self { likelihood, model, free, bounds, profiled, spread, extent_m, tolerance })
    }

    /// The coordinates of the likeliest parameters.
    pub(super) fn run(&self) -> Result<Vec<f64>, KrigingError> {
        let best = match &self.likelihood.roughly() {
            Some(likelihood) => {
                Search { likelihood, tolerance: ROUGH_TOLERANCE, ..self.clone() }.best_end()?
            }
            None => self.best_end()?,
        };
        // A simplex may fold up on a slope; a fresh one from where it ended does not cost much.
        let best = self.descend(best, 0.1)?;
        if self.value(&best) >= IMPOSSIBLE {
            let cause = "no covariance of this model can be factored for these wells".to_owned();
            return Err(KrigingError::NoFit { cause });
        }
        Ok(best)
    }

    /// The same after a search with more coordinates, from where that ended if the likelihood takes
    /// long.
    pub(super) fn run_after(&self, other: &Self, found: &[f64]) -> Result<Vec<f64>, KrigingError> {
        if !self.likelihood.is_in_blocks() {
            return self.run();
        }
        self.descend(self.free.iter().filter_map(|f| other.coordinate(*f, found)).collect(), 0.1)
    }

    /// The best of what is found from several starts.
    fn best_end(&self) -> Result<Vec<f64>, KrigingError> {
        // The likelihood of a spherical covariance has several maxima (Mardia and Watkins 1989,
        // Biometrika 76, 289-295; from memory).
        let ends: Vec<Vec<f64>> = self
            .best_starts()
            .into_par_iter()
            .map(|start| self.descend(start, 0.5))
            .collect::<Result<_, _>>()?;
        let costs = ends.iter().map(|e| self.value(e));
        let least = costs.enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
        Ok(least.map_or_else(Vec::new, |(i, _)| ends[i].clone()))
    }

    fn descend(&self, from: Vec<f64>, size: f64) -> Result<Vec<f64>, KrigingError> {
        if from.is_empty() {
            return Ok(from);
        }
        let failed = |e: argmin::core::Error| KrigingError::NoFit { cause: e.to_string() };
        let mut simplex = vec![from.clone()];
        for i in 0..from.len() {
            let mut corner = from.clone();
            // Inward where the start stands at a bound.
            let inward = if corner[i] + size > self.bounds[i].1 { -size } else { size };
            corner[i] += inward;
            simplex.push(corner);
        }
        let solver = NelderMead::new(simplex).with_sd_tolerance(self.tolerance).map_err(failed)?;
        let done = Executor::new(self, solver)
            .configure(|state| state.max_iters(600))
            .timer(false)
            .run()
            .map_err(failed)?;
        Ok(done.state().get_best_param().cloned().unwrap_or(from))
    }

    /// The best of a fixed list of starts, of different ranges.
    fn best_starts(&self) -> Vec<Vec<f64>> {
        let mut starts = vec![Vec::new()];
        for f in &self.free {
            let values: Vec<f64> = match f {
                Free::Sill => [0.3, 1.0, 3.0].map(|k| libm::log(k * self.spread)).to_vec(),
                Free::Range => [0.03, 0.06, 0.1, 0.15, 0.2, 0.3, 0.4, 0.6, 1.0, 2.5]
                    .map(|k| libm::log(k * self.extent_m))
                    .to_vec(),
                Free::Nugget => [0.01, 0.1, 1.0].map(libm::log).to_vec(),
                Free::Azimuth => [0.0, 45.0, 90.0, 135.0].map(f64::to_radians).to_vec(),
                Free::Ratio => vec![libm::log(0.5)],
            };
            starts = starts
                .iter()
                .flat_map(|s: &Vec<f64>| {
                    values.iter().map(move |v| s.iter().copied().chain([*v]).collect())
                })
                .collect();
        }
        let costs: Vec<f64> = starts.par_iter().map(|s| self.value(s)).collect();
        let mut order: Vec<usize> = (0..starts.len()).collect();
        order.sort_by(|a, b| costs[*a].total_cmp(&costs[*b]).then(a.cmp(b)));
        let range = self.free.iter().position(|f| *f == Free::Range);
        let mut kept: Vec<Vec<f64>> = Vec::new();
        for i in order {
            let known = |k: &Vec<f64>| range.is_none_or(|r| k[r].total_cmp(&starts[i][r]).is_eq());
            if kept.len() < STARTS && !kept.iter().any(known) {
                kept.push(starts[i].clone());
            }
        }
        kept
    }

    /// The covariance at some coordinates, within bounds; its sill is 1 where that is profiled.
    fn candidate(&self, at: &[f64]) -> Covariance {
        let mut c = Covariance::new(self.model, 1.0, self.extent_m);
        let mut nugget_ratio = 0.0;
        for ((f, x), (low, high)) in self.free.iter().zip(at).zip(&self.bounds) {
            let x = x.clamp(*low, *high);
            let a = c.anisotropy.get_or_insert(Anisotropy { azimuth_deg: 0.0, ratio: 1.0 });
            match f {
                Free::Sill => c.partial_sill = libm::exp(x),
                Free::Range => c.range_m = libm::exp(x),
                Free::Nugget => nugget_ratio = libm::exp(x),
                Free::Azimuth => a.azimuth_deg = x.to_degrees(),
                Free::Ratio => a.ratio = libm::exp(x).min(1.0),
            }
        }
        if !self.free.contains(&Free::Ratio) {
            c.anisotropy = None;
        }
        c.nugget = c.partial_sill * nugget_ratio;
        c
    }

    /// The likeliest sill for a covariance of sill 1, or 1 where the sill is not profiled.
    fn profiled_sill(&self, regression: &Regression) -> f64 {
        if !self.profiled {
            return 1.0;
        }
        regression.sum_of_squares() / regression.contrasts() as f64
    }

    /// Minus the logarithm of the restricted likelihood, constants left out, rising outside the
    /// bounds.
    fn value(&self, at: &[f64]) -> f64 {
        let outside: f64 = at
            .iter()
            .zip(&self.bounds)
            .map(|(x, (low, high))| (low - x).max(x - high).max(0.0))
            .map(|d| d * d)
            .sum();
        let Ok(likely) = self.likelihood.at(&self.candidate(at)) else {
            return IMPOSSIBLE * (1.0 + outside);
        };
        let regression = &likely.regression;
        let degrees = regression.contrasts() as f64;
        let fit = if self.profiled {
            degrees * libm::log(self.profiled_sill(regression))
        } else {
            regression.sum_of_squares()
        };
        0.5 * (likely.log_determinants + fit) + 1e3 * outside
    }

    /// The covariance found.
    pub(super) fn covariance_at(&self, found: &[f64]) -> Result<Covariance, KrigingError> {
        let mut c = self.candidate(found);
        let sill = self.profiled_sill(&self.likelihood.at(&c)?.regression);
        c.partial_sill *= sill;
        c.nugget *= sill;
        if let Some(a) = &mut c.anisotropy {
            a.azimuth_deg = a.azimuth_deg.rem_euclid(180.0);
        }
        Ok(c)
    }

    /// The parameters whose likeliest values lie within their bounds, the profiled one with them:
    /// about the others the likelihood has no top. An anisotropy of ratio 1 has no direction.
    pub(super) fn within_bounds(&self, found: &[f64]) -> Vec<Free> {
        let bound = |which| self.bound(which, found);
        let isotropic = bound(Free::Ratio).is_some_and(|ratio| ratio > 0.5);
        let within = |f: &Free| match f {
            Free::Azimuth => !isotropic,
            f => bound(*f).is_none(),
        };
        let profiled = self.profiled.then_some(Free::Sill);
        profiled.into_iter().chain(self.free.iter().copied().filter(within)).collect()
    }

    fn coordinate(&self, which: Free, found: &[f64]) -> Option<f64> {
        self.free.iter().position(|f| *f == which).map(|i| found[i])
    }

    /// Whether the nugget ended at its least.
    pub(super) fn no_nugget(&self, found: &[f64]) -> bool {
        self.coordinate(Free::Nugget, found).is_some_and(|x| x < libm::log(10.0 * LEAST_NUGGET))
    }

    /// The bound at which a parameter ended, in its unit; that of the nugget over the sill.
    pub(super) fn bound(&self, which: Free, found: &[f64]) -> Option<f64> {
        let i = self.free.iter().position(|f| *f == which)?;
        let (low, high) = self.bounds[i];
        let ended = [low, high].into_iter().find(|b| (found[i] - b).abs() < AT_BOUND)?;
        Some(libm::exp(ended))
    }
}

/// The variance of the heads about the drift by ordinary least squares, head unit².
fn spread(network: &Network) -> f64 {
    let mut q = network.terms.clone();
    if linear::orthonormalise(&mut q).is_err() {
        return 0.0;
    }
    let mut left = network.values.clone();
    for _ in 0..2 {
        for j in 0..q.ncols() {
            let column = linear::column(&q, j);
            let part = linear::dot(column, &left);
            for (x, q) in left.iter_mut().zip(column) {
                *x -= part * q;
            }
        }
    }
    linear::dot(&left, &left) / (left.len() - q.ncols()) as f64
}

impl CostFunction for &Search<'_> {
    type Param = Vec<f64>;
    type Output = f64;

    fn cost(&self, at: &Self::Param) -> Result<f64, argmin::core::Error> {
        Ok(self.value(at))
    }
}
