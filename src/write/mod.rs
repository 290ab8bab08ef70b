//! Results to files, all of them or none.
//!
//! The files and their members are described in `docs/outputs.md`. What each file needs is
//! rounded in one place and nothing here computes hydrogeology: a number in a file is a number
//! that a stage before has given.

mod antimeridian;
mod comparison;
mod context;
mod decimals;
mod geotiff;
mod heights;
mod layers;
mod manners;
mod place;
mod stream;
mod summary;
mod tables;
mod vector;

use std::fs::File;
use std::io;
use std::io::BufWriter;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::error::Error;
use crate::read::VectorFormat;
use crate::results::Results;

pub use comparison::{
    ComparisonSummary, EffectSummary, LeftOutSummary, MethodSummary, PredictionSummary,
    ScoreSummary, WellSummary, comparison, comparison_summary,
};
pub use summary::{
    ContourSummary, Counts, CrsSummary, FlowSummary, Foot, MarkCounts, PlaneSummary, Summary,
    VectorMeanSummary, WellResidual, summary,
};

use context::Context;
use place::Staging;

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The files, in the results folder, by name.
    pub files: Vec<PathBuf>,
}

type Writer = fn(&Context, &Path) -> io::Result<()>;

/// Every file and who writes it. The longest task comes first.
const FILES: [(&str, Writer); 9] = [
    ("layers.gpkg", vector::geopackage),
    ("surface.tif", geotiff::surface),
    ("contours.geojson", layers::contours),
    ("triangles.geojson", layers::triangles),
    ("flow.geojson", layers::flow),
    ("wells.geojson", layers::wells),
    ("triangles.csv", tables::triangles),
    ("heads.csv", tables::heads),
    ("summary.json", summary_file),
];

/// The names of the results of one run, sorted: those of the files, and of a folder for each
/// further format.
fn names(results: &Results) -> Vec<&'static str> {
    let further = results.site.settings.formats.iter().map(|f| vector::folder(*f));
    let mut names: Vec<_> = FILES.iter().map(|(name, _)| *name).chain(further).collect();
    names.sort_unstable();
    names
}

/// Writes all files into the folder `out`, on as many threads as the rayon pool has in which it
/// runs. The bytes are the same for any number of threads.
///
/// The files are made in a staging folder and then moved, so that `out` never holds a part of a
/// result. Files in `out` with other names are not touched.
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
    let formats = &results.site.settings.formats;
    let tasks: Vec<Task> = formats
        .iter()
        .map(|format| Task::Further(*format))
        .chain(FILES.iter().map(|(name, writer)| Task::File(name, *writer)))
        .collect();
    let written: Vec<_> = tasks
        .par_iter()
        .with_max_len(1)
        .map(|task| match task {
            Task::File(name, writer) => writer(&context, &staging.path(name)),
            Task::Further(format) => {
                vector::further(&context, *format, &staging.path(vector::folder(*format)))
            }
        })
        .collect();
    for (task, result) in tasks.iter().zip(written) {
        result.map_err(place::failed("a result cannot be written", &out.join(task.name())))?;
    }
    let names = names(results);
    staging.place(&names, vector::made_here)?;
    Ok(Written { files: names.into_iter().map(|name| out.join(name)).collect() })
}

/// What is written on its own.
enum Task {
    File(&'static str, Writer),
    /// A folder with all layers in a further format.
    Further(VectorFormat),
}

impl Task {
    const fn name(&self) -> &'static str {
        match self {
            Self::File(name, _) => name,
            Self::Further(format) => vector::folder(*format),
        }
    }
}

fn summary_file(context: &Context, path: &Path) -> io::Result<()> {
    let mut file = BufWriter::new(File::create_new(path)?);
    serde_json::to_writer_pretty(&mut file, &summary(context.results))?;
    file.write_all(b"\n")?;
    file.flush()
}

#[cfg(test)]
mod fixture;

#[cfg(test)]
mod tests;
