//! What the settings give kriging: covariance, drift with the cones of pumped wells, and the system of
//! some control points.

use geo::Coord;

use crate::check::{ControlSet, pumped_position};
use crate::diag::{Code, Diagnostic, bounded, listed};
use crate::error::Error;
use crate::geom::{bounds, distance};
use crate::interpolate::basis::Basis;
use crate::interpolate::kriging::{
    Anisotropy, Covariance, Drift, FEWEST_CONTRASTS, Fit, FitOptions, Heads, Kriging, KrigingError,
    PumpedWell, fit,
};
use crate::interpolate::pumped;
use crate::read::{self, KrigingSettings, Site};
use crate::units::{GroundUnit, with_power};

/// The covariance the settings give, or the likeliest one of some wells. Points of streams tell
/// nothing about it: their stage runs in straight lines from vertex to vertex.
pub(super) fn covariance(
    settings: &KrigingSettings,
    basis: &Basis<'_>,
    wells: &[usize],
    drift: &Drift,
) -> Result<(Covariance, Option<Fit>), Error> {
    let control = basis.control;
    if let Some(covariance) = as_given(settings, control) {
        return Ok((covariance, None));
    }
    let values: Vec<f64> = wells.iter().map(|i| basis.mesh.heads()[*i]).collect();
    let (places, sds) = at(basis, wells);
    let heads = Heads { wells: &places, values: &values, sd: Some(&sds) };
    let options = FitOptions {
        model: settings.model,
        nugget: settings.nugget.is_none(),
        anisotropy: settings.fit_anisotropy,
    };
    match fit(&heads, drift, options) {
        Ok(fit) => Ok((fit.covariance, Some(fit))),
        // Plane and cones are all that the heads show: what they leave is no larger than the errors of the
        // readings.
        Err(KrigingError::OnDrift { within }) if !drift.cones.is_empty() => {
            let errors = sds.iter().map(|sd| sd * sd).sum::<f64>() / sds.len() as f64;
            let (low, high) = bounds(places.iter().copied());
            let sill = errors.max(within * within);
            Ok((Covariance::new(settings.model, sill, distance(low, high)), None))
        }
        Err(e) => Err(Error::Map(vec![about(&e, control, wells)])),
    }
}

/// The kriging system of some control points and values at them.
///
/// # Errors
/// [`Error::Map`] with M407.
pub(super) fn system(
    basis: &Basis<'_>,
    points: &[usize],
    values: &[f64],
    covariance: &Covariance,
    drift: &Drift,
) -> Result<Kriging, Error> {
    let (places, sds) = at(basis, points);
    let heads = Heads { wells: &places, values, sd: Some(&sds) };
    Kriging::new(&heads, covariance, drift)
        .map_err(|e| Error::Map(vec![about(&e, basis.control, points)]))
}

/// Where some control points are, m, and how sure their values are.
fn at(basis: &Basis<'_>, points: &[usize]) -> (Vec<Coord>, Vec<f64>) {
    points.iter().map(|i| (basis.mesh.local()[*i], basis.sds[*i])).unzip()
}

/// The covariance the settings give, where they give one.
fn as_given(settings: &KrigingSettings, control: &ControlSet) -> Option<Covariance> {
    Some(Covariance {
        model: settings.model,
        partial_sill: settings.partial_sill?,
        range_m: settings.range? * control.frame().metres_per_unit(),
        nugget: settings.nugget.unwrap_or(0.0),
        anisotropy: settings.anisotropy_ratio.map(|ratio| Anisotropy {
            azimuth_deg: settings.anisotropy_azimuth_deg.unwrap_or(0.0),
            ratio,
        }),
    })
}

/// The drift with a cone for every pumped well: those with rates share one term.
pub(super) fn drift(settings: &KrigingSettings, basis: &Basis<'_>) -> Result<Drift, Error> {
    let frame = basis.frame();
    let mut missing = Vec::new();
    let mut of = |pumped: &read::PumpedWell| {
        let Some(at) = pumped_position(pumped, basis.site, basis.control) else {
            missing.push(
                Diagnostic::new(
                    Code::SurfaceRefused,
                    format!("pumped well {} has no position on this map", pumped.well),
                )
                .well(&pumped.well)
                .advice(
                    "use a well name from the register, or give easting and northing under \
                     [[pumped_wells]] in site.toml",
                ),
            );
            return None;
        };
        Some(PumpedWell {
            position: frame.to_local(at),
            radius_m: pumped.radius * frame.metres_per_unit(),
            rate: pumped.rate.unwrap_or(1.0),
        })
    };
    let groups = pumped::groups(&basis.site.pumped_wells).into_iter();
    let cones: Vec<Vec<PumpedWell>> =
        groups.map(|group| group.into_iter().filter_map(&mut of).collect()).collect();
    if !missing.is_empty() {
        return Err(Error::Map(bounded(missing)));
    }
    if cones.iter().any(|cone| cone.iter().all(|w| w.rate == 0.0)) {
        return Err(Error::Map(vec![no_rate(basis.site)]));
    }
    Ok(Drift { plane: has_plane(settings, basis.site, basis.control), cones })
}

/// Whether kriging has a plane in its drift: as the settings say, and otherwise where there are cones and
/// the wells are enough for both. Past barriers, where each side has wells of its own, only as they say.
pub(crate) fn has_plane(settings: &KrigingSettings, site: &Site, control: &ControlSet) -> bool {
    settings.drift.unwrap_or_else(|| {
        let cones = pumped::groups(&site.pumped_wells).len();
        let terms = 3 + cones;
        let enough = match settings.partial_sill.zip(settings.range) {
            Some(_) => control.points().len() > terms,
            None => control.wells().len() >= terms + FEWEST_CONTRASTS,
        };
        cones > 0 && enough && control.beside().barriers().is_empty()
    })
}

/// Wells of which every rate that is given is 0: their cone has no shape.
fn no_rate(site: &Site) -> Diagnostic {
    let wells = site.pumped_wells.iter().filter(|p| p.rate.is_some());
    let names: Vec<&str> = wells.map(|p| p.well.as_str()).collect();
    let told = Diagnostic::new(
        Code::SurfaceRefused,
        format!("rate = 0 for {} under [[pumped_wells]]: there is no cone", listed(&names)),
    )
    .advice("remove wells that were not pumped from [[pumped_wells]], or give their rate");
    names.iter().fold(told, |told, name| told.well(name))
}

/// A cone that too few wells feel: barriers hide its pumped wells from them.
pub(super) fn no_cone(site: &Site, cone: usize) -> Error {
    let groups = pumped::groups(&site.pumped_wells);
    let names: Vec<&str> = groups[cone].iter().map(|p| p.well.as_str()).collect();
    let told = Diagnostic::new(
        Code::SurfaceRefused,
        format!(
            "too few wells are on the same side of the barriers as {} to fit its cone",
            listed(&names)
        ),
    )
    .advice(
        "remove it from [[pumped_wells]] in site.toml, or measure wells on its side of the \
         barriers",
    );
    Error::Map(vec![names.iter().fold(told, |told, name| told.well(name))])
}

/// A refusal of kriging in the user's words, with the names of the control points `among` which
/// its indices count.
fn about(error: &KrigingError, control: &ControlSet, among: &[usize]) -> Diagnostic {
    let wells: Vec<usize> = match error {
        KrigingError::SamePosition { first, second, .. } => vec![among[*first], among[*second]],
        KrigingError::Singular { well, nearest, .. } => vec![among[*well], among[*nearest]],
        _ => Vec::new(),
    };
    let mut text = format!("kriging: {error}");
    if let KrigingError::Singular { unexplained, bound, distance_m, .. } = error {
        text = format!(
            "kriging: the covariance is singular or nearly so between wells {} and {}, {} apart: {} \
             of its variance is left, bound {}",
            control.points()[wells[0]].id,
            control.points()[wells[1]].id,
            GroundUnit::of(control.elevation_unit()).away_to(*distance_m, 2),
            with_power(*unexplained, 2),
            with_power(*bound, 2)
        );
    }
    let told = Diagnostic::new(Code::SurfaceRefused, text).advice(error.advice());
    wells.into_iter().fold(told, |told, i| told.well(&control.points()[i].id))
}
