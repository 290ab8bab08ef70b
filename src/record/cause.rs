//! Mistakes that would explain a head that is unlike itself, where arithmetic shows one.

use serde::Serialize;

use super::change::one_survey;
use super::types::{Level, Levels};
use crate::check::{LEFT, feet_and_inches};

/// A mistake that would explain a head. Nothing is changed by it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "cause", rename_all = "kebab-case")]
pub enum Cause {
    /// Its reading is that of another well, and the other one's is its.
    Exchanged {
        /// Index of the other well.
        with: usize,
    },
    /// The decimal point of its depth moved.
    DecimalMoved {
        /// The depth that would fit, depth unit.
        depth: f64,
    },
    /// A whole foot or metre of its depth was read otherwise.
    WholeUnit {
        /// The depth that would fit, depth unit.
        depth: f64,
    },
    /// The decimals of its depth are inches.
    FeetAndInches {
        /// Feet.
        feet: f64,
        /// Inches.
        inches: f64,
    },
    /// Its depth is, to the last digit, that of the round before.
    AsBefore,
    /// It begins with another elevation of the measuring point.
    MeasuringPoint {
        /// The elevation before, elevation unit.
        from: f64,
        /// The elevation since, elevation unit.
        to: f64,
        /// Whether the head would fit with the elevation before.
        fits_before: bool,
    },
    /// It begins with another instrument.
    Instrument {
        /// The one before.
        from: String,
        /// The one since.
        to: String,
    },
}

/// A head that is unlike itself.
#[derive(Debug, Clone, Copy)]
pub(super) struct Unlike {
    /// By how much, elevation unit.
    pub(super) off: f64,
    /// How far off a head fits, elevation unit.
    pub(super) within: f64,
}

impl Unlike {
    /// Whether it would fit with another head.
    fn fits(self, instead: f64, of: f64) -> bool {
        let left = (self.off + instead - of).abs();
        left <= self.within && left <= LEFT * self.off.abs()
    }
}

/// What would explain the head of a well in a round, exchanges first.
///
/// # Units
/// - `unlike`: for each well by how much it is, `None` where nobody says; `before`: the round before in which it was
///   read
pub(super) fn causes(
    levels: &Levels,
    (round, well): (usize, usize),
    before: usize,
    unlike: &[Option<Unlike>],
) -> Vec<Cause> {
    let (Some(own), Some(now)) = (unlike[well], levels.at(round, well)) else { return Vec::new() };
    let mut found: Vec<Cause> = (0..unlike.len())
        .filter(|other| exchanged(levels, round, [well, *other], unlike))
        .map(|with| Cause::Exchanged { with })
        .collect();
    let deeper = levels.rounds[round].depth_unit.convert(1.0, levels.elevation_unit);
    let depth_unit = levels.rounds[round].depth_unit;
    if let Some(depth) = now.depth_read {
        let fits = |other: f64| own.fits(now.head - deeper * (other - depth), now.head);
        for moved in [10.0 * depth, depth / 10.0] {
            found.extend(fits(moved).then_some(Cause::DecimalMoved { depth: moved }));
        }
        for whole in [depth + 1.0, depth - 1.0] {
            found.extend(fits(whole).then_some(Cause::WholeUnit { depth: whole }));
        }
        for (feet, inches) in feet_and_inches(depth).filter(|_| depth_unit.is_foot()) {
            found.extend(
                fits(feet + inches / 12.0).then_some(Cause::FeetAndInches { feet, inches }),
            );
        }
    }
    if let Some(then) = levels.at(before, well) {
        found.extend(since(own, then, now));
    }
    found
}

/// What else began with this head.
fn since(own: Unlike, then: &Level, now: &Level) -> Vec<Cause> {
    let mut found = Vec::new();
    if let (Some(from), Some(to)) = (then.measuring_point, now.measuring_point)
        && !one_survey(then, now)
    {
        let fits_before = own.fits(now.head + from - to, now.head);
        found.push(Cause::MeasuringPoint { from, to, fits_before });
    }
    if let (Some(from), Some(to)) = (&then.instrument, &now.instrument)
        && from != to
    {
        found.push(Cause::Instrument { from: from.clone(), to: to.clone() });
    }
    let same = then.depth_read.zip(now.depth_read).is_some_and(|(a, b)| a.total_cmp(&b).is_eq());
    found.extend((same && one_survey(then, now)).then_some(Cause::AsBefore));
    found
}

/// Whether two heads of a round would both fit with their readings exchanged, and neither does as it is.
fn exchanged(levels: &Levels, round: usize, wells: [usize; 2], unlike: &[Option<Unlike>]) -> bool {
    let of = |well: usize| {
        let level = levels.at(round, well)?;
        level.depth_read?;
        Some((unlike[well]?, level.head, level.measuring_point?))
    };
    let (true, Some(a), Some(b)) = (wells[0] != wells[1], of(wells[0]), of(wells[1])) else {
        return false;
    };
    let fits = |(own, head, point): (Unlike, f64, f64),
                (_, other, of_other): (Unlike, f64, f64)| {
        own.off.abs() > own.within && own.fits(point - (of_other - other), head)
    };
    fits(a, b) && fits(b, a)
}
