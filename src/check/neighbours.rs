//! Each head against the plane of its neighbours, itself left out.
//!
//! A single wrong number (a digit, a foot, a unit) stands out against the wells around it. It also
//! spoils the planes that its neighbours are judged by, so the worst well is taken out of the
//! judging before the next one is looked at, and in a small network each well is judged by the
//! scatter that remains without it. Several wrong wells of a small network hide each other in all
//! planes; they are looked for first, by a start that they cannot spoil, or, where wells are too few for
//! one, two of them by the shifts that exchanged readings make.

use rayon::prelude::*;

use super::causes::{Around, Expected, Tried};
use super::exchanged::{self, Exchange};
use super::head::HeadSd;
use super::network::Network;
use super::odd_heads::OddHeads;
use super::scatter::{Fit, Scatter, bounds};
use super::types::{ControlPoint, LeaveOneOut};
use crate::diag::Diagnostic;
use crate::geom::{Obstacles, tolerance};
use crate::read::{Round, Site};
use crate::reduce::ReadingAccount;
use crate::units::median;

/// Fewer wells than this leave no plane with a spare well.
const FEWEST: usize = 5;

/// Up to this many wells, one wrong head touches so many planes that the scatter is measured
/// without the well that is judged.
const SMALL_NETWORK: usize = 60;

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
    let tried = || Tried::new(points, accounts, (site, round));
    if network.is_few() {
        let tried = tried();
        if let Some(exchange) = exchanged::find(points, &tried, declared_sd, floor)
            && let Some(left_out) = with_exchanged(&network, &exchange, barriers, floor)
        {
            let odd = exchange.wells.to_vec();
            let heads = OddHeads { points, odd: &odd, left_out: &left_out, tried, site, round };
            let findings = heads.exchanged(&exchange).into_iter().collect();
            return Verdicts { odd, left_out, findings };
        }
    }
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
        let tried = tried();
        let heads = OddHeads { points, odd: &odd, left_out: &left_out, tried, site, round };
        heads.tell(&judgement, judgement.small)
    };
    Verdicts { odd, left_out, findings }
}

/// What the wells say of each other where two readings are exchanged: each head as it is, the planes and
/// their scatter with the exchange undone. `None` where no plane is left for one of the two.
fn with_exchanged(
    network: &Network<'_>,
    exchange: &Exchange,
    barriers: &Obstacles,
    floor: f64,
) -> Option<Vec<Option<LeaveOneOut>>> {
    let mut undone = network.points.to_vec();
    for (i, head) in exchange.wells.into_iter().zip(exchange.heads) {
        undone[i].head = head;
    }
    let with = Network::of(&undone, barriers, network.declared_sd);
    let judgement = Judgement::new(&with, floor);
    let of_head = |i: usize| judgement.of_head(i, network.points[i].head);
    let mut left_out: Vec<_> = (0..undone.len()).map(of_head).collect();
    for i in exchange.wells {
        left_out[i].as_mut()?.off = true;
    }
    Some(left_out)
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
        self.of_head(i, self.network.points[i].head)
    }

    /// The same of another head that it might have.
    fn of_head(&self, i: usize, head: f64) -> Option<LeaveOneOut> {
        let fit = self.fits[i]?;
        let fit = Fit { residual: head - fit.predicted, ..fit };
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
