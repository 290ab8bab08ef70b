//! Heads that are unlike themselves: a well whose change is unlike the others', a level that stays while others
//! move.
//!
//! A round by itself shows a wrong head where it does not fit its neighbours, whose scatter about a plane is that of
//! the water table. A record knows the water table: what a well does beside the others is the same from round to
//! round, to the scatter of its changes.

use std::collections::BTreeMap;

use geo::Coord;
use serde::Serialize;

use super::cause::{Cause, Unlike, causes};
use super::movement::{FEWEST_WELLS, against_others};
use super::types::Levels;
use super::window::{Kept, Window};
use crate::check::{CAP_SIGMAS, Scatter};
use crate::geom::tolerance::LEAVE_ONE_OUT_FLOOR_M;
use crate::units::{MAD_TO_SD, median};

/// In so much of all rounds without a wrong head one may be told by chance, were all scatter normal and alike. Well
/// below the one in a hundred that is promised, as it is neither: `docs/record.md`. Dimensionless.
const CHANCE: f64 = 0.002;

/// A head that is unlike itself was not so in the round next to it: the change is at least this part of it. What
/// stays as it became is told once. Dimensionless. Common practice, no source.
const SINCE_LAST: f64 = 0.5;

/// A well that is unlike itself in more than this part of its rounds, and in more than [`OFTEN`] of them, scatters
/// more than others, and is held against its own scatter. Dimensionless. Common practice, no source.
const OFTEN_PART: f64 = 0.25;

/// See [`OFTEN_PART`].
const OFTEN: usize = 3;

/// As often a depth must be read the same to be a level that stays. Common practice, no source.
const STAYS: usize = 3;

/// A head that is unlike itself.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OddLevel {
    /// Index of the round.
    pub round: usize,
    /// Index of the well.
    pub well: usize,
    /// By how much the head is too high, elevation unit.
    pub off: f64,
    /// Its standard deviation were it right, elevation unit.
    pub sd: f64,
    /// By how many standard deviations it is off.
    pub score: f64,
    /// Beyond so many it is told.
    pub bound: f64,
    /// The round next to it in which the well was read.
    pub since: usize,
    /// Count of rounds it was held against.
    pub rounds: usize,
    /// What would explain it, where arithmetic shows it.
    pub causes: Vec<Cause>,
}

/// A level that was read the same while others moved.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StuckLevel {
    /// Index of the well.
    pub well: usize,
    /// Index of the first round in which it was read so.
    pub from: usize,
    /// Index of the last one.
    pub to: usize,
    /// Count of rounds.
    pub rounds: usize,
    /// The depth, depth unit.
    pub depth: f64,
    /// How far the wells moved meanwhile, up and down, elevation unit.
    pub others_moved: f64,
}

impl StuckLevel {
    /// Whether it is the level of this well in this round.
    #[must_use]
    pub fn has(&self, well: usize, round: usize) -> bool {
        self.well == well && (self.from..=self.to).contains(&round)
    }
}

/// What does not fit through time.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Unfitting {
    /// Heads that are unlike themselves, by round and well.
    pub odd: Vec<OddLevel>,
    /// Levels that stay while others move, by well and round.
    pub stuck: Vec<StuckLevel>,
}

impl Unfitting {
    /// Whether the level of a well in a round is among them.
    #[must_use]
    pub fn has(&self, well: usize, round: usize) -> bool {
        self.odd.iter().any(|odd| (odd.well, odd.round) == (well, round))
            || self.stuck.iter().any(|stuck| stuck.has(well, round))
    }
}

/// A head held against other rounds and other wells.
#[derive(Debug, Clone)]
struct Held {
    well: usize,
    /// By how much it is too high, elevation unit.
    off: f64,
    /// The same by the round next to it alone.
    last: f64,
    /// Which that is.
    since: usize,
    /// The root of the variance of `off` over that of one head.
    factor: f64,
    rounds: usize,
}

impl Held {
    /// In units that are the same for all heads.
    fn scaled(&self) -> f64 {
        self.off / self.factor
    }
}

/// The heads of a record that are unlike themselves, and the levels that stay while others move.
///
/// A head is held against the rounds before it, or after it where these are fewer than seven: what the well would
/// read were it as in those rounds beside the others, by its level and its part of the common movement. How far all
/// wells of the round are off that is a plane or one level, whichever the wells of the record follow more closely,
/// each left out in turn; how far one is off the others is by how much its head is off. The scatter of one head is
/// had from all of the record, in robust standard deviations and never below the errors of reading. The oddest head of
/// each well judges no other round, and all are judged again: a wrong head makes others of its well look odd.
///
/// # References
/// Of few wrong among many: Rousseeuw and Leroy (1987), Robust Regression and Outlier Detection (from memory).
/// Equations, generator and proven rates: `docs/record.md`.
#[must_use]
pub fn unfitting(levels: &Levels) -> Unfitting {
    let first = Judgement::of(levels, &[]);
    let mut worst: BTreeMap<usize, OddLevel> = BTreeMap::new();
    for odd in first.odd(levels) {
        let is_worst = worst.get(&odd.well).is_none_or(|other| odd.score > other.score);
        if is_worst {
            worst.insert(odd.well, odd);
        }
    }
    let mut odd: Vec<(usize, usize)> = worst.values().map(|o| (o.round, o.well)).collect();
    odd.sort_unstable();
    let judgement = if odd.is_empty() { first } else { Judgement::of(levels, &odd) };
    Unfitting { odd: judgement.odd(levels), stuck: judgement.stuck(levels) }
}

/// All heads of a record held against each other.
struct Judgement {
    windows: Vec<Window>,
    held: Vec<Vec<Held>>,
    scatter: Scatter,
}

impl Judgement {
    /// By all heads but the odd ones, which are round and well, ascending.
    fn of(levels: &Levels, odd: &[(usize, usize)]) -> Self {
        let rounds = 0..levels.rounds.len();
        let windows: Vec<Window> = rounds.map(|round| Window::of(levels, round, odd)).collect();
        let declared = median(windows.iter().map(|w| w.declared)).unwrap_or(0.0);
        let by = |sloped: bool| -> Vec<Vec<Held>> {
            windows.iter().map(|w| held(w, &levels.places, sloped)).collect()
        };
        let (level, sloped) = (by(false), by(true));
        let held = if usual_size(&sloped) < usual_size(&level) { sloped } else { level };
        let scatter = scatter(&held, declared);
        Self { windows, held, scatter }
    }

    fn odd(&self, levels: &Levels) -> Vec<OddLevel> {
        (0..self.held.len()).flat_map(|round| self.odd_of(levels, round)).collect()
    }
}

/// How far heads are off as a rule.
fn usual_size(held: &[Vec<Held>]) -> f64 {
    median(held.iter().flatten().map(|h| h.off.abs())).unwrap_or(0.0)
}

/// The heads of a round held against the others.
fn held(window: &Window, places: &[Option<Coord>], sloped: bool) -> Vec<Held> {
    let at: Vec<Coord> = window.kept.iter().filter_map(|kept| places[kept.well]).collect();
    let against = |value: fn(&Kept) -> f64| {
        let offs: Vec<f64> = window.kept.iter().map(value).collect();
        against_others(&at, &offs, window.declared, sloped)
    };
    let (now, since) = (against(|k| k.off), against(|k| k.off - k.then));
    let held = |(i, kept): (usize, &Kept)| {
        let (now, since) = (now[i]?, since[i]?);
        Some(Held {
            well: kept.well,
            off: now.off,
            last: since.off,
            since: kept.since,
            factor: (kept.factor * (1.0 + now.lever)).sqrt(),
            rounds: kept.rounds,
        })
    };
    window.kept.iter().enumerate().filter_map(held).collect()
}

/// The scatter of one head about what the others and the other rounds say.
fn scatter(held: &[Vec<Held>], declared: f64) -> Scatter {
    let sizes: Vec<f64> = held.iter().flatten().map(|h| h.scaled().abs()).collect();
    let usual = MAD_TO_SD * median(sizes.iter().copied()).unwrap_or(0.0);
    let cap = CAP_SIGMAS * usual.max(declared);
    let squares: f64 = sizes.iter().map(|size| size.min(cap)).map(|size| size * size).sum();
    let spare = |h: &Vec<Held>| (h.len() as f64 - 3.0).max(0.0);
    // Rounds that are held against each other share their errors: each counts for half.
    let freedom = held.iter().map(spare).sum::<f64>() / 2.0;
    Scatter::pooled(squares / sizes.len().max(1) as f64, freedom, declared)
}

impl Judgement {
    /// The heads of a round that are unlike themselves.
    fn odd_of(&self, levels: &Levels, round: usize) -> Vec<OddLevel> {
        let held = &self.held[round];
        if held.len() < FEWEST_WELLS {
            return Vec::new();
        }
        let floor = LEAVE_ONE_OUT_FLOOR_M / levels.elevation_unit.metres();
        let bound = self.scatter.bound_by_chance(held.len(), CHANCE);
        let sd = |h: &Held| self.scatter_of(h.well, bound) * h.factor;
        let mut unlike = vec![None; levels.places.len()];
        for h in held {
            unlike[h.well] = Some(Unlike { off: h.off, within: (bound * sd(h)).max(floor) });
        }
        let is_odd = |h: &&Held| {
            let since_last = h.last * h.off.signum() >= SINCE_LAST * h.off.abs();
            since_last && unlike[h.well].is_some_and(|u: Unlike| u.off.abs() > u.within)
        };
        let odd: Vec<&Held> = held.iter().filter(is_odd).collect();
        // So many are no wrong heads: the wells are of two waters, or part of the round is of another day.
        if odd.len() * 3 > held.len() {
            return Vec::new();
        }
        let told = |h: &Held| OddLevel {
            round,
            well: h.well,
            off: h.off,
            sd: sd(h),
            score: h.off.abs() / sd(h),
            bound,
            since: h.since,
            rounds: h.rounds,
            causes: causes(levels, (round, h.well), h.since, &unlike),
        };
        odd.into_iter().map(told).collect()
    }

    /// The scatter of the heads of a well.
    fn scatter_of(&self, well: usize, bound: f64) -> f64 {
        let of_well = self.held.iter().flatten().filter(|h| h.well == well);
        let own: Vec<f64> = of_well.map(|h| h.scaled().abs()).collect();
        let beyond = own.iter().filter(|size| **size > bound * self.scatter.sd).count();
        let often = beyond > OFTEN && beyond as f64 > OFTEN_PART * own.len() as f64;
        let usual = MAD_TO_SD * median(own).unwrap_or(0.0);
        if often { usual.max(self.scatter.sd) } else { self.scatter.sd }
    }

    /// The levels that were read the same, to the last digit, while the others moved.
    fn stuck(&self, levels: &Levels) -> Vec<StuckLevel> {
        let floor = LEAVE_ONE_OUT_FLOOR_M / levels.elevation_unit.metres();
        let wells = levels.places.len();
        let bound = self.scatter.bound_by_chance(wells, CHANCE) * std::f64::consts::SQRT_2;
        let mut found = Vec::new();
        for well in 0..wells {
            let read: Vec<(usize, f64)> = (0..levels.rounds.len())
                .filter_map(|round| Some((round, levels.at(round, well)?.depth_read?)))
                .collect();
            let runs = read.chunk_by(|a, b| a.1.total_cmp(&b.1).is_eq());
            for run in runs.filter(|run| run.len() >= STAYS) {
                let (from, depth) = run[0];
                let to = run[run.len() - 1].0;
                let others_moved = self.windows[to].moved(from, to);
                if others_moved > (bound * self.scatter.sd).max(floor) {
                    found.push(StuckLevel {
                        well,
                        from,
                        to,
                        rounds: run.len(),
                        depth,
                        others_moved,
                    });
                }
            }
        }
        found
    }
}
