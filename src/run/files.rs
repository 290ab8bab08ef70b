//! From files to files: the stages, and their results written.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::aquifer_units::of_unit;
use super::stages::{Heads, drawn_on, follow, heads, surfaced, surfaced_for_paths};
use crate::diag::Diagnostic;
use crate::error::Error;
use crate::map::{Map, Surfaced};
use crate::progress::{self, Stage};
use crate::read::{Overrides, Round, Site};
use crate::report::{Changes, Compared, ComparisonResults, Form, OverRounds, Results, SiteRecord};
use crate::toward::Toward;
use crate::uncertainty::HeadSd;
use crate::write::{self, Writing, Written};

/// A map and where it was written.
#[derive(Debug)]
pub struct Drawn {
    /// The map.
    pub map: Map,
    /// Where its water goes, when that was asked.
    pub toward: Option<Toward>,
    /// The folder.
    pub folder: PathBuf,
    /// The files in it.
    pub files: Vec<PathBuf>,
    /// What became of files that stood there before: see [`Written::told`].
    pub told: Vec<String>,
    /// SHA-256 of each of them: see [`Written::sha256`].
    pub sha256: BTreeMap<String, String>,
}

impl Drawn {
    /// The map as the write stage takes it, with the findings that go into its files.
    #[must_use]
    pub fn results<'a>(&'a self, findings: &'a [Diagnostic]) -> Results<'a> {
        Results { map: &self.map, toward: self.toward.as_ref(), findings }
    }
}

/// Computes the map on a surface and writes it into a folder; `follow` is asked where the water goes.
fn written(
    (surfaced, errors): (Surfaced, Vec<HeadSd>),
    folder: PathBuf,
    findings: &mut Vec<Diagnostic>,
    follow: impl FnOnce(&Map, &mut Vec<Diagnostic>) -> Result<Option<Toward>, Error>,
) -> Result<Drawn, Error> {
    let surfaced = Arc::new(surfaced);
    // The rasters take as long as all that is left to do and need none of it. What is left stays on
    // this thread, which has PROJ's transformations.
    let writing = Writing::begin(&folder);
    let mut rasters = Ok(());
    let found = rayon::in_place_scope(|scope| {
        if let Ok(writing) = &writing {
            scope.spawn(|_| rasters = writing.rasters(&surfaced));
        }
        let map = drawn_on(&surfaced, errors, findings)?;
        let toward = follow(&map, findings)?;
        if let Ok(writing) = &writing {
            progress::begin(Stage::Files);
            writing.others(&Results { map: &map, toward: toward.as_ref(), findings })?;
        }
        Ok::<_, Error>((map, toward))
    });
    let (map, toward) = found?;
    let writing = writing?;
    rasters?;
    let written = writing.finish(&Results { map: &map, toward: toward.as_ref(), findings })?;
    let Written { files, told, sha256 } = written;
    Ok(Drawn { map, toward, folder, files, told, sha256 })
}

/// The whole main job: read, reduce, check, triangulate, interpolate, contour, flow, write.
///
/// `out` is the folder of the results; `None` takes `out/ROUND` inside the site's folder.
///
/// # Errors
/// Those of [`heads`] and [`map`](super::map), and [`Error::Write`]. After any error the earlier results
/// stand as they were.
pub fn draw(
    source: &Path,
    overrides: &Overrides,
    out: Option<&Path>,
    findings: &mut Vec<Diagnostic>,
) -> Result<Drawn, Error> {
    let heads = heads(source, overrides, findings)?;
    let folder = out.map_or_else(|| results_folder(source, &heads), Path::to_owned);
    write::allowed(&folder, source)?;
    let surfaced = surfaced(heads, findings)?;
    written(surfaced, folder, findings, |_, _| Ok(None))
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
    let usual = || of_round(source, &heads.round).join("toward");
    let folder = out.map_or_else(|| of_unit(usual(), &heads.site), Path::to_owned);
    write::allowed(&folder, source)?;
    let surfaced = surfaced_for_paths(heads, findings)?;
    written(surfaced, folder, findings, |map, findings| follow(map, findings).map(Some))
}

/// Writes a comparison into a folder; `None` takes `out/ROUND/cross-validation` inside the site's folder.
///
/// # Errors
/// [`Error::Write`]; earlier results then stand as they were.
pub fn write_comparison(
    source: &Path,
    compared: &Compared,
    out: Option<&Path>,
    findings: &[Diagnostic],
) -> Result<Written, Error> {
    let usual = || of_round(source, &compared.round).join("cross-validation");
    let results = ComparisonResults { compared, findings };
    Ok(into((source, &compared.site), out, usual, |folder| write::comparison(&results, folder))?.1)
}

/// Writes the answers of all rounds into a folder; `None` takes `out/toward-over-rounds` inside the site's folder.
///
/// # Errors
/// [`Error::Write`]; earlier results then stand as they were.
pub fn write_over_rounds(
    source: &Path,
    rounds: &OverRounds,
    out: Option<&Path>,
) -> Result<(PathBuf, Written), Error> {
    let usual = || beside(source).join("toward-over-rounds");
    into((source, &rounds.site), out, usual, |folder| write::over_rounds(rounds, folder))
}

/// Writes the record of a site into a folder; `None` takes `out/record` inside the site's folder.
///
/// # Errors
/// [`Error::Write`]; earlier results then stand as they were.
pub fn write_record(
    source: &Path,
    record: &SiteRecord,
    findings: &[Diagnostic],
    out: Option<&Path>,
) -> Result<(PathBuf, Written), Error> {
    let usual = || beside(source).join("record");
    into((source, &record.site), out, usual, |folder| write::record(record, findings, folder))
}

/// Writes what changed between two rounds into a folder; `None` takes `out/changes/EARLIER to LATER` inside the site's
/// folder.
///
/// # Errors
/// [`Error::Write`]; earlier results then stand as they were.
pub fn write_changes(
    source: &Path,
    changes: &Changes,
    findings: &[Diagnostic],
    out: Option<&Path>,
) -> Result<(PathBuf, Written), Error> {
    let usual = || beside(source).join("changes").join(changes.rounds.join(" to "));
    into((source, &changes.site), out, usual, |folder| write::changes(changes, findings, folder))
}

/// Writes the field sheet for the next round into a folder; `None` takes `out/form` inside the site's folder.
///
/// # Errors
/// [`Error::Write`]; earlier results then stand as they were.
pub fn write_form(
    source: &Path,
    form: &Form,
    findings: &[Diagnostic],
    out: Option<&Path>,
) -> Result<(PathBuf, Written), Error> {
    let usual = || beside(source).join("form");
    into((source, &form.site), out, usual, |folder| write::form(form, findings, folder))
}

/// Writes results into the folder that is asked for, or into the usual one, where they may go there.
fn into(
    (source, site): (&Path, &Site),
    out: Option<&Path>,
    usual: impl FnOnce() -> PathBuf,
    write: impl FnOnce(&Path) -> Result<Written, Error>,
) -> Result<(PathBuf, Written), Error> {
    let folder = out.map_or_else(|| of_unit(usual(), site), Path::to_owned);
    write::allowed(&folder, source)?;
    let written = write(&folder)?;
    Ok((folder, written))
}

/// Where the map of a round goes unless the user says otherwise.
fn results_folder(source: &Path, heads: &Heads) -> PathBuf {
    of_unit(of_round(source, &heads.round), &heads.site)
}

/// The folder of a round.
fn of_round(source: &Path, round: &Round) -> PathBuf {
    beside(source).join(&round.name)
}

/// The folder of all results of a site.
#[expect(clippy::disallowed_methods, reason = "whether a site is a folder is asked of it")]
pub(super) fn beside(source: &Path) -> PathBuf {
    if source.is_dir() { source.join("out") } else { source.with_file_name("out") }
}
