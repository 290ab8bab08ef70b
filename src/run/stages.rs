//! From files or memory to a map: the stages in order.

use std::path::Path;
use std::sync::Arc;

use geo::Coord;

use super::telling::Telling;
use crate::check;
use crate::check::ControlSet;
use crate::contour;
use crate::cross_validate;
use crate::diag::{Code, Diagnostic, Warned, listed};
use crate::error::Error;
use crate::flow;
use crate::flow::SiteFlow;
use crate::geom::bounds;
use crate::interpolate;
use crate::interpolate::GridSpec;
use crate::map::Map;
use crate::map::Surfaced;
use crate::progress::{self, Stage};
use crate::read;
use crate::read::Overrides;
use crate::read::Round;
use crate::read::Site;
use crate::read::{Fact, Method};
use crate::reduce;
use crate::reduce::Reduced;
use crate::report::Compared;
use crate::toward;
use crate::toward::Toward;
use crate::triangulate;
use crate::triangulate::Mesh;
use crate::uncertainty;
use crate::uncertainty::HeadSd;

/// A site read and its readings reduced.
#[derive(Debug, Clone)]
pub struct Heads {
    /// What the files say.
    pub site: Arc<Site>,
    /// The round.
    pub round: Arc<Round>,
    /// The heads and the account of every reading.
    pub reduced: Reduced,
}

/// Reads a site and reduces one round to heads.
///
/// Findings are added to `findings` as they are made, also when an error ends the run; those there
/// stay bounded ([`crate::diag::bounded`]).
///
/// # Errors
/// [`Error::Read`] or [`Error::Reduce`].
pub fn heads(
    source: &Path,
    overrides: &Overrides,
    findings: &mut Vec<Diagnostic>,
) -> Result<Heads, Error> {
    progress::begin(Stage::Reading);
    let Warned { value: (site, round), findings: found } = read::site_and_round(source, overrides)?;
    heads_of((Arc::new(site), round), found, findings)
}

/// Reduces one round of a site that is read already; `found` is what reading both found.
pub(super) fn heads_of(
    (site, round): (Arc<Site>, Arc<Round>),
    found: Vec<Diagnostic>,
    findings: &mut Vec<Diagnostic>,
) -> Result<Heads, Error> {
    Telling { site: &site, round: &round, findings }.add(found);
    reduced(site, round, findings)
}

/// Reduces one round of a site to heads. The rounds of a site can share it, side by side.
///
/// # Errors
/// [`Error::Reduce`].
pub fn reduced(
    site: Arc<Site>,
    round: Arc<Round>,
    findings: &mut Vec<Diagnostic>,
) -> Result<Heads, Error> {
    let mut telling = Telling { site: &site, round: &round, findings };
    let reduced = telling.take(reduce::round(&site, &round))?;
    Ok(Heads { site, round, reduced })
}

/// Checks the heads of one round.
///
/// # Errors
/// [`Error::Check`] when the heads do not carry a map.
pub fn control(heads: &Heads, findings: &mut Vec<Diagnostic>) -> Result<ControlSet, Error> {
    let Heads { site, round, reduced } = heads;
    Telling { site, round, findings }.take(check::control(site, round, reduced))
}

/// Computes the map of one round.
///
/// # Errors
/// [`Error::Check`] when the heads do not carry a map, [`Error::Map`] when it cannot be computed
/// as asked.
pub fn map(heads: Heads, findings: &mut Vec<Diagnostic>) -> Result<Map, Error> {
    let (surfaced, errors) = surfaced(heads, findings)?;
    drawn_on(&Arc::new(surfaced), errors, findings)
}

/// Computes the map of one round for [`follow`]: as [`map`], but where pumped wells are declared and nobody chose the
/// surface, on the one that has their cones, if the wells bear it.
///
/// # Errors
/// Those of [`map`].
pub fn map_for_paths(heads: Heads, findings: &mut Vec<Diagnostic>) -> Result<Map, Error> {
    let (surfaced, errors) = surfaced_for_paths(heads, findings)?;
    drawn_on(&Arc::new(surfaced), errors, findings)
}

/// The control points of a round, their triangles, and the flow by both.
fn triangulated(
    heads: &Heads,
    findings: &mut Vec<Diagnostic>,
) -> Result<(ControlSet, Mesh, SiteFlow), Error> {
    progress::begin(Stage::Checking);
    // The one takes all threads and the other a single one, for about as long.
    let Heads { site, round, reduced } = heads;
    let mut telling = Telling { site, round, findings };
    let checked = check::control_while(site, round, reduced, triangulate::mesh);
    let (control, mesh) = match checked {
        Ok((control, mesh)) => (telling.take(Ok(control))?, telling.take(Ok(mesh))?),
        Err(error) => return telling.take(Err(error)),
    };
    let flow = telling.take(flow::site(&control, &mesh))?;
    Ok((control, mesh, flow))
}

/// The surface through the heads of a round, and the standard deviation of each head.
pub(super) fn surfaced(
    heads: Heads,
    findings: &mut Vec<Diagnostic>,
) -> Result<(Surfaced, Vec<HeadSd>), Error> {
    let (control, mesh, flow) = triangulated(&heads, findings)?;
    let Heads { site, round, .. } = heads;
    let (low, high) = shared_bounds(&site, control.bounds());
    let spec = GridSpec::choose(low, high, site.settings.cell, control.crs().unit_name())?;
    let errors = uncertainty::heads(&site, &round, &control, &mesh, &flow);
    let sds = in_elevation_unit(&control, &errors);
    let usual_sd = uncertainty::usual_sd(&control, &errors);
    progress::begin(Stage::Surface);
    let mut telling = Telling { site: &site, round: &round, findings };
    let mut surface = telling.take(interpolate::surface(&site, &control, &mesh, spec, &sds))?;
    if let Some(measured) = control.measured().filter(|_| !surface.is_on_planes()) {
        let (mesh, flow) = of_measured(&measured)?;
        let errors = uncertainty::heads(&site, &round, &measured, &mesh, &flow);
        let sds = in_elevation_unit(&measured, &errors);
        let without = interpolate::surface(&site, &measured, &mesh, spec, &sds);
        let none = || interpolate::Grid::from_heads(spec, &vec![None; spec.rows * spec.columns]);
        surface.measured = Some(without.map_or_else(|_| none(), |without| without.value.heads));
    }
    telling.take(interpolate::reach(&site.settings.surface, &control, &mesh, &surface))?;
    telling.add(interpolate::beyond_heads(&site, &control, &surface, usual_sd));
    telling.add(uncertainty::rough_positions(&site, &control));
    let linear = (&mesh, &flow);
    telling.add(uncertainty::dry_wells(&site, &round, &control, linear, &surface, &errors));
    Ok((Surfaced { site, round, control, mesh, flow, surface, across: None }, errors))
}

/// The box about the control points: of all rounds that share a frame, where they do.
pub(super) fn shared_bounds(site: &Site, own: (Coord, Coord)) -> (Coord, Coord) {
    let Some(common) = &site.asked.common_frame else { return own };
    let [low, high] = [common.low, common.high].map(|[x, y]| Coord { x, y });
    // One that was worked out from other wells than are read now still shows all of them.
    bounds([low, high, own.0, own.1])
}

/// The surface for paths: where pumped wells are declared and nobody chose the surface, it is the one that has
/// their cones, if the wells bear it.
pub(super) fn surfaced_for_paths(
    heads: Heads,
    findings: &mut Vec<Diagnostic>,
) -> Result<(Surfaced, Vec<HeadSd>), Error> {
    let Some(with_cones) = with_cones(&heads) else { return surfaced(heads, findings) };
    let (site, round) = (Arc::clone(&heads.site), Arc::clone(&heads.round));
    let names: Vec<&str> = site.pumped_wells.iter().map(|p| p.well.as_str()).collect();
    let of = listed(&names);
    let found = |code: Code, text: String, advice: &str| {
        let found = Diagnostic::new(code, text).advice(advice);
        names.iter().fold(found, |found, name| found.well(name))
    };
    let chosen = found(
        Code::ConesChosen,
        format!(
            "the surface is kriged with the cone of {of}: the usual {} surface would not have it",
            site.settings.surface.method.name()
        ),
        "nothing to do; for another one give surface under [grid], or --surface",
    );
    let mut tried = findings.clone();
    Telling { site: &site, round: &round, findings: &mut tried }.add([chosen]);
    match surfaced(with_cones, &mut tried) {
        Ok(surfaced) => {
            *findings = tried;
            return Ok(surfaced);
        }
        // What is wrong with the heads themselves is found again.
        Err(Error::Check(_)) => {}
        Err(why) => {
            let why = why.diagnostics().first().map_or_else(String::new, |d| d.message.clone());
            let missing = found(
                Code::ConesMissing,
                format!("no surface has the cone of {of}: {why}"),
                "measure more wells, some of them close to the pumped well; until then no path shows whether its \
                 water is pumped",
            );
            Telling { site: &site, round: &round, findings }.add([missing]);
        }
    }
    surfaced(heads, findings)
}

/// The same heads with the surface that has the cones of pumped wells, where it is not the one that was chosen.
fn with_cones(heads: &Heads) -> Option<Heads> {
    let site = &heads.site;
    if site.pumped_wells.is_empty() || site.settings.surface.method_chosen || site.has_cones() {
        return None;
    }
    let mut with_cones = Site::clone(site);
    with_cones.settings.surface.method = Method::ALL.into_iter().find(|m| m.has(Fact::Drift))?;
    Some(Heads { site: Arc::new(with_cones), ..heads.clone() })
}

/// The contours on a surface, and how sure everything is.
pub(super) fn drawn_on(
    surfaced: &Arc<Surfaced>,
    errors: Vec<HeadSd>,
    findings: &mut Vec<Diagnostic>,
) -> Result<Map, Error> {
    let Surfaced { site, round, control, mesh, flow, surface, .. } = &**surfaced;
    let settings = &site.settings;
    let mut telling = Telling { site, round, findings };
    progress::begin(Stage::Uncertainty);
    let boundary = control.beside().boundary();
    let mut contours = telling.take(match &settings.levels {
        Some(levels) => Ok(contour::listed(surface, boundary, levels, settings.elevation_unit)),
        None => contour::lines(
            surface,
            boundary,
            settings.interval.or_else(|| site.asked.common_frame.as_ref()?.interval),
            settings.base_level,
            uncertainty::usual_sd(control, &errors),
            settings.elevation_unit,
        ),
    })?;
    telling.add(contour::off_levels(control, &contours));
    telling.add(interpolate::step_told(surface, control, contours.spacings().least()));
    let sure = uncertainty::site(settings, control, mesh, flow, &mut contours, surface, errors);
    let uncertainty = telling.take(Ok(sure))?;
    telling.gone(|code| !code.is_of_paths());
    Ok(Map { surfaced: Arc::clone(surfaced), contours, uncertainty })
}

/// Follows the water of a computed map from its sources and back from its receptors.
///
/// # Errors
/// Those of [`toward::site`].
pub fn follow(map: &Map, findings: &mut Vec<Diagnostic>) -> Result<Toward, Error> {
    progress::begin(Stage::Paths);
    let mut telling = Telling { site: &map.site, round: &map.round, findings };
    let toward = telling.take(toward::site(map))?;
    telling.gone(Code::is_of_paths);
    Ok(toward)
}

/// Tries every method on the round of a site: read, reduce, check, triangulate, leave each well
/// out. Nothing is written.
///
/// # Errors
/// Those of [`heads`], [`Error::Check`], and [`Error::Map`] when no method can be used.
pub fn cross_validate(
    source: &Path,
    overrides: &Overrides,
    findings: &mut Vec<Diagnostic>,
) -> Result<Compared, Error> {
    let heads = heads(source, overrides, findings)?;
    let (control, mesh, flow) = triangulated(&heads, findings)?;
    let Heads { site, round, .. } = heads;
    progress::begin(Stage::Comparison);
    // Scores are those of measured heads, from measured heads.
    let (control, mesh, flow) = match control.measured() {
        Some(measured) => {
            let (mesh, flow) = of_measured(&measured)?;
            (measured, mesh, flow)
        }
        None => (control, mesh, flow),
    };
    let errors = uncertainty::heads(&site, &round, &control, &mesh, &flow);
    let sds = in_elevation_unit(&control, &errors);
    let comparison = cross_validate::cross_validate(&site, &control, &mesh, &flow, &sds)?;
    let cautions = cross_validate::cautions(&comparison, control.elevation_unit());
    Telling { site: &site, round: &round, findings }.add(cautions);
    Ok(Compared { site, round, control, flow, sds, comparison })
}

/// Triangles and flow of the measured heads alone.
fn of_measured(measured: &ControlSet) -> Result<(Mesh, SiteFlow), Error> {
    let mesh = triangulate::mesh(measured).value;
    let flow = flow::site(measured, &mesh)?.value;
    Ok((mesh, flow))
}

fn in_elevation_unit(control: &ControlSet, errors: &[HeadSd]) -> Vec<f64> {
    let metres = control.elevation_unit().metres();
    errors.iter().map(|e| e.sd_m / metres).collect()
}
