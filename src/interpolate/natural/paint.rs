//! Sibson's surface on a grid without looking at any node by itself.
//!
//! The natural neighbours of a node are the corners of the triangles whose circles hold it, and
//! every sum that Sibson's mean is made of can be split into parts that belong to one triangle or
//! to one side of it. So each triangle paints its parts over its circle, row by row, and a side's
//! parts are painted where the circle on its left holds the node and the one on its right does
//! not. No node is ever located, and the loops run along rows. `docs/natural-neighbour.md`
//! derives the parts.

use std::ops::Range;

use geo::Coord;

use super::net::NONE;
use super::net::Net;
use super::net::cross;
use super::net::next;
use super::net::previous;
use super::net::to_centre;
use crate::interpolate::axis::Axis;

/// A triangle whose circle's radius is more than this many times its longest side is left to the
/// node-by-node way: its parts are so much larger than their sum that digits would be lost.
const FLAT: f64 = 1e4;

/// The golden ratio of 2³²: multiples of it are spread evenly (Knuth 1998, 6.4).
const SCATTER: u32 = 0x9E37_79B9;

/// A triangle's part of Sibson's sums.
#[derive(Debug)]
struct Disc {
    centre: Coord,
    radius: f64,
    /// For each side half the cotangent of the angle opposite: the centre's distance left of the
    /// side, over the side's length.
    cotangents: [f64; 3],
    flat: bool,
}

/// The triangles of a net, ready to paint.
#[derive(Debug)]
pub(super) struct Paint<'a> {
    net: &'a Net,
    heads: &'a [f64],
    /// What heads are counted from.
    reference: f64,
    lowest: f64,
    highest: f64,
    discs: Vec<Disc>,
}

/// What one thread needs to paint a row. Kept from row to row.
#[derive(Debug, Default)]
pub(super) struct Scratch {
    /// The nodes that each triangle's circle holds in the row of this number.
    held: Vec<(usize, Range<usize>)>,
    active: Vec<u32>,
    /// Sum of areas times heads at each node.
    moments: Vec<f64>,
    /// Sum of areas at each node.
    areas: Vec<f64>,
}

impl<'a> Paint<'a> {
    pub(super) fn new(net: &'a Net, heads: &'a [f64]) -> Self {
        let discs = net.facets.iter().map(|f| Disc::new(f.corners.map(|i| net.position(i))));
        let reference = heads.iter().sum::<f64>() / heads.len() as f64;
        let lowest = heads.iter().copied().fold(f64::INFINITY, f64::min);
        let highest = heads.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Self { net, heads, reference, lowest, highest, discs: discs.collect() }
    }

    /// The triangles that paint in rows between these ends, in an order that scatters neighbours:
    /// a processor waits when it adds to a node that it has added to just before.
    pub(super) fn reaching(&self, south: f64, north: f64) -> Vec<u32> {
        let reaches = |d: &Disc| d.centre.y - d.radius <= north && d.centre.y + d.radius >= south;
        let reaching = (0u32..).zip(&self.discs).filter(|(_, d)| reaches(d)).map(|(t, _)| t);
        let mut reaching: Vec<u32> = reaching.collect();
        reaching.sort_unstable_by_key(|t| t.wrapping_mul(SCATTER));
        reaching
    }

    /// Paints the nodes `support` of one row: their heads, or NaN where only the node-by-node way
    /// has one.
    pub(super) fn row(
        &self,
        (row, y): (usize, f64),
        columns: &Axis,
        reaching: &[u32],
        support: Range<usize>,
        scratch: &mut Scratch,
        heads: &mut [f64],
    ) {
        let Scratch { held, active, moments, areas } = scratch;
        held.resize(self.discs.len(), (usize::MAX, 0..0));
        for sums in [&mut *moments, &mut *areas] {
            sums.clear();
            sums.resize(columns.positions().len(), 0.0);
        }
        active.clear();
        for &t in reaching {
            let nodes = self.discs[t as usize].nodes(y, columns);
            let nodes = nodes.start.max(support.start)..nodes.end.min(support.end);
            if !nodes.is_empty() {
                held[t as usize] = (row, nodes);
                active.push(t);
            }
        }
        for &t in &*active {
            let nodes = held[t as usize].1.clone();
            let disc = &self.discs[t as usize];
            if disc.flat {
                moments[nodes].fill(f64::NAN);
                continue;
            }
            let xs = columns.positions();
            let facet = &self.net.facets[t as usize];
            let at = Coord { x: xs[nodes.start], y };
            let (mut sum, mut slope) = (0.0, 0.0);
            for k in 0..3 {
                let side = self.side(facet.corners, k, at);
                let factor = 2.0 * disc.cotangents[k] * side.fall;
                sum += factor * side.skew;
                slope -= factor * side.along.x;
                let twin = facet.twins[k];
                let beyond = match held.get((twin >> 2) as usize) {
                    Some((held_row, beyond)) if twin != NONE && *held_row == row => beyond.clone(),
                    _ => nodes.end..nodes.end,
                };
                let before = nodes.start..nodes.end.min(beyond.start);
                let after = nodes.start.max(beyond.end)..nodes.end;
                for part in [before, after] {
                    if !part.is_empty() {
                        let sums = (&mut moments[part.clone()], &mut areas[part.clone()]);
                        side.paint(&xs[part], at.x, sums);
                    }
                }
            }
            for (m, x) in moments[nodes.clone()].iter_mut().zip(&xs[nodes]) {
                *m += sum + slope * (x - at.x);
            }
        }
        let sums = moments[support.clone()].iter().zip(&areas[support.clone()]);
        for (head, (m, a)) in heads[support].iter_mut().zip(sums) {
            let mean = self.reference + if *a > 0.0 { m / a } else { f64::NAN };
            // Comparisons with NaN are false, and it stays.
            *head = if mean < self.lowest {
                self.lowest
            } else if mean > self.highest {
                self.highest
            } else {
                mean
            };
        }
    }

    /// A side of a triangle, seen from a place.
    fn side(&self, corners: [u32; 3], k: usize, from: Coord) -> Side {
        let [v, w] = [corners[k], corners[(k + 1) % 3]];
        let (a, b) = (self.net.position(v) - from, self.net.position(w) - from);
        let along = b - a;
        let [ha, hb] = [v, w].map(|i| self.heads[i as usize] - self.reference);
        Side {
            a,
            b,
            along,
            skew: 0.5 * (along.x * (a.x + b.x) + along.y * (a.y + b.y)),
            mean: 0.5 * (ha + hb),
            fall: ha - hb,
        }
    }
}

impl Disc {
    fn new([a, b, c]: [Coord; 3]) -> Self {
        let corners = [a, b, c];
        let to_centre = to_centre(b - a, c - a);
        let radius = libm::hypot(to_centre.x, to_centre.y);
        let length = |k: usize| {
            let d = corners[(k + 1) % 3] - corners[k];
            libm::hypot(d.x, d.y)
        };
        let longest = length(0).max(length(1)).max(length(2));
        let cotangents = [0, 1, 2].map(|k: u32| {
            let [a, b, o] = [k, next(k), previous(k)].map(|k| corners[k as usize]);
            let (a, b) = (a - o, b - o);
            0.5 * (a.x * b.x + a.y * b.y) / cross(a, b)
        });
        let flat = !radius.is_finite() || radius > FLAT * longest;
        Self { centre: a + to_centre, radius, cotangents, flat }
    }

    /// The nodes of a row that the circle holds.
    fn nodes(&self, y: f64, columns: &Axis) -> Range<usize> {
        let d = y - self.centre.y;
        let square = (self.radius - d) * (self.radius + d);
        if square > 0.0 {
            let half = square.sqrt();
            columns.between(self.centre.x - half, self.centre.x + half)
        } else {
            0..0
        }
    }
}

/// A side of a triangle from `a` to `b`, the triangle on its left, seen from a place.
struct Side {
    a: Coord,
    b: Coord,
    along: Coord,
    /// The side's vector times that to its middle.
    skew: f64,
    /// Mean of the two heads.
    mean: f64,
    /// Head at `a` less head at `b`.
    fall: f64,
}

impl Side {
    /// Adds what a side gives where it bounds the triangles that hold the node.
    ///
    /// `moments` and `areas` belong to the nodes at `xs`; the side is seen from `x`.
    fn paint(&self, xs: &[f64], x: f64, (moments, areas): (&mut [f64], &mut [f64])) {
        let Self { a, b, along, mean, .. } = *self;
        let across = cross(a, b);
        let (dot, both) = (a.x * b.x + a.y * b.y, a.x + b.x);
        let half_square = 0.5 * (along.x * along.x + along.y * along.y);
        let (skew, turn) = (0.5 * self.fall * self.skew, 0.5 * self.fall * along.x);
        for ((m, s), node) in moments.iter_mut().zip(areas).zip(xs) {
            let dx = node - x;
            let across = across - along.y * dx;
            let cotangent = (dot + dx * (dx - both)) / across;
            let area = across - half_square * cotangent;
            *s += area;
            *m += area * mean - cotangent * (skew - turn * dx);
        }
    }
}
