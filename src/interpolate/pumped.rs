//! What is to be told of pumped wells and of a covariance that was given, beside the surface.

use geo::Coord;

use super::kriging::{Covariance, Model};
use super::types::KrigingReport;
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic, listed};
use crate::geom::fit_plane;
use crate::geom::tolerance::{CONE_STANDARD_ERRORS, SILL_RATIO, TRANSMISSIVITY_RATIO};
use crate::geom::usual_spacing;
use crate::read::{Fact, KrigingSettings, PumpedWell, Site, SurfaceSettings};
use crate::triangulate::Mesh;
use crate::units::{GroundUnit, brief, with_power};

/// The pumped wells as the drift's terms have them: those with rates share the first one, every other
/// has one of its own.
pub(super) fn groups(pumped_wells: &[PumpedWell]) -> Vec<Vec<&PumpedWell>> {
    let (known, free): (Vec<_>, Vec<_>) = pumped_wells.iter().partition(|p| p.rate.is_some());
    let known = Some(known).filter(|known| !known.is_empty());
    known.into_iter().chain(free.into_iter().map(|p| vec![p])).collect()
}

/// Settings of kriging which another method passes over.
pub(super) fn passed_over(site: &Site) -> Option<Diagnostic> {
    let SurfaceSettings { kriging, method, .. } = &site.settings.surface;
    let given = *kriging != KrigingSettings::default() || !site.pumped_wells.is_empty();
    if method.has(Fact::Drift) || !given {
        return None;
    }
    let names: Vec<&str> = site.pumped_wells.iter().map(|p| p.well.as_str()).collect();
    let what = if names.is_empty() {
        "[kriging] has".to_owned()
    } else {
        format!("pumped wells under [[pumped_wells]] ({}) have", listed(&names))
    };
    let told = Diagnostic::new(
        Code::PassedOver,
        format!("{what} no effect on this surface, which is {}", method.name()),
    );
    let told = names.iter().fold(told, |told, name| told.well(name));
    Some(told.advice("use --surface kriging to take them into account"))
}

/// The transmissivity that a cone implies: the head rises by `rate / (2 pi T)` for each unit of the logarithm of the
/// distance (Thiem).
///
/// # Units
/// - `rate`: m³/d, for one unit of the rates that `factor` is of; `factor`: m; returns: m²/d
pub(crate) fn transmissivity(rate: f64, factor: f64) -> f64 {
    rate / (std::f64::consts::TAU * factor)
}

/// Cones that are not what the wells see: each term of the drift that has pumped wells.
pub(super) fn cones(site: &Site, control: &ControlSet, report: &KrigingReport) -> Vec<Diagnostic> {
    let settings = &site.settings.surface;
    let plane = 2 * usize::from(report.plane);
    let unit = control.elevation_unit();
    let square = if settings.unconfined_base.is_some() { "²" } else { "" };
    let groups = groups(&site.pumped_wells);
    let terms = report.trend.get(1 + plane..).unwrap_or_default();
    let mut told = Vec::new();
    for (term, group) in terms.iter().zip(&groups) {
        let (factor, error) = (term.factor, term.standard_error);
        let rated = group[0].rate.is_some();
        let aquifer = &site.settings.receptors.aquifer;
        let transmissivity = aquifer
            .rate_m3_per_day
            .filter(|_| rated && factor > 0.0 && settings.unconfined_base.is_none())
            .map(|rate| self::transmissivity(rate, factor * unit.metres()));
        let other_order =
            transmissivity.zip(aquifer.transmissivity_m2_per_day).filter(|(t, site)| {
                *t * TRANSMISSIVITY_RATIO < site.low || *t > site.high * TRANSMISSIVITY_RATIO
            });
        let why = if factor <= 0.0 {
            "its sign is opposite to that of pumping".to_owned()
        } else if factor <= CONE_STANDARD_ERRORS * error {
            format!("it is not more than {CONE_STANDARD_ERRORS} standard errors from 0")
        } else if let Some((_, site)) = other_order {
            format!("the site's own is {} to {} m²/d", brief(site.low), brief(site.high))
        } else {
            continue;
        };
        let names: Vec<&str> = group.iter().map(|p| p.well.as_str()).collect();
        let per = if rated { " per unit of rate" } else { "" };
        let implied = transmissivity.map_or_else(String::new, |t| {
            format!(" (a transmissivity of {} m²/d)", with_power(t, 4))
        });
        let message = format!(
            "the heads give the cone of {} a factor of {} {unit}{square}{per}, standard error \
             {}{implied}: {why}",
            listed(&names),
            with_power(factor, 4),
            with_power(error, 4)
        );
        let slope = if report.plane {
            ""
        } else {
            "try drift = \"linear\" under [kriging] in site.toml first: without it a regional \
             gradient hides the cone; then "
        };
        let finding = Diagnostic::new(Code::ConeUnlikeWells, message).advice(format!(
            "{slope}check the sign (negative for recharge) and unit of rate, and whether the \
             wells are near enough to respond to pumping; without [[pumped_wells]] no cone is \
             drawn"
        ));
        told.push(names.iter().fold(finding, |told, name| told.well(name)));
    }
    told
}

/// A given covariance that cannot be that of these heads.
///
/// # Units
/// - `mesh`: m and what is kriged, squares of the saturated thickness where `base` is set
pub(super) fn covariance(
    site: &Site,
    squares: bool,
    control: &ControlSet,
    mesh: &Mesh,
    used: &Covariance,
) -> Vec<Diagnostic> {
    let settings = &site.settings.surface.kriging;
    if settings.partial_sill.is_none() {
        return Vec::new();
    }
    let mut told = Vec::new();
    let wells: Vec<Coord> = control.wells().iter().map(|i| mesh.local()[*i]).collect();
    let spacing = usual_spacing(&wells);
    if used.model != Model::Linear && used.range_m < spacing {
        let unit = control.elevation_unit();
        let texts =
            |decimals| [used.range_m, spacing].map(|m| GroundUnit::of(unit).away_to(m, decimals));
        let differ = (2..6).map(texts).find(|[range, spacing]| range != spacing);
        let [range, spacing] = differ.unwrap_or_else(|| texts(6));
        told.push(
            Diagnostic::new(
                Code::CovarianceUnlikeWells,
                format!(
                    "the range given under [kriging], {range}, is below the usual well spacing, \
                     {spacing}: between wells the surface returns to the drift"
                ),
            )
            .advice(
                "give the range in the length unit of the site, or leave it out to have it \
                     fitted",
            ),
        );
    }
    if squares && site.pumped_wells.is_empty() {
        let unit = control.elevation_unit();
        let given = used.partial_sill + used.nugget;
        let variance = variance(settings.drift == Some(true), mesh);
        if given * SILL_RATIO < variance {
            told.push(
                Diagnostic::new(
                    Code::CovarianceUnlikeWells,
                    format!(
                        "the sill given under [kriging], {} {unit}⁴ with its nugget, is far below \
                         the variance of the squares of the saturated thickness, {} {unit}⁴",
                        brief(given),
                        with_power(variance, 4)
                    ),
                )
                .advice(
                    "with unconfined_base give partial_sill and nugget in the elevation unit to \
                     the fourth power, or leave them out to have them fitted",
                ),
            );
        }
    }
    told
}

/// The variance of what is kriged, about its plane where the drift has one.
fn variance(plane: bool, mesh: &Mesh) -> f64 {
    let heads = mesh.heads();
    if plane {
        let fit = fit_plane(mesh.local(), heads);
        return fit.and_then(|f| f.residual_sd).map_or(0.0, |sd| sd * sd);
    }
    let n = heads.len() as f64;
    let mean = heads.iter().sum::<f64>() / n;
    heads.iter().map(|h| (h - mean) * (h - mean)).sum::<f64>() / (n - 1.0)
}
