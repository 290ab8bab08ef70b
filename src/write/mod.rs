//! Results to files, all of them or none.
//!
//! The files and their members are described in `docs/outputs.md`. A number in a file is a number that
//! a stage before has given.

mod all_tables;
mod allowed;
mod antimeridian;
mod changes;
mod comparison;
mod context;
mod current;
mod exchange;
mod form;
mod gather;
mod geotiff;
mod handles;
mod held;
mod json;
mod layers;
mod made;
mod manners;
mod over_rounds;
#[cfg(feature = "page")]
mod page;
mod place;
mod record;
mod settled;
#[cfg(feature = "sheet")]
mod sheet;
pub(crate) mod site_folder;
mod site_record;
mod stale;
mod stream;
mod styles;
mod swap;
mod tables;
mod toward;
mod unstopped;
mod vector;
#[cfg(not(all(feature = "page", feature = "sheet")))]
mod without;
mod written;

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::error::Error;
use crate::map::Surfaced;
use crate::read::VectorFormat;
use crate::report::{Results, Summary};

pub use allowed::allowed;
pub use json::{json, json_line};

pub use changes::{ChangesSummary, changes, summary as changes_summary};
pub use comparison::{comparison, summary as comparison_summary};
pub use form::{FormSummary, form, summary as form_summary};
pub use over_rounds::{over_rounds, summary as over_rounds_summary};
pub use site_record::{record, summary as record_summary};

use all_tables::{TABLES, Table};
use context::Context;
use place::Staging;
#[cfg(not(feature = "page"))]
use without as page;
#[cfg(not(feature = "sheet"))]
use without as sheet;
use written::{placed, staging};

pub use current::{is_current, made_of};
pub use gather::{Gathered, GatheredRound, gather};
pub use held::{Held, held, results_below};
pub use made::{AskedFor, Command, Made};
pub use unstopped::abandon;
pub use written::Written;

/// A file that a run may write.
struct File {
    name: &'static str,
    write: fn(&Context, &Path) -> io::Result<()>,
    /// Whether a run has it.
    when: fn(&Results) -> bool,
}

/// A raster that a run may write as soon as it has a surface.
struct Raster {
    name: &'static str,
    write: fn(&Surfaced, &Path) -> io::Result<()>,
    /// Whether a run has it.
    when: fn(&Surfaced) -> bool,
}

/// Every such raster.
const RASTERS: &[Raster] = &[
    Raster { name: "surface.tif", write: geotiff::surface, when: |_| true },
    Raster { name: "surface-sd.tif", write: geotiff::sd, when: |f| f.surface.sd.is_some() },
];

/// Every other file there is. The longest task comes first, of those that one thread writes alone.
const FILES: &[File] = &[
    File { name: "report.html", write: page::file, when: page::wanted },
    File { name: "layers.gpkg", write: vector::geopackage, when: packaged },
    File { name: "head-sd.tif", write: geotiff::head_sd, when: geotiff::has_head_sd },
    File { name: "direction-spread.tif", write: geotiff::spread, when: geotiff::has_spread },
    File { name: "contours.geojson", write: layers::contours, when: on_earth },
    File { name: "triangles.geojson", write: layers::triangles, when: on_earth },
    File { name: "flow.geojson", write: layers::flow, when: on_earth },
    File { name: "wells.geojson", write: layers::wells, when: on_earth },
    File { name: "stream-points.geojson", write: layers::stream_points, when: has_streams },
    File { name: "judged-points.geojson", write: layers::judged_points, when: has_judged },
    File { name: "paths.geojson", write: toward::paths, when: toward::asked_on_earth },
    File { name: "receptors.geojson", write: toward::receptors, when: toward::asked_on_earth },
    File { name: "reaches.geojson", write: toward::reaches, when: toward::asked_on_earth },
    File { name: "depth-to-water.tif", write: toward::depth, when: toward::has_ground },
    File { name: "styles", write: styles::styles, when: sheet::wanted },
    File { name: "surface.qml", write: styles::shading, when: styles::has_shading },
    File { name: "water-levels.xlsx", write: tables::workbook, when: has_workbook },
];

/// Whether positions have a longitude and latitude, which is all that GeoJSON holds.
fn on_earth(results: &Results) -> bool {
    results.control.crs().is_on_earth()
}

/// Whether people look at the results, and not only programs; in local coordinates no other file has the
/// layers.
fn packaged(results: &Results) -> bool {
    results.site.settings.sheet.drawn || !on_earth(results)
}

/// Whether people look at the tables, and they fit a workbook.
fn has_workbook(results: &Results) -> bool {
    results.site.settings.sheet.drawn && tables::fit_a_workbook(results.site.wells.len())
}

/// Whether points along streams carry the map.
fn has_streams(results: &Results) -> bool {
    on_earth(results) && results.stream_points().is_some()
}

/// Whether the heads of control points were judged.
fn has_judged(results: &Results) -> bool {
    on_earth(results) && results.control.has_judged()
}

/// The names of the files of a run and of its further formats, sorted.
fn file_names(results: &Results) -> Vec<&'static str> {
    let mut names = vec![record::RECORD, SUMMARY];
    names.extend(FILES.iter().filter(|f| (f.when)(results)).map(|f| f.name));
    names.extend(TABLES.iter().filter(|t| (t.when)(results)).map(|t| t.name));
    names.extend(sheet::files(results, &sheet::FILES));
    names.extend(results.site.settings.formats.iter().map(|f| vector::target(*f)));
    names.extend(RASTERS.iter().filter(|r| (r.when)(&results.map.surfaced)).map(|r| r.name));
    names.sort_unstable();
    names.dedup();
    names
}

/// The name of the summary. It is written when all others are there, as it has their hashes.
const SUMMARY: &str = "summary.json";

/// What a run read, chose, computed and found, with the files that it writes and their SHA-256, which
/// [`Written::sha256`] has: the content of `summary.json`.
///
/// # Units
/// Named by the members; rounded as `docs/outputs.md` says.
#[must_use]
pub fn summary<'a>(results: &Results<'a>, sha256: &BTreeMap<String, String>) -> Summary<'a> {
    Summary::of(results, file_names(results), sha256.clone())
}

/// Writes all files into the folder `out`: [`Writing`] in one go.
///
/// # Units
/// Given in the name of each column and property.
///
/// # Errors
/// [`Error::Write`], naming the file and the cause. Earlier results in `out` are then untouched.
pub fn write(results: &Results, out: &Path) -> Result<Written, Error> {
    let writing = Writing::begin(out)?;
    writing.rasters(&results.map.surfaced)?;
    writing.others(results)?;
    writing.finish(results)
}

/// Files on their way into a folder, on as many threads as the rayon pool has in which they are
/// written. The bytes are the same for any number of threads.
///
/// The files are made in a staging folder and then moved, so that the folder never holds a part of
/// a result. Results go into a folder that is new, empty, or has the record of earlier ones. A file
/// that this record lists and this run does not have is taken away, so that all results in it are of
/// one map; one that was changed since is kept beside. Files that it does not list are not touched.
/// Without [`Writing::finish`] all is as before.
///
/// # References
/// `GeoJSON`: RFC 7946. `GeoTIFF`: OGC 19-008r4. CSV: RFC 4180.
#[derive(Debug)]
pub struct Writing {
    staging: Staging,
    out: PathBuf,
}

impl Writing {
    /// Makes ready to write into the folder `out`.
    ///
    /// # Errors
    /// [`Error::Write`] when nothing can be written there.
    pub fn begin(out: &Path) -> Result<Self, Error> {
        Ok(Self { staging: staging(out)?, out: out.to_owned() })
    }

    /// Writes the rasters of the surface.
    ///
    /// # Errors
    /// [`Error::Write`], naming the file and the cause.
    pub fn rasters(&self, surfaced: &Surfaced) -> Result<(), Error> {
        let rasters: Vec<&Raster> = RASTERS.iter().filter(|r| (r.when)(surfaced)).collect();
        let write = |r: &&Raster| self.staging.make(r.name, |path| (r.write)(surfaced, path));
        first_error(rasters.par_iter().with_max_len(1).map(write).collect())
    }

    /// Writes all other files.
    ///
    /// # Errors
    /// [`Error::Write`], naming the file and the cause; [`Error::Read`] of a picture below the site plan.
    pub fn others(&self, results: &Results) -> Result<(), Error> {
        let context = Context::new(results)
            .map_err(place::failed("the results cannot be placed on earth", &self.out))?;
        let formats = &results.site.settings.formats;
        let files = FILES.iter().filter(|f| (f.when)(results)).map(Task::File);
        let sheet = sheet::wanted(results).then_some(Task::Sheet);
        let further = formats.iter().map(|f| Task::Further(*f));
        let tables = TABLES.iter().filter(|t| (t.when)(results)).map(Task::Table);
        let tasks: Vec<Task> =
            sheet.into_iter().chain(further).chain(files).chain(tables).collect();
        let marks = results.site.settings.tables;
        let write = |task: &Task| {
            let path = self.staging.path(task.name());
            let written = match task {
                // Three files, and the one that failed is told.
                Task::Sheet => return sheet::write(results, sheet::FILES, &self.staging),
                Task::File(file) => (file.write)(&context, &path),
                Task::Table(table) => {
                    (table.grid)(&context).and_then(|grid| grid.csv((&path, marks)))
                }
                Task::Further(format) => vector::further(&context, *format, &path),
            };
            written.map_err(self.staging.unwritten(task.name()))
        };
        first_error(tasks.par_iter().with_max_len(1).map(write).collect())
    }

    /// Moves the files into place once all of them are written.
    ///
    /// # Errors
    /// [`Error::Write`], naming the file and the cause. Earlier results are then untouched.
    pub fn finish(self, results: &Results) -> Result<Written, Error> {
        let names = file_names(results);
        let command = if results.toward.is_some() { Command::Toward } else { Command::Draw };
        let asked = AskedFor::of_round(command, &results.site, &results.round);
        let unwritten = self.staging.unwritten(SUMMARY);
        let sha256 = self.staging.hashes().map_err(unwritten)?.into_files();
        self.staging.make_of(SUMMARY, Ok(json(&summary(results, &sha256)) + "\n"))?;
        let made = Made::now(&asked, results.inputs());
        Ok(Written { sha256, ..placed(self.staging, &self.out, names, made)? })
    }
}

/// The error of the first task that has one, whichever thread met one first.
fn first_error(written: Vec<Result<(), Error>>) -> Result<(), Error> {
    written.into_iter().collect()
}

/// What is written on its own.
enum Task {
    File(&'static File),
    Table(&'static Table),
    /// The map sheet in its three formats.
    Sheet,
    /// All layers, or all tables, in a further format.
    Further(VectorFormat),
}

impl Task {
    const fn name(&self) -> &'static str {
        match self {
            Self::File(file) => file.name,
            Self::Table(table) => table.name,
            Self::Sheet => "the map sheet",
            Self::Further(format) => vector::target(*format),
        }
    }
}

#[cfg(test)]
mod fixture;

#[cfg(test)]
mod tests;
