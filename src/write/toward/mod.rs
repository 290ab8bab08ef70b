//! Where the water goes, as files: all of them or none.

mod layers;
mod rows;
mod summary;

use std::borrow::Cow;
use std::fs::File;
use std::io;
use std::io::BufWriter;
use std::io::Write as _;
use std::path::Path;

pub use rows::{PathRow, PlaceRow, PumpedRow, ReachRow, VerdictRow, VerticalRow};
pub use summary::{TowardSummary, toward_summary};

use rows::Rows;

use super::Written;
use crate::error::Error;
use crate::results::TowardResults;
use crate::toward::Toward;
use crate::write::context::Context;
use crate::write::geotiff;
use crate::write::place;
use crate::write::place::Staging;
use crate::write::tables;

/// Only where the site has a land surface.
const DEPTH_TO_WATER: &str = "depth-to-water.tif";

/// The names of the files, sorted.
fn files(toward: &Toward) -> Vec<&'static str> {
    let depth = toward.ground.as_ref().map(|_| DEPTH_TO_WATER);
    let always =
        ["paths.geojson", "reaches.geojson", "receptors.csv", "receptors.geojson", "toward.json"];
    depth.into_iter().chain(always).collect()
}

/// Writes all files into the folder `out`; see [`super::write`] for how.
///
/// # Errors
/// [`Error::Write`], naming the file and the cause. Earlier results in `out` are then untouched.
///
/// # References
/// `GeoJSON`: RFC 7946. `GeoTIFF`: OGC 19-008r4. CSV: RFC 4180.
pub fn toward(results: &TowardResults, out: &Path) -> Result<Written, Error> {
    let staging = Staging::open(out)?;
    let rows = Rows::new(results);
    let write = |name: &str, path: &Path| match name {
        "paths.geojson" => layers::paths(&rows, path),
        "reaches.geojson" => layers::reaches(&rows, path),
        "receptors.geojson" => layers::receptors(&rows, path),
        "receptors.csv" => verdicts(&rows, path),
        "toward.json" => json(results, path),
        _ => depth(results, path),
    };
    let names = files(results.toward);
    for name in &names {
        write(name, &staging.path(name))
            .map_err(place::failed("a result cannot be written", &out.join(name)))?;
    }
    let gone: &[&str] = if results.toward.ground.is_some() { &[] } else { &[DEPTH_TO_WATER] };
    staging.place(&names, gone)?;
    Ok(Written { files: names.into_iter().map(|name| out.join(name)).collect() })
}

/// `receptors.csv`: every source with every receptor.
fn verdicts(rows: &Rows, path: &Path) -> io::Result<()> {
    let verdicts = &rows.results.toward.verdicts;
    tables::table(path, verdicts.len(), |i| {
        let mut row = rows.verdict(&verdicts[i]);
        for name in [&mut row.source, &mut row.receptor] {
            *name = Cow::Owned(tables::text(name).into_owned());
        }
        row
    })
}

fn json(results: &TowardResults, path: &Path) -> io::Result<()> {
    let mut file = BufWriter::new(File::create_new(path)?);
    serde_json::to_writer_pretty(&mut file, &toward_summary(results))?;
    file.write_all(b"\n")?;
    file.flush()
}

fn depth(results: &TowardResults, path: &Path) -> io::Result<()> {
    let Some(ground) = &results.toward.ground else { return Ok(()) };
    geotiff::depth_to_water(&Context::new(&results.map)?, &ground.depth, path)
}
