//! Which wells each node of a grid sees past the barriers.

use std::collections::BTreeMap;

use geo::Coord;
use rayon::prelude::*;

use crate::geom::{Frame, Obstacles, side};
use crate::interpolate::Grid;
use crate::interpolate::GridSpec;

/// Rows whose nodes are looked from side by side.
const ROWS_AT_ONCE: usize = 64;

/// One bit for each point looked at.
type Seen = Vec<u64>;

/// The nodes that see the same points.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct View {
    /// The points seen, ascending.
    pub(super) points: Vec<usize>,
    /// The nodes, row by row from the south-west.
    pub(super) nodes: Vec<u32>,
}

/// The points in all views together are more than allowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct TooMany;

/// Parts the supported nodes of a grid by the points they see: those the straight way to which no
/// barrier crosses or touches. Views come in an order that depends on the points alone. More than
/// `most` points in all views together are refused.
///
/// # Units
/// - `points`, `barriers`: m in `frame`
pub(super) fn of(
    within: &Grid,
    frame: &Frame,
    points: &[Coord],
    barriers: &Obstacles,
    most: usize,
) -> Result<Vec<View>, TooMany> {
    let GridSpec { rows, columns, .. } = *within.spec();
    let looking = Looking::new(points, barriers);
    let mut views: BTreeMap<Seen, Vec<u32>> = BTreeMap::new();
    let mut viewed = 0;
    for first in (0..rows).step_by(ROWS_AT_ONCE) {
        let end = rows.min(first + ROWS_AT_ONCE);
        let nodes: Vec<usize> = (first * columns..end * columns)
            .filter(|k| within.row(k / columns)[k % columns].is_finite())
            .collect();
        let seen: Vec<Seen> = nodes
            .par_iter()
            .map(|k| looking.from(frame.to_local(within.spec().node(k / columns, k % columns))))
            .collect();
        for (k, seen) in nodes.into_iter().zip(seen) {
            let node = u32::try_from(k).map_err(|_| TooMany)?;
            if let Some(nodes) = views.get_mut(&seen) {
                nodes.push(node);
                continue;
            }
            viewed += seen.iter().map(|word| word.count_ones() as usize).sum::<usize>();
            if viewed > most {
                return Err(TooMany);
            }
            views.insert(seen, vec![node]);
        }
    }
    let listed =
        |seen: &Seen| (0..points.len()).filter(|i| seen[i / 64] >> (i % 64) & 1 == 1).collect();
    Ok(views.into_iter().map(|(seen, nodes)| View { points: listed(&seen), nodes }).collect())
}

/// For each of some places the points seen from there, ascending.
///
/// # Units
/// - all: m in one frame
pub(crate) fn seen_from(
    places: &[Coord],
    points: &[Coord],
    barriers: &Obstacles,
) -> Vec<Vec<usize>> {
    let looking = Looking::new(points, barriers);
    let seen = |place: &Coord| {
        let seen = looking.from(*place);
        (0..points.len()).filter(|i| seen[i / 64] >> (i % 64) & 1 == 1).collect()
    };
    places.par_iter().map(seen).collect()
}

/// The points, and on which side of each piece of a barrier each of them lies.
struct Looking<'a> {
    points: &'a [Coord],
    pieces: &'a [[Coord; 2]],
    /// For each piece, one for each point.
    sides: Vec<Vec<i8>>,
}

impl<'a> Looking<'a> {
    fn new(points: &'a [Coord], barriers: &'a Obstacles) -> Self {
        let pieces = barriers.pieces();
        let sides =
            pieces.iter().map(|[a, b]| points.iter().map(|p| side(*a, *b, *p)).collect()).collect();
        Self { points, pieces, sides }
    }

    /// What is seen from a place.
    fn from(&self, place: Coord) -> Seen {
        let mut seen = vec![0_u64; self.points.len().div_ceil(64)];
        for i in 0..self.points.len() {
            seen[i / 64] |= 1 << (i % 64);
        }
        for ([a, b], sides) in self.pieces.iter().zip(&self.sides) {
            let own = side(*a, *b, place);
            for (i, other) in sides.iter().enumerate() {
                if own * other > 0 || seen[i / 64] >> (i % 64) & 1 == 0 {
                    continue;
                }
                let (p, q) = (place, self.points[i]);
                let (of_a, of_b) = (side(p, q, *a), side(p, q, *b));
                let hidden = if own == 0 && *other == 0 {
                    in_line([p, q], [*a, *b])
                } else {
                    of_a * of_b <= 0
                };
                if hidden {
                    seen[i / 64] &= !(1 << (i % 64));
                }
            }
        }
        seen
    }
}

/// Whether two pieces on one line overlap.
fn in_line([a, b]: [Coord; 2], [c, d]: [Coord; 2]) -> bool {
    let overlap = |a: f64, b: f64, c: f64, d: f64| a.min(b) <= c.max(d) && c.min(d) <= a.max(b);
    overlap(a.x, b.x, c.x, d.x) && overlap(a.y, b.y, c.y, d.y)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::interpolate::linear;
    use crate::triangulate;

    #[test]
    fn every_node_is_in_one_view_and_sees_what_no_barrier_parts_from_it() {
        let points: Vec<Coord> = (0..70)
            .map(|k| Coord {
                x: f64::from(k % 10) * 10.3 + f64::from(k * k % 7) - 48.0,
                y: f64::from(k / 10) * 15.1 + f64::from(k * k % 11) - 47.0,
            })
            .collect();
        let heads = vec![1.0; points.len()];
        let mesh = triangulate::mesh_of(points.clone(), heads);
        let wall = [(-20.5, -25.0), (3.3, 4.1), (4.1, 30.0)].into_iter().collect();
        let barriers = Obstacles::new(&[wall]);
        let frame = Frame::new(Coord { x: 0.0, y: 0.0 }, 1.0);
        let spec = GridSpec { west: -50.0, south: -50.0, cell: 5.0, columns: 21, rows: 21 };
        let within = linear(&mesh, &frame, spec);
        let views = of(&within, &frame, &points, &barriers, 1_000_000).expect("few views");
        let mut count = 0;
        for view in &views {
            for node in &view.nodes {
                let k = *node as usize;
                let p = spec.node(k / 21, k % 21);
                let seen: Vec<usize> =
                    (0..points.len()).filter(|i| !barriers.part(p, points[*i])).collect();
                assert_eq!(view.points, seen, "from {p:?}");
                count += 1;
            }
        }
        assert_eq!(count, within.supported());
        assert!(views.len() > 10, "the wall hides wells: {}", views.len());
        let viewed: usize = views.iter().map(|v| v.points.len()).sum();
        assert!(of(&within, &frame, &points, &barriers, viewed).is_ok());
        assert_eq!(of(&within, &frame, &points, &barriers, viewed - 1), Err(TooMany));
    }
}
