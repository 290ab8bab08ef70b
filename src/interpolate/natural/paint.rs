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
    sides: [Side; 3],
    /// The part of all three sides that is even over the circle: at its centre, and its fall.
    at_centre: f64,
    fall: Coord,
    flat: bool,
}

/// The triangles of a net, ready to paint.
#[derive(Debug)]
pub(super) struct Paint<'a> {
    net: &'a Net,
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
    pub(super) fn new(net: &'a Net, heads: &[f64]) -> Self {
        let reference = heads.iter().sum::<f64>() / heads.len() as f64;
        let discs = net.facets.iter().map(|f| {
            let heads = f.corners.map(|i| heads[i as usize] - reference);
            Disc::new(f.corners.map(|i| net.position(i)), heads)
        });
        let lowest = heads.iter().copied().fold(f64::INFINITY, f64::min);
        let highest = heads.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Self { net, reference, lowest, highest, discs: discs.collect() }
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
}

/// One row to paint.
pub(super) struct Row<'r, 'a> {
    pub(super) paint: &'r Paint<'a>,
    /// Its number.
    pub(super) number: usize,
    /// Where it is, m.
    pub(super) y: f64,
    pub(super) columns: &'r Axis,
    /// What [`Paint::reaching`] has given for rows about it.
    pub(super) reaching: &'r [u32],
    /// Its nodes within the outline.
    pub(super) support: Range<usize>,
    pub(super) scratch: &'r mut Scratch,
    /// Takes the heads of the nodes within the outline, or NaN where only the node-by-node way has
    /// one.
    pub(super) heads: &'r mut [f64],
}

impl Row<'_, '_> {
    /// Paints it.
    #[expect(clippy::inline_always, reason = "it is to be compiled for its caller's arithmetic")]
    #[inline(always)]
    pub(super) fn paint(self) {
        let Self { paint, number: row, y, columns, reaching, support, scratch, heads } = self;
        let Scratch { held, active, moments, areas } = scratch;
        held.resize(paint.discs.len(), (usize::MAX, 0..0));
        for sums in [&mut *moments, &mut *areas] {
            sums.clear();
            sums.resize(columns.positions().len(), 0.0);
        }
        active.clear();
        for &t in reaching {
            let nodes = paint.discs[t as usize].nodes(y, columns);
            let nodes = nodes.start.max(support.start)..nodes.end.min(support.end);
            if !nodes.is_empty() {
                held[t as usize] = (row, nodes);
                active.push(t);
            }
        }
        let xs = columns.positions();
        for &t in &*active {
            let nodes = held[t as usize].1.clone();
            let disc = &paint.discs[t as usize];
            if disc.flat {
                moments[nodes].fill(f64::NAN);
                continue;
            }
            let twins = paint.net.facets[t as usize].twins;
            for (side, twin) in disc.sides.iter().zip(twins) {
                let beyond = match held.get((twin >> 2) as usize) {
                    Some((held_row, beyond)) if twin != NONE && *held_row == row => beyond.clone(),
                    _ => nodes.end..nodes.end,
                };
                let before = nodes.start..nodes.end.min(beyond.start);
                let after = nodes.start.max(beyond.end)..nodes.end;
                for part in [before, after] {
                    if !part.is_empty() {
                        let sums = (&mut moments[part.clone()], &mut areas[part.clone()]);
                        side.paint(&xs[part], y, sums);
                    }
                }
            }
            disc.paint(&xs[nodes.clone()], y, &mut moments[nodes]);
        }
        let (reference, lowest, highest) = (paint.reference, paint.lowest, paint.highest);
        let sums = moments[support.clone()].iter().zip(&areas[support.clone()]);
        for (head, (m, a)) in heads[support].iter_mut().zip(sums) {
            let mean = if *a > 0.0 { reference + m / a } else { f64::NAN };
            // Comparisons with NaN are false, and it stays.
            let mean = if mean < lowest { lowest } else { mean };
            *head = if mean > highest { highest } else { mean };
        }
    }
}

impl Disc {
    fn new(corners: [Coord; 3], heads: [f64; 3]) -> Self {
        let to_centre = to_centre(corners[1] - corners[0], corners[2] - corners[0]);
        let (centre, radius) = (corners[0] + to_centre, libm::hypot(to_centre.x, to_centre.y));
        let sides = [0, 1, 2].map(|k| {
            let ends = [k, next(k)].map(|k| k as usize);
            Side::new(ends.map(|i| corners[i]), ends.map(|i| heads[i]))
        });
        let (mut at_centre, mut fall) = (0.0, Coord { x: 0.0, y: 0.0 });
        for (k, side) in (0..).zip(&sides) {
            let opposite = corners[previous(k) as usize];
            let (a, b) = (side.a - opposite, side.b - opposite);
            // The centre's distance left of the side, over the side's length.
            let half_cotangent = 0.5 * (a.x * b.x + a.y * b.y) / cross(a, b);
            let factor = 4.0 * half_cotangent * side.half_fall;
            at_centre += factor * side.skew(side.a - centre, side.b - centre);
            fall = fall + side.along * factor;
        }
        let length = |side: &Side| libm::hypot(side.along.x, side.along.y);
        let longest = sides.iter().map(length).fold(0.0, f64::max);
        let flat = !radius.is_finite() || radius > FLAT * longest;
        Self { centre, radius, sides, at_centre, fall, flat }
    }

    /// Adds the even part to the moments of the nodes at `xs` in the row at `y`.
    #[expect(clippy::inline_always, reason = "it is to be compiled for its caller's arithmetic")]
    #[inline(always)]
    fn paint(&self, xs: &[f64], y: f64, moments: &mut [f64]) {
        let at_row = self.at_centre - self.fall.y * (y - self.centre.y);
        let (fall, x) = (self.fall.x, self.centre.x);
        for (m, node) in moments.iter_mut().zip(xs) {
            *m += at_row - fall * (node - x);
        }
    }

    /// The nodes of a row that the circle holds.
    #[expect(clippy::inline_always, reason = "it is to be compiled for its caller's arithmetic")]
    #[inline(always)]
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

/// A side of a triangle from `a` to `b`, the triangle on its left.
#[derive(Debug)]
struct Side {
    a: Coord,
    b: Coord,
    along: Coord,
    /// Half the square of its length.
    half_square: f64,
    /// Mean of the two heads.
    mean: f64,
    /// Half of what the head at `a` is above that at `b`.
    half_fall: f64,
}

impl Side {
    fn new([a, b]: [Coord; 2], [ha, hb]: [f64; 2]) -> Self {
        let along = b - a;
        let half_square = 0.5 * (along.x * along.x + along.y * along.y);
        Self { a, b, along, half_square, mean: 0.5 * (ha + hb), half_fall: 0.5 * (ha - hb) }
    }

    /// The side's vector times that to its middle, from where its ends are at `a` and `b`.
    #[expect(clippy::inline_always, reason = "it is to be compiled for its caller's arithmetic")]
    #[inline(always)]
    fn skew(&self, a: Coord, b: Coord) -> f64 {
        0.5 * (self.along.x * (a.x + b.x) + self.along.y * (a.y + b.y))
    }

    /// Adds what the side gives where it bounds the triangles that hold the node, to the nodes at
    /// `xs` in the row at `y`.
    #[expect(clippy::inline_always, reason = "it is to be compiled for its caller's arithmetic")]
    #[inline(always)]
    fn paint(&self, xs: &[f64], y: f64, (moments, areas): (&mut [f64], &mut [f64])) {
        let Self { along, half_square, mean, half_fall, .. } = *self;
        let from = Coord { x: xs[0], y };
        let (a, b) = (self.a - from, self.b - from);
        let across = cross(a, b);
        let (dot, both) = (a.x * b.x + a.y * b.y, a.x + b.x);
        let (skew, turn) = (half_fall * self.skew(a, b), half_fall * along.x);
        for ((m, s), node) in moments.iter_mut().zip(areas).zip(xs) {
            let dx = node - from.x;
            let across = across - along.y * dx;
            let cotangent = (dot + dx * (dx - both)) / across;
            let area = across - half_square * cotangent;
            *s += area;
            *m += area * mean - cotangent * (skew - turn * dx);
        }
    }
}
