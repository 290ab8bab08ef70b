//! The outline of the wells, side by side, and the triangles on one line along it.

use std::collections::BTreeMap;

use geo::Coord;

use super::types::{Mesh, Triangle};
use crate::geom::{at, distance, doubled_area, foot};

/// A side of the outline and the wells that stand on it, as far as anyone can tell: those of
/// triangles on one line along it.
#[derive(Debug, Clone)]
pub(crate) struct Side {
    /// In the direction of the side, its two ends among them.
    pub(crate) wells: Vec<usize>,
    /// Which share of the side lies before the foot of each.
    pub(crate) shares: Vec<f64>,
    ends: [Coord; 2],
}

impl Side {
    fn new(wells: Vec<usize>, places: &[Coord]) -> Self {
        let ends = [wells[0], wells[wells.len() - 1]].map(|i| places[i]);
        let mut side = Self { wells, shares: Vec::new(), ends };
        let mut last = 0.0_f64;
        for k in 0..side.wells.len() {
            let share = match k {
                0 => 0.0,
                _ if k + 1 == side.wells.len() => 1.0,
                _ => side.share(places[side.wells[k]]).max(last),
            };
            last = share;
            side.shares.push(share);
        }
        side
    }

    /// Which share of the side lies before the foot of a place.
    fn share(&self, p: Coord) -> f64 {
        foot(self.ends, p)
    }

    /// The place at a share of the side.
    pub(super) fn at(&self, share: f64) -> Coord {
        at(self.ends, share)
    }

    /// How far a place is from the side, m.
    pub(crate) fn distance(&self, p: Coord) -> f64 {
        distance(p, self.at(self.share(p)))
    }

    /// The two wells that a place stands between, and how much of the way from the first to the
    /// second lies before it.
    pub(crate) fn between(&self, p: Coord) -> ([usize; 2], f64) {
        let share = self.share(p);
        let next = self.shares.partition_point(|s| *s < share).clamp(1, self.wells.len() - 1);
        let (from, to) = (self.shares[next - 1], self.shares[next]);
        let part = if to > from { ((share - from) / (to - from)).clamp(0.0, 1.0) } else { 1.0 };
        ([self.wells[next - 1], self.wells[next]], part)
    }
}

/// The outline of a mesh.
#[derive(Debug, Clone)]
pub(crate) struct Outline {
    /// Its sides, counter-clockwise.
    pub(crate) sides: Vec<Side>,
    /// The triangles on one line along it, ascending.
    pub(super) fringe: Vec<usize>,
}

impl Outline {
    /// The wells along it, counter-clockwise, each at its foot on its side, m.
    pub(crate) fn feet(&self) -> Vec<Coord> {
        let feet = |side: &Side| -> Vec<Coord> {
            side.shares[..side.shares.len() - 1].iter().map(|share| side.at(*share)).collect()
        };
        self.sides.iter().flat_map(feet).collect()
    }
}

impl Mesh {
    /// The outline of the wells. A triangle on one line is along it when its long side is on it, or
    /// on another such triangle.
    pub(crate) fn outline(&self) -> Outline {
        let mut on_long_side: BTreeMap<[usize; 2], (usize, usize)> = BTreeMap::new();
        for (i, t) in self.triangles.iter().enumerate().filter(|(_, t)| t.is_line()) {
            let side = |k: usize| [t.corners[k], t.corners[(k + 1) % 3]];
            let length = |k: &usize| {
                let [a, b] = side(*k).map(|i| self.local[i]);
                distance(a, b)
            };
            let long = (0..3).max_by(|a, b| length(a).total_cmp(&length(b))).unwrap_or(0);
            on_long_side.insert(side(long), (i, t.corners[(long + 2) % 3]));
        }
        let mut outline = Outline { sides: Vec::new(), fringe: Vec::new() };
        for (i, from) in self.hull.iter().enumerate() {
            let mut wells = vec![*from];
            let mut ahead = vec![self.hull[(i + 1) % self.hull.len()]];
            while let Some(next) = ahead.pop() {
                match on_long_side.get(&[wells[wells.len() - 1], next]) {
                    Some((triangle, middle)) => {
                        outline.fringe.push(*triangle);
                        ahead.extend([next, *middle]);
                    }
                    None => wells.push(next),
                }
            }
            outline.sides.push(Side::new(wells, &self.local));
        }
        outline.fringe.sort_unstable();
        outline
    }

    /// The triangles within the wells along an outline: all but those on one line along it.
    pub(crate) fn within(&self, outline: &Outline) -> impl Iterator<Item = &Triangle> {
        let mut fringe = outline.fringe.clone().into_iter().peekable();
        let kept = move |(t, _): &(usize, &Triangle)| fringe.next_if_eq(t).is_none();
        self.triangles.iter().enumerate().filter(kept).map(|(_, t)| t)
    }

    /// The triangles on one line along an outline.
    pub(crate) fn along(&self, outline: &Outline) -> impl Iterator<Item = &Triangle> {
        outline.fringe.clone().into_iter().map(|t| &self.triangles[t])
    }

    /// Whether a place lies within the outline of all points, or beyond it by no more than `slack`.
    ///
    /// # Units
    /// - `p`, `slack`: m
    pub(crate) fn surrounds(&self, p: Coord, slack: f64) -> bool {
        (0..self.hull.len()).all(|i| {
            let [a, b] = [i, (i + 1) % self.hull.len()].map(|k| self.local[self.hull[k]]);
            doubled_area([a, b, p]) >= -slack * distance(a, b)
        })
    }
}
