//! Where the water of a map goes.

use super::across::AcrossBarrier;
use super::along::LineReaches;
use super::answer::{NotDrawn, Verdict};
use super::ground::GroundComparison;
use super::place::{SitePlace, TracedPath};
use super::pumped::PumpedZone;
use super::ranking::Ranked;
use super::travel::Conductor;
use super::vertical::VerticalGradient;

/// Where the water goes and what it meets.
#[derive(Debug, Clone)]
pub struct Toward {
    /// Sources, then receptors, then pumped wells, each in the order of its file.
    pub places: Vec<SitePlace>,
    /// Paths down from sources, up from receptors and from pumped wells.
    pub paths: Vec<TracedPath>,
    /// Every source with every receptor.
    pub verdicts: Vec<Verdict>,
    /// What velocities rest on.
    pub conductor: Option<Conductor>,
    /// Lines and what the water does along them.
    pub lines: Vec<LineReaches>,
    /// Wells on the two sides of each barrier.
    pub across: Vec<AcrossBarrier>,
    /// Pumped wells.
    pub pumped: Vec<PumpedZone>,
    /// Nested wells.
    pub vertical: Vec<VerticalGradient>,
    /// The steepest of these, where it is many times the horizontal gradient: which, and how many times.
    pub strong_vertical: Option<(usize, f64)>,
    /// The receptors, by what reaches them earliest.
    pub ranking: Vec<Ranked>,
    /// The surface against the ground.
    pub ground: Option<GroundComparison>,
    /// Whether paths were followed exactly over triangles, not over the grid.
    pub on_triangles: bool,
    /// Whether the surface has the cones of pumped wells: the triangles on which the readings alone err do
    /// not know them.
    pub cones: bool,
    /// Why no surfaces are drawn between the wells.
    pub not_drawn: Option<NotDrawn>,
    /// The names of all pumped wells that are declared.
    pub pumped_wells: Vec<String>,
    /// The streams' names.
    pub streams: Vec<String>,
    /// A path over the grid that ends at the edge of the surface this near to a receptor reaches it,
    /// a cell, m; `None` on triangles.
    pub edge_m: Option<f64>,
    /// A path this near to a point reaches it, m.
    pub capture_m: f64,
    /// How far to each side of a line the surface was read, m.
    pub pair_m: f64,
    /// Wells within this distance of each other count as nested, m.
    pub nested_m: f64,
    /// Nearer to water than this the surface may stand above the ground, m.
    pub water_m: f64,
}
