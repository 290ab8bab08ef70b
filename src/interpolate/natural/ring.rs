//! Sibson's weights at a point that is no well, without inserting it.

use geo::Coord;

use super::net::NONE;
use super::net::Net;
use super::net::cross;
use super::net::next;
use super::net::previous;
use super::net::to_centre;

/// The weights must give the point's own position back to within this part of the distance of
/// the farthest neighbour; weights that do not are not trusted. Dimensionless.
pub(super) const CENTRED: f64 = 1e-9;

/// What is still to be looked at.
#[derive(Debug, Clone, Copy)]
enum Step {
    /// A side of a triangle whose circle holds the point, and the circle's centre from the point.
    Cross(u32, Coord),
    /// The far end of an inner side: its share of the area between two circles' centres.
    Close(f64),
}

/// The natural neighbours of one point and the area that each cedes to it, counter-clockwise.
/// Kept from point to point, so that a grid allocates nothing at its nodes.
#[derive(Debug, Default)]
pub(super) struct Ring {
    /// Vertices and their weights, which sum to 1.
    pub(super) weights: Vec<(u32, f64)>,
    steps: Vec<Step>,
}

impl Ring {
    /// Takes weights that come from elsewhere.
    pub(super) fn stand_in(&mut self, weights: impl IntoIterator<Item = (u32, f64)>) {
        self.weights.clear();
        self.weights.extend(weights);
    }

    /// Finds the weights at a point in the triangle `start`; false when they cannot be had in
    /// double precision, which happens on the outline and within a hair of a well.
    ///
    /// The triangles whose circles hold the point form a star-shaped polygon around it; its
    /// corners are the natural neighbours. Each of them cedes the polygon between the new cell's
    /// corners (circles through the point and two successive neighbours) and the old ones (the
    /// triangles' circles). The signed areas under all sides of these polygons, seen from the
    /// point, are summed in one counter-clockwise walk through the triangles: a side shared by
    /// two neighbours' polygons counts up for one and down for the other.
    ///
    /// # References
    /// Sibson (1981); Watson (1992) for areas from circumcentres. `docs/natural-neighbour.md`.
    pub(super) fn gather(&mut self, net: &Net, p: Coord, start: u32) -> bool {
        self.weights.clear();
        self.steps.clear();
        let centre = net.facets[start as usize].centre_from(p);
        for k in [2, 1, 0] {
            self.steps.push(Step::Cross(4 * start + k, centre));
        }
        let mut crossed = 0;
        let (mut first, mut last) = (None, Coord { x: 0.0, y: 0.0 });
        let (mut open, mut all) = (0.0, 0.0);
        while let Some(step) = self.steps.pop() {
            let (side, centre) = match step {
                Step::Close(area) => {
                    open -= area;
                    continue;
                }
                Step::Cross(side, centre) => (side, centre),
            };
            let facet = &net.facets[(side >> 2) as usize];
            let k = side & 3;
            let twin = facet.twins[k as usize];
            if twin != NONE {
                let beyond = &net.facets[(twin >> 2) as usize];
                if let Some(other) = beyond.centre_if_inside(p) {
                    crossed += 1;
                    if crossed > net.facets.len() {
                        return false;
                    }
                    let area = cross(other, centre);
                    open += area;
                    self.steps.push(Step::Close(area));
                    self.steps.push(Step::Cross((twin & !3) | previous(twin & 3), other));
                    self.steps.push(Step::Cross((twin & !3) | next(twin & 3), other));
                    continue;
                }
            }
            let from = facet.corners[k as usize];
            let a = net.position(from) - p;
            let b = net.position(facet.corners[next(k) as usize]) - p;
            if cross(a, b) <= 0.0 {
                return false;
            }
            let corner = to_centre(a, b);
            let area = cross(corner, centre);
            if first.is_some() {
                let own = cross(last, corner);
                all += own;
                open += own;
            } else {
                first = Some(corner);
            }
            self.weights.push((from, open + area));
            open = -area;
            last = corner;
        }
        let own = first.map_or(f64::NAN, |first| cross(last, first));
        all += own;
        self.weights[0].1 += open + own;
        self.settle(net, p, all)
    }

    /// Areas to weights, and whether they can be trusted.
    fn settle(&mut self, net: &Net, p: Coord, all: f64) -> bool {
        let per_area = 1.0 / all;
        let (mut x, mut y, mut reach) = (0.0, 0.0, 0.0f64);
        for (vertex, weight) in &mut self.weights {
            *weight = (*weight * per_area).max(0.0);
            let q = net.position(*vertex) - p;
            x += *weight * q.x;
            y += *weight * q.y;
            reach = reach.max(q.x * q.x + q.y * q.y);
        }
        // A sum that is not a number fails the comparison too.
        x * x + y * y <= CENTRED * CENTRED * reach
    }
}
