//! The datum grids that PROJ sees on a thread: those of the site that is being worked on.

use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;

use super::grids::{Files, Grids};

thread_local! {
    /// The grids of the site that this thread is working on.
    static VISIBLE: Cell<Option<&'static Files>> = const { Cell::new(None) };
    /// Those that PROJ has opened meanwhile.
    static OPENED: RefCell<BTreeSet<String>> = const { RefCell::new(BTreeSet::new()) };
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
