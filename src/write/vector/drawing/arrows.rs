//! Arrows of flow in the drawing.

use geo::Coord;

use super::entities::{Entity, Shape};
use super::frame::Frame;
use crate::report::{ArrowScale, FlowArrow, Followed, Results};

/// Length of an arrow of the usual gradient, in heights of text.
const REFERENCE: f64 = 3.0;

/// The head of an arrow, and half its width, in lengths of the arrow.
const HEAD: f64 = 0.35;
const HALF_HEAD: f64 = 0.15;

/// One in the middle of each triangle without a mark, along the flow there. None is drawn across a barrier, the
/// boundary or a stream, nor where no head is known.
pub(super) fn arrows(results: &Results, frame: &Frame) -> Vec<Entity> {
    let mut flows = results.triangle_arrows();
    if results.arrows_follow() == Followed::Surface {
        let triangles = results.mesh.index();
        let own = |flow: &FlowArrow| results.surface_arrow(&triangles, flow.at, 0.0);
        flows = flows.iter().filter_map(own).collect();
    }
    let Some(scale) = ArrowScale::of(&flows) else { return Vec::new() };
    flows.iter().filter_map(|flow| arrow(results, frame, scale, flow)).collect()
}

fn arrow(results: &Results, frame: &Frame, scale: ArrowScale, flow: &FlowArrow) -> Option<Entity> {
    let ground = results.control.frame();
    let length = REFERENCE * frame.height * scale.length(flow.gradient);
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
    let layer = if flow.known { "arrows" } else { "arrows_not_known" };
    let shape = Shape::Line { points: vec![tail, tip, left, tip, right], closed: false };
    Some(Entity { layer: layer.to_owned(), shape, z: None })
}
