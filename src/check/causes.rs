//! Mistakes that would explain a head that does not fit, where arithmetic shows one.
//!
//! A mistake is named only where the head without it fits its neighbours within its own bound and by
//! far better than it does now. Nothing is changed.

use super::types::ControlPoint;
use crate::read::{Measurement, MeasuringPoint, Round, Site};
use crate::reduce::{Fate, ReadingAccount};
use crate::units::brief;

/// What is left of a residual without the mistake, at most: a bound wide enough for the head as it is
/// would otherwise take many a number for an explanation. Dimensionless.
pub(crate) const LEFT: f64 = 0.25;

/// What the wells around say of a head, elevation unit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Expected {
    /// The head of their plane.
    pub(super) head: f64,
    /// How far off it a head fits.
    pub(super) within: f64,
}

impl Expected {
    /// Whether a head would fit where another one is off.
    fn fits(self, head: f64, instead_of: f64) -> bool {
        let (now, before) = ((head - self.head).abs(), (instead_of - self.head).abs());
        now <= self.within && now <= LEFT * before
    }
}

/// Who judges heads by the wells around them.
pub(super) trait Around {
    /// What the wells around say of a head, those that do not fit and `without` left out.
    fn expected(&self, well: usize, without: Option<usize>) -> Option<Expected>;
}

/// A mistake that would explain a head.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Cause {
    /// Its reading is that of another well, and the other one's is its: index among the points.
    Exchanged(usize),
    /// A mistake of this well alone, said of it: `its depth is ...`.
    Own(String),
}

/// Who may have the reading of another well.
pub(super) enum Others<'a> {
    /// All wells, where they are few.
    All,
    /// Those that do not fit either.
    Odd(&'a [usize]),
}

/// What is tried: the wells, their readings and surveys.
pub(super) struct Tried<'a> {
    points: &'a [ControlPoint],
    site: &'a Site,
    round: &'a Round,
    /// For each well of the register the depth it was read at, as it is in the table, depth unit.
    depths: Vec<Option<f64>>,
}

impl<'a> Tried<'a> {
    pub(super) fn new(
        points: &'a [ControlPoint],
        accounts: &[ReadingAccount],
        (site, round): (&'a Site, &'a Round),
    ) -> Self {
        let mut depths = vec![None; site.wells.len()];
        for a in accounts.iter().filter(|a| a.fate == Fate::Used) {
            if let Measurement::Depth(depth) = round.readings[a.reading].measurement {
                depths[a.well] = Some(depth);
            }
        }
        Self { points, site, round, depths }
    }

    /// What would explain the head of a well, of its own first; exchanges with `others`, who may be many
    /// where they judge nobody.
    pub(super) fn explain(&self, well: usize, others: &Others, around: &impl Around) -> Vec<Cause> {
        let Some(expected) = around.expected(well, None) else { return Vec::new() };
        let head = self.points[well].head;
        let own = self.own(well).into_iter().filter(|(tried, _)| expected.fits(*tried, head));
        let mut causes: Vec<Cause> = own.map(|(_, words)| Cause::Own(words)).collect();
        let exchanged = |other: &usize| self.exchanged(well, *other, around);
        match others {
            Others::All => {
                causes.extend((0..self.points.len()).filter(exchanged).map(Cause::Exchanged));
            }
            Others::Odd(odd) => {
                let fits = |other: &usize| {
                    let with = self.with_reading_of(well, *other);
                    with.is_some_and(|tried| expected.fits(tried, head))
                };
                let some = odd.iter().copied().filter(fits).filter(exchanged);
                causes.extend(some.map(Cause::Exchanged));
            }
        }
        causes
    }

    /// Whether both of two heads fit once their readings are exchanged.
    fn exchanged(&self, a: usize, b: usize, around: &impl Around) -> bool {
        let fits = |i: usize, other: usize| {
            let with = self.with_reading_of(i, other).zip(around.expected(i, Some(other)));
            with.is_some_and(|(tried, expected)| expected.fits(tried, self.points[i].head))
        };
        a != b && fits(a, b) && fits(b, a)
    }

    /// The heads of two wells with their readings exchanged.
    pub(super) fn exchanged_heads(&self, [a, b]: [usize; 2]) -> Option<[f64; 2]> {
        Some([self.with_reading_of(a, b)?, self.with_reading_of(b, a)?])
    }

    /// The head of a well with the reading of another.
    fn with_reading_of(&self, well: usize, other: usize) -> Option<f64> {
        let ([point, _], [_, below]) = (self.below(well)?, self.below(other)?);
        Some(point - below)
    }

    /// The measuring point of a well whose depth was read, and how far below it the head is, elevation
    /// unit.
    fn below(&self, well: usize) -> Option<[f64; 2]> {
        let p = &self.points[well];
        p.depth?;
        Some([p.measuring_point?, p.measuring_point? - p.head])
    }

    /// The heads that a well would have without a mistake of its own, and how each is said.
    fn own(&self, well: usize) -> Vec<(f64, String)> {
        let p = &self.points[well];
        let (Some(row), Some(point)) = (p.well(), p.measuring_point) else { return Vec::new() };
        let (unit, depth_unit) = (self.site.settings.elevation_unit, self.round.depth_unit);
        let mut heads = Vec::new();
        if let Some(depth) = self.depths[row] {
            let deeper = |by: f64| p.head - depth_unit.convert(by, unit);
            for moved in [10.0 * depth, depth / 10.0] {
                let words = format!(
                    "its depth is {} {depth_unit} and not {} {depth_unit} (decimal point moved)",
                    brief(moved),
                    brief(depth)
                );
                heads.push((deeper(moved - depth), words));
            }
            for (feet, inches) in feet_and_inches(depth).filter(|_| depth_unit.is_foot()) {
                let words = format!("its depth of {} ft is {feet} ft {inches} in", brief(depth));
                heads.push((deeper(feet + inches / 12.0 - depth), words));
            }
        }
        for survey in self.site.measuring_points.get(&p.id).into_iter().flatten() {
            #[expect(clippy::float_cmp, reason = "the survey that the head is computed from")]
            if survey.elevation != point {
                let words = format!(
                    "its measuring point is at {} {unit} ({})",
                    brief(survey.elevation),
                    since(survey)
                );
                heads.push((p.head + survey.elevation - point, words));
            }
        }
        heads
    }
}

/// A depth whose decimals are inches: 12.11 ft for 12 ft 11 in, 9.1 ft for 9 ft 1 in or, the zero gone,
/// 9 ft 10 in.
pub(crate) fn feet_and_inches(depth: f64) -> impl Iterator<Item = (f64, f64)> {
    let feet = depth.trunc();
    let inches = [100.0, 10.0].map(|places| (depth - feet) * places);
    let whole = |inches: &f64| {
        (1.0..11.5).contains(&inches.round()) && (inches - inches.round()).abs() < 1e-6
    };
    inches.into_iter().filter(whole).map(move |inches| (feet, inches.round()))
}

fn since(survey: &MeasuringPoint) -> String {
    match survey.valid_from {
        Some(day) => format!("survey valid from {day}"),
        None => "survey valid from the beginning".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_up_to_eleven_may_be_inches() {
        let of = |depth| feet_and_inches(depth).collect::<Vec<_>>();
        assert_eq!(of(12.11), [(12.0, 11.0)]);
        assert_eq!(of(9.05), [(9.0, 5.0)]);
        assert_eq!(of(9.1), [(9.0, 10.0), (9.0, 1.0)]);
        assert_eq!(of(9.12), []);
        assert_eq!(of(9.0), []);
        assert_eq!(of(9.057), []);
    }
}
