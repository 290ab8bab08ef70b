//! Pieces of lines, found without a walk over all of them.

use std::cell::Cell;

use super::spacing::distance;
use geo::Coord;

/// So many pieces are gone through one by one.
const FEW: usize = 4;

/// Straight pieces of lines, each from one vertex to the next, and places as pieces of no length.
///
/// What is asked of them takes time with the logarithm of their number and with what is found. The
/// tree is built once and never changes, and is asked hundreds of thousands of times about the paths
/// of realizations; one that can grow takes several times as long to ask.
#[derive(Debug, Clone, Default)]
pub(crate) struct Pieces {
    all: Vec<[Coord; 2]>,
    /// The same and their numbers, those of one node side by side.
    order: Vec<([Coord; 2], usize)>,
    /// Each node before all below it, the first child right behind it.
    nodes: Vec<Node>,
}

/// Some pieces that lie near each other.
#[derive(Debug, Clone, Copy)]
struct Node {
    bounds: Bounds,
    /// Its pieces in the order.
    from: usize,
    to: usize,
    /// Its second child; of a node without children 0.
    second: usize,
}

/// A box about places.
#[derive(Debug, Clone, Copy)]
struct Bounds {
    low: Coord,
    high: Coord,
}

/// The straight way from one place to another.
#[derive(Debug, Clone, Copy)]
pub struct Stretch {
    /// Where it begins.
    pub from: Coord,
    /// Where it ends.
    pub to: Coord,
    /// How long it is.
    pub length: f64,
    along: Coord,
}

impl Pieces {
    /// An index of some pieces; their order is that of their numbers.
    ///
    /// # Units
    /// - any, the same as of the places asked about later
    #[must_use]
    pub(crate) fn new(all: Vec<[Coord; 2]>) -> Self {
        let order = all.iter().copied().zip(0..).collect();
        let mut pieces = Self { all, order, nodes: Vec::new() };
        if !pieces.is_empty() {
            pieces.part(0, pieces.all.len());
        }
        pieces
    }

    /// Adds the node of some pieces of the order, and the nodes below it.
    fn part(&mut self, from: usize, to: usize) {
        let own = &mut self.order[from..to];
        let about = own.iter().map(|(piece, _)| Bounds::about(*piece));
        let Some(bounds) = about.reduce(Bounds::with) else { return };
        let node = self.nodes.len();
        self.nodes.push(Node { bounds, from, to, second: 0 });
        if own.len() <= FEW {
            return;
        }
        let size = bounds.high - bounds.low;
        let middle = |[a, b]: [Coord; 2]| if size.x >= size.y { a.x + b.x } else { a.y + b.y };
        let half = own.len() / 2;
        own.select_nth_unstable_by(half, |(one, i), (other, j)| {
            middle(*one).total_cmp(&middle(*other)).then(i.cmp(j))
        });
        self.part(from, from + half);
        self.nodes[node].second = self.nodes.len();
        self.part(from + half, to);
    }

    /// All of them.
    #[must_use]
    pub(crate) fn all(&self) -> &[[Coord; 2]] {
        &self.all
    }

    /// Whether there are none.
    #[must_use]
    pub(crate) const fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// The numbers of those that lie in boxes that are wanted, in no order.
    fn walk(&self, wanted: impl Fn(&Bounds) -> bool) -> impl Iterator<Item = usize> {
        // What is to be seen later: a second child for each level at the most, and a node halves its
        // pieces.
        let mut later = [0; usize::BITS as usize];
        let mut count = usize::from(!self.is_empty());
        let mut found = [].iter();
        std::iter::from_fn(move || {
            loop {
                if let Some((_, i)) = found.find(|(piece, _)| wanted(&Bounds::about(*piece))) {
                    return Some(*i);
                }
                count = count.checked_sub(1)?;
                let k = later[count];
                let node = &self.nodes[k];
                if !wanted(&node.bounds) {
                    continue;
                }
                if node.second == 0 {
                    found = self.order[node.from..node.to].iter();
                } else {
                    later[count..count + 2].copy_from_slice(&[node.second, k + 1]);
                    count += 2;
                }
            }
        })
    }

    /// The numbers of those whose box meets the box from one corner to another, in no order.
    pub(crate) fn in_box(&self, low: Coord, high: Coord) -> impl Iterator<Item = usize> {
        let around = Bounds { low, high };
        self.walk(move |bounds| {
            work::looked_at();
            bounds.meets(&around)
        })
    }

    /// Those that may come nearer than `reach` to a way before `until` along it, in no order; some
    /// that do not are among them. Both may become less while they are gone through.
    pub(crate) fn beside<'a>(
        &'a self,
        way: Stretch,
        reach: &'a Cell<f64>,
        until: &'a Cell<f64>,
    ) -> impl Iterator<Item = [Coord; 2]> + use<'a> {
        let wanted = move |bounds: &Bounds| {
            work::looked_at();
            let (off, begins) = way.bounds(bounds);
            off < reach.get() && begins - reach.get() < until.get()
        };
        self.walk(wanted).map(|i| self.all[i])
    }

    /// The one nearest to a place.
    #[must_use]
    pub(crate) fn nearest(&self, p: Coord) -> Option<[Coord; 2]> {
        self.nearest_number(p).map(|i| self.all[i])
    }

    /// The number of the one nearest to a place.
    #[must_use]
    pub(crate) fn nearest_number(&self, p: Coord) -> Option<usize> {
        let mut nearest = (f64::INFINITY, None);
        if !self.is_empty() {
            self.nearer(p, 0, &mut nearest);
        }
        nearest.1
    }

    /// Goes through a node for a piece that is nearer than the square of a distance.
    fn nearer(&self, p: Coord, node: usize, nearest: &mut (f64, Option<usize>)) {
        let Node { from, to, second, .. } = self.nodes[node];
        if second == 0 {
            for (piece, number) in &self.order[from..to] {
                work::looked_at();
                let square = square(at(*piece, foot(*piece, p)) - p);
                if square < nearest.0 {
                    *nearest = (square, Some(*number));
                }
            }
            return;
        }
        let child = |k: usize| (self.nodes[k].bounds.off(p), k);
        let (one, other) = (child(node + 1), child(second));
        let both = if other.0 < one.0 { [other, one] } else { [one, other] };
        for (off, child) in both {
            work::looked_at();
            if off < nearest.0 {
                self.nearer(p, child, nearest);
            }
        }
    }

    /// The distance from a place to the nearest one; infinite when there is none.
    #[must_use]
    pub(crate) fn distance(&self, p: Coord) -> f64 {
        self.nearest(p).map_or(f64::INFINITY, |piece| distance(p, at(piece, foot(piece, p))))
    }
}

impl Bounds {
    fn about([a, b]: [Coord; 2]) -> Self {
        Self {
            low: Coord { x: a.x.min(b.x), y: a.y.min(b.y) },
            high: Coord { x: a.x.max(b.x), y: a.y.max(b.y) },
        }
    }

    fn with(self, other: Self) -> Self {
        let (low, high) =
            (Self::about([self.low, other.low]), Self::about([self.high, other.high]));
        Self { low: low.low, high: high.high }
    }

    fn meets(&self, other: &Self) -> bool {
        self.low.x <= other.high.x
            && other.low.x <= self.high.x
            && self.low.y <= other.high.y
            && other.low.y <= self.high.y
    }

    /// The square of the distance from a place.
    fn off(&self, p: Coord) -> f64 {
        let gap = |low: f64, at: f64, high: f64| (low - at).max(at - high).max(0.0);
        square(Coord { x: gap(self.low.x, p.x, self.high.x), y: gap(self.low.y, p.y, self.high.y) })
    }
}

fn square(d: Coord) -> f64 {
    d.x * d.x + d.y * d.y
}

impl Stretch {
    /// The way from one place to another.
    #[must_use]
    pub fn new(from: Coord, to: Coord) -> Self {
        let length = distance(from, to);
        let along = if length > 0.0 { (to - from) / length } else { Coord { x: 1.0, y: 0.0 } };
        Self { from, to, length, along }
    }

    /// No place of a box is nearer to the way than this, and none of it lies before this along it.
    fn bounds(&self, Bounds { low, high }: &Bounds) -> (f64, f64) {
        let half = (*high - *low) * 0.5;
        let middle = *low + half - self.from;
        let (x, y) = (self.along.x, self.along.y);
        // Of the box, turned so that the way runs along an axis, the box about it.
        let (ahead, aside) = (middle.x * x + middle.y * y, middle.y * x - middle.x * y);
        let (x, y) = (x.abs(), y.abs());
        let (deep, wide) = (half.x * x + half.y * y, half.y * x + half.x * y);
        let begins = ahead - deep;
        let off = (-ahead - deep).max(begins - self.length).max(0.0);
        let turned = distance(Coord { x: off, y: (aside.abs() - wide).max(0.0) }, Coord::zero());
        let gap =
            |low: f64, high: f64, a: f64, b: f64| (low - a.max(b)).max(a.min(b) - high).max(0.0);
        let straight = Coord {
            x: gap(low.x, high.x, self.from.x, self.to.x),
            y: gap(low.y, high.y, self.from.y, self.to.y),
        };
        (turned.max(distance(straight, Coord::zero())), begins)
    }
}

/// The share of a piece at which it is nearest to a place.
#[must_use]
pub fn foot([a, b]: [Coord; 2], p: Coord) -> f64 {
    let d = b - a;
    let square = d.x * d.x + d.y * d.y;
    if square > 0.0 {
        (((p.x - a.x) * d.x + (p.y - a.y) * d.y) / square).clamp(0.0, 1.0)
    } else {
        0.0
    }
}

/// The place at a share of a piece.
#[must_use]
pub fn at([a, b]: [Coord; 2], share: f64) -> Coord {
    a + (b - a) * share
}

/// How many pieces, and boxes with pieces, are looked at: what tests of growth count.
pub(crate) mod work {
    #[cfg(not(test))]
    pub(crate) const fn looked_at() {}

    #[cfg(test)]
    thread_local! {
        static LOOKED_AT: std::cell::Cell<usize> = const { std::cell::Cell::new(0) };
    }

    #[cfg(test)]
    pub(crate) fn looked_at() {
        LOOKED_AT.with(|n| n.set(n.get() + 1));
    }

    /// What some work of this thread looks at.
    #[cfg(test)]
    pub(crate) fn of<T>(some: impl FnOnce() -> T) -> (T, usize) {
        let before = LOOKED_AT.with(std::cell::Cell::get);
        let done = some();
        (done, LOOKED_AT.with(std::cell::Cell::get) - before)
    }
}

#[cfg(test)]
mod tests {
    use geo::{Distance, Euclidean, Line};
    use proptest::prelude::*;

    use super::*;

    fn place() -> impl Strategy<Value = Coord> {
        (0..40, 0..40).prop_map(|(x, y)| Coord { x: f64::from(x), y: f64::from(y) })
    }

    fn line([a, b]: [Coord; 2]) -> Line {
        Line::new(a, b)
    }

    proptest! {
        /// Against all pieces one by one, by the geometry library's distances.
        #[test]
        fn nothing_is_overlooked(
            ends in prop::collection::vec((place(), place()), 1..60),
            p in place(),
            q in place(),
            reach in 0.1..9.0_f64,
        ) {
            let all: Vec<[Coord; 2]> = ends.into_iter().map(|(a, b)| [a, b]).collect();
            let pieces = Pieces::new(all.clone());
            let off = |piece: &[Coord; 2]| Euclidean.distance(p, &line(*piece));
            let least = all.iter().map(off).fold(f64::INFINITY, f64::min);
            prop_assert!((pieces.distance(p) - least).abs() < 1e-9);
            let (reach, until) = (Cell::new(reach), Cell::new(f64::INFINITY));
            let beside: Vec<_> = pieces.beside(Stretch::new(p, q), &reach, &until).collect();
            for piece in &all {
                let near = Euclidean.distance(&line([p, q]), &line(*piece)) < reach.get() - 1e-9;
                prop_assert!(!near || beside.contains(piece), "{piece:?} of {all:?}");
            }
            let low = Coord { x: p.x.min(q.x), y: p.y.min(q.y) };
            let high = Coord { x: p.x.max(q.x), y: p.y.max(q.y) };
            let mut found: Vec<usize> = pieces.in_box(low, high).collect();
            found.sort_unstable();
            let meets = |[a, b]: [Coord; 2]| {
                a.x.min(b.x) <= high.x
                    && a.x.max(b.x) >= low.x
                    && a.y.min(b.y) <= high.y
                    && a.y.max(b.y) >= low.y
            };
            let expected: Vec<usize> = (0..all.len()).filter(|i| meets(all[*i])).collect();
            prop_assert_eq!(found, expected);
        }
    }

    /// A thousand times as many pieces are ten halvings more; of a line that trembles some hundreds may
    /// be the nearest.
    #[test]
    fn a_question_takes_time_with_the_logarithm_of_the_pieces() {
        let looked_at = |count: u32| {
            let vertex = |k: u32| {
                let t = f64::from(k) / f64::from(count);
                Coord { x: 900.0 * t, y: 40.0 * libm::sin(7.0 * t) + 0.02 * libm::sin(1e5 * t) }
            };
            let pieces = Pieces::new((0..count).map(|k| [vertex(k), vertex(k + 1)]).collect());
            let places = [(10.0, 90.0), (450.0, -70.0), (890.0, 3.0), (-50.0, 20.0)];
            let ask = || {
                for (x, y) in places {
                    assert!(pieces.distance(Coord { x, y }) > 1.0);
                }
            };
            work::of(ask).1
        };
        let (few, many) = (looked_at(1000), looked_at(1_000_000));
        assert!(many < 30 * few, "{few} {many}");
    }
}
