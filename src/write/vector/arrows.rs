//! Arrows of flow on the ground, for layers and drawing alike.

use geo::Coord;

use super::proportions;
use crate::report::{ArrowScale, FlowArrow, Followed, Results};

/// Length of an arrow of the usual gradient, in heights of text.
const REFERENCE: f64 = 3.0;

/// The head of an arrow, half its width and half that of the shaft, in lengths of the arrow.
const HEAD: f64 = 0.35;
const HALF_HEAD: f64 = 0.15;
const HALF_SHAFT: f64 = 0.025;

/// An arrow, CRS units.
#[derive(Debug)]
pub(super) struct Arrow {
    pub(super) flow: FlowArrow,
    pub(super) tail: Coord,
    pub(super) tip: Coord,
    /// The corners of its head.
    pub(super) left: Coord,
    pub(super) right: Coord,
}

impl Arrow {
    /// Its outline, closed, anticlockwise.
    pub(super) fn outline(&self) -> [Coord; 8] {
        let Self { tail, tip, left, right, .. } = *self;
        let along = tip - tail;
        let across = Coord { x: -along.y, y: along.x } * HALF_SHAFT;
        let neck = tip - along * HEAD;
        [
            tail - across,
            neck - across,
            right,
            tip,
            left,
            neck + across,
            tail + across,
            tail - across,
        ]
    }
}

/// One in the middle of each triangle without a mark, along the flow there. None is drawn across a barrier, the
/// boundary or a stream, nor where no head is known.
pub(super) fn arrows(results: &Results) -> Vec<Arrow> {
    let mut flows = results.triangle_arrows();
    if results.arrows_follow() == Followed::Surface {
        let triangles = results.mesh.index();
        let own = |flow: &FlowArrow| results.surface_arrow(&triangles, flow.at, 0.0);
        flows = flows.iter().filter_map(own).collect();
    }
    let Some(scale) = ArrowScale::of(&flows) else { return Vec::new() };
    let reference = REFERENCE * proportions::height(results);
    let of = |flow: FlowArrow| arrow(results, reference * scale.length(flow.gradient), flow);
    flows.into_iter().filter_map(of).collect()
}

fn arrow(results: &Results, length: f64, flow: FlowArrow) -> Option<Arrow> {
    let ground = results.control.frame();
    let turn = flow.azimuth_grid.degrees().to_radians();
    let along = Coord { x: libm::sin(turn), y: libm::cos(turn) } * length;
    let across = Coord { x: -along.y, y: along.x };
    let middle = ground.to_crs(flow.at);
    let [tail, tip] = [-0.5, 0.5].map(|share| middle + along * share);
    let [left, right] = [1.0, -1.0].map(|side| tip - along * HEAD + across * (HALF_HEAD * side));
    let lines = results.control.beside().lines();
    let meets = |corners: [Coord; 3]| lines.run_into(corners.map(|p| ground.to_local(p)));
    let known = |p: &Coord| results.surface.heads.nearest(*p).is_some();
    if [[tail, left, right], [tip, left, right]].into_iter().any(meets)
        || ![tail, tip].iter().all(known)
    {
        return None;
    }
    Some(Arrow { flow, tail, tip, left, right })
}
