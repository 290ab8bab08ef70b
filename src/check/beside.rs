//! What stands beside the control points: boundary, barriers, streams.

use geo::LineString;

use super::types::ControlPoint;
use crate::diag::{Code, Diagnostic};
use crate::geom::{Areas, Frame, Obstacles, tolerance};
use crate::read::Site;
use crate::units::{brief, brief_to};

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

    /// C320: wells that stand on a barrier. On which side they are is not known.
    pub(super) fn on_barrier(
        &self,
        wells: &[ControlPoint],
        site: &Site,
        findings: &mut Vec<Diagnostic>,
    ) {
        if self.barriers.is_empty() {
            return;
        }
        for p in wells {
            let distance = self.barriers.distance(p.local);
            if distance > tolerance::SAME_POSITION_M {
                continue;
            }
            findings.push(
                Diagnostic::new(
                    Code::OnBarrier,
                    format!(
                        "well {} stands on a barrier: {} m from its line, bound {} m",
                        p.id,
                        brief_to(distance, 3),
                        tolerance::SAME_POSITION_M
                    ),
                )
                .well(&p.id)
                .at_each(p.row(site).map(|row| &row.origin))
                .advice(
                    "move the line to the side of the well on which the wall was built: the head \
                     belongs to one side",
                ),
            );
        }
    }

    /// C318: wells that carry the map from outside the boundary.
    pub(super) fn outside(
        &self,
        wells: &[ControlPoint],
        site: &Site,
        findings: &mut Vec<Diagnostic>,
    ) {
        let outside: Vec<&ControlPoint> =
            wells.iter().filter(|p| !self.boundary.hold(p.crs)).collect();
        let Some(first) = outside.first() else { return };
        let mut told = Diagnostic::new(
            Code::OutsideBoundary,
            format!(
                "{} of {} wells lie outside the boundary, such as {} at ({}, {})",
                outside.len(),
                wells.len(),
                first.id,
                brief(first.crs.x),
                brief(first.crs.y)
            ),
        )
        .advice(
            "their heads count and the map ends at the boundary; check the boundary's CRS when \
             this is not meant",
        );
        for p in outside {
            told = told.well(&p.id).at_each(p.row(site).map(|row| &row.origin));
        }
        findings.push(told);
    }
}
