//! Arrows of flow in the drawing.

use super::entities::{Entity, Shape};
use crate::report::Results;
use crate::write::vector::arrows;

/// Each as one line, back and forth over its head.
pub(super) fn arrows(results: &Results) -> Vec<Entity> {
    let entity = |arrow: arrows::Arrow| {
        let layer = if arrow.flow.known { "arrows" } else { "arrows_not_known" };
        let points = vec![arrow.tail, arrow.tip, arrow.left, arrow.tip, arrow.right];
        let shape = Shape::Line { points, closed: false };
        Entity { layer: layer.to_owned(), shape, z: None }
    };
    arrows::arrows(results).into_iter().map(entity).collect()
}
