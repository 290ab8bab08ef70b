//! How a contour is drawn: as an index contour or not, inferred or not.

/// What a stretch of a contour is drawn as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct ContourSign {
    /// Whether the line is an index contour, drawn heavy.
    pub(crate) index: bool,
    /// Whether the stretch is inferred, drawn dashed.
    pub(crate) inferred: bool,
}

impl ContourSign {
    /// Every one there is.
    pub(crate) const ALL: [Self; 4] = [
        Self { index: true, inferred: false },
        Self { index: true, inferred: true },
        Self { index: false, inferred: false },
        Self { index: false, inferred: true },
    ];

    /// Its name, for files and scripts.
    pub(crate) const fn name(self) -> &'static str {
        match (self.index, self.inferred) {
            (false, false) => "contour",
            (false, true) => "contour-inferred",
            (true, false) => "index",
            (true, true) => "index-inferred",
        }
    }
}
