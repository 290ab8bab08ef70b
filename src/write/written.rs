//! Where files are made, and what was written.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::handles;
use super::place;
use super::place::Staging;
use crate::error::Error;

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq)]
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
