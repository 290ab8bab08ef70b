//! Results of a site that no longer follow from its files.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crate::read::{InputFile, hash};
use crate::run::files::beside;
use crate::write;

/// Results that were made from other files than are there now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outdated {
    /// Their folder.
    pub folder: PathBuf,
    /// The files that have changed since, or are gone.
    pub changed: Vec<String>,
}

/// All results in the `out` folder of a site that no longer follow from its files, by folder. Files outside the site's
/// folder are not looked at, and folders that cannot be read are passed over.
#[must_use]
pub fn outdated(source: &Path) -> Vec<Outdated> {
    let folders = write::results_below(&beside(source)).unwrap_or_default();
    let mut now: BTreeMap<PathBuf, Option<String>> = BTreeMap::new();
    let mut all = Vec::new();
    for folder in folders {
        let Some(made) = write::made_of(&folder) else { continue };
        let mut has_changed = |input: &InputFile| {
            let hash = now.entry(input.path(source)).or_insert_with_key(|path| hash(path).ok());
            // A bare name may be that of a file outside, as may one of a table's neighbours.
            hash.as_ref().map_or_else(|| input.file.contains('/'), |hash| *hash != input.sha256)
        };
        let mut changed = made.inputs;
        changed.retain(&mut has_changed);
        let changed: Vec<String> = changed.into_iter().map(|input| input.file).collect();
        if !changed.is_empty() {
            all.push(Outdated { folder, changed });
        }
    }
    all
}
