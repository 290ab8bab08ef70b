//! Which surface suits these wells: each well or gauge is left out in turn and every method says
//! from the others what its head should be.
//!
//! No method is solved afresh for each well: kriging and splines have the answer in closed form,
//! natural neighbours and triangles change around the well alone. How far the direction of flow
//! and the gradient of the site hang on each well comes with it. `docs/cross-validate.md` says how the
//! numbers are to be read.

mod direction;
mod predict;
mod scores;
mod types;

use rayon::prelude::*;

use crate::check::ControlSet;
use crate::diag::Diagnostic;
use crate::error::Error;
use crate::flow::SiteFlow;
use crate::interpolate::kriging::Caution;
use crate::interpolate::{Basis, InTurn};
use crate::interpolate::{has_plane, many_wells_told};
use crate::progress;
use crate::read::Fact;
use crate::read::Site;
use crate::triangulate::Mesh;
use crate::units::LengthUnit;

pub use types::{
    Candidate, Comparison, Effect, LeftOut, MethodResult, Prediction, Refused, Scores, Without,
};

use predict::foretold;

/// Leaves each well out in turn, by every method there is, with the settings of the site.
///
/// Kriging is tried without and with a linear drift, each with the covariance the site gives or
/// with its own fitted one. A covariance is fitted once, to all wells. A method that cannot be
/// used with these wells is listed with the reason.
///
/// # Units
/// - `sds`: the standard deviation of each head, elevation unit
///
/// # Errors
/// [`Error::Map`] with M407 when `unconfined_base` is not below every head: then no method can be
/// used.
///
/// # References
/// `docs/cross-validate.md`.
pub fn cross_validate(
    site: &Site,
    control: &ControlSet,
    mesh: &Mesh,
    flow: &SiteFlow,
    sds: &[f64],
) -> Result<Comparison, Error> {
    let basis = Basis::new(site, control, mesh, sds)?;
    let (settings, wells) = (&site.settings.surface, control.wells());
    let (in_turn, heads) = (InTurn::of(&basis), mesh.heads());
    let asked = asked(site, control);
    let candidates = Candidate::all();
    let steps = progress::steps(candidates.len());
    let found: Vec<_> = candidates
        .par_iter()
        .with_max_len(1)
        .map(|candidate| foretold(&basis, settings, &in_turn, *candidate, heads))
        .inspect(|_| steps.done())
        .collect();
    let all = |i: usize| found.iter().flatten().all(|f| f.predictions[i].is_some());
    let left_out = |i: usize| wells.binary_search(&i).is_ok();
    let in_common: Vec<bool> = (0..heads.len()).map(|i| left_out(i) && all(i)).collect();
    let methods = candidates
        .into_iter()
        .zip(found)
        .map(|(candidate, found)| MethodResult {
            candidate,
            asked: candidate == asked,
            outcome: found.map(|f| scores::scored(f, &in_common)),
        })
        .collect();
    let without = direction::without_each(control, mesh, flow, &wells);
    Ok(Comparison { methods, wells, in_common, without })
}

/// What is to be told of the covariances that were fitted on the way (M408), and of surfaces that are
/// not worked out from all wells at once (M423), as of a map: once where it is the same for kriging
/// with and without a drift.
///
/// # Units
/// - `unit`: the elevation unit; lengths are in m, or in ft for a site in feet
#[must_use]
pub fn cautions(comparison: &Comparison, unit: LengthUnit) -> Vec<Diagnostic> {
    let mut told: Vec<(&Caution, Vec<&str>)> = Vec::new();
    for method in &comparison.methods {
        let report = method.outcome.as_ref().ok().and_then(|l| l.kriging.as_ref());
        let fit = report.and_then(|k| k.fit.as_ref());
        for caution in fit.iter().flat_map(|f| &f.cautions) {
            let name = method.candidate.words();
            match told.iter_mut().find(|t| t.0 == caution) {
                Some((_, names)) => names.push(name),
                None => told.push((caution, vec![name])),
            }
        }
    }
    let finding = |(caution, names): (&Caution, Vec<&str>)| {
        caution.told(&format!("{}: ", names.join(" and ")), unit).advice(
            "compare its scores with those of the other methods, or give the covariance under \
             [kriging] in site.toml",
        )
    };
    let wells = comparison.in_common.len();
    let mut many: Vec<Diagnostic> = Vec::new();
    for method in &comparison.methods {
        let Ok(left_out) = &method.outcome else { continue };
        let fit = left_out.kriging.as_ref().and_then(|k| k.fit.as_ref());
        many.extend(many_wells_told(method.candidate.method, fit, wells));
    }
    many.dedup();
    told.into_iter().map(finding).chain(many).collect()
}

/// The candidate that the site's settings draw.
fn asked(site: &Site, control: &ControlSet) -> Candidate {
    let settings = &site.settings.surface;
    let drift = settings.method.has(Fact::Drift) && has_plane(&settings.kriging, site, control);
    Candidate { method: settings.method, drift }
}
