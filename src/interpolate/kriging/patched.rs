//! Kriging of more wells than one system is solved for: systems of overlapping patches with one
//! covariance and one drift, blended.
//!
//! The drift is fitted once, to the heads of all wells in blocks. In each patch
//! `head = f' b + k' K⁻¹ (h - F b)` and `variance = C(0) + c₀ - k' K⁻¹ k + |R⁻' (f - F' K⁻¹ k)|²` with
//! the wells of the patch and the `b` and `R` of all, so that patches differ by what wells beyond
//! their own add, and by nothing else.

use geo::Coord;
use rayon::prelude::*;

use super::blocks::Blocks;
use super::covariance::Covariance;
use super::error::KrigingError;
use super::factored::Factored;
use super::leave_one_out::LeftOut;
use super::linear;
use super::network::{Network, diagonal};
use super::regression::Regression;
use super::system::{Prediction, System, Weights};
use crate::interpolate::patches::{PATCH_WELLS, Patches};

/// A kriged surface in patches.
#[derive(Debug, Clone)]
pub(super) struct Patched {
    pub(super) network: Network,
    covariance: Covariance,
    blocks: Blocks,
    /// The drift fitted to all heads.
    pub(super) regression: Regression,
    /// Over the wells in the covariance's metric.
    pub(super) patches: Patches,
    systems: Vec<System>,
}

impl Patched {
    /// # Errors
    /// [`KrigingError::NoMemory`], [`KrigingError::Singular`] and
    /// [`KrigingError::DriftNotEstimable`].
    pub(super) fn new(
        network: Network,
        covariance: &Covariance,
        patches: Patches,
    ) -> Result<Self, KrigingError> {
        let wells = network.wells.len();
        linear::room(patches.wells().len() * PATCH_WELLS * PATCH_WELLS)
            .map_err(|megabytes| KrigingError::NoMemory { wells, megabytes })?;
        let blocks = Blocks::new(&network.wells, covariance.model);
        let regression = blocks.likely(&network, covariance, 0.0)?.regression;
        let metric = covariance.metric();
        let places: Vec<Coord> = network.wells.iter().map(|p| metric.apply(*p)).collect();
        let shape = covariance.structure(diagonal(&places));
        let of_patch = |wells: &[usize]| {
            let part = network.part(wells);
            let mut factored =
                Factored::of(&part, covariance, shape).map_err(|e| e.among(wells))?;
            factored.take_drift(&part, &regression);
            Ok(System::of(part, factored))
        };
        let wells: Vec<&[usize]> = patches.wells().collect();
        let systems: Vec<Result<System, KrigingError>> =
            wells.into_par_iter().map(of_patch).collect();
        let systems = systems.into_iter().collect::<Result<_, _>>()?;
        Ok(Self { network, covariance: *covariance, blocks, regression, patches, systems })
    }

    /// The surface of other values at the same wells.
    pub(super) fn with_values(&self, values: Vec<f64>) -> Self {
        let network = Network { values, ..self.network.clone() };
        let regression = self
            .blocks
            .likely(&network, &self.covariance, 0.0)
            .expect("this is a bug in headfall: what was factored once is factored again")
            .regression;
        let with_values = |(system, wells): (&System, &[usize])| {
            let part = network.part(wells);
            let mut factored = system.factored.clone();
            factored.take_drift(&part, &regression);
            System::of(part, factored)
        };
        let wells: Vec<&[usize]> = self.patches.wells().collect();
        let systems = self.systems.par_iter().zip(wells).map(with_values).collect();
        let (covariance, blocks) = (self.covariance, self.blocks.clone());
        Self { network, covariance, blocks, regression, patches: self.patches.clone(), systems }
    }

    fn in_metric(&self, places: &[Coord]) -> Vec<Coord> {
        let metric = self.covariance.metric();
        places.iter().map(|p| metric.apply(*p)).collect()
    }

    /// Heads at places, with variances where `sure`; else these are NaN.
    ///
    /// Errors of patches at one place are nearly the same error: the standard deviation of the blend
    /// is at most the blend of theirs (Minkowski's inequality), and that is given.
    pub(super) fn predict(&self, places: &[Coord], sure: bool) -> Vec<Prediction> {
        let shares = self.patches.shares(&self.in_metric(places));
        let of_patch = |(system, share): (&System, &Vec<(usize, f64)>)| {
            let places: Vec<Coord> = share.iter().map(|(i, _)| places[*i]).collect();
            if sure {
                return system.predict(&places);
            }
            let variance = f64::NAN;
            let heads = system.heads(&places).into_iter();
            heads.map(|head| Prediction { head, variance }).collect()
        };
        let done: Vec<Vec<Prediction>> =
            self.systems.par_iter().zip(&shares).map(of_patch).collect();
        let mut blend = vec![(0.0, 0.0); places.len()];
        for ((i, part), said) in shares.iter().flatten().zip(done.iter().flatten()) {
            blend[*i].0 += part * said.head;
            blend[*i].1 += part * said.variance.sqrt();
        }
        blend.into_iter().map(|(head, sd)| Prediction { head, variance: sd * sd }).collect()
    }

    /// As [`super::Kriging::weights`].
    pub(super) fn weights(&self, place: Coord) -> Weights {
        let mut weights = vec![0.0; self.network.wells.len()];
        let mut multipliers = vec![0.0; self.regression.fitted.len()];
        let wells: Vec<&[usize]> = self.patches.wells().collect();
        for (k, part) in self.patches.at(self.covariance.metric().apply(place)) {
            let of_patch = self.systems[k].weights(place);
            for (i, w) in wells[k].iter().zip(of_patch.weights) {
                weights[*i] += part * w;
            }
            for (sum, m) in multipliers.iter_mut().zip(of_patch.multipliers) {
                *sum += part * m;
            }
        }
        Weights { weights, multipliers }
    }

    /// What each system says of its wells, blended at each well.
    fn at_wells<T: Send, U: Default + Clone>(
        &self,
        of: impl Fn(&System) -> Vec<Option<T>> + Sync + Send,
        add: impl Fn(&mut U, f64, &T),
    ) -> Vec<Option<U>> {
        let said: Vec<Vec<Option<T>>> = self.systems.par_iter().map(of).collect();
        self.patches.blend_at_wells(&self.in_metric(&self.network.wells), &said, add)
    }

    /// As [`super::Kriging::leave_one_out`].
    pub(super) fn leave_one_out(&self) -> Vec<Option<LeftOut>> {
        let add = |sum: &mut (f64, f64), part: f64, said: &LeftOut| {
            sum.0 += part * said.predicted;
            sum.1 += part * said.variance.sqrt();
        };
        let blend = self.at_wells(System::leave_one_out, add).into_iter();
        let left_out = |(blend, head): (Option<(f64, f64)>, &f64)| {
            let (predicted, sd) = blend?;
            Some(LeftOut { predicted, residual: head - predicted, variance: sd * sd })
        };
        blend.zip(&self.network.values).map(left_out).collect()
    }

    /// As [`super::Kriging::factor_without_each`].
    pub(super) fn factor_without_each(&self, term: usize) -> Vec<Option<(f64, f64)>> {
        let add = |sum: &mut (f64, f64), part: f64, said: &(f64, f64)| {
            sum.0 += part * said.0;
            sum.1 += part * said.1;
        };
        self.at_wells(|system| system.factor_without_each(term), add)
    }
}
