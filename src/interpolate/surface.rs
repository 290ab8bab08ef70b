//! The surface a site asks for.

use geo::Coord;

use super::basis::Basis;
use super::clip;
use super::grid::{Grid, GridSpec};
use super::many_wells;
use super::many_wells::many_wells_told;
use super::pumped;
use super::site_surface::SiteSurface;
use super::step;
use super::types::{Fields, Surface};
use crate::check::{ControlSet, pumped_position};
use crate::diag::{Code, Diagnostic, Warned};
use crate::error::Error;
use crate::geom::Areas;
use crate::read::Site;
use crate::triangulate::Mesh;

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
    let mut findings: Vec<Diagnostic> = pumped::passed_over(site).into_iter().collect();
    let basis = Basis::new(site, control, mesh, sds)?;
    let mut fields = SiteSurface::new(&basis, settings)?.draw(spec)?;
    findings.extend(unlike(&basis, &fields));
    if let Some(saturated) = &basis.saturated {
        let Fields { heads, sd, rim, .. } = &mut fields;
        findings.extend(saturated.back(heads, sd.as_mut(), rim.heads()));
    }
    let fit = fields.kriging.as_ref().and_then(|k| k.fit.as_ref());
    let wells = control.points().len();
    findings.extend(many_wells_told(settings.method, fit, wells));
    if let Some(fit) = fit {
        findings.extend(fit.cautions.iter().map(|caution| {
            caution.told("", site.settings.elevation_unit).advice(
                "compare with other methods with `headfall cross-validate`, or give the \
                 covariance under [kriging] in site.toml",
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
        Some(report) => report.words(site),
        None => settings.method.words().to_owned(),
    } + &many_wells::words(settings.method, wells);
    let words = basis.saturated.map_or_else(|| method.clone(), |s| s.words(&method))
        + &beside_words(site, control.has_judged());
    let barriers = control.beside().barriers();
    let pumped = site.pumped_wells.iter();
    let pumped = pumped.filter_map(|p| pumped_position(p, site, control));
    let peaks = control.points().iter().map(|p| p.crs).chain(pumped);
    let step = (!barriers.is_empty())
        .then(|| step::largest(&heads, barriers, control.frame(), peaks))
        .flatten();
    let method = settings.method;
    let measured = None;
    let value =
        Surface { heads, sd, method, words, kriging, step, measured, planes, rim, whole, range };
    Ok(Warned::new(value, findings))
}

/// The range that holds both.
fn wider(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    (a.0.min(b.0), a.1.max(b.1))
}

/// What kriging gives or was given that is not what the wells see.
fn unlike(basis: &Basis<'_>, fields: &Fields) -> Vec<Diagnostic> {
    let Some(report) = &fields.kriging else { return Vec::new() };
    let (control, mesh) = (basis.control, &*basis.mesh);
    let squares = basis.saturated.is_some();
    let used = &report.covariance;
    let mut told = pumped::covariance(basis.site, squares, control, mesh, used);
    told.extend(pumped::cones(basis.site, control, report));
    told
}

/// What bounds and carries the surface beside the wells, in words.
fn beside_words(site: &Site, judged: bool) -> String {
    let features = &site.features;
    let mut words = String::new();
    if !features.stream_points.is_empty() {
        words += ", with streams";
    }
    if judged {
        words += ", with judged heads";
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
