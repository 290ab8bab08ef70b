//! Sibson's surface on a grid without looking at any node by itself.
//!
//! The natural neighbours of a node are the corners of the triangles whose circles hold it, and
//! every sum that Sibson's mean is made of can be split into parts that belong to one triangle or
//! to one side of it. So each triangle paints its parts over its circle, row by row, and a side's
//! parts are painted where the circle on its left holds the node and the one on its right does
//! not. No node is ever located, and the loops run along rows. `docs/natural-neighbour.md`
//! derives the parts.

#![expect(clippy::inline_always, reason = "all is to be compiled for its caller's arithmetic")]

use std::ops::Range;

use geo::Coord;
use pulp::Simd;
use pulp::WithSimd;

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

/// The largest count of numbers that a processor takes at once, and a multiple of all others.
const BLOCK: usize = 8;

/// The golden ratio of 2³²: multiples of it are spread evenly (Knuth 1998, 6.4).
const SCATTER: u32 = 0x9E37_79B9;

/// A triangle's part of Sibson's sums.
#[derive(Debug)]
struct Disc {
    centre: Coord,
    radius: f64,
    sides: [Side; 3],
    /// Twice the triangle's.
    area: f64,
    /// The moments' part that is linear over the circle: at its centre, and its fall.
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
    columns: &'a Axis,
    /// The columns' positions, and places beyond the last up to whole blocks.
    xs: Vec<f64>,
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
    pub(super) fn new(net: &'a Net, heads: &[f64], columns: &'a Axis) -> Self {
        let reference = heads.iter().sum::<f64>() / heads.len() as f64;
        let discs = net.inner().iter().map(|f| {
            let heads = f.corners.map(|i| heads[i as usize] - reference);
            Disc::new(f.corners.map(|i| net.position(i)), heads)
        });
        let lowest = heads.iter().copied().fold(f64::INFINITY, f64::min);
        let highest = heads.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let mut xs = columns.positions().to_vec();
        xs.resize(xs.len().next_multiple_of(BLOCK), xs[xs.len() - 1] + 1.0);
        Self { net, reference, lowest, highest, discs: discs.collect(), columns, xs }
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
    /// What [`Paint::reaching`] has given for rows about it.
    pub(super) reaching: &'r [u32],
    /// Its nodes within the outline.
    pub(super) support: Range<usize>,
    pub(super) scratch: &'r mut Scratch,
    /// Takes the heads of the nodes within the outline, or NaN where only the node-by-node way has
    /// one.
    pub(super) heads: &'r mut [f64],
}

impl WithSimd for Row<'_, '_> {
    type Output = ();

    /// Paints it.
    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let Self { paint, number: row, y, reaching, support, scratch, heads } = self;
        let xs = &paint.xs[..];
        let Scratch { held, active, moments, areas } = scratch;
        held.resize(paint.discs.len(), (usize::MAX, 0..0));
        for sums in [&mut *moments, &mut *areas] {
            sums.clear();
            sums.resize(xs.len(), 0.0);
        }
        active.clear();
        for &t in reaching {
            let nodes = paint.discs[t as usize].nodes(y, paint.columns);
            let nodes = nodes.start.max(support.start)..nodes.end.min(support.end);
            if !nodes.is_empty() {
                held[t as usize] = (row, nodes);
                active.push(t);
            }
        }
        let mut sums = Sums {
            simd,
            xs: S::as_simd_f64s(xs).0,
            moments: S::as_mut_simd_f64s(moments).0,
            areas: S::as_mut_simd_f64s(areas).0,
        };
        for &t in &*active {
            let nodes = held[t as usize].1.clone();
            let disc = &paint.discs[t as usize];
            let twins = &paint.net.facets[t as usize].twins;
            disc.paint(&mut sums, (&nodes, xs), y);
            if disc.flat {
                continue;
            }
            for (side, twin) in disc.sides.iter().zip(twins) {
                let beyond = match held.get((twin >> 2) as usize) {
                    Some((held_row, beyond)) if *twin != NONE && *held_row == row => beyond.clone(),
                    _ => nodes.end..nodes.end,
                };
                let before = nodes.start..nodes.end.min(beyond.start);
                let after = nodes.start.max(beyond.end)..nodes.end;
                for part in [before, after] {
                    if !part.is_empty() {
                        side.paint(&mut sums, (&part, xs), y);
                    }
                }
            }
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

/// The sums at the nodes of a row, as many at once as the processor adds.
///
/// Nodes are always taken in the same blocks: a processor waits when it loads what two stores have
/// left.
struct Sums<'s, S: Simd> {
    simd: S,
    /// Where the nodes are, m.
    xs: &'s [S::f64s],
    moments: &'s mut [S::f64s],
    areas: &'s mut [S::f64s],
}

impl<S: Simd> Sums<'_, S> {
    /// Adds `part` to area and moment at some nodes. It is given where they are and which of them
    /// count; to the others it has to give zeroes.
    #[inline(always)]
    fn add(
        &mut self,
        (nodes, xs): (&Range<usize>, &[f64]),
        part: impl Fn(S, S::f64s, S::m64s) -> (S::f64s, S::f64s),
    ) {
        let simd = self.simd;
        let (from, to) = (simd.splat_f64s(xs[nodes.start]), simd.splat_f64s(xs[nodes.end - 1]));
        let blocks = nodes.start / S::F64_LANES..(nodes.end - 1) / S::F64_LANES + 1;
        let sums = self.moments[blocks.clone()].iter_mut().zip(&mut self.areas[blocks.clone()]);
        for ((m, s), x) in sums.zip(&self.xs[blocks]) {
            let within = simd.and_m64s(
                simd.greater_than_or_equal_f64s(*x, from),
                simd.less_than_or_equal_f64s(*x, to),
            );
            let (area, moment) = part(simd, *x, within);
            *s = simd.add_f64s(*s, area);
            *m = simd.add_f64s(*m, moment);
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
            let (a, b) = (side.a - centre, side.b - centre);
            at_centre += factor * side.skew(a, b) + side.mean * cross(a, b);
            fall = fall + side.along * factor;
            fall = fall + Coord { x: side.along.y, y: -side.along.x } * side.mean;
        }
        let length = |side: &Side| libm::hypot(side.along.x, side.along.y);
        let longest = sides.iter().map(length).fold(0.0, f64::max);
        let flat = !radius.is_finite() || radius > FLAT * longest;
        let area = cross(corners[1] - corners[0], corners[2] - corners[0]);
        Self { centre, radius, sides, area, at_centre, fall, flat }
    }

    /// Adds the linear part to the sums at some nodes of the row at `y`.
    #[inline(always)]
    fn paint<S: Simd>(&self, sums: &mut Sums<S>, nodes: (&Range<usize>, &[f64]), y: f64) {
        let at_row = self.at_centre - self.fall.y * (y - self.centre.y);
        let simd = sums.simd;
        let area = simd.splat_f64s(if self.flat { f64::NAN } else { self.area });
        let (at_row, fall, centre) =
            (simd.splat_f64s(at_row), simd.splat_f64s(self.fall.x), simd.splat_f64s(self.centre.x));
        let zero = simd.splat_f64s(0.0);
        sums.add(nodes, |simd, x, within| {
            let moment = simd.sub_f64s(at_row, simd.mul_f64s(fall, simd.sub_f64s(x, centre)));
            (simd.select_f64s(within, area, zero), simd.select_f64s(within, moment, zero))
        });
    }

    /// The nodes of a row that the circle holds.
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
    #[inline(always)]
    fn skew(&self, a: Coord, b: Coord) -> f64 {
        0.5 * (self.along.x * (a.x + b.x) + self.along.y * (a.y + b.y))
    }

    /// Adds what the side gives where it bounds the triangles that hold the node, beyond what its
    /// triangle gives to all of its circle.
    #[inline(always)]
    fn paint<S: Simd>(&self, sums: &mut Sums<S>, nodes: (&Range<usize>, &[f64]), y: f64) {
        let Self { along, half_square, mean, half_fall, .. } = *self;
        let from = Coord { x: self.a.x, y };
        let (a, b) = (self.a - from, self.b - from);
        let across = -a.y * along.x;
        let dot = a.y * b.y;
        let weight = half_square * mean + half_fall * self.skew(a, b);
        let turn = half_fall * along.x;
        let simd = sums.simd;
        let splat = |x: f64| simd.splat_f64s(x);
        let (from, across, up, dot, both) =
            (splat(from.x), splat(across), splat(along.y), splat(dot), splat(along.x));
        let (half_square, weight, turn) = (splat(-half_square), splat(-weight), splat(turn));
        let zero = splat(0.0);
        sums.add(nodes, |simd, x, within| {
            let dx = simd.sub_f64s(x, from);
            let across = simd.sub_f64s(across, simd.mul_f64s(up, dx));
            let product = simd.add_f64s(dot, simd.mul_f64s(dx, simd.sub_f64s(dx, both)));
            let cotangent = simd.select_f64s(within, simd.div_f64s(product, across), zero);
            let moment = simd.add_f64s(weight, simd.mul_f64s(turn, dx));
            (simd.mul_f64s(half_square, cotangent), simd.mul_f64s(cotangent, moment))
        });
    }
}
