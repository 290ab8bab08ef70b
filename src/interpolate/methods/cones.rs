//! What kriging shares between all surfaces of a site: one covariance, and past barriers one cone
//! for each pumped well.

use std::collections::BTreeMap;

use super::given::{covariance, no_cone, system};
use crate::error::Error;
use crate::interpolate::basis::Basis;
use crate::interpolate::kriging::{Covariance, Drift, Fit, Kriging, PumpedWell, TrendTerm};
use crate::interpolate::sight::Sight;
use crate::read::KrigingSettings;

/// What kriging shares between all surfaces of a site.
#[derive(Debug)]
pub(super) struct Shared {
    pub(super) covariance: Covariance,
    pub(super) fit: Option<Fit>,
    /// The drift as found where most wells are seen, with the cones that are held; `None` where one
    /// surface finds all of it.
    pub(super) trend: Option<Vec<TrendTerm>>,
    /// What every surface finds of the drift.
    pub(super) drift: Drift,
    cones: Vec<Held>,
}

/// A cone of the drift whose factor is held, so that it is the same in all views.
#[derive(Debug, Clone)]
pub(super) struct Held {
    wells: Cone,
    pub(super) factor: f64,
    /// Of the factor's error.
    pub(super) variance: f64,
    /// The same without one of the control points that it was found from; `None` where it then
    /// cannot be found.
    without: BTreeMap<usize, Option<(f64, f64)>>,
}

/// The pumped wells of a cone, each with its number among the points seen.
type Cone = Vec<(usize, PumpedWell)>;

impl Shared {
    /// Where there are barriers, the covariance is fitted where most wells are seen, and the factor
    /// of each cone found where most of its pumped wells are, and then most wells. Places that are
    /// looked from are those of the control points and pumped wells, so that none of it depends on
    /// the grid.
    ///
    /// # Errors
    /// [`Error::Map`] with M407.
    pub(super) fn new(
        basis: &Basis<'_>,
        settings: &KrigingSettings,
        sight: Option<&Sight>,
        drift: Drift,
    ) -> Result<Self, Error> {
        let wells = basis.control.wells();
        let fitted = |wells: &[usize], drift: &Drift| covariance(settings, basis, wells, drift);
        let Some(sight) = sight else {
            let (covariance, fit) = fitted(&wells, &drift)?;
            return Ok(Self { covariance, fit, trend: None, drift, cones: Vec::new() });
        };
        let mut numbers = basis.mesh.local().len()..;
        let cones = drift.cones.iter().map(|c| numbers.by_ref().zip(c.iter().copied()).collect());
        let cones: Vec<Cone> = cones.collect();
        let drift = Drift { plane: drift.plane, cones: Vec::new() };
        let views = sight.of_each();
        let of_wells = |view: &[usize]| -> Vec<usize> {
            view.iter().copied().filter(|i| wells.binary_search(i).is_ok()).collect()
        };
        let largest = most(&views, |view| of_wells(view).len());
        let part = with_cones(&drift, &cones, largest);
        let (covariance, fit) = fitted(&of_wells(largest), &part)?;
        let mut trend = in_view(basis, largest, &covariance, &part)?.trend();
        trend.truncate(drift.terms());
        let mut held = Vec::new();
        for (number, cone) in cones.iter().enumerate() {
            let view = most(&views, |view| (seen(cone, view).len(), of_wells(view).len()));
            let part = with_cones(&drift, &cones, view);
            if basis.points(view).len() <= part.terms() {
                return Err(no_cone(basis.site, number));
            }
            let before = with_cones(&drift, &cones[..number], view);
            let kriging = in_view(basis, view, &covariance, &part)?;
            let held_at = Held::new(basis.points(view), cone, &kriging, before.terms());
            trend.push(TrendTerm {
                name: Drift { cones: vec![Vec::new(); number + 1], ..drift }.name(trend.len()),
                factor: held_at.factor,
                standard_error: held_at.variance.sqrt(),
            });
            held.push(held_at);
        }
        Ok(Self { covariance, fit, trend: Some(trend), drift, cones: held })
    }

    /// The cones that are held, each with those of its pumped wells that are seen.
    pub(super) fn held(&self, view: &[usize]) -> impl Iterator<Item = (&Held, Vec<PumpedWell>)> {
        let all = self.cones.iter().map(|held| (held, seen(&held.wells, view)));
        all.filter(|(_, wells)| !wells.is_empty())
    }
}

impl Held {
    /// A cone as a kriging system of some control points has it as a term of its drift.
    fn new(points: &[usize], wells: &Cone, kriging: &Kriging, term: usize) -> Self {
        let TrendTerm { factor, standard_error, .. } = kriging.trend().swap_remove(term);
        let without = points.iter().copied().zip(kriging.factor_without_each(term)).collect();
        let variance = standard_error * standard_error;
        Self { wells: wells.clone(), factor, variance, without }
    }

    /// The factor without one of the control points, and the variance of its error.
    pub(super) fn without(&self, point: usize) -> Option<(f64, f64)> {
        self.without.get(&point).copied().unwrap_or(Some((self.factor, self.variance)))
    }
}

/// The view of which a count is largest, the first of equals.
fn most<C: Ord>(views: &[Vec<usize>], count: impl Fn(&[usize]) -> C) -> &[usize] {
    views.iter().rev().max_by_key(|view| count(view)).map_or(&[], Vec::as_slice)
}

/// The pumped wells of a cone that are seen.
fn seen(cone: &Cone, view: &[usize]) -> Vec<PumpedWell> {
    cone.iter().filter(|w| view.binary_search(&w.0).is_ok()).map(|w| w.1).collect()
}

/// The drift with the cones that are seen.
fn with_cones(drift: &Drift, cones: &[Cone], view: &[usize]) -> Drift {
    let seen = cones.iter().map(|cone| seen(cone, view)).filter(|wells| !wells.is_empty());
    Drift { plane: drift.plane, cones: seen.collect() }
}

/// The kriging system of the control points of a view.
fn in_view(
    basis: &Basis<'_>,
    view: &[usize],
    covariance: &Covariance,
    drift: &Drift,
) -> Result<Kriging, Error> {
    let points = basis.points(view);
    let heads: Vec<f64> = points.iter().map(|i| basis.mesh.heads()[*i]).collect();
    system(basis, points, &heads, covariance, drift)
}
