//! Triangles and who lies beside whom.

use geo::Coord;

use crate::geom::{TriangleIndex, at, distance, doubled_area, foot, tolerance};
use crate::triangulate::{Mesh, Triangle};

/// A triangulation with its neighbourhoods: where a path goes on from the side of a triangle and
/// from a well. It has no heads, so that realizations share one.
#[derive(Debug, Clone)]
pub struct Net {
    points: Vec<Coord>,
    triangles: Vec<[usize; 3]>,
    /// What lies across the side from corner k to corner k + 1.
    across: Vec<[Option<usize>; 3]>,
    /// Where each vertex's triangles begin in `fans`.
    starts: Vec<usize>,
    fans: Vec<usize>,
    outline: Vec<bool>,
    lines: Vec<bool>,
    index: TriangleIndex,
}

/// Where on a net a place lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Spot {
    /// Inside a triangle.
    Inside(usize),
    /// On the side of a triangle from its corner `side` to the next, this share of the way.
    Side { triangle: usize, side: usize, share: f64 },
    /// At a vertex.
    Vertex(usize),
}

impl Net {
    /// The neighbourhoods of a mesh.
    #[must_use]
    pub fn new(mesh: &Mesh) -> Self {
        let points = mesh.local().to_vec();
        let triangles: Vec<[usize; 3]> = mesh.triangles().iter().map(|t| t.corners).collect();
        let lines = mesh.triangles().iter().map(Triangle::is_line).collect();
        let mut sides: Vec<([usize; 2], usize, usize)> = Vec::with_capacity(3 * triangles.len());
        for (t, corners) in triangles.iter().enumerate() {
            for k in 0..3 {
                let (a, b) = (corners[k], corners[(k + 1) % 3]);
                sides.push(([a.min(b), a.max(b)], t, k));
            }
        }
        sides.sort_unstable();
        let mut across = vec![[None; 3]; triangles.len()];
        for pair in sides.windows(2) {
            let ((one, t, k), (other, u, m)) = (pair[0], pair[1]);
            if one == other {
                across[t][k] = Some(u);
                across[u][m] = Some(t);
            }
        }
        let mut outline = vec![false; points.len()];
        let mut starts = vec![0; points.len() + 1];
        for (corners, beyond) in triangles.iter().zip(&across) {
            for k in 0..3 {
                starts[corners[k] + 1] += 1;
                if beyond[k].is_none() {
                    outline[corners[k]] = true;
                    outline[corners[(k + 1) % 3]] = true;
                }
            }
        }
        for v in 1..starts.len() {
            starts[v] += starts[v - 1];
        }
        let mut free = starts.clone();
        let mut fans = vec![0; 3 * triangles.len()];
        for (t, corners) in triangles.iter().enumerate() {
            for v in corners {
                fans[free[*v]] = t;
                free[*v] += 1;
            }
        }
        let index = TriangleIndex::new(triangles.iter().map(|t| t.map(|v| points[v])));
        Self { points, triangles, across, starts, fans, outline, lines, index }
    }

    pub(super) fn point(&self, vertex: usize) -> Coord {
        self.points[vertex]
    }

    pub(super) fn corners(&self, triangle: usize) -> [usize; 3] {
        self.triangles[triangle]
    }

    pub(super) fn count(&self) -> usize {
        self.triangles.len()
    }

    /// The triangle across a side, and the same side as that triangle counts it; `None` on the
    /// outline.
    pub(super) fn across(&self, triangle: usize, side: usize) -> Option<(usize, usize)> {
        let other = self.across[triangle][side]?;
        let end = self.triangles[triangle][(side + 1) % 3];
        let k = self.triangles[other].iter().position(|v| *v == end)?;
        Some((other, k))
    }

    /// The triangles around a vertex, in the mesh's order.
    pub(super) fn around(&self, vertex: usize) -> &[usize] {
        &self.fans[self.starts[vertex]..self.starts[vertex + 1]]
    }

    pub(super) fn on_outline(&self, vertex: usize) -> bool {
        self.outline[vertex]
    }

    /// Whether a triangle has its corners on one line, and no slope that means anything.
    pub(super) fn is_line(&self, triangle: usize) -> bool {
        self.lines[triangle]
    }

    /// From a place in a triangle on one line to the nearest of its sides with a triangle beyond
    /// that has a slope; `None` when all are of the outline or of such triangles again.
    pub(super) fn beside(&self, triangle: usize, p: Coord) -> Option<Spot> {
        let corners = self.triangles[triangle].map(|v| self.points[v]);
        let on_side = |side: usize| {
            let (beyond, _) = self.across(triangle, side)?;
            let (a, b) = (corners[side], corners[(side + 1) % 3]);
            let share = foot([a, b], p);
            let off = distance(at([a, b], share), p);
            (!self.is_line(beyond)).then_some((off, side, share))
        };
        let (_, side, share) = (0..3)
            .filter_map(on_side)
            .min_by(|one, other| one.0.total_cmp(&other.0).then(one.1.cmp(&other.1)))?;
        let vertex = |k: usize| Spot::Vertex(self.triangles[triangle][k % 3]);
        Some(if share <= 0.0 {
            vertex(side)
        } else if share >= 1.0 {
            vertex(side + 1)
        } else {
            Spot::Side { triangle, side, share }
        })
    }

    /// A triangle around a place that has a slope, one near it where the place lies in a triangle on
    /// one line; `None` beyond the outline.
    pub(super) fn sloping(&self, p: Coord) -> Option<usize> {
        let spot = match self.locate(p)? {
            Spot::Inside(t) if self.is_line(t) => self.beside(t, p)?,
            spot => spot,
        };
        match spot {
            Spot::Inside(t) => Some(t),
            Spot::Side { triangle, side, .. } => {
                let beyond = self.across(triangle, side).map(|(t, _)| t);
                std::iter::once(triangle).chain(beyond).find(|t| !self.is_line(*t))
            }
            Spot::Vertex(v) => self.around(v).iter().copied().find(|t| !self.is_line(*t)),
        }
    }

    /// Where a place lies; `None` beyond the outline. What is nearer to a well or to a side than
    /// [`tolerance::SAME_POSITION_M`] lies on it.
    pub(super) fn locate(&self, p: Coord) -> Option<Spot> {
        const NEAR: f64 = tolerance::SAME_POSITION_M;
        let mut near: Vec<usize> = self.index.near(p, NEAR).collect();
        near.sort_unstable();
        let vertex = near
            .iter()
            .flat_map(|t| self.triangles[*t])
            .filter(|v| distance(self.points[*v], p) <= NEAR)
            .min_by(|v, w| {
                let from = |v: &usize| distance(self.points[*v], p);
                from(v).total_cmp(&from(w)).then(v.cmp(w))
            });
        if let Some(vertex) = vertex {
            return Some(Spot::Vertex(vertex));
        }
        let mut inside = None;
        for &triangle in &near {
            let corners = self.triangles[triangle].map(|v| self.points[v]);
            let mut within = true;
            for side in 0..3 {
                let (a, b) = (corners[side], corners[(side + 1) % 3]);
                let length = distance(a, b);
                let off = doubled_area([a, b, p]) / length;
                within &= off > 0.0;
                let along = ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / length;
                if off.abs() <= NEAR && along > 0.0 && along < length {
                    return Some(Spot::Side { triangle, side, share: along / length });
                }
            }
            if within {
                inside = inside.or(Some(Spot::Inside(triangle)));
            }
        }
        inside
    }
}
