//! What is asked of the map: sources, receptors and pumped wells, and the paths from them.

use geo::Coord;

use super::fall::MeanGradient;
use super::path::FlowPath;
use super::target::Target;
use crate::diag::Origin;
use crate::uncertainty::{DirectionInterval, MagnitudeInterval};
use crate::units::Azimuth;
use crate::units::Span;

/// What a place is to the question.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Where a plume may start.
    Source,
    /// What must be kept from it.
    Receptor,
    /// A pumped well, from which paths are followed back.
    PumpedWell,
}

impl Role {
    /// The word in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Source => "source",
            Self::Receptor => "receptor",
            Self::PumpedWell => "pumped well",
        }
    }
}

/// A source, a receptor or a pumped well in the local frame.
#[derive(Debug, Clone)]
pub struct SitePlace {
    /// Its name.
    pub name: String,
    /// What it is.
    pub role: Role,
    /// Its shape, m.
    pub target: Target,
    /// Where paths begin, m.
    pub starts: Vec<Coord>,
    /// The flow in the triangle around its first start that lies on the map.
    pub flow: Option<FlowAtSource>,
    /// Where it stands in the files.
    pub origin: Origin,
}

/// The flow in the triangle a source stands in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlowAtSource {
    /// Index of the triangle.
    pub triangle: usize,
    /// Hydraulic gradient.
    pub gradient: f64,
    /// Its 95 % interval.
    pub interval: Option<MagnitudeInterval>,
    /// Direction of flow against grid north.
    pub azimuth_grid: Option<Azimuth>,
    /// Its 95 % interval.
    pub direction: Option<DirectionInterval>,
    /// Whether the direction is resolved: the readings rule out a level water table, and its interval
    /// is no whole circle.
    pub resolved: bool,
}

/// A path and where it belongs.
#[derive(Debug, Clone, PartialEq)]
pub struct TracedPath {
    /// Index of the place it begins at.
    pub place: usize,
    /// The path.
    pub path: FlowPath,
    /// Its fall over its length.
    pub gradient: Option<MeanGradient>,
    /// Time of travel over all of it and over the interval of its gradient, days.
    pub days: Option<Span>,
}
