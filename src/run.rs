//! The whole way from files to files: the stages in order.

use std::path::Path;
use std::path::PathBuf;

use crate::check;
use crate::check::ControlSet;
use crate::contour;
use crate::contour::Contours;
use crate::diag::Diagnostic;
use crate::error::Error;
use crate::flow;
use crate::flow::SiteFlow;
use crate::interpolate;
use crate::interpolate::GridSpec;
use crate::interpolate::Surface;
use crate::read;
use crate::read::Overrides;
use crate::read::SiteFile;
use crate::reduce;
use crate::reduce::Reduced;
use crate::results::Results;
use crate::triangulate;
use crate::triangulate::Mesh;
use crate::uncertainty;
use crate::uncertainty::SiteUncertainty;
use crate::write;

/// A site read and its readings reduced.
#[derive(Debug)]
pub struct Heads {
    /// What the files say.
    pub site: SiteFile,
    /// The heads and the account of every reading.
    pub reduced: Reduced,
}

/// A map, computed and not yet written.
#[derive(Debug)]
pub struct Map {
    /// What the files say.
    pub site: SiteFile,
    /// The control points.
    pub control: ControlSet,
    /// Their triangulation.
    pub mesh: Mesh,
    /// The surface at nodes.
    pub surface: Surface,
    /// Its contours.
    pub contours: Contours,
    /// Gradients and directions.
    pub flow: SiteFlow,
    /// How sure all of it is.
    pub uncertainty: SiteUncertainty,
}

impl Map {
    /// The map as the write stage takes it, with the findings that go into its files.
    #[must_use]
    pub fn results<'a>(&'a self, findings: &'a [Diagnostic]) -> Results<'a> {
        Results {
            site: &self.site,
            control: &self.control,
            mesh: &self.mesh,
            surface: &self.surface,
            contours: &self.contours,
            flow: &self.flow,
            uncertainty: &self.uncertainty,
            findings,
        }
    }
}

/// A map and where it was written.
#[derive(Debug)]
pub struct Drawn {
    /// The map.
    pub map: Map,
    /// The folder.
    pub folder: PathBuf,
    /// The files in it.
    pub files: Vec<PathBuf>,
}

/// Reads a site and reduces one round to heads.
///
/// Findings are appended to `findings` as they are made, also when an error ends the run.
///
/// # Errors
/// [`Error::Read`] or [`Error::Reduce`].
pub fn heads(
    source: &Path,
    overrides: &Overrides,
    findings: &mut Vec<Diagnostic>,
) -> Result<Heads, Error> {
    let site = read::site(source, overrides)?.drain_into(findings);
    let reduced = reduce::round(&site)?.drain_into(findings);
    Ok(Heads { site, reduced })
}

/// Computes the map of one round.
///
/// # Errors
/// [`Error::Check`] when the heads do not carry a map, [`Error::Map`] when it cannot be computed
/// as asked.
pub fn map(heads: Heads, findings: &mut Vec<Diagnostic>) -> Result<Map, Error> {
    let Heads { site, reduced } = heads;
    let control = check::control(&site, &reduced)?.drain_into(findings);
    let mesh = triangulate::mesh(&control).drain_into(findings);
    let flow = flow::site(&control, &mesh)?.drain_into(findings);
    let (low, high) = control.bounds();
    let spec = GridSpec::choose(low, high, site.settings.cell)?;
    let settings = &site.settings;
    let errors = uncertainty::heads(settings, &control);
    let metres = control.elevation_unit().metres();
    let sds: Vec<f64> = errors.iter().map(|e| e.sd_m / metres).collect();
    let surface = interpolate::surface(&site, &control, &mesh, spec, &sds)?.drain_into(findings);
    let contours = contour::lines(&surface.heads, settings.interval, settings.base_level)?
        .drain_into(findings);
    let uncertainty =
        uncertainty::site(settings, &control, &mesh, &flow, &contours, &surface, errors);
    Ok(Map { site, control, mesh, surface, contours, flow, uncertainty })
}

/// The whole main job: read, reduce, check, triangulate, interpolate, contour, flow, write.
///
/// `out` is the folder of the results; `None` takes `out/ROUND` inside the site's folder.
///
/// # Errors
/// Those of [`heads`] and [`map`], and [`Error::Write`]. After any error the earlier results
/// stand as they were.
pub fn draw(
    source: &Path,
    overrides: &Overrides,
    out: Option<&Path>,
    findings: &mut Vec<Diagnostic>,
) -> Result<Drawn, Error> {
    let map = map(heads(source, overrides, findings)?, findings)?;
    let folder = match out {
        Some(folder) => folder.to_owned(),
        None if source.is_dir() => source.join("out").join(&map.site.round),
        None => source.with_file_name("out").join(&map.site.round),
    };
    let written = write::write(&map.results(findings), &folder)?;
    Ok(Drawn { map, folder, files: written.files })
}
