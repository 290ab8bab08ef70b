//! The whole way from files to files: the stages in order.

use std::path::Path;
use std::path::PathBuf;

use crate::check;
use crate::check::ControlSet;
use crate::compare;
use crate::compare::Comparison;
use crate::contour;
use crate::contour::Contours;
use crate::diag::Diagnostic;
use crate::diag::bound_from;
use crate::error::Error;
use crate::flow;
use crate::flow::SiteFlow;
use crate::interpolate;
use crate::interpolate::GridSpec;
use crate::interpolate::Surface;
use crate::progress::{self, Stage};
use crate::read;
use crate::read::Overrides;
use crate::read::SiteFile;
use crate::reduce;
use crate::reduce::Reduced;
use crate::results::ComparisonResults;
use crate::results::Fields;
use crate::results::Results;
use crate::toward;
use crate::toward::Toward;
use crate::triangulate;
use crate::triangulate::Mesh;
use crate::uncertainty;
use crate::uncertainty::HeadSd;
use crate::uncertainty::SiteUncertainty;
use crate::write;
use crate::write::Writing;
use crate::write::Written;

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
    /// Where its water goes, when that was asked.
    pub toward: Option<Toward>,
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
            toward: self.toward.as_ref(),
            findings,
        }
    }
}

/// Every method tried on one round, each well left out in turn.
#[derive(Debug)]
pub struct Compared {
    /// What the files say.
    pub site: SiteFile,
    /// The control points.
    pub control: ControlSet,
    /// Gradients and directions of all wells together.
    pub flow: SiteFlow,
    /// The standard deviation of each head, elevation unit.
    pub sds: Vec<f64>,
    /// What each method says of each well from the others.
    pub comparison: Comparison,
}

impl Compared {
    /// The comparison as the write stage takes it.
    #[must_use]
    pub fn results<'a>(&'a self, findings: &'a [Diagnostic]) -> ComparisonResults<'a> {
        ComparisonResults {
            site: &self.site,
            control: &self.control,
            flow: &self.flow,
            sds: &self.sds,
            comparison: &self.comparison,
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
    /// What became of files that stood there before: see [`Written::told`].
    pub told: Vec<String>,
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
    let ground = Ground::new(heads, findings)?;
    let lines = ground.lines(findings)?;
    Ok(ground.map(lines, None))
}

/// The control points of a round, their triangles, and the flow by both.
fn triangulated(
    heads: &Heads,
    findings: &mut Vec<Diagnostic>,
) -> Result<(ControlSet, Mesh, SiteFlow), Error> {
    progress::begin(Stage::Checking);
    // The one takes all threads and the other a single one, for about as long.
    let (control, mesh) = check::control_while(&heads.site, &heads.reduced, triangulate::mesh)?;
    let control = control.drain_into(findings);
    let mesh = mesh.drain_into(findings);
    let flow = flow::site(&control, &mesh)?.drain_into(findings);
    Ok((control, mesh, flow))
}

/// A map up to its surface.
struct Ground {
    site: SiteFile,
    control: ControlSet,
    mesh: Mesh,
    flow: SiteFlow,
    errors: Vec<HeadSd>,
    /// The usual standard deviation of a head, elevation unit.
    usual_sd: f64,
    surface: Surface,
}

/// What is drawn on the surface.
type Lines = (Contours, SiteUncertainty);

impl Ground {
    fn new(heads: Heads, findings: &mut Vec<Diagnostic>) -> Result<Self, Error> {
        let (control, mesh, flow) = triangulated(&heads, findings)?;
        let site = heads.site;
        let (low, high) = control.bounds();
        let spec = GridSpec::choose(low, high, site.settings.cell, control.crs().unit_name())?;
        let errors = uncertainty::heads(&site.settings, &control);
        let sds = in_elevation_unit(&control, &errors);
        let usual_sd = uncertainty::usual_sd(&control, &errors);
        progress::begin(Stage::Surface);
        let surface =
            interpolate::surface(&site, &control, &mesh, spec, &sds)?.drain_into(findings);
        interpolate::reach(&site.settings.surface, &control, &mesh, &surface)?.drain_into(findings);
        findings.extend(interpolate::beyond_heads(&site, &control, &surface, usual_sd));
        findings.extend(uncertainty::dry_wells(&site, &control, &mesh, &surface, &errors));
        Ok(Self { site, control, mesh, flow, errors, usual_sd, surface })
    }

    fn fields(&self) -> Fields<'_> {
        Fields { site: &self.site, control: &self.control, surface: &self.surface }
    }

    /// The contours, and how sure everything is.
    fn lines(&self, findings: &mut Vec<Diagnostic>) -> Result<Lines, Error> {
        let Self { site, control, mesh, flow, errors, usual_sd, surface } = self;
        let settings = &site.settings;
        progress::begin(Stage::Uncertainty);
        let mut contours = contour::lines(
            surface,
            control.beside().boundary(),
            settings.interval,
            settings.base_level,
            *usual_sd,
            settings.elevation_unit,
        )?
        .drain_into(findings);
        findings.extend(interpolate::step_told(surface, control, contours.interval));
        let errors = errors.clone();
        let uncertainty =
            uncertainty::site(settings, control, mesh, flow, &mut contours, surface, errors)
                .drain_into(findings);
        Ok((contours, uncertainty))
    }

    fn results<'a>(
        &'a self,
        lines: &'a Lines,
        toward: Option<&'a Toward>,
        findings: &'a [Diagnostic],
    ) -> Results<'a> {
        let Self { site, control, mesh, flow, surface, .. } = self;
        let (contours, uncertainty) = lines;
        Results { site, control, mesh, surface, contours, flow, findings, uncertainty, toward }
    }

    /// Everything else worked out and all of it written; `follow` is asked where the water goes.
    fn written(
        self,
        folder: PathBuf,
        findings: &mut Vec<Diagnostic>,
        follow: impl FnOnce(&Results, &mut Vec<Diagnostic>) -> Result<Option<Toward>, Error>,
    ) -> Result<Drawn, Error> {
        // The rasters take as long as all that is left to do and need none of it. What is left
        // stays on this thread, which has PROJ's transformations.
        let writing = Writing::begin(&folder);
        let mut rasters = Ok(());
        let found = rayon::in_place_scope(|scope| {
            if let Ok(writing) = &writing {
                scope.spawn(|_| rasters = writing.rasters(&self.fields()));
            }
            let lines = self.lines(findings)?;
            let toward = follow(&self.results(&lines, None, &[]), findings)?;
            if let Ok(writing) = &writing {
                progress::begin(Stage::Files);
                writing.others(&self.results(&lines, toward.as_ref(), findings))?;
            }
            Ok::<_, Error>((lines, toward))
        });
        let (lines, toward) = found?;
        let writing = writing?;
        rasters?;
        let written = writing.finish(&self.results(&lines, toward.as_ref(), findings))?;
        let Written { files, told } = written;
        Ok(Drawn { map: self.map(lines, toward), folder, files, told })
    }

    fn map(self, (contours, uncertainty): Lines, toward: Option<Toward>) -> Map {
        let Self { site, control, mesh, flow, surface, .. } = self;
        Map { site, control, mesh, surface, contours, flow, uncertainty, toward }
    }
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
    let heads = heads(source, overrides, findings)?;
    let folder = out.map_or_else(|| results_folder(source, &heads.site), Path::to_owned);
    write::allowed(&folder, source)?;
    let ground = Ground::new(heads, findings)?;
    ground.written(folder, findings, |_, _| Ok(None))
}

/// Follows the water of a computed map from its sources and back from its receptors.
///
/// # Errors
/// Those of [`toward::site`].
pub fn follow(source: &Path, map: &Map, findings: &mut Vec<Diagnostic>) -> Result<Toward, Error> {
    followed(source, &map.results(&[]), findings)
}

#[expect(clippy::disallowed_methods, reason = "whether a site is a folder is asked of it")]
fn followed(source: &Path, map: &Results, findings: &mut Vec<Diagnostic>) -> Result<Toward, Error> {
    let folder = if source.is_dir() { source } else { source.parent().unwrap_or(Path::new("")) };
    let inputs = toward::Inputs {
        site: map.site,
        control: map.control,
        mesh: map.mesh,
        surface: map.surface,
        flow: map.flow,
        uncertainty: map.uncertainty,
        folder,
    };
    progress::begin(Stage::Paths);
    Ok(toward::site(&inputs)?.drain_into(findings))
}

/// Does it flow toward the receptor: as [`draw`], and the paths of the water on the map, in all of
/// its files and in files of their own.
///
/// `out` is the folder of the results; `None` takes `out/ROUND/toward` inside the site's folder.
///
/// # Errors
/// Those of [`draw`] and [`follow`]. After any error the earlier results stand as they were.
pub fn toward(
    source: &Path,
    overrides: &Overrides,
    out: Option<&Path>,
    findings: &mut Vec<Diagnostic>,
) -> Result<Drawn, Error> {
    let heads = heads(source, overrides, findings)?;
    let beside = || results_folder(source, &heads.site).join("toward");
    let folder = out.map_or_else(beside, Path::to_owned);
    write::allowed(&folder, source)?;
    let ground = Ground::new(heads, findings)?;
    ground.written(folder, findings, |map, findings| followed(source, map, findings).map(Some))
}

/// Tries every method on the round of a site: read, reduce, check, triangulate, leave each well
/// out. Nothing is written.
///
/// # Errors
/// Those of [`heads`], [`Error::Check`], and [`Error::Map`] when no method can be used.
pub fn compare(
    source: &Path,
    overrides: &Overrides,
    findings: &mut Vec<Diagnostic>,
) -> Result<Compared, Error> {
    let heads = heads(source, overrides, findings)?;
    let (control, mesh, flow) = triangulated(&heads, findings)?;
    let site = heads.site;
    let sds = in_elevation_unit(&control, &uncertainty::heads(&site.settings, &control));
    findings.extend(interpolate::pumped_wells(&site, &control));
    progress::begin(Stage::Comparison);
    let comparison = compare::compare(&site, &control, &mesh, &flow, &sds)?;
    findings.extend(compare::cautions(&comparison));
    bound_from(findings, 0);
    Ok(Compared { site, control, flow, sds, comparison })
}

/// Writes a comparison into a folder; `None` takes `out/ROUND/compare` inside the site's folder.
///
/// # Errors
/// [`Error::Write`]; earlier results then stand as they were.
pub fn write_comparison(
    source: &Path,
    compared: &Compared,
    out: Option<&Path>,
    findings: &[Diagnostic],
) -> Result<Written, Error> {
    let folder = match out {
        Some(folder) => folder.to_owned(),
        None => results_folder(source, &compared.site).join("compare"),
    };
    write::allowed(&folder, source)?;
    write::comparison(&compared.results(findings), &folder)
}

/// Where results go unless the user says otherwise.
#[expect(clippy::disallowed_methods, reason = "whether a site is a folder is asked of it")]
fn results_folder(source: &Path, site: &SiteFile) -> PathBuf {
    let beside = if source.is_dir() { source.join("out") } else { source.with_file_name("out") };
    beside.join(&site.round)
}

fn in_elevation_unit(control: &ControlSet, errors: &[HeadSd]) -> Vec<f64> {
    let metres = control.elevation_unit().metres();
    errors.iter().map(|e| e.sd_m / metres).collect()
}
