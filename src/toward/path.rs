//! A flow path and how it ends.

use crate::geom::distance;
use crate::geom::length;
use geo::Coord;
use serde::Serialize;

/// A piece of a path no longer than this comes of rounding, m.
pub(super) const ROUNDING_M: f64 = 1e-9;

/// Along the flow or against it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Way {
    /// Downgradient: where the water goes.
    Down,
    /// Upgradient: where the water comes from.
    Up,
}

impl Way {
    /// 1 down, -1 up: heads times this fall along the path.
    pub(super) const fn sign(self) -> f64 {
        match self {
            Self::Down => 1.0,
            Self::Up => -1.0,
        }
    }
}

/// Why a path ends where it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum End {
    /// It leaves the mapped area; at a well of the outline where one is named.
    LeavesMap {
        /// Index of that control point.
        well: Option<usize>,
    },
    /// A place lower than all around it where water leaves the aquifer, such as a gauge; or higher than all
    /// around it on a path upgradient. On triangles it is always a well.
    Stops {
        /// Index of that control point.
        well: Option<usize>,
    },
    /// A pumped well draws it in.
    Pumped {
        /// Index into [`crate::read::Site::pumped_wells`].
        well: usize,
    },
    /// A place lower than all around it where nothing takes the water.
    Low {
        /// Index of that control point.
        well: Option<usize>,
    },
    /// A stream whose water it joins, or on a path upgradient comes from.
    Stream {
        /// Index into [`crate::read::Features::streams`].
        stream: usize,
    },
    /// A barrier, where the surface leads no farther along it.
    Barrier,
    /// The surface is level and has no direction.
    Level,
    /// The start does not lie on the mapped surface, and there is no path.
    NotOnMap,
    /// More steps than any path needs. Its last place is on the path all the same.
    Unfinished,
}

/// The way of the water over the mapped surface.
#[derive(Debug, Clone, PartialEq)]
pub struct FlowPath {
    /// Along the flow or against it.
    pub way: Way,
    /// Its places in the order of the walk, m in the local frame; none when the start is not on
    /// the map.
    pub points: Vec<Coord>,
    /// The head at each of them, elevation unit.
    pub heads: Vec<f64>,
    /// Why it ends.
    pub end: End,
}

/// How near is near, m.
#[derive(Debug, Clone, Copy)]
#[expect(clippy::struct_field_names, reason = "their unit is part of their name")]
pub(super) struct Nearness {
    /// A path reaches a point.
    pub(super) capture_m: f64,
    /// How far to each side of a line the surface is read.
    pub(super) pair_m: f64,
    /// A gauge stands for the point of a stream.
    pub(super) gauge_m: f64,
    /// The usual spacing of wells.
    pub(super) spacing_m: f64,
}

/// A way on from where the surface alone ends a path.
pub(super) struct Detour {
    /// Places and heads.
    pub(super) places: Vec<(Coord, f64)>,
    /// Whether the surface leads on from the last of them.
    pub(super) goes_on: bool,
}

impl FlowPath {
    /// A path that has not begun.
    pub(super) const fn begin(way: Way) -> Self {
        Self { way, points: Vec::new(), heads: Vec::new(), end: End::NotOnMap }
    }

    pub(super) fn push(&mut self, point: Coord, head: f64) {
        self.points.push(point);
        self.heads.push(head);
    }

    pub(super) const fn ended(mut self, end: End) -> Self {
        self.end = end;
        self
    }

    /// Its length, m.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        length(self.points.iter().copied())
    }

    /// Its first `length_m` metres: the whole path when it is shorter.
    ///
    /// # Units
    /// - `length_m`: m, along the path
    #[must_use]
    pub fn first(&self, length_m: f64) -> Self {
        let mut part = Self { end: self.end, ..Self::begin(self.way) };
        let mut left = length_m;
        for (i, p) in self.points.iter().enumerate() {
            if i > 0 {
                let (a, step) = (self.points[i - 1], distance(self.points[i - 1], *p));
                if left <= ROUNDING_M {
                    return part;
                }
                if step > left {
                    let share = left / step;
                    let head = self.heads[i - 1] + share * (self.heads[i] - self.heads[i - 1]);
                    part.push(a + (*p - a) * share, head);
                    return part;
                }
                left -= step;
            }
            part.push(*p, self.heads[i]);
        }
        part
    }

    /// By how much the head falls from the beginning to the end of the walk, elevation unit;
    /// negative on a path upgradient.
    #[must_use]
    pub fn fall(&self) -> f64 {
        match (self.heads.first(), self.heads.last()) {
            (Some(first), Some(last)) => first - last,
            _ => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 0.1 and 0.2 make 0.30000000000000004 in binary: nothing is left of it beyond the second
    /// piece but rounding, which is no piece.
    #[test]
    fn the_first_part_of_a_path_ends_without_a_piece_of_rounding() {
        let path = FlowPath {
            way: Way::Down,
            points: [0.0, 0.1, 0.3, 1.0].map(|x| Coord { x, y: 0.0 }).to_vec(),
            heads: vec![840.1, 840.0, 839.8, 839.1],
            end: End::Level,
        };
        let part = path.first(distance(path.points[0], path.points[1]) + 0.2 + 1e-14);
        assert_eq!(part.points.len(), 3, "{part:?}");
        assert_eq!(part.heads.last(), Some(&839.8));
        assert_eq!(path.first(0.0).points.len(), 1);
        assert_eq!(path.first(0.5).points.len(), 4);
    }
}
