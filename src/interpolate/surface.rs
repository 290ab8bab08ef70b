//! The surface a site asks for.

use geo::Coord;

use super::beside;
use super::clip;
use super::grid::{Grid, GridSpec};
use super::inverse_distance::{InverseDistance, Options};
use super::kriging::{
    Anisotropy, Covariance, Drift, Fit, FitOptions, Heads, Kriging, KrigingError, PumpedWell, fit,
};
use super::linear::linear;
use super::many_wells;
use super::many_wells::many_wells_told;
use super::natural::{NaturalNeighbour, Variant};
use super::pumped;
use super::relief::Sloping;
use super::rim::Rim;
use super::scattered::ScatteredError;
use super::step;
use super::thin_plate::ThinPlate;
use super::types::{KrigingReport, Surface};
use super::unconfined::Saturated;
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic, Warned, listed};
use crate::error::Error;
use crate::geom::{Areas, Frame};
use crate::read::{KrigingSettings, Method, PumpedWellSettings, Site, SurfaceSettings};
use crate::triangulate::Mesh;
use crate::units::{brief_to, with_power};

/// What one set of wells makes of the nodes and of the outline.
pub(super) struct Fields {
    pub(super) heads: Grid,
    pub(super) sd: Option<Grid>,
    pub(super) planes: Option<Sloping>,
    pub(super) rim: Rim,
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
    site: &Site,
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
            let Fields { heads, sd, rim, .. } = &mut fields;
            findings.extend(saturated.back(heads, sd.as_mut(), rim.heads()));
            fields
        }
    };
    let fit = fields.kriging.as_ref().and_then(|k| k.fit.as_ref());
    let wells = control.points().len();
    findings.extend(many_wells_told(settings.method, fit, wells));
    if let Some(fit) = fit {
        findings.extend(fit.cautions.iter().map(|caution| {
            caution.told("").advice(
                "compare with other methods by `headfall compare`, or give the covariance under \
                 [kriging] in site.toml",
            )
        }));
    }
    let Fields { mut heads, mut sd, planes, mut rim, kriging } = fields;
    heads.clean();
    rim.clean();
    let beside = control.beside();
    if !beside.barriers().is_empty() {
        clip::at_barriers(&mut heads, beside.barriers(), control.frame());
    }
    let whole = (planes.is_none() && !beside.boundary().is_empty()).then(|| heads.clone());
    bounded(beside.boundary(), &mut heads, sd.as_mut())?;
    let own: Vec<(Coord, f64)> = match planes {
        Some(_) => control.points().iter().map(|p| (p.crs, p.head)).collect(),
        None => rim.known().collect(),
    };
    let own = own.into_iter().filter(|(p, _)| beside.boundary().hold(*p));
    let range = own.map(|(_, head)| (head, head)).chain(heads.range()).reduce(wider);
    let method = match &kriging {
        Some(report) => report.words(&settings.kriging),
        None => settings.method.words().to_owned(),
    } + &many_wells::words(settings.method, wells);
    let words =
        saturated.map_or_else(|| method.clone(), |s| s.words(&method)) + &beside_words(site);
    let barriers = control.beside().barriers();
    let pumped = settings.kriging.pumped_wells.iter();
    let pumped = pumped.filter_map(|p| pumped::position(p, site, control));
    let peaks = control.points().iter().map(|p| p.crs).chain(pumped);
    let step = (!barriers.is_empty())
        .then(|| step::largest(&heads, barriers, control.frame(), peaks))
        .flatten();
    let method = settings.method;
    let value = Surface { heads, sd, method, words, kriging, step, planes, rim, whole, range };
    Ok(Warned::new(value, findings))
}

/// The range that holds both.
fn wider(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    (a.0.min(b.0), a.1.max(b.1))
}

/// What kriging gives or was given that is not what the wells see; `mesh` holds what was kriged.
fn unlike(site: &Site, control: &ControlSet, mesh: &Mesh, fields: &Fields) -> Vec<Diagnostic> {
    let Some(report) = &fields.kriging else { return Vec::new() };
    let settings = &site.settings.surface;
    let squares = settings.unconfined_base.is_some();
    let used = &report.covariance;
    let mut told = pumped::covariance(&settings.kriging, squares, control, mesh, used);
    told.extend(pumped::cones(site, control, report));
    told
}

/// What bounds and carries the surface beside the wells, in words.
fn beside_words(site: &Site) -> String {
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

/// Ends the surface at the boundary.
fn bounded(boundary: &Areas, heads: &mut Grid, sd: Option<&mut Grid>) -> Result<(), Error> {
    if boundary.is_empty() {
        return Ok(());
    }
    let before = heads.supported();
    clip::to_areas(heads, boundary);
    if let Some(sd) = sd {
        clip::to_areas(sd, boundary);
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
    site: &Site,
    control: &ControlSet,
    mesh: &Mesh,
    spec: GridSpec,
    sds: &[f64],
) -> Result<Fields, Error> {
    let settings = &site.settings.surface;
    let method = settings.method;
    if !control.beside().barriers().is_empty() {
        return beside::fields(site, control, mesh, spec, sds);
    }
    let frame = control.frame();
    let planes =
        (method == Method::Linear).then(|| Sloping::new(mesh, settings.unconfined_base, *frame));
    let mut rim =
        if method == Method::Linear { Rim::default() } else { Rim::new(mesh, frame, &spec) };
    let supported = || linear(mesh, frame, spec);
    let (mut sd, mut kriging) = (None, None);
    let natural = |variant| {
        let natural = NaturalNeighbour::new(mesh, variant);
        (natural.grid(frame, spec), rim.each(|p| natural.at(p)))
    };
    let (heads, along) = match method {
        Method::Linear => (supported(), Vec::new()),
        Method::NaturalNeighbour => natural(Variant::Plain),
        Method::SmoothNaturalNeighbour => natural(Variant::Smooth),
        Method::ThinPlate => {
            let plate = thin_plate_of(settings, frame, mesh)?;
            (plate.grid(frame, spec, Some(&supported())), rim.each(|p| Some(plate.at(p))))
        }
        Method::InverseDistance => {
            let surface = inverse_distances(settings, frame, mesh)?;
            (surface.grid(frame, spec, Some(&supported())), rim.each(|p| surface.at(p)))
        }
        Method::Kriging => {
            let (system, report) = kriged(site, &settings.kriging, control, mesh, sds)?;
            let within = supported();
            let surface = system.grid(frame, spec, |p| within.nearest(frame.to_crs(p)).is_some());
            (sd, kriging) = (Some(surface.sd), Some(report));
            (surface.heads, system.heads(rim.places()))
        }
    };
    rim.take(along);
    Ok(Fields { heads, sd, planes, rim, kriging })
}

/// The thin-plate spline through a mesh's wells, as the settings ask for it.
pub(super) fn thin_plate_of(
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
pub(super) fn inverse_distances(
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
    site: &Site,
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
    let patches = kriging.patches();
    Ok((kriging, KrigingReport { covariance, fit, patches, trend }))
}

/// The covariance the settings give, or the likeliest one of some wells. Points of streams tell
/// nothing about it: their stage runs in straight lines from vertex to vertex.
pub(super) fn covariance(
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
pub(super) fn drift(
    settings: &KrigingSettings,
    site: &Site,
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
        return Err(Error::Map(crate::diag::bounded(missing)));
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
        format!("rate = 0 at {} under [[pumped_wells]]: there is no cone", listed(&names)),
    )
    .advice("leave wells that were not pumped out of [[pumped_wells]], or give their rate");
    names.iter().fold(told, |told, name| told.well(name))
}

/// A cone that too few wells feel: barriers hide its pumped wells from them.
pub(super) fn no_cone(settings: &KrigingSettings, cone: usize) -> Error {
    let groups = pumped::groups(settings);
    let names: Vec<&str> = groups[cone].iter().map(|p| p.well.as_str()).collect();
    let told = Diagnostic::new(
        Code::SurfaceRefused,
        format!(
            "too few wells see {} past the barriers to say how deep the cone there is",
            listed(&names)
        ),
    )
    .advice(
        "take it out of [[pumped_wells]] in site.toml, or read wells on its side of the barriers",
    );
    Error::Map(vec![names.iter().fold(told, |told, name| told.well(name))])
}

/// A refusal of kriging in the user's words, with the names of the control points `among` which
/// its indices count.
pub(super) fn about(error: &KrigingError, control: &ControlSet, among: &[usize]) -> Diagnostic {
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
