//! Features of the page's map, by layers.

use serde::Serialize;

/// Features of one kind.
#[derive(Debug, Serialize)]
pub(super) struct Layer {
    /// The class that styles it.
    pub(super) kind: &'static str,
    /// What the legend says.
    pub(super) name: &'static str,
    pub(super) features: Vec<Feature>,
}

impl Layer {
    /// A layer of lines, each the path of an SVG and the number of its facts.
    pub(super) fn of_lines(
        kind: &'static str,
        name: &'static str,
        lines: Vec<(String, usize)>,
    ) -> Self {
        let feature =
            |(path, facts)| Feature { path, area: false, points: Vec::new(), label: None, facts };
        Self { kind, name, features: lines.into_iter().map(feature).collect() }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.features.is_empty()
    }
}

/// A feature on the drawing: lines and outlines in one path, points as marks.
#[derive(Debug, Serialize)]
pub(super) struct Feature {
    pub(super) path: String,
    /// Whether the path encloses an area.
    pub(super) area: bool,
    pub(super) points: Vec<(String, String)>,
    /// Its name on the map; none where another feature has it already.
    pub(super) label: Option<String>,
    pub(super) facts: usize,
}
