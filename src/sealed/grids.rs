//! Datum grids that a site declares: how far positions on an old datum lie from those on a newer one.

use std::collections::BTreeSet;
use std::fmt;
use std::sync::{Arc, Mutex, PoisonError};

use schemars::JsonSchema;
use serde::{Serialize, Serializer};

/// The datum grids of a site by file name, and those of them that PROJ has opened for it.
///
/// PROJ asks for a grid by the name that its database has for it, such as `BETA2007.gsb`; capitals
/// do not matter.
#[derive(Clone, JsonSchema)]
#[schemars(inline, with = "Vec<String>")]
pub struct Grids {
    pub(super) files: &'static Files,
    opened: Arc<Mutex<BTreeSet<String>>>,
}

/// File names and contents.
pub(super) type Files = Vec<(String, Vec<u8>)>;

/// All that were ever declared. PROJ keeps grids open for as long as the program runs; sites that
/// share theirs hold them once.
static ALL: Mutex<Vec<&'static Files>> = Mutex::new(Vec::new());

impl Grids {
    /// Those of files by name and content.
    #[must_use]
    pub fn of(files: impl IntoIterator<Item = (String, Vec<u8>)>) -> Self {
        let mut files: Files = files.into_iter().collect();
        files.sort();
        let mut all = ALL.lock().unwrap_or_else(PoisonError::into_inner);
        let known = all.iter().copied().find(|known| **known == files);
        let files = known.unwrap_or_else(|| {
            all.push(Box::leak(Box::new(files)));
            all[all.len() - 1]
        });
        Self { files, opened: Arc::default() }
    }

    /// What tells these grids from others for as long as the program runs.
    pub(crate) fn number(&self) -> usize {
        std::ptr::from_ref(self.files).addr()
    }

    /// The grids that positions of the site were transformed with so far, by file name.
    #[must_use]
    pub fn opened(&self) -> BTreeSet<String> {
        self.opened.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Adds to them.
    pub(crate) fn note(&self, opened: &BTreeSet<String>) {
        if !opened.is_empty() {
            let mut all = self.opened.lock().unwrap_or_else(PoisonError::into_inner);
            all.extend(opened.iter().cloned());
        }
    }

    /// The file names.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.files.iter().map(|(name, _)| name.as_str())
    }
}

impl PartialEq for Grids {
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self.files, other.files)
    }
}

impl fmt::Debug for Grids {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_list().entries(self.names()).finish()
    }
}

impl Serialize for Grids {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.names())
    }
}
