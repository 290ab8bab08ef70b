//! Who judges whom: each well by the plane of its nearest neighbours.

use std::num::NonZero;

use geo::Coord;
use kiddo::{ImmutableKdTree, SquaredEuclidean};
use rayon::prelude::*;

use super::exchanged;
use super::scatter::{Fit, Scatter};
use super::start;
use super::types::ControlPoint;
use crate::geom::{Obstacles, fit_plane};

/// Neighbours in a plane.
const NEIGHBOURS: NonZero<usize> = NonZero::new(10).expect("ten is not zero");

/// So many times more wells are looked at where barriers may hide some of them.
const BEYOND_BARRIERS: NonZero<usize> = NonZero::new(4).expect("four is not zero");

/// The wells that judge a well, first to last; places that are not needed hold [`NOBODY`].
type Judges = [u32; NEIGHBOURS.get()];

const NOBODY: u32 = u32::MAX;

/// Who judges whom.
pub(super) struct Network<'a> {
    pub(super) points: &'a [ControlPoint],
    /// The usual standard deviation of a head by its declared errors, elevation unit.
    pub(super) declared_sd: f64,
    neighbours: Vec<Judges>,
    /// Where the wells that each well judges begin in `judged`.
    starts: Vec<usize>,
    judged: Vec<u32>,
}

impl<'a> Network<'a> {
    /// Each well with its nearest wells, none of them beyond a barrier.
    pub(super) fn of(points: &'a [ControlPoint], barriers: &Obstacles, declared_sd: f64) -> Self {
        let places: Vec<[f64; 2]> = points.iter().map(|p| [p.local.x, p.local.y]).collect();
        let tree: ImmutableKdTree<f64, 2> = ImmutableKdTree::new_from_slice(&places);
        let asked = if barriers.is_empty() {
            NEIGHBOURS.saturating_add(1)
        } else {
            NEIGHBOURS.saturating_mul(BEYOND_BARRIERS)
        };
        let neighbours: Vec<Judges> = places
            .par_iter()
            .enumerate()
            .map(|(i, place)| {
                let near = tree.nearest_n::<SquaredEuclidean>(place, asked);
                #[expect(clippy::cast_possible_truncation, reason = "wells number below 2^32")]
                let near = near.iter().map(|n| n.item as u32).filter(|j| *j != i as u32);
                let seen = near.filter(|j| {
                    barriers.is_empty()
                        || !barriers.part(points[i].local, points[*j as usize].local)
                });
                let mut judges = [NOBODY; NEIGHBOURS.get()];
                for (place, j) in judges.iter_mut().zip(seen) {
                    *place = j;
                }
                // Sums in canonical order, whatever order the tree met equal distances in.
                judges.sort_unstable();
                judges
            })
            .collect();
        let mut starts = vec![0; points.len() + 1];
        for j in neighbours.iter().flat_map(named) {
            starts[j + 1] += 1;
        }
        for i in 0..points.len() {
            starts[i + 1] += starts[i];
        }
        let (mut next, mut judged) = (starts.clone(), vec![0; starts[points.len()]]);
        for (i, judges) in (0..).zip(&neighbours) {
            for j in named(judges) {
                judged[next[j]] = i;
                next[j] += 1;
            }
        }
        Self { points, declared_sd, neighbours, starts, judged }
    }

    /// Whether wells are too few for a start that wrong heads cannot spoil, and all judge each other.
    pub(super) fn is_few(&self) -> bool {
        let count = self.points.len();
        count < exchanged::ENOUGH && self.neighbours.iter().all(|n| named(n).count() + 1 == count)
    }

    /// Heads far off whatever others are wrong, the worst first.
    pub(super) fn gross(&self, floor: f64) -> Vec<usize> {
        let outside: Vec<bool> = (0..self.points.len())
            .into_par_iter()
            .map(|i| {
                let around = std::iter::once(i).chain(named(&self.neighbours[i]));
                let (places, heads): (Vec<_>, Vec<_>) =
                    around.map(|j| (self.points[j].local, self.points[j].head)).unzip();
                start::far_off(&places, &heads, floor).first() == Some(&true)
            })
            .collect();
        start::gross(self, outside, floor)
    }

    /// The wells that well `i` judges.
    pub(super) fn judged_by(&self, i: usize) -> &[u32] {
        &self.judged[self.starts[i]..self.starts[i + 1]]
    }

    /// The plane of the neighbours at well `i`, without the removed ones and without `also`.
    pub(super) fn fit(&self, i: usize, removed: &[bool], also: Option<usize>) -> Option<Fit> {
        let near = named(&self.neighbours[i]).filter(|j| !removed[*j] && Some(*j) != also);
        let (mut places, mut heads) =
            ([Coord::default(); NEIGHBOURS.get()], [0.0; NEIGHBOURS.get()]);
        let mut count = 0;
        for j in near {
            (places[count], heads[count]) = (self.points[j].local, self.points[j].head);
            count += 1;
        }
        let plane = fit_plane(&places[..count], &heads[..count])?;
        let at = self.points[i].local;
        let (dx, dy) = (at.x - plane.centre.x, at.y - plane.centre.y);
        let [ee, en, nn] = plane.unit_covariance;
        let variance_factor =
            1.0 + 1.0 / count as f64 + ee * dx * dx + 2.0 * en * dx * dy + nn * dy * dy;
        let predicted = plane.at(at);
        let residual = self.points[i].head - predicted;
        Some(Fit { predicted, residual, factor: variance_factor.sqrt(), through: count })
    }

    /// The scatter of the others when well `i` judges nobody.
    pub(super) fn scatter_without(
        &self,
        i: usize,
        fits: &[Option<Fit>],
        removed: &[bool],
    ) -> Scatter {
        let others = (0..self.points.len()).filter(|j| *j != i && !removed[*j]);
        let refitted: Vec<Fit> = others
            .filter_map(|j| {
                if named(&self.neighbours[j]).any(|n| n == i) {
                    self.fit(j, removed, Some(i))
                } else {
                    fits[j]
                }
            })
            .collect();
        self.scatter(refitted.iter())
    }

    pub(super) fn scatter<'f>(&self, fits: impl Iterator<Item = &'f Fit>) -> Scatter {
        Scatter::of(fits, self.declared_sd)
    }
}

impl start::Judged for Network<'_> {
    fn fits(&self, left_out: &[bool]) -> Vec<Option<Fit>> {
        (0..self.points.len()).map(|i| self.fit(i, left_out, None)).collect()
    }

    fn scatter(&self, fits: &[Option<Fit>], left_out: &[bool]) -> Scatter {
        let judging = fits.iter().zip(left_out).filter(|(_, out)| !**out);
        Self::scatter(self, judging.filter_map(|(fit, _)| fit.as_ref()))
    }
}

/// The wells among judges, in canonical order.
fn named(judges: &Judges) -> impl Iterator<Item = usize> {
    judges.iter().take_while(|j| **j != NOBODY).map(|j| *j as usize)
}
