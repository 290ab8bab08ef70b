//! Datum grids that a site declares: how far positions on an old datum lie from those on a newer one.

use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::fmt;
use std::sync::{Arc, Mutex, PoisonError};

use serde::{Serialize, Serializer};

/// The datum grids of a site by file name, and those of them that PROJ has opened for it.
///
/// PROJ asks for a grid by the name that its database has for it, such as `BETA2007.gsb`; capitals
/// do not matter.
#[derive(Clone)]
pub struct Grids {
    files: &'static Files,
    opened: Arc<Mutex<BTreeSet<String>>>,
}

/// File names and contents.
type Files = Vec<(String, Vec<u8>)>;

/// All that were ever declared. PROJ keeps grids open for as long as the program runs; sites that
/// share theirs hold them once.
static ALL: Mutex<Vec<&'static Files>> = Mutex::new(Vec::new());

thread_local! {
    /// The grids of the site that this thread is working on.
    static VISIBLE: Cell<Option<&'static Files>> = const { Cell::new(None) };
    /// Those that PROJ has opened meanwhile.
    static OPENED: RefCell<BTreeSet<String>> = const { RefCell::new(BTreeSet::new()) };
}

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

/// Does something on this thread while PROJ sees some grids. Gives also which of them it opened.
pub(crate) fn seeing<T>(grids: Option<&Grids>, work: impl FnOnce() -> T) -> (T, BTreeSet<String>) {
    /// Puts back what was to be seen before, also when the work panics.
    struct Before(Option<&'static Files>);
    impl Drop for Before {
        fn drop(&mut self) {
            VISIBLE.set(self.0);
        }
    }
    let _before = Before(VISIBLE.replace(grids.map(|grids| grids.files)));
    let done = work();
    (done, OPENED.take())
}

/// The grid that PROJ may see under the name it asks for.
fn visible(name: &str) -> Option<&'static (String, Vec<u8>)> {
    VISIBLE.get()?.iter().find(|(known, _)| known.eq_ignore_ascii_case(name))
}

/// Whether PROJ may see a grid of this name.
pub(super) fn is_visible(name: &str) -> bool {
    visible(name).is_some()
}

/// The content of a grid that PROJ may see, and opens, which is kept in mind.
pub(super) fn opened(name: &str) -> Option<&'static [u8]> {
    let (known, bytes) = visible(name)?;
    OPENED.with_borrow_mut(|opened| opened.insert(known.clone()));
    Some(bytes)
}
