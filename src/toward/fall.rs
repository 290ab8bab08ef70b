//! The mean gradient of a path with its own interval.

use geo::Coord;

use super::pairs::Levels;
use super::path::FlowPath;
use crate::geom::distance;
use crate::geom::tolerance;
use crate::uncertainty::NORMAL_SDS;
use crate::units::Span;

/// The mean gradient of a path: its fall over its length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanGradient {
    /// Dimensionless, positive.
    pub value: f64,
    /// Its 95 % interval from the errors of the heads at both ends, the path as it is drawn; the
    /// low end is 0 where the fall is within these errors. `None` where an end lies beyond the
    /// triangles.
    pub interval: Option<Span>,
}

impl MeanGradient {
    /// The mean gradient of a path; `None` of one no longer than [`tolerance::SAME_POSITION_M`].
    ///
    /// The heads at the ends are weighted sums of wells, and wells common to both count once.
    ///
    /// # Units
    /// - `metres`: m in one unit of head
    pub(super) fn of(path: &FlowPath, levels: &Levels, metres: f64) -> Option<Self> {
        let length = path.length_m();
        let (first, last) = (*path.points.first()?, *path.points.last()?);
        let long = length > tolerance::SAME_POSITION_M;
        let value = long.then(|| path.fall().abs() * metres / length)?;
        // A path that leaves the map ends on its outline, where rounding decides.
        let near = |from: Coord, to: Coord| {
            let step = (tolerance::SAME_POSITION_M / distance(from, to)).min(0.5);
            from + (to - from) * step
        };
        let sd = levels
            .sd_between(first, last)
            .or_else(|| levels.sd_between(near(first, last), near(last, first)));
        let interval = sd.map(|sd| {
            let half = NORMAL_SDS * sd * metres / length;
            Span { low: (value - half).max(0.0), high: value + half }
        });
        Some(Self { value, interval })
    }

    /// The interval, or the gradient alone where it has none.
    #[must_use]
    pub fn span(&self) -> Span {
        self.interval.unwrap_or(Span { low: self.value, high: self.value })
    }

    /// A time at this gradient as what it may be within the gradient's interval: without end where
    /// that holds 0.
    #[must_use]
    pub fn widened(&self, days: Span) -> Span {
        let span = self.span();
        Span { low: days.low * self.value / span.high, high: days.high * self.value / span.low }
    }
}
