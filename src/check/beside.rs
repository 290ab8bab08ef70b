//! What stands beside the control points: boundary, barriers, streams.

use geo::LineString;

use crate::geom::{Areas, Frame, Obstacles};
use crate::read::Site;

/// The area, the barriers and the streams of a site, against its control points.
#[derive(Debug, Clone, Default)]
pub struct Beside {
    boundary: Areas,
    barriers: Obstacles,
    /// Barriers, outlines of the boundary and streams.
    lines: Obstacles,
}

impl Beside {
    pub(super) fn of(site: &Site, frame: &Frame) -> Self {
        let features = &site.features;
        let local = |line: &LineString| line.0.iter().map(|p| frame.to_local(*p)).collect();
        let mut lines: Vec<LineString> = features.barriers.iter().map(|b| local(&b.line)).collect();
        let barriers = Obstacles::new(&lines);
        let boundary = Areas::new(features.boundary.clone());
        lines.extend(boundary.rings().map(local));
        lines.extend(features.streams.iter().map(|s| local(&s.line)));
        Self { boundary, barriers, lines: Obstacles::new(&lines) }
    }

    /// The areas the map ends at, CRS units.
    #[must_use]
    pub const fn boundary(&self) -> &Areas {
        &self.boundary
    }

    /// Barriers, outlines of the boundary and streams, m in the local frame: what is read or drawn on
    /// one side of them does not reach across.
    #[must_use]
    pub const fn lines(&self) -> &Obstacles {
        &self.lines
    }

    /// The barriers, m in the local frame.
    #[must_use]
    pub const fn barriers(&self) -> &Obstacles {
        &self.barriers
    }
}
