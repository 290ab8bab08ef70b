//! Each head against the plane of its neighbours, itself left out.
//!
//! A single wrong number (a digit, a foot, a unit) stands out against the wells around it. It also
//! spoils the planes that its neighbours are judged by, so the worst well is taken out of the
//! judging before the next one is looked at, and in a small network each well is judged by the
//! scatter that remains without it. Several wrong wells of a small network hide each other in all
//! planes; they are looked for first, by a start that they cannot spoil.

use std::num::NonZero;

use geo::Coord;
use kiddo::{ImmutableKdTree, SquaredEuclidean};
use rayon::prelude::*;

use super::causes::{Around, Expected, Tried};
use super::head::HeadSd;
use super::odd_heads::OddHeads;
use super::scatter::{Fit, Scatter, bounds};
use super::start;
use super::types::{ControlPoint, LeaveOneOut};
use crate::diag::Diagnostic;
use crate::geom::{Obstacles, fit_plane, tolerance};
use crate::read::{Round, Site};
use crate::reduce::ReadingAccount;
use crate::units::median;

/// Neighbours in a plane.
const NEIGHBOURS: NonZero<usize> = NonZero::new(10).expect("ten is not zero");

/// So many times more wells are looked at where barriers may hide some of them.
const BEYOND_BARRIERS: NonZero<usize> = NonZero::new(4).expect("four is not zero");

/// Fewer wells than this leave no plane with a spare well.
const FEWEST: usize = 5;

/// Up to this many wells, one wrong head touches so many planes that the scatter is measured
/// without the well that is judged.
const SMALL_NETWORK: usize = 60;

/// The wells that judge a well, first to last; places that are not needed hold [`NOBODY`].
type Judges = [u32; NEIGHBOURS.get()];

const NOBODY: u32 = u32::MAX;

/// Who judges whom.
struct Network<'a> {
    points: &'a [ControlPoint],
    /// The usual standard deviation of a head by its declared errors, elevation unit.
    declared_sd: f64,
    neighbours: Vec<Judges>,
    /// Where the wells that each well judges begin in `judged`.
    starts: Vec<usize>,
    judged: Vec<u32>,
}

/// Judges every head by leave-one-out and tells those that do not fit: C308, or C307 where feet
/// and metres taken for each other would make it fit.
///
/// The bound is that of the largest of all residuals by Student's t ([`Scatter::bound`]) and at least
/// [`tolerance::LEAVE_ONE_OUT_FLOOR_M`]. Gives the wells told by their place among `points`.
///
/// # References
/// Those of [`Scatter`]; the prediction variance of a plane from any text on regression.
/// `docs/methods.md`.
pub(super) fn leave_one_out(
    points: &[ControlPoint],
    sds: &[HeadSd],
    barriers: &Obstacles,
    accounts: &[ReadingAccount],
    (site, round): (&Site, &Round),
) -> Verdicts {
    if points.len() < FEWEST {
        return Verdicts::default();
    }
    let metres = site.settings.elevation_unit.metres();
    let declared_sd = median(sds.iter().map(|s| s.sd_m)).unwrap_or(0.0) / metres;
    let network = Network::of(points, barriers, declared_sd);
    let floor = tolerance::LEAVE_ONE_OUT_FLOOR_M / metres;
    let mut judgement = Judgement::new(&network, floor);
    judgement.take_out_worst();
    judgement.take_back_fitting();
    let odd = judgement.odd_by_score();
    let mut left_out: Vec<_> = (0..points.len()).map(|i| judgement.left_out(i)).collect();
    for i in &odd {
        left_out[*i].iter_mut().for_each(|l| l.off = true);
    }
    let findings = if odd.is_empty() {
        Vec::new()
    } else {
        let tried = Tried::new(points, accounts, (site, round));
        let heads = OddHeads { points, odd: &odd, left_out: &left_out, tried, site, round };
        heads.tell(&judgement, judgement.small)
    };
    Verdicts { odd, left_out, findings }
}

/// What the wells say of each other.
#[derive(Debug, Default)]
pub(super) struct Verdicts {
    /// Wells that do not fit their neighbours, the worst first.
    pub(super) odd: Vec<usize>,
    /// What is said of each well; empty where the wells are too few.
    pub(super) left_out: Vec<Option<LeaveOneOut>>,
    /// What there is to tell.
    pub(super) findings: Vec<Diagnostic>,
}

/// Which heads judge and how far each is off, as wells are taken out and back.
struct Judgement<'a> {
    network: &'a Network<'a>,
    /// Heads nearer to their planes than this are never odd, elevation unit.
    floor: f64,
    /// Whether the scatter is measured anew whenever a well is taken out or back.
    small: bool,
    /// The wells taken out, in this order.
    odd: Vec<usize>,
    removed: Vec<bool>,
    fits: Vec<Option<Fit>>,
    /// The scatter that each well is held against, and the bound that goes with it.
    scatters: Vec<Scatter>,
    bounds: Vec<f64>,
}

impl<'a> Judgement<'a> {
    fn new(network: &'a Network, floor: f64) -> Self {
        let count = network.points.len();
        let small = count <= SMALL_NETWORK;
        let odd = if small { network.gross(floor) } else { Vec::new() };
        let mut removed = vec![false; count];
        for i in &odd {
            removed[*i] = true;
        }
        let fits: Vec<Option<Fit>> =
            (0..count).into_par_iter().map(|i| network.fit(i, &removed, None)).collect();
        let scatters = vec![network.scatter(fits.iter().flatten()); count];
        let bounds = bounds(&scatters, count);
        let mut new = Self { network, floor, small, odd, removed, fits, scatters, bounds };
        new.measure_scatter();
        new
    }

    /// In a large network the scatter stays as it was.
    fn measure_scatter(&mut self) {
        if self.small {
            let scatter = |i| self.network.scatter_without(i, &self.fits, &self.removed);
            self.scatters = (0..self.fits.len()).map(scatter).collect();
            self.bounds = bounds(&self.scatters, self.fits.len());
        }
    }

    /// What the judging wells say of a well.
    fn left_out(&self, i: usize) -> Option<LeaveOneOut> {
        let fit = self.fits[i]?;
        let (score, bound) = (fit.scaled() / self.scatters[i].sd, self.bounds[i]);
        let Fit { predicted, residual, .. } = fit;
        Some(LeaveOneOut { predicted, residual, score, bound, off: false })
    }

    /// By how many standard deviations a head is off its plane.
    fn score(&self, i: usize) -> Option<f64> {
        Some(self.left_out(i)?.score.abs())
    }

    /// The score of a head that is too far off.
    fn off(&self, i: usize) -> Option<f64> {
        let held = self.left_out(i)?;
        let off = held.residual.abs() > self.floor && held.score.abs() > held.bound;
        off.then_some(held.score.abs())
    }

    /// Takes out the worst well that judges, as long as there is one too far off.
    fn take_out_worst(&mut self) {
        let most = (self.fits.len() / 5).max(1);
        // In a large network only wells whose judges change can become odd.
        let mut looked_at: Vec<usize> = (0..self.fits.len()).collect();
        while self.odd.len() < most {
            if !self.small {
                looked_at.retain(|i| !self.removed[*i] && self.off(*i).is_some());
            }
            let judging = looked_at.iter().filter(|i| !self.removed[**i]);
            let worst = judging
                .filter_map(|i| Some((*i, self.off(*i)?)))
                .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
            let Some((worst, _)) = worst else { break };
            self.odd.push(worst);
            self.change(worst, true);
            looked_at.extend(self.network.judged_by(worst).iter().map(|j| *j as usize));
        }
    }

    /// Takes back wells that fit their planes now, the best first: they were off only because of
    /// wells that were taken out after them.
    fn take_back_fitting(&mut self) {
        loop {
            let fitting = |i: usize| self.score(i).filter(|_| self.off(i).is_none());
            let best = (0..self.odd.len())
                .filter_map(|place| Some((place, fitting(self.odd[place])?)))
                .min_by(|a, b| a.1.total_cmp(&b.1));
            let Some((place, _)) = best else { break };
            let back = self.odd.remove(place);
            self.change(back, false);
        }
    }

    /// Takes a well out or back.
    fn change(&mut self, i: usize, removed: bool) {
        self.removed[i] = removed;
        for &other in self.network.judged_by(i) {
            self.fits[other as usize] = self.network.fit(other as usize, &self.removed, None);
        }
        self.measure_scatter();
    }

    /// The wells taken out, the worst first.
    fn odd_by_score(&self) -> Vec<usize> {
        let mut odd = self.odd.clone();
        let score = |i: &usize| self.score(*i).unwrap_or(f64::INFINITY);
        odd.sort_by(|a, b| score(b).total_cmp(&score(a)).then(a.cmp(b)));
        odd
    }
}

impl Around for Judgement<'_> {
    fn expected(&self, well: usize, without: Option<usize>) -> Option<Expected> {
        let fit = match without {
            None => self.fits[well],
            Some(_) => self.network.fit(well, &self.removed, without),
        }?;
        let within = self.bounds[well] * self.scatters[well].sd * fit.factor;
        Some(Expected { head: fit.predicted, within: within.max(self.floor) })
    }
}

impl<'a> Network<'a> {
    /// Each well with its nearest wells, none of them beyond a barrier.
    fn of(points: &'a [ControlPoint], barriers: &Obstacles, declared_sd: f64) -> Self {
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

    /// Heads far off whatever others are wrong, the worst first.
    fn gross(&self, floor: f64) -> Vec<usize> {
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
    fn judged_by(&self, i: usize) -> &[u32] {
        &self.judged[self.starts[i]..self.starts[i + 1]]
    }

    /// The plane of the neighbours at well `i`, without the removed ones and without `also`.
    fn fit(&self, i: usize, removed: &[bool], also: Option<usize>) -> Option<Fit> {
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
    fn scatter_without(&self, i: usize, fits: &[Option<Fit>], removed: &[bool]) -> Scatter {
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

    fn scatter<'f>(&self, fits: impl Iterator<Item = &'f Fit>) -> Scatter {
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
