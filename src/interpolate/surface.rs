//! The surface a site asks for.

use std::fmt::Write as _;

use geo::Coord;
use serde::Serialize;

use super::beside;
use super::clip;
use super::grid::{Grid, GridSpec};
use super::inverse_distance::{InverseDistance, Options};
use super::kriging::{
    Anisotropy, Covariance, Drift, Fit, FitOptions, Heads, Kriging, KrigingError, PumpedWell,
    TrendTerm, fit,
};
use super::linear::linear;
use super::natural::{NaturalNeighbour, Variant};
use super::pumped;
use super::scattered::ScatteredError;
use super::thin_plate::ThinPlate;
use super::unconfined::Saturated;
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic, Warned};
use crate::error::Error;
use crate::geom::Frame;
use crate::read::{
    CovarianceModel, KrigingSettings, Method, PumpedWellSettings, SiteFile, SurfaceSettings,
};
use crate::triangulate::Mesh;
use crate::units::{brief_to, fixed, with_power};

/// The potentiometric surface on a grid.
#[derive(Debug, Clone)]
pub struct Surface {
    /// The heads, elevation unit.
    pub heads: Grid,
    /// Their standard deviation where the method gives one, elevation unit.
    pub sd: Option<Grid>,
    /// How heads between wells were worked out.
    pub method: Method,
    /// The same in words, for legends and files.
    pub words: String,
    /// What kriging rests on.
    pub kriging: Option<KrigingReport>,
}

/// What a kriged surface rests on. Covariances are in the elevation unit, or in its square where
/// the surface is that of an unconfined unit.
#[derive(Debug, Clone, Serialize)]
pub struct KrigingReport {
    /// The covariance used.
    pub covariance: Covariance,
    /// How it was fitted; `None` where its parameters were given.
    pub fit: Option<Fit>,
    /// The drift's terms as found.
    pub trend: Vec<TrendTerm>,
}

impl KrigingReport {
    /// Which kriging, in words: its drift, its covariance, and the pumped wells whose cones it has.
    fn words(&self, settings: &KrigingSettings) -> String {
        /// So many pumped wells are named.
        const MOST: usize = 3;
        let Covariance { model, range_m, .. } = self.covariance;
        let kind =
            if settings.drift { "universal kriging with a plane" } else { "ordinary kriging" };
        let mut words = format!("{kind}, {} covariance", model.name());
        // The linear one has a slope and no range.
        if model != CovarianceModel::Linear {
            let decimals = if range_m >= 100.0 { 0 } else { 2 };
            let longest = if self.covariance.anisotropy.is_some() { "longest " } else { "" };
            let range = fixed(range_m, decimals);
            let _ = write!(words, ", {longest}effective range {range} m");
        }
        let names: Vec<&str> = settings.pumped_wells.iter().map(|p| p.well.as_str()).collect();
        match names.len() {
            0 => {}
            n @ 1..=MOST => {
                let cones = if n == 1 { "a cone" } else { "cones" };
                let _ = write!(words, ", with {cones} at {}", names.join(", "));
            }
            n => {
                let _ = write!(words, ", with cones at {n} pumped wells");
            }
        }
        words
    }
}

/// What one set of wells makes of the nodes.
pub(super) struct Fields {
    pub(super) heads: Grid,
    pub(super) sd: Option<Grid>,
    pub(super) kriging: Option<KrigingReport>,
}

/// The surface of a site on the nodes of a grid, by the method its settings ask for.
///
/// No method gives heads beyond the outline of the wells: nothing was measured there.
///
/// # Units
/// - `spec`: CRS units; `sds`: the standard deviation of each head, elevation unit
///
/// # Errors
/// [`Error::Map`] with M407 when the method cannot be used with these wells and settings.
///
/// # References
/// `docs/surface.md` and the documents it names, one for each method.
pub fn surface(
    site: &SiteFile,
    control: &ControlSet,
    mesh: &Mesh,
    spec: GridSpec,
    sds: &[f64],
) -> Result<Warned<Surface>, Error> {
    let settings = &site.settings.surface;
    let mut findings = pumped::pumped_wells(site, control);
    findings.extend(pumped::passed_over(&settings.kriging, settings.method));
    let unit = control.elevation_unit();
    let saturated = settings.unconfined_base.map(|base| Saturated { base, unit });
    let fields = match &saturated {
        None => {
            let fields = fields(site, control, mesh, spec, sds)?;
            findings.extend(unlike(site, control, mesh, &fields));
            fields
        }
        Some(saturated) => {
            let (squares, sds) = saturated.squares(control, mesh, sds)?;
            let mut fields = fields(site, control, &squares, spec, &sds)?;
            findings.extend(unlike(site, control, &squares, &fields));
            findings.extend(saturated.back(&mut fields.heads, fields.sd.as_mut()));
            fields
        }
    };
    if let Some(fit) = fields.kriging.as_ref().and_then(|k| k.fit.as_ref()) {
        findings.extend(fit.cautions.iter().map(|caution| {
            caution.told("").advice(
                "compare with other methods by `headfall compare`, or give the covariance under \
                 [kriging] in site.toml",
            )
        }));
    }
    let Fields { mut heads, mut sd, kriging } = fields;
    heads.clean();
    bounded(control, &mut heads, sd.as_mut())?;
    let method = match &kriging {
        Some(report) => report.words(&settings.kriging),
        None => settings.method.words().to_owned(),
    };
    let words =
        saturated.map_or_else(|| method.clone(), |s| s.words(&method)) + &beside_words(site);
    let value = Surface { heads, sd, method: settings.method, words, kriging };
    Ok(Warned { value, findings })
}

/// What kriging gives or was given that is not what the wells see; `mesh` holds what was kriged.
fn unlike(site: &SiteFile, control: &ControlSet, mesh: &Mesh, fields: &Fields) -> Vec<Diagnostic> {
    let Some(report) = &fields.kriging else { return Vec::new() };
    let settings = &site.settings.surface;
    let squares = settings.unconfined_base.is_some();
    let used = &report.covariance;
    let mut told = pumped::covariance(&settings.kriging, squares, control, mesh, used);
    told.extend(pumped::cones(site, control, report));
    told
}

/// What bounds and carries the surface beside the wells, in words.
fn beside_words(site: &SiteFile) -> String {
    let features = &site.features;
    let mut words = String::new();
    if !features.stream_points.is_empty() {
        words += ", with streams";
    }
    if !features.barriers.is_empty() {
        words += ", parted at barriers";
    }
    if !features.boundary.is_empty() {
        words += ", within the boundary";
    }
    words
}

/// Ends the surface at the boundary, and parts it at the barriers.
fn bounded(control: &ControlSet, heads: &mut Grid, sd: Option<&mut Grid>) -> Result<(), Error> {
    let beside = control.beside();
    if !beside.barriers().is_empty() {
        clip::at_barriers(heads, beside.barriers(), control.frame());
    }
    if beside.boundary().is_empty() {
        return Ok(());
    }
    let before = heads.supported();
    clip::to_areas(heads, beside.boundary());
    if let Some(sd) = sd {
        clip::to_areas(sd, beside.boundary());
    }
    if before > 0 && heads.supported() == 0 {
        let told = Diagnostic::new(
            Code::SurfaceRefused,
            format!("none of the {before} nodes of the surface lies within the boundary"),
        );
        return Err(Error::Map(vec![
            told.advice("check the boundary and its CRS, or set a smaller cell"),
        ]));
    }
    Ok(())
}

fn fields(
    site: &SiteFile,
    control: &ControlSet,
    mesh: &Mesh,
    spec: GridSpec,
    sds: &[f64],
) -> Result<Fields, Error> {
    let settings = &site.settings.surface;
    if settings.method != Method::Linear && !control.beside().barriers().is_empty() {
        return beside::fields(site, control, mesh, spec, sds);
    }
    let frame = control.frame();
    let only = |heads: Grid| Fields { heads, sd: None, kriging: None };
    let supported = || linear(mesh, frame, spec);
    let natural = |variant| only(NaturalNeighbour::new(mesh, variant).grid(frame, spec));
    Ok(match settings.method {
        Method::Linear => only(supported()),
        Method::NaturalNeighbour => natural(Variant::Plain),
        Method::SmoothNaturalNeighbour => natural(Variant::Smooth),
        Method::ThinPlate => {
            only(thin_plate_of(settings, frame, mesh)?.grid(frame, spec, Some(&supported())))
        }
        Method::InverseDistance => {
            only(inverse_distances(settings, frame, mesh)?.grid(frame, spec, Some(&supported())))
        }
        Method::Kriging => {
            let (kriging, report) = kriged(site, &settings.kriging, control, mesh, sds)?;
            let within = supported();
            let surface = kriging.grid(frame, spec, |p| within.nearest(frame.to_crs(p)).is_some());
            Fields { heads: surface.heads, sd: Some(surface.sd), kriging: Some(report) }
        }
    })
}

/// The thin-plate spline through a mesh's wells, as the settings ask for it.
pub(crate) fn thin_plate_of(
    settings: &SurfaceSettings,
    frame: &Frame,
    mesh: &Mesh,
) -> Result<ThinPlate, Error> {
    let metres = frame.metres_per_unit();
    let smoothing = settings.thin_plate.smoothing * metres * metres;
    ThinPlate::new(mesh.local(), mesh.heads(), smoothing)
        .map_err(|e| refused(Method::ThinPlate, &e))
}

/// The inverse-distance surface through a mesh's wells, as the settings ask for it.
pub(crate) fn inverse_distances(
    settings: &SurfaceSettings,
    frame: &Frame,
    mesh: &Mesh,
) -> Result<InverseDistance, Error> {
    let given = settings.inverse_distance;
    let options = Options {
        power: given.power,
        nearest: given.nearest,
        radius_m: given.radius.map(|r| r * frame.metres_per_unit()),
    };
    InverseDistance::new(mesh.local(), mesh.heads(), options)
        .map_err(|e| refused(Method::InverseDistance, &e))
}

/// The kriging system of a site, as `settings` ask for it, and what it rests on.
///
/// # Units
/// - `mesh`: m and any head unit; `sds`: that head unit
///
/// # Errors
/// [`Error::Map`] with M407: see [`KrigingError`].
pub fn kriged(
    site: &SiteFile,
    settings: &KrigingSettings,
    control: &ControlSet,
    mesh: &Mesh,
    sds: &[f64],
) -> Result<(Kriging, KrigingReport), Error> {
    let drift = drift(settings, site, control)?;
    let (covariance, fit) = covariance(settings, control, mesh, sds, &control.wells(), &drift)?;
    let heads = Heads { wells: mesh.local(), values: mesh.heads(), sd: Some(sds) };
    let all: Vec<usize> = (0..mesh.local().len()).collect();
    let kriging = Kriging::new(&heads, &covariance, &drift)
        .map_err(|e| Error::Map(vec![about(&e, control, &all)]))?;
    let trend = kriging.trend();
    Ok((kriging, KrigingReport { covariance, fit, trend }))
}

/// The covariance the settings give, or the likeliest one of some wells. Points of streams tell
/// nothing about it: their stage runs in straight lines from vertex to vertex.
pub(crate) fn covariance(
    settings: &KrigingSettings,
    control: &ControlSet,
    mesh: &Mesh,
    sds: &[f64],
    wells: &[usize],
    drift: &Drift,
) -> Result<(Covariance, Option<Fit>), Error> {
    if let Some(covariance) = as_given(settings, control) {
        return Ok((covariance, None));
    }
    let places: Vec<Coord> = wells.iter().map(|i| mesh.local()[*i]).collect();
    let values: Vec<f64> = wells.iter().map(|i| mesh.heads()[*i]).collect();
    let sds: Vec<f64> = wells.iter().map(|i| sds[*i]).collect();
    let heads = Heads { wells: &places, values: &values, sd: Some(&sds) };
    let options = FitOptions {
        model: settings.model,
        nugget: settings.nugget.is_none(),
        anisotropy: settings.fit_anisotropy,
    };
    let fit =
        fit(&heads, drift, options).map_err(|e| Error::Map(vec![about(&e, control, wells)]))?;
    Ok((fit.covariance, Some(fit)))
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
pub(crate) fn drift(
    settings: &KrigingSettings,
    site: &SiteFile,
    control: &ControlSet,
) -> Result<Drift, Error> {
    let frame = control.frame();
    let mut missing = Vec::new();
    let mut of = |pumped: &PumpedWellSettings| {
        let Some(at) = pumped::position(pumped, site, control) else {
            missing.push(
                Diagnostic::new(
                    Code::SurfaceRefused,
                    format!("pumped well {} has no position on this map", pumped.well),
                )
                .well(&pumped.well)
                .advice(
                    "name a well of the register, or give easting and northing under \
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
    let groups = pumped::groups(settings).into_iter();
    let cones: Vec<Vec<PumpedWell>> =
        groups.map(|group| group.into_iter().filter_map(&mut of).collect()).collect();
    if !missing.is_empty() {
        return Err(Error::Map(missing));
    }
    if cones.iter().any(|cone| cone.iter().all(|w| w.rate == 0.0)) {
        return Err(Error::Map(vec![no_rate(settings)]));
    }
    Ok(Drift { plane: settings.drift, cones })
}

/// Wells of which every rate that is given is 0: their cone has no shape.
fn no_rate(settings: &KrigingSettings) -> Diagnostic {
    let wells = settings.pumped_wells.iter().filter(|p| p.rate.is_some());
    let names: Vec<&str> = wells.map(|p| p.well.as_str()).collect();
    let told = Diagnostic::new(
        Code::SurfaceRefused,
        format!("rate = 0 at {} under [[pumped_wells]]: there is no cone", names.join(", ")),
    )
    .advice("leave wells that were not pumped out of [[pumped_wells]], or give their rate");
    names.iter().fold(told, |told, name| told.well(name))
}

/// A refusal of kriging in the user's words, with the names of the control points `among` which
/// its indices count.
pub(crate) fn about(error: &KrigingError, control: &ControlSet, among: &[usize]) -> Diagnostic {
    let wells: Vec<usize> = match error {
        KrigingError::SamePosition { first, second, .. } => vec![among[*first], among[*second]],
        KrigingError::Singular { well, nearest, .. } => vec![among[*well], among[*nearest]],
        _ => Vec::new(),
    };
    let mut text = format!("kriging: {error}");
    if let KrigingError::Singular { unexplained, bound, distance_m, .. } = error {
        text = format!(
            "kriging: the covariance is singular or nearly so between wells {} and {}, {} m apart: {} \
             of its variance is left, bound {}",
            control.points()[wells[0]].id,
            control.points()[wells[1]].id,
            brief_to(*distance_m, 2),
            with_power(*unexplained, 2),
            with_power(*bound, 2)
        );
    }
    let told = Diagnostic::new(Code::SurfaceRefused, text).advice(error.advice());
    wells.into_iter().fold(told, |told, i| told.well(&control.points()[i].id))
}

pub(super) fn refused(method: Method, error: &ScatteredError) -> Error {
    Error::Map(vec![
        Diagnostic::new(Code::SurfaceRefused, format!("{}: {error}", method.name()))
            .advice("correct the setting in site.toml, or ask for another method with --surface"),
    ])
}
