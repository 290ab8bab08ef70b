//! The results of many rounds and sites in one GeoPackage, with a page that lists them.
//!
//! | file | what it does |
//! |---|---|
//! | `rounds` | what the summary of a result says of its round |
//! | `features` | the layers of a result |
//! | `beside` | files that are results of an earlier run, or somebody's |
//! | `page` | the page |

mod beside;
mod features;
mod page;
mod rounds;

use std::io;
use std::path::{Path, PathBuf};

use crate::error::Error;
use crate::geom::Crs;
use crate::write::place::failed;

pub use rounds::GatheredRound;

/// What was gathered.
#[derive(Debug)]
pub struct Gathered {
    /// Every folder of results that is a map, by site and round; those that could not be taken among them.
    pub rounds: Vec<GatheredRound>,
    /// The files written.
    pub files: Vec<PathBuf>,
}

/// Gathers the maps of some folders of results in one GeoPackage, in one CRS, and a page beside it that lists them.
///
/// `out` is the GeoPackage. It and the page are replaced where an earlier run has written them and nobody has changed them
/// since. With `parquet` each layer is a GeoParquet file too, `NAME-LAYER.parquet` beside it.
///
/// # Units
/// - `crs`: an authority code, WKT or PROJJSON; positions are in its units
///
/// # Errors
/// [`Error::Write`] when the CRS is not known, a file cannot be written, or one is there that no earlier run has written.
pub fn gather(
    folders: &[PathBuf],
    crs: &str,
    out: &Path,
    parquet: bool,
) -> Result<Gathered, Error> {
    let cannot = || failed("results cannot be gathered", out);
    let known = Crs::lookup(crs).map_err(|e| cannot()(io::Error::other(e.to_string())))?;
    let beside = beside::Beside::of(out)?;
    let rounds = folders.iter().filter_map(|folder| GatheredRound::of(folder).transpose());
    let mut rounds = rounds.collect::<io::Result<Vec<_>>>().map_err(cannot())?;
    if rounds.is_empty() {
        return Ok(Gathered { rounds, files: Vec::new() });
    }
    rounds.sort_by(|a, b| a.order().cmp(&b.order()));
    let new = beside.begin().map_err(cannot())?;
    let of_layer = |layer| parquet.then(|| new.layer(layer));
    features::write(&rounds, &known, &new.package(), of_layer).map_err(cannot())?;
    new.page(&page::page(&rounds, out)).map_err(cannot())?;
    let files = new.placed().map_err(cannot())?;
    Ok(Gathered { rounds, files })
}
