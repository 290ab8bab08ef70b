//! What is said of a folder of results.

use std::path::PathBuf;

use serde::Serialize;

use super::moved::Difference;

/// What became of a run that was made once more.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Again {
    /// It was not asked for.
    NotAsked,
    /// Every file has the same bytes.
    Same,
    /// Some have not.
    Differs(Vec<Difference>),
    /// There are no results, and why.
    Refused(String),
}

/// A folder of results, held against its record, its inputs and, where that is asked, the run made once more.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verified {
    /// The folder.
    pub folder: PathBuf,
    /// The program that made the results.
    pub by: Option<String>,
    /// Count of the files of the record.
    pub files: usize,
    /// Files that were changed since.
    pub changed: Vec<String>,
    /// Files that are not there.
    pub missing: Vec<String>,
    /// The site that they were made from, where it was found.
    pub site: Option<PathBuf>,
    /// Count of the files they were made from.
    pub inputs: usize,
    /// Those of them that are not what they were.
    pub inputs_changed: Vec<String>,
    /// Those that are not there.
    pub inputs_missing: Vec<String>,
    /// The run made once more.
    pub again: Again,
}

impl Verified {
    /// Whether nothing speaks against them: all that was looked at is as it was.
    #[must_use]
    pub fn holds(&self) -> bool {
        let nothing = [&self.changed, &self.missing, &self.inputs_changed, &self.inputs_missing];
        nothing.iter().all(|names| names.is_empty())
            && self.site.is_some()
            && matches!(self.again, Again::NotAsked | Again::Same)
    }
}
