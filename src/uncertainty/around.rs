//! The wells around a place, for what they tell of the surface there.

use std::num::NonZero;
use std::sync::OnceLock;

use geo::Coord;
use kiddo::{ImmutableKdTree, SquaredEuclidean};

use super::between::{BetweenWells, Circle, KnownHeads, MeanSlope};
use crate::check::HeadSd;
use crate::check::{ControlPoint, ControlSet};
use crate::geom::Obstacles;

/// So many times more wells are looked at where barriers may hide some of them.
const BEYOND_BARRIERS: usize = 4;

/// The heads that tell of the surface between them: all of a map but judged ones, which nobody measured,
/// and those that do not fit their neighbours (C307, C308). Such a head is doubted, so directions that rest on it alone are not
/// taken for known.
#[derive(Debug, Clone)]
pub(super) struct HeadsAround {
    places: Vec<Coord>,
    heads_m: Vec<f64>,
    sds_m: Vec<f64>,
    /// Those of wells and gauges, not of points of streams.
    measured: Vec<usize>,
    /// For each control point whether its head does not fit.
    off: Vec<bool>,
    tree: OnceLock<ImmutableKdTree<f64, 2>>,
}

impl HeadsAround {
    /// # Units
    /// - `sds`: one for each control point
    pub(super) fn new(control: &ControlSet, sds: &[HeadSd]) -> Self {
        let metres = control.elevation_unit().metres();
        let off: Vec<bool> = control.points().iter().map(ControlPoint::is_off).collect();
        let fits = |i: &usize| !off[*i] && !control.points()[*i].is_judged();
        let kept: Vec<usize> = (0..off.len()).filter(fits).collect();
        let wells = control.wells();
        let measured = (0..kept.len()).filter(|k| wells.binary_search(&kept[*k]).is_ok()).collect();
        Self {
            places: kept.iter().map(|i| control.points()[*i].local).collect(),
            heads_m: kept.iter().map(|i| control.points()[*i].head * metres).collect(),
            sds_m: kept.iter().map(|i| sds[*i].sd_m).collect(),
            measured,
            off,
            tree: OnceLock::new(),
        }
    }

    /// Whether a head does not fit.
    pub(super) fn any_off(&self) -> bool {
        self.off.contains(&true)
    }

    /// Whether a triangle of control points has a head at a corner that does not fit: what is drawn in
    /// it rests on that head, unless the others bear it out.
    pub(super) fn is_off(&self, corners: [usize; 3]) -> bool {
        corners.into_iter().any(|i| self.off[i])
    }

    /// What the wells and gauges tell of the surface between them. Stages of streams run in straight
    /// lines from vertex to vertex and tell nothing of it.
    pub(super) fn between(&self, spacing_m: f64) -> Option<BetweenWells> {
        let (places, heads, sds) = self.some(&self.measured)?;
        BetweenWells::of(KnownHeads { places: &places, heads: &heads, sds: &sds }, spacing_m)
    }

    /// The mean slope of the surface over a circle, from the heads around it that no barrier hides
    /// from its middle.
    pub(super) fn mean_slope(
        &self,
        between: &BetweenWells,
        circle: Circle,
        barriers: &Obstacles,
    ) -> Option<MeanSlope> {
        let near = self.nearest(circle.centre, between.nearest, barriers);
        let (places, heads, sds) = self.some(&near)?;
        let known = KnownHeads { places: &places, heads: &heads, sds: &sds };
        between.mean_slope(known, circle)
    }

    /// The mean square of the difference between the head at a place and a head drawn there, m², from
    /// the heads around it that no barrier hides.
    pub(super) fn mean_square_about(
        &self,
        between: &BetweenWells,
        (place, head_m): (Coord, f64),
        barriers: &Obstacles,
    ) -> Option<f64> {
        let near = self.nearest(place, between.nearest, barriers);
        let (places, heads, sds) = self.some(&near)?;
        let known = KnownHeads { places: &places, heads: &heads, sds: &sds };
        between.mean_square_about(known, place, head_m)
    }

    fn some(&self, which: &[usize]) -> Option<(Vec<Coord>, Vec<f64>, Vec<f64>)> {
        let of = |values: &[f64]| which.iter().map(|i| values[*i]).collect();
        let places: Vec<Coord> = which.iter().map(|i| self.places[*i]).collect();
        (!places.is_empty()).then(|| (places, of(&self.heads_m), of(&self.sds_m)))
    }

    /// In canonical order, so that sums do not depend on how the tree met equal distances.
    fn nearest(&self, p: Coord, count: usize, barriers: &Obstacles) -> Vec<usize> {
        let tree = self.tree.get_or_init(|| {
            let places: Vec<[f64; 2]> = self.places.iter().map(|p| [p.x, p.y]).collect();
            ImmutableKdTree::new_from_slice(&places)
        });
        let asked = if barriers.is_empty() { count } else { BEYOND_BARRIERS * count };
        let Some(asked) = NonZero::new(asked) else { return Vec::new() };
        let near = tree.nearest_n::<SquaredEuclidean>(&[p.x, p.y], asked);
        #[expect(clippy::cast_possible_truncation, reason = "an index of the places")]
        let near = near.iter().map(|n| n.item as usize);
        let seen = near.filter(|i| barriers.is_empty() || !barriers.part(p, self.places[*i]));
        let mut seen: Vec<usize> = seen.take(count).collect();
        seen.sort_unstable();
        seen
    }
}
