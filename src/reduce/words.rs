//! How findings name wells and values.

use crate::diag::{Code, Diagnostic};
use crate::read::{Reading, Well, WellKind};
use crate::units::{brief, round_to};

/// A finding about one reading of one well.
pub(super) fn about(code: Code, well: &Well, reading: &Reading, text: &str) -> Diagnostic {
    Diagnostic::new(code, format!("{}: {text}", name(well))).well(&well.id).at(&reading.origin)
}

/// A well as messages name it: `well MW-1`, `gauge G-1`.
pub(super) fn name(well: &Well) -> String {
    match well.kind {
        WellKind::Well => format!("well {}", well.id),
        WellKind::Gauge => format!("gauge {}", well.id),
    }
}

/// A computed length as messages show it: without the dust of its computation.
pub(super) fn show(value: f64) -> String {
    brief(round_to(value, 4))
}
