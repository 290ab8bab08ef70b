//! Where files are made, and what was written.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::handles;
use super::made::Made;
use super::place;
use super::place::Staging;
use crate::error::Error;

/// What was written.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Written {
    /// The files, in the results folder, by name.
    pub files: Vec<PathBuf>,
    /// What became of files that stood there before, a sentence for each that is not as one expects.
    pub told: Vec<String>,
    /// SHA-256 of each file that the account of the run gives one of, by name.
    pub sha256: BTreeMap<String, String>,
}

/// A staging folder, once it is known that all files can be open that are written into it.
pub(super) fn staging(out: &Path) -> Result<Staging, Error> {
    handles::enough(handles::MOST_OPEN).map_err(place::failed(handles::CANNOT, out))?;
    Staging::open(out)
}

/// Moves the files of a staging folder for `out` into place.
///
/// # Errors
/// Those of [`Staging::place`].
pub(super) fn placed<'n>(
    staging: Staging,
    out: &Path,
    names: impl IntoIterator<Item = &'n str>,
    made: Made,
) -> Result<Written, Error> {
    let files = names.into_iter().map(|name| out.join(name)).collect();
    Ok(Written { files, told: staging.place(made)?, ..Written::default() })
}
