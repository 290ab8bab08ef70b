//! Paths end at the boundary of the map.

use geo::{Contains, Coord, Intersects, Polygon};

use super::path::{End, FlowPath};
use super::target::{Target, crossing};
use crate::geom::distance;

/// The areas that a map ends at, in the local frame; none when it ends at its wells alone.
#[derive(Debug, Clone, Default)]
pub(super) struct Boundary {
    areas: Vec<Polygon>,
    target: Target,
}

impl Boundary {
    pub(super) fn new(areas: Vec<Polygon>) -> Self {
        let target = Target::of_areas(areas.clone());
        Self { areas, target }
    }

    fn holds(&self, p: Coord) -> bool {
        self.areas.iter().any(|a| a.contains(&p) || a.intersects(&p))
    }

    /// Whether a place lies within; every place does where there are no areas.
    pub(super) fn keeps(&self, p: Coord) -> bool {
        self.areas.is_empty() || self.holds(p)
    }

    /// A path up to where it first leaves the boundary; one that begins beyond it has not begun.
    pub(super) fn cut(&self, path: FlowPath) -> FlowPath {
        if self.areas.is_empty() || path.points.is_empty() {
            return path;
        }
        if !self.holds(path.points[0]) {
            return FlowPath::begin(path.way);
        }
        let mut before = 0.0;
        for w in path.points.windows(2) {
            let mut shares: Vec<f64> = self
                .target
                .courses()
                .flat_map(|c| c.windows(2))
                .filter_map(|side| crossing(w[0], w[1], side[0], side[1]))
                .collect();
            shares.push(1.0);
            shares.sort_by(f64::total_cmp);
            let mut last = 0.0;
            for share in shares {
                let middle = w[0] + (w[1] - w[0]) * f64::midpoint(last, share);
                if share > last && !self.holds(middle) {
                    let left = before + last * distance(w[0], w[1]);
                    return path.first(left).ended(End::LeavesMap { well: None });
                }
                last = share;
            }
            before += distance(w[0], w[1]);
        }
        path
    }
}

#[cfg(test)]
mod tests {
    use geo::Rect;

    use super::*;
    use crate::toward::path::Way;

    fn path(points: &[(f64, f64)]) -> FlowPath {
        FlowPath {
            way: Way::Down,
            points: points.iter().map(|(x, y)| Coord { x: *x, y: *y }).collect(),
            heads: (0..points.len()).map(|k| 10.0 - k as f64).collect(),
            end: End::Stops { well: Some(3) },
        }
    }

    fn area(x: f64, y: f64) -> Polygon {
        Rect::new(Coord { x, y }, Coord { x: x + 10.0, y: y + 10.0 }).to_polygon()
    }

    #[test]
    fn a_path_ends_where_it_leaves_the_boundary_and_not_before() {
        let one = Boundary::new(vec![area(0.0, 0.0)]);
        let cut = one.cut(path(&[(2.0, 2.0), (2.0, 8.0), (22.0, 8.0)]));
        assert_eq!(cut.end, End::LeavesMap { well: None });
        assert!((cut.length_m() - 14.0).abs() < 1e-12, "{cut:?}");
        assert!((cut.heads[2] - 8.6).abs() < 1e-12, "{cut:?}");
        // From one area into the next there is no leaving.
        let two = Boundary::new(vec![area(0.0, 0.0), area(10.0, 0.0)]);
        let whole = path(&[(2.0, 2.0), (18.0, 2.0)]);
        assert_eq!(two.cut(whole.clone()), whole);
        assert_eq!(one.cut(path(&[(12.0, 2.0), (2.0, 2.0)])).end, End::NotOnMap);
        assert_eq!(Boundary::default().cut(whole.clone()), whole);
        // Along the boundary itself is still on the map.
        let along = path(&[(0.0, 0.0), (10.0, 0.0)]);
        assert_eq!(one.cut(along.clone()), along);
    }
}
