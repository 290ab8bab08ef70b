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
mod sheet;
mod stream;
mod summary;
mod tables;

use std::fs::File;
use std::io;
use std::io::BufWriter;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::error::Error;
use crate::results::Results;

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
const FILES: [(&str, Writer); 8] = [
    ("surface.tif", geotiff::surface),
    ("contours.geojson", layers::contours),
    ("triangles.geojson", layers::triangles),
    ("flow.geojson", layers::flow),
    ("wells.geojson", layers::wells),
    ("triangles.csv", tables::triangles),
    ("heads.csv", tables::heads),
    ("summary.json", summary_file),
];

/// The names of the files, sorted.
fn file_names(results: &Results) -> Vec<&'static str> {
    let mut names: Vec<_> = FILES.iter().map(|(name, _)| *name).collect();
    names.extend(sheet::files(results));
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
    let write = |(name, writer): &(&str, Writer)| writer(&context, &staging.path(name));
    let (drawn, written): (_, Vec<_>) = rayon::join(
        || sheet::write(results, &|name| staging.path(name)),
        || FILES.par_iter().with_max_len(1).map(write).collect(),
    );
    let drawn = drawn.err().into_iter();
    let written = FILES.iter().zip(written).filter_map(|((name, _), w)| Some((*name, w.err()?)));
    if let Some((name, cause)) = written.chain(drawn).next() {
        return Err(place::failed("a result cannot be written", &out.join(name))(cause));
    }
    let names = file_names(results);
    staging.place(&names)?;
    Ok(Written { files: names.into_iter().map(|name| out.join(name)).collect() })
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
