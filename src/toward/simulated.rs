//! Paths on a surface that was drawn at random, quickly.

use std::cell::OnceCell;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

use geo::Coord;

use super::lows::{Height, around};
use super::path::{End, FlowPath, Way};
use crate::geom::distance;
use crate::uncertainty::Lattice;
use crate::units::Azimuth;

/// A step, in cells. Errors of a path over a simulated surface are those of the simulation, not of a step.
const STEP_CELLS: f64 = 0.5;

/// Halvings by which the edge of the map is found.
const HALVINGS: usize = 5;

/// A drawn surface with what ends paths on it.
pub(super) struct DrawnSurface<'a> {
    pub(super) lattice: Lattice,
    /// Heads at its nodes, elevation unit.
    pub(super) heads: Vec<f64>,
    /// Whether a place lies on the map, m.
    pub(super) on_map: &'a (dyn Fn(Coord) -> bool + Sync),
    /// Nodes on the map, the same for all surfaces.
    pub(super) nodes: &'a [bool],
    /// Pumped wells that draw water in, m, which they are, and how near it is theirs, m.
    pub(super) sinks: Vec<(Coord, usize)>,
    pub(super) sink_m: f64,
    /// From each node the next on its way out of a low.
    pub(super) ways_out: OnceCell<Vec<u32>>,
}

impl DrawnSurface<'_> {
    /// The cell a place lies in and how far into it, both ways.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held within the nodes before"
    )]
    fn cell(&self, p: Coord) -> Option<([usize; 2], [f64; 2])> {
        let Lattice { corner, cell_m, columns, rows } = self.lattice;
        let (x, y) = ((p.x - corner.x) / cell_m, (p.y - corner.y) / cell_m);
        let within = |v: f64, count: usize| v >= 1.0 && v < (count - 2) as f64;
        if !(within(x, columns) && within(y, rows)) {
            return None;
        }
        let (column, row) = (x as usize, y as usize);
        Some(([row, column], [x - column as f64, y - row as f64]))
    }

    /// The head at a place, and its slope in heads for a metre; `None` beyond the lattice.
    ///
    /// Heads are bilinear between nodes, slopes bilinear between those of the nodes, so that paths have no
    /// kinks at the sides of cells.
    fn at(&self, p: Coord) -> Option<(f64, Coord)> {
        let ([row, column], [fx, fy]) = self.cell(p)?;
        let columns = self.lattice.columns;
        let h = |r: usize, c: usize| self.heads[r * columns + c];
        let corners = [(row, column), (row, column + 1), (row + 1, column), (row + 1, column + 1)];
        let weights = [(1.0 - fx) * (1.0 - fy), fx * (1.0 - fy), (1.0 - fx) * fy, fx * fy];
        let (mut head, mut slope) = (0.0, Coord { x: 0.0, y: 0.0 });
        for ((r, c), w) in corners.into_iter().zip(weights) {
            head += w * h(r, c);
            slope.x += w * (h(r, c + 1) - h(r, c - 1));
            slope.y += w * (h(r + 1, c) - h(r - 1, c));
        }
        Some((head, slope / (2.0 * self.lattice.cell_m)))
    }

    pub(super) fn head(&self, p: Coord) -> Option<f64> {
        (self.on_map)(p).then(|| self.at(p)).flatten().map(|(head, _)| head)
    }

    /// The direction of flow at a place, degrees clockwise from grid north.
    pub(super) fn azimuth(&self, p: Coord) -> Option<f64> {
        let (_, slope) = self.at(p)?;
        Azimuth::of_vector(-slope.x, -slope.y).map(Azimuth::degrees)
    }

    /// The path of the water from a place. Where it comes to a low, which no aquifer has without something
    /// that takes the water, it goes over the lowest place of the rim.
    pub(super) fn trace(&self, start: Coord) -> FlowPath {
        let mut path = FlowPath::begin(Way::Down);
        let Some((mut head, mut slope)) = self.at(start).filter(|_| (self.on_map)(start)) else {
            return path;
        };
        let mut p = start;
        let step = STEP_CELLS * self.lattice.cell_m;
        // Most paths have no more steps than this.
        let across = 2 * self.lattice.columns.max(self.lattice.rows);
        path.points.reserve(across);
        path.heads.reserve(across);
        path.push(p, head);
        let most = 16 * (self.lattice.columns + self.lattice.rows);
        for _ in 0..most {
            if let Some((sink, well)) = self.sinks.iter().find(|s| distance(s.0, p) <= self.sink_m)
            {
                path.push(*sink, head);
                return path.ended(End::Pumped { well: *well });
            }
            let next = [1.0, 0.25].iter().find_map(|part| {
                let next = self.step(p, slope, step * part)?;
                let (lower, slope) = self.at(next)?;
                (lower < head).then_some((next, lower, slope))
            });
            let Some((next, lower, after)) = next else {
                match self.out_of_low(p, head, &mut path) {
                    Some(on) => {
                        let Some((there, after)) = self.at(on) else { break };
                        (p, head, slope) = (on, there.min(head), after);
                        continue;
                    }
                    None => break,
                }
            };
            if !(self.on_map)(next) {
                let edge = self.edge(p, next);
                let share = distance(p, edge) / distance(p, next);
                path.push(edge, head + share * (lower - head));
                break;
            }
            (p, head, slope) = (next, lower, after);
            path.push(p, head);
        }
        path.ended(End::LeavesMap { well: None })
    }

    /// A step down by the slope in its middle.
    fn step(&self, p: Coord, slope: Coord, step: f64) -> Option<Coord> {
        let down = |from: Coord, slope: Coord, by: f64| {
            let steep = (slope.x * slope.x + slope.y * slope.y).sqrt();
            (steep > 0.0).then(|| from - slope * (by / steep))
        };
        let (_, middle) = self.at(down(p, slope, 0.5 * step)?)?;
        down(p, middle, step)
    }

    /// Where a step leaves the map.
    fn edge(&self, mut on: Coord, mut off: Coord) -> Coord {
        for _ in 0..HALVINGS {
            let middle = (on + off) / 2.0;
            if (self.on_map)(middle) { on = middle } else { off = middle }
        }
        on
    }

    /// Goes on over the rim of a low to the first node lower than `head`; `None` at the edge of the map.
    fn out_of_low(&self, p: Coord, head: f64, path: &mut FlowPath) -> Option<Coord> {
        let ([row, column], [fx, fy]) = self.cell(p)?;
        let columns = self.lattice.columns;
        let mut node = (row + usize::from(fy >= 0.5)) * columns + column + usize::from(fx >= 0.5);
        let ways_out = self.ways_out.get_or_init(|| self.flood());
        let mut way = vec![p];
        loop {
            let next = ways_out[node] as usize;
            if next == node {
                break;
            }
            node = next;
            way.push(self.lattice.place(node));
            if self.heads[node] < head {
                let whole = crate::geom::length(way.iter().copied());
                let (mut along, mut at) = (0.0, p);
                for q in way.into_iter().skip(1) {
                    along += distance(at, q);
                    at = q;
                    path.push(
                        q,
                        head + (self.heads[node] - head) * along / whole.max(f64::MIN_POSITIVE),
                    );
                }
                return Some(at);
            }
        }
        way.into_iter().skip(1).for_each(|q| path.push(q, head));
        None
    }

    /// From each node on the map the next on the way out over the lowest rim.
    ///
    /// # References
    /// As for [`super::lows::way_out`], from all outlets at once.
    #[expect(clippy::cast_possible_truncation, reason = "a lattice has fewer than 2^32 nodes")]
    fn flood(&self) -> Vec<u32> {
        let Lattice { columns, rows, cell_m, .. } = self.lattice;
        let mut next: Vec<u32> = (0..self.heads.len() as u32).collect();
        let mut seen: Vec<bool> = self.nodes.iter().map(|on| !on).collect();
        let beside = |node: usize| around(node, [rows, columns]);
        let mut open: BinaryHeap<Reverse<(Height, usize)>> = BinaryHeap::new();
        for (node, seen) in seen.iter_mut().enumerate() {
            let place = self.lattice.place(node);
            let outlet = self.nodes[node]
                && (beside(node).any(|n| !self.nodes[n])
                    || self
                        .sinks
                        .iter()
                        .any(|sink| distance(sink.0, place) <= self.sink_m.max(cell_m)));
            if outlet {
                *seen = true;
                open.push(Reverse((Height(self.heads[node]), node)));
            }
        }
        while let Some(Reverse((Height(rim), node))) = open.pop() {
            for n in beside(node) {
                if !seen[n] {
                    seen[n] = true;
                    next[n] = node as u32;
                    open.push(Reverse((Height(rim.max(self.heads[n])), n)));
                }
            }
        }
        next
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LATTICE: Lattice =
        Lattice { corner: Coord { x: 0.0, y: 0.0 }, cell_m: 10.0, columns: 41, rows: 31 };

    fn surface<'a>(
        head: impl Fn(Coord) -> f64,
        on_map: &'a (dyn Fn(Coord) -> bool + Sync),
        nodes: &'a [bool],
    ) -> DrawnSurface<'a> {
        let heads = (0..41 * 31).map(|k| head(LATTICE.place(k))).collect();
        DrawnSurface {
            lattice: LATTICE,
            heads,
            on_map,
            nodes,
            sinks: Vec::new(),
            sink_m: 10.0,
            ways_out: OnceCell::new(),
        }
    }

    fn within(p: Coord) -> bool {
        (20.0..=380.0).contains(&p.x) && (20.0..=280.0).contains(&p.y)
    }

    fn nodes() -> Vec<bool> {
        (0..41 * 31).map(|k| within(LATTICE.place(k))).collect()
    }

    /// A plane falls to the east by 3 and to the south by 4 in a thousand: the path is a straight line.
    #[test]
    fn on_a_plane_the_path_is_straight_and_ends_at_the_edge_of_the_map() {
        let nodes = nodes();
        let plane = surface(|p| 50.0 - 0.003 * p.x + 0.004 * p.y, &within, &nodes);
        let path = plane.trace(Coord { x: 100.0, y: 250.0 });
        let last = path.points[path.points.len() - 1];
        assert_eq!(path.end, End::LeavesMap { well: None });
        assert!((last.y - 20.0).abs() < 0.5 && (last.x - 272.5).abs() < 0.5, "{last:?}");
    }

    /// A dent in a plane: the path goes through it and on as if it were not there, in the direction of the plane.
    #[test]
    fn a_low_is_left_over_its_rim() {
        let nodes = nodes();
        let dent = |p: Coord| {
            let d = p - Coord { x: 200.0, y: 150.0 };
            50.0 - 0.001 * p.x - 0.2 * libm::exp(-(d.x * d.x + d.y * d.y) / 800.0)
        };
        let path = surface(dent, &within, &nodes).trace(Coord { x: 60.0, y: 155.0 });
        let last = path.points[path.points.len() - 1];
        assert!(last.x > 375.0, "{last:?}");
        assert!(path.heads.windows(2).all(|h| h[1] <= h[0]), "{:?}", path.heads);
        // A pumped well takes the water.
        let mut pumped = surface(dent, &within, &nodes);
        pumped.sinks.push((Coord { x: 200.0, y: 150.0 }, 3));
        let path = pumped.trace(Coord { x: 60.0, y: 155.0 });
        assert_eq!(path.end, End::Pumped { well: 3 });
    }
}
