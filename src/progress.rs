//! How far long work has come: told to whoever listens, and part of no result.
//!
//! The stages say what they are at; where nobody listens that costs next to nothing. The library
//! prints nothing.

use std::cell::RefCell;
use std::sync::Arc;

/// What is being done, in the order in which it is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Files are read and readings reduced.
    Reading,
    /// Heads are checked and triangulated.
    Checking,
    /// The surface is fitted and worked out on the grid.
    Surface,
    /// Every method is tried without each well.
    Comparison,
    /// Contours are traced, and it is worked out how sure everything is.
    Uncertainty,
    /// The water is followed.
    Paths,
    /// Sheet, page, tables and layers are made.
    Files,
}

impl Stage {
    /// What is being done, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Reading => "reading the site",
            Self::Checking => "checking the heads",
            Self::Surface => "computing the surface",
            Self::Comparison => "leaving each well out of each method",
            Self::Uncertainty => "computing the uncertainty",
            Self::Paths => "tracing flow paths",
            Self::Files => "writing the files",
        }
    }

    /// What makes it quicker, where anything does.
    #[must_use]
    pub const fn quicker(self) -> Option<&'static str> {
        match self {
            Self::Reading | Self::Checking | Self::Comparison => None,
            Self::Surface => Some("a larger --cell, or another --surface such as linear"),
            Self::Uncertainty | Self::Paths => {
                Some("a larger --cell, or fewer realizations under [uncertainty] in site.toml")
            }
            Self::Files => Some("--data-only, which leaves out sheet and page, or a larger --cell"),
        }
    }
}

/// Something a listener is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Event {
    /// A stage begins.
    Begun(Stage),
    /// The stage has come to work of so many steps.
    Steps(usize),
    /// One of these steps is done, in any order and on any thread.
    Step,
}

/// Whoever listens.
type Listener = Arc<dyn Fn(Event) + Send + Sync>;

thread_local! {
    /// Of the runs that this thread begins: two runs in one program do not hear each other.
    static LISTENER: RefCell<Option<Listener>> = const { RefCell::new(None) };
}

/// A listener is told of what the runs begun on this thread do, for as long as this is held.
#[must_use = "a listener is heard no more once this is dropped"]
#[derive(Debug)]
pub struct Listening(());

impl Drop for Listening {
    fn drop(&mut self) {
        LISTENER.set(None);
    }
}

/// Tells `listener` of what the runs begun on this thread do, in the place of an earlier listener.
///
/// It is called from many threads and should be quick.
pub fn listen(listener: impl Fn(Event) + Send + Sync + 'static) -> Listening {
    LISTENER.set(Some(Arc::new(listener)));
    Listening(())
}

fn listener() -> Option<Listener> {
    LISTENER.with_borrow(Clone::clone)
}

/// Says that a stage begins.
pub(crate) fn begin(stage: Stage) {
    if let Some(listener) = listener() {
        listener(Event::Begun(stage));
    }
}

/// Work of some steps.
pub(crate) struct Steps(Option<Listener>);

/// Says that work of so many steps begins.
pub(crate) fn steps(count: usize) -> Steps {
    let listener = listener();
    if let Some(listener) = &listener {
        listener(Event::Steps(count));
    }
    Steps(listener)
}

impl Steps {
    /// Says that one is done.
    pub(crate) fn done(&self) {
        if let Some(listener) = &self.0 {
            listener(Event::Step);
        }
    }
}
