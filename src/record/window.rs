//! The rounds next to a round, and what each well would be expected to do in it.
//!
//! Wells of one water rise and fall together, each by its own part of it: `head = level + part x common`. Both are
//! had from the rounds next to the one that is asked about, without it, by least squares from those heads that are not
//! far off what one wrong head does not move.

use std::f64::consts::SQRT_2;

use super::change::sd_of_change_m;
use super::types::Levels;
use crate::units::{MAD_TO_SD, median};

/// So many rounds a round is held against: those before it, and those after where these are fewer. Two years of
/// quarters but one. Common practice, no source.
const ROUNDS: usize = 7;

/// From so many rounds on the part that a well has of the common movement is estimated; below, it is all of it.
const ROUNDS_OF_PARTS: usize = 5;

/// A head farther off than this many standard deviations makes neither the level nor the part of its well.
const FAR_SDS: f64 = 6.0;

/// A well of a round against itself in the rounds next to it.
#[derive(Debug, Clone)]
pub(super) struct Kept {
    pub(super) well: usize,
    /// Its head less what is expected of it, elevation unit.
    pub(super) off: f64,
    /// The same of the round next to this one in which it was read.
    pub(super) then: f64,
    /// Which that is.
    pub(super) since: usize,
    /// Variance of `off` over that of one head.
    pub(super) factor: f64,
    /// Count of rounds it is held against.
    pub(super) rounds: usize,
}

/// A round and the rounds next to it.
#[derive(Debug, Clone)]
pub(super) struct Window {
    /// The rounds it is held against with the common movement in each, the next one first; the round itself last.
    common: Vec<(usize, f64)>,
    /// Its wells.
    pub(super) kept: Vec<Kept>,
    /// The usual standard deviation of one head from errors that rounds do not share, elevation unit.
    pub(super) declared: f64,
}

impl Window {
    /// Of a round, held against others without their odd heads: round and well, ascending.
    pub(super) fn of(levels: &Levels, round: usize, odd: &[(usize, usize)]) -> Self {
        let before = (0..round).rev();
        let mut rounds: Vec<usize> =
            before.chain(round + 1..levels.rounds.len()).take(ROUNDS).collect();
        rounds.push(round);
        let any = |of: usize, well: usize| levels.at(of, well).map(|level| level.head);
        let head = |of: usize, well: usize| {
            any(of, well).filter(|_| of == round || odd.binary_search(&(of, well)).is_err())
        };
        let placed = |well: &usize| levels.places[*well].is_some();
        // The usual head of each well, from the rounds that it is held against.
        let usual: Vec<Option<f64>> = (0..levels.places.len())
            .map(|well| median(rounds[..rounds.len() - 1].iter().filter_map(|r| head(*r, well))))
            .collect();
        let wells: Vec<usize> =
            (0..usual.len()).filter(placed).filter(|w| usual[*w].is_some()).collect();
        let common_of = |round: &usize| {
            let above = wells.iter().filter_map(|w| Some(head(*round, *w)? - usual[*w]?));
            median(above).map(|common| (*round, common))
        };
        let common: Vec<(usize, f64)> = rounds.iter().filter_map(common_of).collect();
        let mut sds = Vec::new();
        for well in &wells {
            for other in &rounds[..rounds.len() - 1] {
                let both = levels.at(round, *well).zip(levels.at(*other, *well));
                sds.extend(both.map(|(a, b)| sd_of_change_m(a, b)));
            }
        }
        let declared = median(sds).unwrap_or(0.0) / SQRT_2 / levels.elevation_unit.metres();
        let mut window = Self { common, kept: Vec::new(), declared };
        if window.common.last().is_some_and(|(last, _)| *last == round) {
            window.kept = window.wells(&wells, &head, &any);
        }
        window
    }

    /// How far all wells moved between the first and the last of some rounds, up and down, as a part of one: the
    /// range of the common movement.
    pub(super) fn moved(&self, from: usize, to: usize) -> f64 {
        let within = self.common.iter().filter(|(round, _)| (from..=to).contains(round));
        let (low, high) = within.fold((f64::INFINITY, f64::NEG_INFINITY), |r, (_, common)| {
            (r.0.min(*common), r.1.max(*common))
        });
        (high - low).max(0.0)
    }

    /// The wells of the round by their heads, and by `any` of them, the odd ones too, in the round next to it.
    fn wells(
        &self,
        wells: &[usize],
        head: &impl Fn(usize, usize) -> Option<f64>,
        any: &impl Fn(usize, usize) -> Option<f64>,
    ) -> Vec<Kept> {
        let Some(((round, now), others)) = self.common.split_last() else { return Vec::new() };
        let series = |well: usize| -> Series {
            let at = |(r, common): &(usize, f64)| Some((*common, head(*r, well)?));
            Series(others.iter().filter_map(at).collect())
        };
        let mut all: Vec<(usize, f64, Series)> =
            wells.iter().filter_map(|w| Some((*w, head(*round, *w)?, series(*w)))).collect();
        let scatter = scatter(all.iter().map(|(_, _, series)| series), self.declared);
        for (_, _, series) in &mut all {
            series.leave_out_far(scatter);
        }
        let differ = parts_differ(all.iter().map(|(_, _, series)| series), scatter);
        let kept = |(well, head, series): (usize, f64, Series)| {
            let (mean, usual, squares) = series.means()?;
            let shrunk =
                if differ > 0.0 { differ / (differ + scatter * scatter / squares) } else { 0.0 };
            let part = series.part().map_or(1.0, |part| 1.0 + shrunk * (part - 1.0));
            let expected = |common: f64| usual + part * (common - mean);
            let next = |(other, common): &(usize, f64)| {
                Some((*other, any(*other, well)? - expected(*common)))
            };
            let (since, then) = others.iter().find_map(next)?;
            let of_part =
                if shrunk > 0.0 { shrunk * (now - mean) * (now - mean) / squares } else { 0.0 };
            let rounds = series.0.len();
            let factor = 1.0 + 1.0 / rounds as f64 + of_part;
            Some(Kept { well, off: head - expected(*now), then, since, factor, rounds })
        };
        all.into_iter().filter_map(kept).collect()
    }
}

/// The common movement and the head of a well in the rounds that it is held against.
struct Series(Vec<(f64, f64)>);

impl Series {
    /// What one wrong head does not move: the median of the slopes of all pairs, and the median of the heads less
    /// that times the common movement. The part is one below [`ROUNDS_OF_PARTS`] rounds and where nothing moves.
    fn robust(&self) -> Option<(f64, f64)> {
        let mut slopes = Vec::new();
        for (i, (x, y)) in self.0.iter().enumerate().filter(|_| self.has_part()) {
            let pairs = self.0[i + 1..].iter().map(|(u, v)| (u - x, v - y));
            slopes.extend(pairs.filter(|(dx, _)| *dx != 0.0).map(|(dx, dy)| dy / dx));
        }
        let part = median(slopes).unwrap_or(1.0);
        median(self.0.iter().map(|(x, y)| y - part * x)).map(|level| (part, level))
    }

    fn has_part(&self) -> bool {
        self.0.len() >= ROUNDS_OF_PARTS
    }

    /// How far the heads are off what one wrong head does not move.
    fn residuals(&self) -> Vec<f64> {
        let Some((part, level)) = self.robust() else { return Vec::new() };
        self.0.iter().map(|(x, y)| y - part * x - level).collect()
    }

    /// Leaves heads out that are far off, to so many standard deviations `sd` of one head.
    fn leave_out_far(&mut self, sd: f64) {
        let residuals = self.residuals();
        let mut near = residuals.iter().map(|r| r.abs() <= FAR_SDS * sd);
        self.0.retain(|_| near.next().unwrap_or(true));
    }

    /// The mean of the common movement and of the heads, and the sum of squares of the common movement.
    fn means(&self) -> Option<(f64, f64, f64)> {
        let count = self.0.len() as f64;
        let mean = self.0.iter().map(|s| s.0).sum::<f64>() / count;
        let usual = self.0.iter().map(|s| s.1).sum::<f64>() / count;
        let squares = self.0.iter().map(|s| (s.0 - mean) * (s.0 - mean)).sum();
        (!self.0.is_empty()).then_some((mean, usual, squares))
    }

    /// The part by least squares.
    fn part(&self) -> Option<f64> {
        let (mean, usual, squares) = self.means().filter(|m| self.has_part() && m.2 > 0.0)?;
        Some(self.0.iter().map(|(x, y)| (x - mean) * (y - usual)).sum::<f64>() / squares)
    }
}

/// The standard deviation of one head about the level and the part of its well, never below the declared one.
fn scatter<'s>(wells: impl Iterator<Item = &'s Series>, declared: f64) -> f64 {
    let mut squares = Vec::new();
    for series in wells.filter(|series| series.has_part()) {
        // Two of the rounds make the level and the part.
        let spare = series.0.len() as f64 / (series.0.len() as f64 - 2.0);
        squares.extend(series.residuals().iter().map(|r| r * r * spare));
    }
    (MAD_TO_SD * median(squares).unwrap_or(0.0).sqrt()).max(declared)
}

/// The variance of the parts from well to well, beyond that of their estimates from heads of this scatter.
fn parts_differ<'s>(wells: impl Iterator<Item = &'s Series>, scatter: f64) -> f64 {
    let (mut seen, mut squares) = (Vec::new(), Vec::new());
    for series in wells {
        if let Some((part, (_, _, of_series))) = series.part().zip(series.means()) {
            seen.push((part - 1.0) * (part - 1.0));
            squares.push(of_series);
        }
    }
    let of_errors = median(squares).map_or(0.0, |squares| scatter * scatter / squares);
    (MAD_TO_SD * MAD_TO_SD * median(seen).unwrap_or(0.0) - of_errors).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_wrong_head_is_left_out_and_the_part_is_that_of_the_others() {
        let of = |x: &f64| (*x, 80.0 + 1.2 * x);
        let mut series = Series([0.0, 1.0, 0.2, -0.7, 0.5, -1.0, 0.1].iter().map(of).collect());
        series.0[1].1 += 3.0;
        series.leave_out_far(0.01);
        assert_eq!(series.0.len(), 6);
        assert!((series.part().expect("it moves") - 1.2).abs() < 1e-9);
        assert_eq!(Series(series.0[..4].to_vec()).part(), None);
        assert_eq!(Series(vec![(0.0, 1.0); 7]).part(), None);
    }
}
