//! The triangulation as arrays to walk on: neighbours and circles of every triangle.

use geo::Coord;

use crate::triangulate::{Mesh, Outline, Triangle};

/// No triangle on the other side.
pub(super) const NONE: u32 = u32::MAX;

/// A triangle, its neighbours and its circumscribed circle.
///
/// Side `k` runs from corner `k` to the next one, counter-clockwise. A side of the net has the
/// number `4 * triangle + k`.
#[derive(Debug, Clone)]
pub(super) struct Facet {
    pub(super) corners: [u32; 3],
    /// The same side seen from the triangle beyond it, or [`NONE`] on the outline.
    beyond: [u32; 3],
    /// The same where what is beyond belongs to the surface.
    pub(super) twins: [u32; 3],
    /// The first corner, m.
    anchor: Coord,
    /// From there to the circle's centre, m.
    to_centre: Coord,
}

impl Facet {
    /// The vertices a side runs from and to.
    const fn ends(&self, k: u32) -> (u32, u32) {
        (self.corners[k as usize], self.corners[next(k) as usize])
    }

    /// From `p` to the circle's centre, when `p` lies inside the circle.
    ///
    /// Measured from a corner: in a sliver the radius is so long that a difference of squared
    /// distances from the centre would drown in it.
    pub(super) fn centre_if_inside(&self, p: Coord) -> Option<Coord> {
        let q = p - self.anchor;
        let (x, y) = (self.to_centre.x - q.x, self.to_centre.y - q.y);
        // |q - u|² < |u|², that is q·(2u - q) > 0.
        (q.x * (self.to_centre.x + x) + q.y * (self.to_centre.y + y) > 0.0)
            .then_some(Coord { x, y })
    }

    /// From `p` to the circle's centre.
    pub(super) fn centre_from(&self, p: Coord) -> Coord {
        self.to_centre - (p - self.anchor)
    }
}

/// Where a point lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Place {
    /// In this triangle or on its sides.
    In(u32),
    /// Beyond the wells along the outline, in this triangle on one line or beyond a side of this one.
    Beyond(u32),
}

impl Place {
    pub(super) const fn facet(self) -> u32 {
        match self {
            Self::In(facet) | Self::Beyond(facet) => facet,
        }
    }
}

/// The whole triangulation.
#[derive(Debug, Clone)]
pub(super) struct Net {
    pub(super) positions: Vec<Coord>,
    /// Those that make up the surface, then those on one line along the outline.
    pub(super) facets: Vec<Facet>,
    inner: usize,
    /// For each vertex a side that starts there; on the outline the one without a twin.
    leaving: Vec<u32>,
}

pub(super) const fn next(k: u32) -> u32 {
    if k == 2 { 0 } else { k + 1 }
}

pub(super) const fn previous(k: u32) -> u32 {
    if k == 0 { 2 } else { k - 1 }
}

pub(super) fn cross(a: Coord, b: Coord) -> f64 {
    a.x * b.y - a.y * b.x
}

impl Net {
    /// The net that a surface is worked out on. Triangles on one line along the outline are walked
    /// through and nothing else: their circles, as large as they are empty, would let a well be a
    /// neighbour past the one that stands between.
    pub(super) fn new(mesh: &Mesh, outline: &Outline) -> Self {
        let inner: Vec<&Triangle> = mesh.within(outline).collect();
        Self::of(mesh, &inner, mesh.along(outline))
    }

    /// The net in which a well hardly within the outline is within it.
    pub(super) fn whole(mesh: &Mesh) -> Self {
        let all: Vec<&Triangle> = mesh.triangles().iter().collect();
        Self::of(mesh, &all, std::iter::empty())
    }

    #[expect(clippy::cast_possible_truncation, reason = "wells number below 2^30")]
    fn of<'m>(
        mesh: &'m Mesh,
        inner: &[&'m Triangle],
        fringe: impl Iterator<Item = &'m Triangle>,
    ) -> Self {
        let positions = mesh.local().to_vec();
        let mut facets: Vec<Facet> = inner
            .iter()
            .copied()
            .chain(fringe)
            .map(|t| {
                let [a, b, c] = mesh.corners(t);
                Facet {
                    corners: t.corners.map(|i| i as u32),
                    beyond: [NONE; 3],
                    twins: [NONE; 3],
                    anchor: a,
                    to_centre: to_centre(b - a, c - a),
                }
            })
            .collect();
        let inner = inner.len();
        let mut sides: Vec<([u32; 2], u32)> = Vec::with_capacity(3 * facets.len());
        for (t, f) in (0u32..).zip(&facets) {
            for k in 0..3 {
                let (from, to) = f.ends(k);
                sides.push(([from.min(to), from.max(to)], 4 * t + k));
            }
        }
        sides.sort_unstable();
        for pair in sides.chunk_by(|a, b| a.0 == b.0) {
            if let [(_, one), (_, other)] = *pair {
                let both_inner = [one, other].iter().all(|side| ((side >> 2) as usize) < inner);
                for (side, twin) in [(one, other), (other, one)] {
                    let facet = &mut facets[(side >> 2) as usize];
                    facet.beyond[(side & 3) as usize] = twin;
                    if both_inner {
                        facet.twins[(side & 3) as usize] = twin;
                    }
                }
            }
        }
        // Of a vertex's sides the one without a twin comes first, then the one to the first vertex.
        let mut leaving = vec![(true, NONE, NONE); positions.len()];
        for (t, f) in (0u32..).zip(&facets[..inner]) {
            for k in 0..3 {
                let (from, to) = f.ends(k);
                let first = &mut leaving[from as usize];
                *first = (*first).min((f.twins[k as usize] != NONE, to, 4 * t + k));
            }
        }
        let leaving = leaving.into_iter().map(|(.., side)| side).collect();
        Self { positions, facets, inner, leaving }
    }

    /// The triangles that make up the surface.
    pub(super) fn inner(&self) -> &[Facet] {
        &self.facets[..self.inner]
    }

    pub(super) fn position(&self, vertex: u32) -> Coord {
        self.positions[vertex as usize]
    }

    fn facet(&self, side: u32) -> &Facet {
        &self.facets[(side >> 2) as usize]
    }

    /// Whether a vertex lies inside the outline, not on it.
    pub(super) fn is_inner(&self, vertex: u32) -> bool {
        let side = self.leaving[vertex as usize];
        side != NONE && self.facet(side).twins[(side & 3) as usize] != NONE
    }

    /// The vertices joined to one by a side, counter-clockwise, and the centres of the circles of
    /// the triangles around it, from it. For a vertex on the outline there is one centre fewer.
    pub(super) fn around(&self, vertex: u32) -> (Vec<u32>, Vec<Coord>) {
        let (mut joined, mut centres) = (Vec::new(), Vec::new());
        let at = self.position(vertex);
        let start = self.leaving[vertex as usize];
        let mut side = start;
        while side != NONE {
            let (f, k) = (self.facet(side), side & 3);
            joined.push(f.corners[next(k) as usize]);
            centres.push(f.centre_from(at));
            let last = previous(k) as usize;
            side = f.twins[last];
            if side == NONE {
                joined.push(f.corners[last]);
            } else if side == start {
                break;
            }
        }
        (joined, centres)
    }

    /// Walks from one triangle toward a point.
    ///
    /// In a Delaunay triangulation such a walk ends; should rounding make it circle, it stops
    /// after as many steps as there are triangles and a plain search takes over.
    pub(super) fn locate(&self, p: Coord, from: u32) -> Place {
        let found = |facet: u32| {
            if (facet as usize) < self.inner { Place::In(facet) } else { Place::Beyond(facet) }
        };
        let mut at = from;
        let mut entered = 3;
        'walk: for _ in 0..=self.facets.len() {
            let f = &self.facets[at as usize];
            for k in 0..3 {
                if k != entered && self.is_right_of(f, k, p) {
                    let beyond = f.beyond[k as usize];
                    if beyond == NONE {
                        return Place::Beyond(at);
                    }
                    at = beyond >> 2;
                    entered = beyond & 3;
                    continue 'walk;
                }
            }
            return found(at);
        }
        let inside = |f: &Facet| (0..3).all(|k| !self.is_right_of(f, k, p));
        (0u32..)
            .zip(&self.facets)
            .find(|(_, f)| inside(f))
            .map_or(Place::Beyond(at), |(t, _)| found(t))
    }

    fn is_right_of(&self, f: &Facet, k: u32, p: Coord) -> bool {
        let a = self.position(f.corners[k as usize]);
        let b = self.position(f.corners[next(k) as usize]);
        cross(a - p, b - p) < 0.0
    }

    /// Weights of the triangle's corners at a point in it, by areas; a point beyond it by rounding is
    /// moved onto it.
    pub(super) fn barycentric(&self, facet: u32, p: Coord) -> [(u32, f64); 3] {
        let corners = self.facets[facet as usize].corners;
        let [a, b, c] = corners.map(|i| self.position(i) - p);
        let parts = [cross(b, c), cross(c, a), cross(a, b)].map(|w| w.max(0.0));
        let all = parts[0] + parts[1] + parts[2];
        [0, 1, 2].map(|k| (corners[k], parts[k] / all))
    }
}

/// From a corner to the centre of the circle through it and two others, given from that corner.
pub(super) fn to_centre(b: Coord, c: Coord) -> Coord {
    let scale = 0.5 / cross(b, c);
    let (bb, cc) = (b.x * b.x + b.y * b.y, c.x * c.x + c.y * c.y);
    Coord { x: (c.y * bb - b.y * cc) * scale, y: (b.x * cc - c.x * bb) * scale }
}
