//! Results to files, all of them or none.
//!
//! The files and their members are described in `docs/outputs.md`. What each file needs is
//! rounded in one place and nothing here computes hydrogeology: a number in a file is a number
//! that a stage before has given.

mod antimeridian;
mod context;
mod decimals;
mod geotiff;
mod heights;
mod layers;
mod place;
mod stream;
mod summary;
mod sure;
mod tables;

use std::io;
use std::io::BufWriter;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::error::Error;
use crate::results::Results;

pub use summary::{
    ContourSummary, Counts, CrsSummary, FlowSummary, Foot, MarkCounts, PlaneSummary, Summary,
    UncertaintySummary, VectorMeanSummary, WellResidual, summary,
};
pub use sure::Sure;

use context::Context;
use place::Staging;

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The files, in the results folder, by name.
    pub files: Vec<PathBuf>,
}

/// A file that a run may write.
struct File {
    name: &'static str,
    write: fn(&Context, &Path) -> io::Result<()>,
    /// Whether a run has it.
    when: fn(&Results) -> bool,
}

/// Every file there is. The longest task comes first.
const FILES: [File; 9] = [
    File { name: "surface.tif", write: geotiff::surface, when: always },
    File { name: "surface-sd.tif", write: geotiff::sd, when: |r| r.surface.sd.is_some() },
    File { name: "contours.geojson", write: layers::contours, when: always },
    File { name: "triangles.geojson", write: layers::triangles, when: always },
    File { name: "flow.geojson", write: layers::flow, when: always },
    File { name: "wells.geojson", write: layers::wells, when: always },
    File { name: "triangles.csv", write: tables::triangles, when: always },
    File { name: "heads.csv", write: tables::heads, when: always },
    File { name: "summary.json", write: summary_file, when: always },
];

fn always(_: &Results) -> bool {
    true
}

/// The names of the files of a run, sorted, and those of the files that other runs have.
fn file_names(results: &Results) -> (Vec<&'static str>, Vec<&'static str>) {
    let mut names: Vec<_> = FILES.iter().map(|f| (f.name, (f.when)(results))).collect();
    names.sort_unstable();
    let (has, lacks): (Vec<_>, Vec<_>) = names.into_iter().partition(|(_, when)| *when);
    let bare = |names: Vec<(&'static str, bool)>| names.into_iter().map(|(name, _)| name).collect();
    (bare(has), bare(lacks))
}

/// Writes all files into the folder `out`, on as many threads as the rayon pool has in which it
/// runs. The bytes are the same for any number of threads.
///
/// The files are made in a staging folder and then moved, so that `out` never holds a part of a
/// result. A file that an earlier run has written and this run does not have is taken away, so
/// that all files in `out` are of one map. Files with other names are not touched.
///
/// # Units
/// Given in the name of each column and property.
///
/// # Errors
/// [`Error::Write`], naming the file and the cause. Earlier results in `out` are then untouched.
///
/// # References
/// `GeoJSON`: RFC 7946. `GeoTIFF`: OGC 19-008r4. CSV: RFC 4180.
pub fn write(results: &Results, out: &Path) -> Result<Written, Error> {
    let staging = Staging::open(out)?;
    let context = Context::new(results)
        .map_err(place::failed("the results cannot be placed on earth", out))?;
    let files: Vec<&File> = FILES.iter().filter(|f| (f.when)(results)).collect();
    let written: Vec<_> = files
        .par_iter()
        .with_max_len(1)
        .map(|file| (file.write)(&context, &staging.path(file.name)))
        .collect();
    for (file, result) in files.into_iter().zip(written) {
        result.map_err(place::failed("a result cannot be written", &out.join(file.name)))?;
    }
    let (names, gone) = file_names(results);
    staging.place(&names, &gone)?;
    Ok(Written { files: names.into_iter().map(|name| out.join(name)).collect() })
}

fn summary_file(context: &Context, path: &Path) -> io::Result<()> {
    let mut file = BufWriter::new(std::fs::File::create_new(path)?);
    serde_json::to_writer_pretty(&mut file, &summary(context.results))?;
    file.write_all(b"\n")?;
    file.flush()
}

#[cfg(test)]
mod fixture;

#[cfg(test)]
mod tests;
