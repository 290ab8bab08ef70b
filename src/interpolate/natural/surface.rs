//! The surface place by place.

use std::borrow::Cow;

use geo::Coord;
use rayon::prelude::*;

use super::gradient::Slopes;
use super::net::Net;
use super::net::Place;
use super::ring::Ring;
use crate::geom::Slope;
use crate::interpolate::scattered::AT_WELL_M;
use crate::triangulate::{Mesh, Side};

/// A point beyond the outline by no more than this, in m, counts as on it: as much as
/// `AT_WELL_M`, for the same reason.
const ON_OUTLINE_M: f64 = AT_WELL_M;

/// Which of Sibson's two surfaces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Variant {
    /// Continuous, with a kink at every well, never beyond the heads of the neighbours.
    Plain,
    /// With a continuous slope everywhere. May rise above the highest well and sink below the
    /// lowest where the slopes around say so.
    Smooth,
}

/// A natural neighbour surface through the wells of a mesh.
#[derive(Debug)]
pub struct NaturalNeighbour<'m> {
    pub(super) mesh: Cow<'m, Mesh>,
    pub(super) net: Net,
    sides: Vec<Side>,
    /// At every well; empty for [`Variant::Plain`].
    slopes: Vec<Slope>,
}

impl<'m> NaturalNeighbour<'m> {
    /// Makes the surface ready: neighbours and circles of the triangles, slopes at the wells.
    #[must_use]
    pub fn new(mesh: &'m Mesh, variant: Variant) -> Self {
        Self::of(Cow::Borrowed(mesh), variant)
    }

    /// The same of a mesh that may be its own.
    pub(in crate::interpolate) fn of(mesh: Cow<'m, Mesh>, variant: Variant) -> Self {
        let outline = mesh.outline();
        let net = Net::new(&mesh, &outline);
        let slopes = match variant {
            Variant::Plain => Vec::new(),
            Variant::Smooth => {
                let slopes = Slopes::new(&net, mesh.heads());
                #[expect(clippy::cast_possible_truncation, reason = "wells number below 2^30")]
                let at = |i: usize| slopes.at(i as u32, None);
                (0..mesh.heads().len()).into_par_iter().map(at).collect()
            }
        };
        Self { mesh, net, sides: outline.sides, slopes }
    }

    /// The wells.
    pub(in crate::interpolate) fn mesh(&self) -> &Mesh {
        &self.mesh
    }

    /// Which of the two surfaces this is.
    #[must_use]
    pub fn variant(&self) -> Variant {
        if self.slopes.is_empty() { Variant::Plain } else { Variant::Smooth }
    }

    /// The slopes estimated at the wells, in the mesh's order; none for [`Variant::Plain`].
    ///
    /// # Units
    /// - returns: elevation unit per m
    #[must_use]
    pub fn slopes(&self) -> &[Slope] {
        &self.slopes
    }

    /// The head at a place, or `None` beyond the outline of the wells.
    ///
    /// At a well (within `AT_WELL_M`) it is the well's head, digit by digit.
    ///
    /// # Units
    /// - `p`: m in the frame of the mesh; returns: elevation unit
    #[must_use]
    pub fn at(&self, p: Coord) -> Option<f64> {
        let mut ring = Ring::default();
        let place = self.net.locate(p, 0);
        self.supports(place, p).then(|| self.head(place, p, &mut ring))
    }

    /// The wells whose heads count at a place and their weights, which sum to 1, by index;
    /// `None` beyond the outline of the wells.
    ///
    /// # Units
    /// - `p`: m in the frame of the mesh
    #[must_use]
    pub fn weights(&self, p: Coord) -> Option<Vec<(usize, f64)>> {
        let place = self.net.locate(p, 0);
        let mut ring = Ring::default();
        self.supports(place, p).then(|| {
            self.weigh(place, p, &mut ring);
            let mut weights: Vec<(usize, f64)> =
                ring.weights.iter().map(|(v, w)| (*v as usize, *w)).collect();
            weights.sort_unstable_by_key(|w| w.0);
            weights
        })
    }

    pub(super) fn supports(&self, place: Place, p: Coord) -> bool {
        match place {
            Place::In(_) => p.x.is_finite() && p.y.is_finite(),
            Place::Beyond(_) => self.mesh.surrounds(p, ON_OUTLINE_M),
        }
    }

    /// The head at a place that is known to be supported.
    pub(super) fn head(&self, place: Place, p: Coord, ring: &mut Ring) -> f64 {
        let (p, at_well) = self.weigh(place, p, ring);
        match at_well {
            Some(well) => self.mesh.heads()[well as usize],
            None if self.slopes.is_empty() => plain(&ring.weights, self.mesh.heads()),
            None => {
                smooth(&self.net, p, &ring.weights, self.mesh.heads(), |v| self.slopes[v as usize])
            }
        }
    }

    /// The weights at a supported place, left in the ring; the place, on the outline where it lies
    /// beyond the wells along it; and the well it is at, if it is.
    ///
    /// Where Sibson's weights cannot be had (on the outline the new cell has no bound) those of
    /// the triangle stand in. On the outline they are the limit of Sibson's.
    fn weigh(&self, place: Place, p: Coord, ring: &mut Ring) -> (Coord, Option<u32>) {
        let (facet, mut p) = (place.facet(), p);
        let mut stand_in = None;
        if matches!(place, Place::Beyond(_)) {
            let (foot, weights) = self.on_outline(p);
            (p, stand_in) = (foot, Some(weights));
        }
        let is_at = |well: &u32| {
            let q = self.net.position(*well) - p;
            q.x * q.x + q.y * q.y <= AT_WELL_M * AT_WELL_M
        };
        let at_well = match &stand_in {
            Some(weights) => weights.map(|(well, _)| well).into_iter().find(is_at),
            None => self.net.facets[facet as usize].corners.into_iter().find(is_at),
        };
        if let Some(well) = at_well {
            ring.stand_in([(well, 1.0)]);
        } else if let Some(weights) = stand_in {
            ring.stand_in(weights);
        } else if !ring.gather(&self.net, p, facet) {
            ring.stand_in(self.net.barycentric(facet, p));
        }
        (p, at_well)
    }

    /// The place between the wells along the outline that is across from one beyond them, and their
    /// weights there.
    #[expect(clippy::cast_possible_truncation, reason = "wells number below 2^30")]
    fn on_outline(&self, p: Coord) -> (Coord, [(u32, f64); 2]) {
        let nearest = self.sides.iter().min_by(|a, b| a.distance(p).total_cmp(&b.distance(p)));
        let ([from, to], part) =
            nearest.expect("this is a bug in headfall: an outline has sides").between(p);
        let [a, b] = [from, to].map(|well| self.mesh.local()[well]);
        (a + (b - a) * part, [(from as u32, 1.0 - part), (to as u32, part)])
    }
}

/// Sibson's continuous interpolant: the weighted mean, kept within the heads it is a mean of.
pub(super) fn plain(weights: &[(u32, f64)], heads: &[f64]) -> f64 {
    let reference = heads[weights[0].0 as usize];
    let (mut sum, mut low, mut high) = (0.0, reference, reference);
    for (vertex, weight) in weights {
        let head = heads[*vertex as usize];
        sum += weight * (head - reference);
        low = low.min(head);
        high = high.max(head);
    }
    (reference + sum).max(low).min(high)
}

/// Sibson's smooth interpolant: the mean of heads and the mean of the tangent planes, mixed so
/// that the slope at every well is the one given.
pub(super) fn smooth(
    net: &Net,
    p: Coord,
    weights: &[(u32, f64)],
    heads: &[f64],
    slope: impl Fn(u32) -> Slope,
) -> f64 {
    let reference = heads[weights[0].0 as usize];
    let (mut mean, mut tangents) = (0.0, 0.0);
    let (mut per_distance, mut distance, mut square) = (0.0, 0.0, 0.0);
    for (vertex, weight) in weights {
        let q = p - net.position(*vertex);
        let (d2, head) = (q.x * q.x + q.y * q.y, heads[*vertex as usize] - reference);
        let d = d2.sqrt();
        let slope = slope(*vertex);
        mean += weight * head;
        tangents += weight / d * (head + slope.east * q.x + slope.north * q.y);
        per_distance += weight / d;
        distance += weight * d;
        square += weight * d2;
    }
    let alpha = distance / per_distance;
    reference + (alpha * mean + square * tangents / per_distance) / (alpha + square)
}
