//! One axis of the grid in the local frame.

use std::ops::Range;

use crate::geom::Frame;
use crate::interpolate::grid::GridSpec;

/// The nodes' positions along one axis, m.
#[derive(Debug)]
pub(super) struct Axis {
    positions: Vec<f64>,
    per_m: f64,
}

impl Axis {
    /// The columns' local x.
    pub(super) fn of_columns(spec: &GridSpec, frame: &Frame) -> Self {
        let positions = (0..spec.columns).map(|c| frame.to_local(spec.node(0, c)).x).collect();
        Self { positions, per_m: 1.0 / (spec.cell * frame.metres_per_unit()) }
    }

    /// The rows' local y.
    pub(super) fn of_rows(spec: &GridSpec, frame: &Frame) -> Self {
        let positions = (0..spec.rows).map(|r| frame.to_local(spec.node(r, 0)).y).collect();
        Self { positions, per_m: 1.0 / (spec.cell * frame.metres_per_unit()) }
    }

    /// The nodes' positions, ascending, m.
    pub(super) fn positions(&self) -> &[f64] {
        &self.positions
    }

    /// The nodes of `from <= position <= to`, as far as there are any. Right to the rounding of
    /// one product, which callers cover with [`slack`].
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "casts of floats saturate, and below 0 there are no nodes"
    )]
    pub(super) fn between(&self, from: f64, to: f64) -> Range<usize> {
        let first = self.positions[0];
        let start = ((from - first) * self.per_m).ceil() as usize;
        let end = (((to - first) * self.per_m).floor() + 1.0) as usize;
        start..end.min(self.positions.len())
    }

    /// The node at `position`, give or take `slack`, if there is one.
    pub(super) fn at(&self, position: f64, slack: f64) -> Option<usize> {
        let node = self.between(position - slack, position + slack).next()?;
        ((self.positions[node] - position).abs() <= slack).then_some(node)
    }
}

/// Below this distance two positions of this grid are one, m.
///
/// A well's coordinate and a node's (a multiple of the cell) are each rounded to a double at the
/// magnitude of CRS coordinates, and a few roundings more follow on the way to the local frame:
/// sixteen roundings are 2e-8 m at a northing of 5 000 km. Without it a well on a node could
/// fall out of its own outline.
pub(super) fn slack(spec: &GridSpec, frame: &Frame) -> f64 {
    let far = spec.node(spec.rows - 1, spec.columns - 1);
    let largest =
        [spec.west, spec.south, far.x, far.y].into_iter().fold(0.0, |m: f64, v| m.max(v.abs()));
    16.0 * f64::EPSILON * largest * frame.metres_per_unit()
}
