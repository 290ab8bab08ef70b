//! What is asked of the map: sources, receptors and pumped wells, and the paths from them.

use geo::Coord;

use super::fall::MeanGradient;
use super::meeting::{Meeting, Nearest, Reached};
use super::path::{End, FlowPath, Way};
use super::target::Target;
use crate::diag::Origin;
use crate::geom::Obstacles;
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
    /// The flow at its first start that lies on the map.
    pub flow: Option<FlowAtSource>,
    /// The aquifer unit it is in, where that is not the one mapped.
    pub other_unit: Option<String>,
    /// The stream that it is: index into [`crate::read::Features::streams`].
    pub stream: Option<usize>,
    /// Where it stands in the files.
    pub origin: Origin,
}

impl SitePlace {
    /// Whether a box about a path comes within a distance of the box about this, or the place is a stream, which
    /// a path reaches that ends at it.
    pub(super) fn is_near(&self, (low, high): (Coord, Coord), within_m: f64) -> bool {
        let (own_low, own_high) = self.target.bounds();
        let apart = |low: f64, high: f64| low - high > within_m;
        self.stream.is_some()
            || !(apart(own_low.x, high.x)
                || apart(low.x, own_high.x)
                || apart(own_low.y, high.y)
                || apart(low.y, own_high.y))
    }

    /// What becomes of a path here: its meeting, whether that is at the edge of the surface as
    /// [`Target::meet_to`] has it, and how far from here the path begins and ends, m. A path that joins the
    /// stream that this is has reached it.
    pub(super) fn meets(
        &self,
        path: &FlowPath,
        (capture_m, edge_m): (f64, Option<f64>),
        barriers: &Obstacles,
    ) -> Option<(Meeting, bool, [f64; 2])> {
        let (mut met, at_edge, ends_m) = self.target.meet_to(path, capture_m, edge_m, barriers)?;
        if let End::Stream { stream } = path.end
            && self.stream == Some(stream)
            && met.reached.is_none()
            && path.way == Way::Down
        {
            let (at, head) = (*path.points.last()?, *path.heads.last()?);
            let along_m = path.length_m();
            met.reached = Some(Reached { at, along_m, head });
            met.nearest = Nearest { distance_m: 0.0, along_m, at, there: at };
        }
        Some((met, at_edge, ends_m))
    }
}

/// The flow at a place: on the surface of planes that of the triangle around it, on every other its own slope.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlowAtSource {
    /// Index of the triangle.
    pub triangle: usize,
    /// Hydraulic gradient.
    pub gradient: f64,
    /// Its 95 % interval; none where it is not that of a triangle.
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
