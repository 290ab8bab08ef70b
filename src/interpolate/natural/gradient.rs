//! The slope of the head at a well, from the wells around it.

use geo::Coord;
use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::cell::cell_without;
use super::cell::shares;
use super::net::Net;
use crate::geom::Slope;
use crate::geom::tolerance::COLLINEAR_SPREAD;

/// A well on the outline takes its slope from so many nearest wells, and from those little farther.
const NEAREST: usize = 8;

/// The weight falls to zero at this many times the distance of the last of them; all wells nearer
/// than that count.
const FADE: f64 = 1.1;

/// Estimates slopes.
#[derive(Debug)]
pub(super) struct Slopes<'a> {
    net: &'a Net,
    heads: &'a [f64],
    tree: RTree<GeomWithData<[f64; 2], u32>>,
}

impl<'a> Slopes<'a> {
    pub(super) fn new(net: &'a Net, heads: &'a [f64]) -> Self {
        // Only wells on the outline ask for their nearest; so do not build what nobody asks.
        let places = (0u32..).zip(&net.positions).map(|(i, p)| GeomWithData::new([p.x, p.y], i));
        Self { net, heads, tree: RTree::bulk_load(places.collect()) }
    }

    /// The slope at a well, `without` another one where a well is left out.
    ///
    /// Inside the outline: the plane through the well that fits its natural neighbours best, each
    /// counted with its Sibson weight at the well over its squared distance. On the outline,
    /// where Sibson's weights do not exist: the same plane through the nearest wells, counted
    /// with `((R - d) / (R d))²`, which does not depend on which diagonals the triangulation
    /// took.
    ///
    /// # Units
    /// - returns: elevation unit per m
    ///
    /// # References
    /// Sibson (1981); Franke and Little's weight after Franke and Nielson (1980), Int. J. Numer.
    /// Methods Eng. 15, 1691-1704 (from memory). `docs/natural-neighbour.md`.
    pub(super) fn at(&self, vertex: u32, without: Option<u32>) -> Slope {
        let weighted = if self.net.is_inner(vertex) { self.inner(vertex, without) } else { None };
        self.fit(vertex, &weighted.unwrap_or_else(|| self.nearest(vertex, without)))
    }

    fn inner(&self, vertex: u32, without: Option<u32>) -> Option<Vec<(u32, f64)>> {
        let (sites, cell) = match without {
            None => self.net.around(vertex),
            Some(without) => cell_without(self.net, vertex, without),
        };
        let at = self.net.position(vertex);
        let offsets: Vec<Coord> = sites.iter().map(|s| self.net.position(*s) - at).collect();
        let weights = shares(&cell, &offsets)?;
        let weighted = sites.into_iter().zip(weights).zip(offsets);
        Some(weighted.map(|((s, w), d)| (s, w / (d.x * d.x + d.y * d.y))).collect())
    }

    fn nearest(&self, vertex: u32, without: Option<u32>) -> Vec<(u32, f64)> {
        let at = self.net.position(vertex);
        let mut radius = f64::INFINITY;
        let mut near: Vec<(u32, f64)> = Vec::new();
        for (n, d2) in self.tree.nearest_neighbor_iter_with_distance_2(&[at.x, at.y]) {
            if n.data == vertex || Some(n.data) == without {
                continue;
            }
            let d = d2.sqrt();
            if d >= radius {
                break;
            }
            near.push((n.data, d));
            if near.len() == NEAREST {
                radius = FADE * d;
            }
        }
        // Sums in canonical order, whatever order the tree met equal distances in.
        near.sort_unstable_by_key(|n| n.0);
        for (_, d) in &mut near {
            let root = 1.0 / *d - 1.0 / radius;
            *d = root * root;
        }
        near
    }

    fn fit(&self, vertex: u32, weighted: &[(u32, f64)]) -> Slope {
        let at = self.net.position(vertex);
        let (mut xx, mut xy, mut yy, mut xh, mut yh) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for (site, w) in weighted {
            let d = self.net.position(*site) - at;
            let h = self.heads[*site as usize] - self.heads[vertex as usize];
            xx += w * d.x * d.x;
            xy += w * d.x * d.y;
            yy += w * d.y * d.y;
            xh += w * d.x * h;
            yh += w * d.y * h;
        }
        let determinant = xx * yy - xy * xy;
        let sum = xx + yy;
        if determinant > COLLINEAR_SPREAD * COLLINEAR_SPREAD * sum * sum {
            return Slope {
                east: (yy * xh - xy * yh) / determinant,
                north: (xx * yh - xy * xh) / determinant,
            };
        }
        // Neighbours on one line: the slope along it, and none across.
        let largest = 0.5 * (sum + libm::hypot(xx - yy, 2.0 * xy));
        let (u, v) = if xx >= yy { (largest - yy, xy) } else { (xy, largest - xx) };
        let along = (u * xh + v * yh) / (largest * (u * u + v * v));
        if along.is_finite() {
            Slope { east: along * u, north: along * v }
        } else {
            Slope { east: 0.0, north: 0.0 }
        }
    }
}
