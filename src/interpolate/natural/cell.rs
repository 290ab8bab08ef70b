//! Sibson's weights at a well, the well itself left out.

use geo::Coord;

use super::net::Net;
use super::net::cross;
use super::ring::CENTRED;

/// How much looser than [`CENTRED`] the weights at a well may be: they come from a few clipped
/// polygons instead of one walk.
const LOOSER: f64 = 1e3;

/// The weights of `sites` at the origin, whose own cell without them is `cell`: the part of the
/// cell that would fall to each site. `None` when they cannot be had in double precision.
///
/// Sites that are not natural neighbours may be among them; their weight is 0. Costs the square
/// of the count of sites, which is about 6.
///
/// # Units
/// - `cell`: m, convex, counter-clockwise, about the origin; `sites`: m from the origin
///
/// # References
/// Sibson (1981).
pub(super) fn shares(cell: &[Coord], sites: &[Coord]) -> Option<Vec<f64>> {
    let (mut part, mut spare) = (Vec::new(), Vec::new());
    let mut weights: Vec<f64> = (0..sites.len())
        .map(|i| {
            part.clear();
            part.extend_from_slice(cell);
            for (j, other) in sites.iter().enumerate() {
                if j != i && part.len() > 2 {
                    clip(&mut part, &mut spare, sites[i], *other);
                }
            }
            area(&part)
        })
        .collect();
    let all: f64 = weights.iter().sum();
    let (mut x, mut y, mut reach) = (0.0, 0.0, 0.0f64);
    for (w, s) in weights.iter_mut().zip(sites) {
        *w /= all;
        x += *w * s.x;
        y += *w * s.y;
        if *w > 0.0 {
            reach = reach.max(libm::hypot(s.x, s.y));
        }
    }
    (libm::hypot(x, y) <= LOOSER * CENTRED * reach).then_some(weights)
}

/// The sites around an inner vertex when `without` is left out, and that vertex's cell then.
/// All from the vertex.
pub(super) fn cell_without(net: &Net, vertex: u32, without: u32) -> (Vec<u32>, Vec<Coord>) {
    let at = net.position(vertex);
    let (mut sites, centres) = net.around(vertex);
    let (beyond, others) = net.around(without);
    sites.extend(beyond);
    sites.sort_unstable();
    sites.dedup();
    sites.retain(|s| *s != vertex && *s != without);
    // The cell can only grow into the cell of the vertex left out.
    let shift = net.position(without) - at;
    let corners = centres.into_iter().chain(others.into_iter().map(|c| c + shift));
    let (mut low, mut high) = (Coord::<f64>::zero(), Coord::<f64>::zero());
    for c in corners {
        low = Coord { x: low.x.min(c.x), y: low.y.min(c.y) };
        high = Coord { x: high.x.max(c.x), y: high.y.max(c.y) };
    }
    let mut cell = vec![low, Coord { x: high.x, y: low.y }, high, Coord { x: low.x, y: high.y }];
    let mut spare = Vec::new();
    for s in &sites {
        clip(&mut cell, &mut spare, Coord { x: 0.0, y: 0.0 }, net.position(*s) - at);
    }
    (sites, cell)
}

/// Cuts off the part of a convex polygon that is nearer to `other` than to `own`.
fn clip(part: &mut Vec<Coord>, spare: &mut Vec<Coord>, own: Coord, other: Coord) {
    let toward = other - own;
    let bound =
        0.5 * ((other.x - own.x) * (other.x + own.x) + (other.y - own.y) * (other.y + own.y));
    let beyond = |p: Coord| p.x * toward.x + p.y * toward.y - bound;
    spare.clear();
    let Some(mut from) = part.last().copied() else { return };
    let mut from_beyond = beyond(from);
    for &to in part.iter() {
        let to_beyond = beyond(to);
        if (from_beyond > 0.0) != (to_beyond > 0.0) {
            let t = from_beyond / (from_beyond - to_beyond);
            spare.push(from + (to - from) * t);
        }
        if to_beyond <= 0.0 {
            spare.push(to);
        }
        (from, from_beyond) = (to, to_beyond);
    }
    std::mem::swap(part, spare);
}

/// Twice the area of a convex polygon.
fn area(part: &[Coord]) -> f64 {
    let Some(origin) = part.first() else { return 0.0 };
    part.windows(2).map(|w| cross(w[0] - *origin, w[1] - *origin)).sum::<f64>().max(0.0)
}
