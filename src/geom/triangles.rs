//! Which triangle is around a place.

use geo::Coord;
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RStarInsertionStrategy, RTree, RTreeParams};

use super::plane::doubled_area;
use super::spacing::bounds;

/// A place counts as inside a triangle when no weight is below this.
const ON_EDGE: f64 = -1e-9;

/// Triangles by the boxes about them.
#[derive(Debug, Clone)]
pub(crate) struct TriangleIndex(RTree<GeomWithData<Rectangle<[f64; 2]>, usize>, Wide>);

/// Many boxes to a node: quicker to load, and to look into where boxes hardly overlap.
#[derive(Debug, Clone)]
struct Wide;

impl RTreeParams for Wide {
    const MIN_SIZE: usize = 8;
    const MAX_SIZE: usize = 16;
    const REINSERTION_COUNT: usize = 4;
    type DefaultInsertionStrategy = RStarInsertionStrategy;
}

impl TriangleIndex {
    /// Triangles by their corners, numbered in their order.
    ///
    /// # Units
    /// - `triangles`: m, counter-clockwise
    #[must_use]
    pub(crate) fn new(triangles: impl IntoIterator<Item = [Coord; 3]>) -> Self {
        let boxes = triangles.into_iter().enumerate().map(|(i, corners)| {
            let (low, high) = wide_bounds(corners);
            GeomWithData::new(Rectangle::from_corners([low.x, low.y], [high.x, high.y]), i)
        });
        Self(RTree::bulk_load_with_params(boxes.collect()))
    }

    /// The triangle around a place, the first one on a side, and the weights of its corners; `None`
    /// where no triangle is.
    ///
    /// # Units
    /// - `p`: m; `corners`: those of a triangle by its number, m
    pub(crate) fn around(
        &self,
        p: Coord,
        corners: impl Fn(usize) -> [Coord; 3],
    ) -> Option<(usize, [f64; 3])> {
        let holding = self.near(p, 0.0).filter_map(|t| Some((t, weights(corners(t), p)?)));
        holding.min_by_key(|(triangle, _)| *triangle)
    }

    /// The triangles whose boxes come within a distance of a place, in no order.
    ///
    /// # Units
    /// - `p`, `within`: m
    pub(crate) fn near(&self, p: Coord, within: f64) -> impl Iterator<Item = usize> + '_ {
        let low = [p.x - within, p.y - within];
        let high = [p.x + within, p.y + within];
        let within = AABB::from_corners(low, high);
        self.0.locate_in_envelope_intersecting(&within).map(|found| found.data)
    }
}

/// The weights of a triangle's corners at a place, which make the plane through their values;
/// `None` outside.
///
/// # Units
/// - `corners`, `p`: m
#[must_use]
pub fn weights([a, b, c]: [Coord; 3], p: Coord) -> Option<[f64; 3]> {
    let area2 = doubled_area([a, b, c]);
    let of_b = doubled_area([a, p, c]) / area2;
    let of_c = doubled_area([a, b, p]) / area2;
    let weights = [1.0 - of_b - of_c, of_b, of_c];
    weights.iter().all(|w| *w >= ON_EDGE).then_some(weights)
}

/// The box around a triangle, a hair wider so that its edges are inside.
fn wide_bounds(corners: [Coord; 3]) -> (Coord, Coord) {
    let (low, high) = bounds(corners);
    let hair = -ON_EDGE * ((high.x - low.x) + (high.y - low.y));
    let wider = |p: Coord, by: f64| Coord { x: p.x + by, y: p.y + by };
    (wider(low, -hair), wider(high, hair))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_in_the_triangle_around_it_and_the_first_of_two_on_their_side() {
        let at = |x: f64, y: f64| Coord { x, y };
        let square = [at(0.0, 0.0), at(1.0, 0.0), at(1.0, 1.0), at(0.0, 1.0)];
        let halves = [[square[0], square[1], square[2]], [square[0], square[2], square[3]]];
        let index = TriangleIndex::new(halves);
        let around = |p: Coord| index.around(p, |t| halves[t]);
        assert_eq!(around(at(0.75, 0.25)), Some((0, [0.25, 0.5, 0.25])));
        assert_eq!(around(at(0.25, 0.75)).map(|(t, _)| t), Some(1));
        assert_eq!(around(at(0.5, 0.5)).map(|(t, _)| t), Some(0), "on the side of both");
        assert_eq!(around(at(1.5, 0.5)), None);
    }
}
