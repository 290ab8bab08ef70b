//! What hovering over a mark of the map, or moving the focus to it, shows.

use serde::Serialize;

/// A mark of the map with what is known of it: a heading and lines of name and value.
#[derive(Debug, Serialize)]
pub(super) struct Facts {
    title: String,
    lines: Vec<(&'static str, String)>,
}

impl Facts {
    /// A heading without lines yet.
    pub(super) fn of(title: String) -> Self {
        Self { title, lines: Vec::new() }
    }

    /// The same with one more line.
    pub(super) fn with(mut self, name: &'static str, value: impl Into<String>) -> Self {
        self.lines.push((name, value.into()));
        self
    }

    /// The same with one more line where there is a value.
    pub(super) fn with_some(self, name: &'static str, value: Option<String>) -> Self {
        match value {
            Some(value) => self.with(name, value),
            None => self,
        }
    }
}
