//! The kriged surface, solved as a whole or in patches.

use geo::Coord;

use super::covariance::Covariance;
use super::drift::Drift;
use super::error::KrigingError;
use super::factored::Factored;
use super::grid::{Surface, in_blocks};
use super::leave_one_out::LeftOut;
use super::linear;
use super::network::{Heads, Network};
use super::patched::Patched;
use super::regression::Regression;
use super::system::{Prediction, System, TrendTerm, Weights};
use crate::geom::Frame;
use crate::interpolate::grid::{Grid, GridSpec};
use crate::interpolate::patches::Patches;

/// Nodes that patches are asked for together: what is said of them fills some 20 MB.
const NODES_AT_ONCE: usize = 1 << 18;

/// A kriged surface.
#[derive(Debug, Clone)]
pub struct Kriging {
    by: By,
}

#[derive(Debug, Clone)]
enum By {
    Whole(Box<System>),
    Patches(Box<Patched>),
}

impl Kriging {
    /// Solves the kriging system of the wells with a given covariance: as a whole up to
    /// [`crate::geom::tolerance::WHOLE_SURFACE_WELLS`] wells, above in overlapping patches
    /// (`docs/kriging.md`).
    ///
    /// # Units
    /// - positions and ranges: m; heads: any one unit; variances: that unit squared
    ///
    /// # Errors
    /// [`KrigingError`] when an input is out of bounds, when the wells are fewer than the drift's
    /// terms and one, or more than [`crate::geom::tolerance::MOST_KRIGED_WELLS`], when the memory does not suffice, when two
    /// exact wells share a position, when the covariance is singular, or when the wells do not tell
    /// the drift's terms apart.
    ///
    /// # References
    /// Cressie (1993), Statistics for Spatial Data, sec. 3.2 and 3.4; `docs/kriging.md`.
    pub fn new(
        heads: &Heads<'_>,
        covariance: &Covariance,
        drift: &Drift,
    ) -> Result<Self, KrigingError> {
        let faults = covariance.faults();
        if !faults.is_empty() {
            return Err(KrigingError::Parameters(faults));
        }
        let network = Network::new(heads, drift)?;
        let metric = covariance.metric();
        let places: Vec<Coord> = network.wells.iter().map(|p| metric.apply(*p)).collect();
        let by = match Patches::new(&places) {
            Some(patches) => By::Patches(Box::new(Patched::new(network, covariance, patches)?)),
            None => By::Whole(Box::new(whole(network, covariance)?)),
        };
        Ok(Self { by })
    }

    /// In how many patches it was solved; `None` as a whole.
    #[must_use]
    pub fn patches(&self) -> Option<usize> {
        match &self.by {
            By::Whole(_) => None,
            By::Patches(patched) => Some(patched.patches.wells().len()),
        }
    }

    /// The surface of other values at the same wells, with the same covariance and drift.
    ///
    /// # Panics
    /// When there is not one value for each well.
    pub(in crate::interpolate) fn with_values(&self, values: Vec<f64>) -> Self {
        let by = match &self.by {
            By::Whole(system) => By::Whole(Box::new(system.with_values(values))),
            By::Patches(patched) => By::Patches(Box::new(patched.with_values(values))),
        };
        Self { by }
    }

    /// Heads and variances at places.
    ///
    /// # Units
    /// - `places`: m; returns: head unit and its square
    #[must_use]
    pub fn predict(&self, places: &[Coord]) -> Vec<Prediction> {
        match &self.by {
            By::Whole(system) => system.predict(places),
            By::Patches(patched) => patched.predict(places, true),
        }
    }

    /// Heads alone at places, in dual form: much quicker than [`Self::predict`].
    ///
    /// # Units
    /// - `places`: m; returns: head unit
    #[must_use]
    pub fn heads(&self, places: &[Coord]) -> Vec<f64> {
        match &self.by {
            By::Whole(system) => system.heads(places),
            By::Patches(patched) => {
                patched.predict(places, false).into_iter().map(|p| p.head).collect()
            }
        }
    }

    /// Heads and standard deviations at the nodes of a grid for which `inside` holds.
    ///
    /// Wells far from a square of nodes are not evaluated at each of its nodes but interpolated
    /// over it, to within 1e-8 of the covariance's standard deviation; each square is checked for
    /// that and worked out node by node where it does not hold (`docs/kriging.md`).
    ///
    /// # Units
    /// - `spec`: CRS units; `inside` is asked with positions in m of the local frame
    #[must_use]
    pub fn grid(
        &self,
        frame: &Frame,
        spec: GridSpec,
        inside: impl Fn(Coord) -> bool + Sync,
    ) -> Surface {
        let filled = self.fill(frame, &spec, &inside, true);
        let heads = filled.iter().map(|p| p.head).collect();
        let sd = filled.iter().map(|p| p.variance.sqrt()).collect();
        Surface { heads: Grid::new(spec, heads), sd: Grid::new(spec, sd) }
    }

    /// Heads alone at the nodes of a grid for which `inside` holds: much quicker than
    /// [`Self::grid`].
    ///
    /// # Units
    /// - as for [`Self::grid`]
    #[must_use]
    pub fn grid_of_heads(
        &self,
        frame: &Frame,
        spec: GridSpec,
        inside: impl Fn(Coord) -> bool + Sync,
    ) -> Grid {
        let filled = self.fill(frame, &spec, &inside, false);
        Grid::new(spec, filled.iter().map(|p| p.head).collect())
    }

    /// Every node, row by row from the south-west; NaN outside. Without `sure` the variances are
    /// NaN.
    fn fill<F: Fn(Coord) -> bool + Sync>(
        &self,
        frame: &Frame,
        spec: &GridSpec,
        inside: &F,
        sure: bool,
    ) -> Vec<Prediction> {
        let patched = match &self.by {
            By::Whole(system) => return system.fill(frame, spec, inside, sure),
            By::Patches(patched) => patched,
        };
        let node = |k: usize| frame.to_local(spec.node(k / spec.columns, k % spec.columns));
        let count = spec.rows * spec.columns;
        let wanted: Vec<usize> = (0..count).filter(|k| inside(node(*k))).collect();
        let mut filled = vec![Prediction::NONE; count];
        let predict = |places: &[Coord]| patched.predict(places, sure);
        in_blocks(&mut filled, &wanted, NODES_AT_ONCE, node, predict);
        filled
    }

    /// What each well contributes to the head at one place.
    ///
    /// # Units
    /// - `place`: m
    #[must_use]
    pub fn weights(&self, place: Coord) -> Weights {
        match &self.by {
            By::Whole(system) => system.weights(place),
            By::Patches(patched) => patched.weights(place),
        }
    }

    /// Each well's head from all the others with the same covariance; `None` for a well without
    /// which the drift cannot be told.
    ///
    /// With `P = K⁻¹ - K⁻¹ F (F' K⁻¹ F)⁻¹ F' K⁻¹` the residual of well i is `(P h)ᵢ / Pᵢᵢ` and its
    /// variance `1 / Pᵢᵢ`.
    ///
    /// # Units
    /// - head unit and its square
    ///
    /// # References
    /// Dubrule (1983), Mathematical Geology 15(6), 687-699.
    #[must_use]
    pub fn leave_one_out(&self) -> Vec<Option<LeftOut>> {
        match &self.by {
            By::Whole(system) => system.leave_one_out(),
            By::Patches(patched) => patched.leave_one_out(),
        }
    }

    /// A drift term's factor and the variance of its error without each well; `None` for a well
    /// without which the drift cannot be told.
    pub(in crate::interpolate) fn factor_without_each(
        &self,
        term: usize,
    ) -> Vec<Option<(f64, f64)>> {
        match &self.by {
            By::Whole(system) => system.factor_without_each(term),
            By::Patches(patched) => patched.factor_without_each(term),
        }
    }

    fn regression(&self) -> &Regression {
        match &self.by {
            By::Whole(system) => &system.factored.regression,
            By::Patches(patched) => &patched.regression,
        }
    }

    /// The drift as found from the heads, with standard errors from the given covariance.
    #[must_use]
    pub fn trend(&self) -> Vec<TrendTerm> {
        let drift = match &self.by {
            By::Whole(system) => &system.network.drift,
            By::Patches(patched) => &patched.network.drift,
        };
        let regression = self.regression();
        let terms = regression.factors().into_iter().zip(regression.variances());
        let term = |(j, (factor, variance)): (usize, (f64, f64))| TrendTerm {
            name: drift.name(j),
            factor,
            standard_error: variance.sqrt(),
        };
        terms.enumerate().map(term).collect()
    }
}

/// The system of all wells.
pub(super) fn whole(network: Network, covariance: &Covariance) -> Result<System, KrigingError> {
    let wells = network.wells.len();
    // The factor, and its inverse for grids.
    linear::room(2 * wells * wells)
        .map_err(|megabytes| KrigingError::NoMemory { wells, megabytes })?;
    let factored = Factored::new(&network, covariance)?;
    Ok(System::of(network, factored))
}
