//! The levels of a round as its tables print them: every reading, and the mean where a head is one, with the
//! terms of its head. Who adds what is printed has what is printed.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::results::Results;
use crate::diag::Code;
use crate::read::{Measurement, Reading, Round, Site};
use crate::reduce::{Fate, ReadingAccount};
use crate::units::{Decimal, needed};

/// A row of levels: a reading, or the mean of those behind a head.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Level<'a> {
    /// Index into [`Site::wells`].
    pub(crate) well: usize,
    /// The readings: one, or those behind a mean, in their order.
    pub(crate) accounts: Vec<&'a ReadingAccount>,
    /// Whether it is mapped.
    pub(crate) contoured: Contoured<'a>,
}

/// Whether a level is mapped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Contoured<'a> {
    /// It is the head that is mapped.
    Yes,
    /// It is behind the mean that is.
    InTheMean,
    /// It is not.
    No {
        /// Why.
        reason: &'a str,
        /// The finding that says more.
        code: Option<Code>,
    },
}

/// The terms of a head, each with the decimals it was read with or needs. Depths in the depth unit, elevations in
/// the elevation unit.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Terms {
    pub(crate) hold: Option<Decimal>,
    pub(crate) cut: Option<Decimal>,
    pub(crate) to_product: Option<Decimal>,
    /// As read; of a chalked tape, hold less cut.
    pub(crate) to_water: Option<Decimal>,
    pub(crate) instrument_correction: Option<Decimal>,
    /// After correction of both depths.
    pub(crate) product_thickness: Option<Decimal>,
    pub(crate) specific_gravity: Option<Decimal>,
    pub(crate) product_correction: Option<Decimal>,
    /// Depth to water, with the instrument's correction, less the product's.
    pub(crate) corrected_depth: Option<Decimal>,
    pub(crate) pressure_head: Option<Decimal>,
    pub(crate) stage: Option<Decimal>,
    pub(crate) measuring_point: Option<Decimal>,
    pub(crate) surveyed: Option<Date>,
    pub(crate) changed_from: Option<Decimal>,
    /// As read, where the level itself was.
    pub(crate) elevation: Option<Decimal>,
    pub(crate) head: Option<Decimal>,
    /// The heads that a mean is of.
    pub(crate) mean_of: Vec<Decimal>,
}

/// The levels of a round.
#[derive(Debug)]
pub(crate) struct Levels<'a> {
    site: &'a Site,
    round: &'a Round,
    /// In the order of wells; of each well the mean, where its head is one, before its readings.
    rows: Vec<Level<'a>>,
    /// The decimals of all readings, where those that are written cannot be relied on.
    most: Option<i32>,
    /// The decimals of measuring points.
    points: i32,
}

impl<'a> Levels<'a> {
    /// Those of a map.
    pub(crate) fn of(results: &Results<'a>) -> Self {
        let map = results.map;
        let (site, round) = (&*map.site, &*map.round);
        let mut of_well: BTreeMap<usize, Vec<&ReadingAccount>> = BTreeMap::new();
        for account in map.control.accounts() {
            of_well.entry(account.well).or_default().push(account);
        }
        let points = site.measuring_points.values().flatten();
        let points = points.map(|p| needed(p.elevation)).max().unwrap_or_default();
        let rows = of_well.into_iter().flat_map(|(well, accounts)| rows(well, &accounts)).collect();
        Self { site, round, rows, most: zeros_lost(round), points }
    }

    /// All of them.
    pub(crate) fn rows(&self) -> &[Level<'a>] {
        &self.rows
    }

    /// The level that speaks for each well of the register: its head, be it mapped or not, else the last reading
    /// that has one, else its last reading.
    pub(crate) fn of_wells(&self) -> Vec<Option<&Level<'a>>> {
        let mut of_wells: Vec<Option<&Level<'a>>> = vec![None; self.site.wells.len()];
        let weight = |level: &Level| {
            let behind = level.accounts.iter().all(|a| a.behind);
            // The mean comes first, and its readings do not speak.
            (behind && level.contoured != Contoured::InTheMean, level.has_head())
        };
        for level in &self.rows {
            let best = &mut of_wells[level.well];
            let is_mean = best.is_some_and(|b| b.accounts.len() > 1);
            if !is_mean && best.is_none_or(|b| weight(level) >= weight(b)) {
                *best = Some(level);
            }
        }
        of_wells
    }

    /// The last of the readings of a level.
    pub(crate) fn reading(&self, level: &Level<'a>) -> &'a Reading {
        let last = level.accounts.iter().map(|a| a.reading).max().unwrap_or_default();
        &self.round.readings[last]
    }

    /// The terms of a level's head.
    pub(crate) fn terms(&self, level: &Level<'a>) -> Terms {
        match level.accounts.as_slice() {
            [one] => self.of_reading(one),
            several => {
                let terms: Vec<Terms> = several.iter().map(|a| self.of_reading(a)).collect();
                self.mean(&terms)
            }
        }
    }

    fn of_reading(&self, account: &ReadingAccount) -> Terms {
        let reading = &self.round.readings[account.reading];
        let [first, second] = self.decimals(reading);
        let mut terms = Terms::default();
        match reading.measurement {
            Measurement::None => {}
            Measurement::Depth(depth) => terms.to_water = Some(Decimal::new(depth, first)),
            Measurement::HoldAndCut { hold, cut } => {
                let (hold, cut) = (Decimal::new(hold, first), Decimal::new(cut, second));
                terms.to_water = Some(hold.less(cut));
                (terms.hold, terms.cut) = (Some(hold), Some(cut));
            }
            Measurement::Product { to_product, to_water, .. } => {
                terms.to_product = Some(Decimal::new(to_product, first));
                terms.to_water = Some(Decimal::new(to_water, second));
            }
            Measurement::PressureHead(height) => {
                terms.pressure_head = Some(Decimal::new(height, first));
            }
            Measurement::Stage(height) => terms.stage = Some(Decimal::new(height, first)),
            Measurement::Elevation(level) => terms.elevation = Some(Decimal::new(level, first)),
        }
        let exact = |value: f64| Decimal::new(value, 0);
        let read = first.max(second);
        terms.instrument_correction = account.instrument_correction.map(exact);
        terms.product_thickness = account.product_thickness.map(|t| Decimal::new(t, read));
        terms.specific_gravity = account.specific_gravity.map(exact);
        terms.product_correction = account.product_correction.map(exact);
        // Of product nothing is known without its correction.
        let correction =
            if terms.to_product.is_some() { terms.product_correction } else { Some(exact(0.0)) };
        terms.corrected_depth =
            account.corrected_depth.zip(correction).map(|(depth, correction)| {
                Decimal::new(depth, terms.to_water.map_or(0, Decimal::places)).less(correction)
            });
        let point = |elevation: f64| Decimal::new(elevation, self.points);
        terms.measuring_point = account.measuring_point.map(point);
        terms.surveyed = account.surveyed;
        terms.changed_from = account.changed_from.map(point);
        let places = terms.measuring_point.map_or(0, Decimal::places).max(read);
        terms.head = account.head.map(|head| Decimal::new(head, places));
        terms
    }

    /// The means of the terms, where they are of one kind, of one unit and from one measuring point, so that they
    /// add up too; otherwise the head alone.
    fn mean(&self, of: &[Terms]) -> Terms {
        let all = |term: fn(&Terms) -> Option<Decimal>| -> Option<Vec<Decimal>> {
            of.iter().map(term).collect()
        };
        let mean = |term: fn(&Terms) -> Option<Decimal>| Decimal::mean(&all(term)?);
        let same = |term: fn(&Terms) -> Option<Decimal>| {
            of.windows(2).all(|pair| term(&pair[0]) == term(&pair[1]))
        };
        let mean_of = all(|t| t.head).unwrap_or_default();
        let head = Decimal::mean(&mean_of);
        let one_unit = self.round.depth_unit == self.site.settings.elevation_unit;
        let kinds: [fn(&Terms) -> bool; 4] = [
            |t| t.to_water.is_some(),
            |t| t.to_product.is_some(),
            |t| t.pressure_head.is_some(),
            |t| t.stage.is_some(),
        ];
        let one_kind = kinds.iter().all(|is| of.windows(2).all(|p| is(&p[0]) == is(&p[1])));
        if !(one_unit && one_kind && same(|t| t.measuring_point)) {
            return Terms { head, mean_of, ..Terms::default() };
        }
        let last = of.last().cloned().unwrap_or_default();
        Terms {
            hold: None,
            cut: None,
            to_product: mean(|t| t.to_product),
            to_water: mean(|t| t.to_water),
            instrument_correction: mean_correction(of),
            product_thickness: mean(|t| t.product_thickness),
            specific_gravity: last.specific_gravity.filter(|_| same(|t| t.specific_gravity)),
            product_correction: mean(|t| t.product_correction),
            corrected_depth: mean(|t| t.corrected_depth),
            pressure_head: mean(|t| t.pressure_head),
            stage: mean(|t| t.stage),
            elevation: mean(|t| t.elevation),
            head,
            mean_of,
            ..last
        }
    }

    /// The decimals that the numbers of a reading are printed with, in the order of its measurement's fields.
    fn decimals(&self, reading: &Reading) -> [i32; 2] {
        let written = reading.written_decimals.unwrap_or_default().map(i32::from);
        self.most.map_or(written, |most| [most; 2])
    }
}

impl Level<'_> {
    /// Whether it has a head, be it mapped or not.
    fn has_head(&self) -> bool {
        self.accounts.iter().all(|a| a.head.is_some())
    }
}

/// The rows of a well.
fn rows<'a>(well: usize, accounts: &[&'a ReadingAccount]) -> Vec<Level<'a>> {
    let behind: Vec<&ReadingAccount> = accounts.iter().copied().filter(|a| a.behind).collect();
    let averaged = behind.len() > 1;
    let contoured = |account: &'a ReadingAccount, otherwise| match &account.fate {
        Fate::Used => otherwise,
        Fate::NotUsed { code, reason } => Contoured::No { reason, code: *code },
    };
    let mean = behind.first().filter(|_| averaged).map(|first| Level {
        well,
        contoured: contoured(first, Contoured::Yes),
        accounts: behind.clone(),
    });
    let used = if averaged { Contoured::InTheMean } else { Contoured::Yes };
    let readings = accounts.iter().map(|account| Level {
        well,
        contoured: contoured(account, used),
        accounts: vec![*account],
    });
    mean.into_iter().chain(readings).collect()
}

/// The closest that tapes are read to, decimals: more than these are a spreadsheet's, not a reading's. Common
/// practice, no source.
const CLOSEST_READ: i32 = 3;

/// The most decimals of any number of a round in which none is written with a 0 at its end: spreadsheets drop
/// these, and all numbers were then read to as many. Nothing where what is written says how it was read.
fn zeros_lost(round: &Round) -> Option<i32> {
    let mut most = 0;
    for reading in &round.readings {
        let written = reading.written_decimals.unwrap_or_default().map(i32::from);
        for (value, written) in numbers(reading.measurement).into_iter().zip(written) {
            let Some(value) = value else { continue };
            if written > needed(value) {
                return None;
            }
            most = most.max(needed(value));
        }
    }
    Some(most.min(CLOSEST_READ))
}

/// The numbers of a measurement, in the order of its fields.
const fn numbers(measurement: Measurement) -> [Option<f64>; 2] {
    match measurement {
        Measurement::None => [None, None],
        Measurement::Depth(value)
        | Measurement::PressureHead(value)
        | Measurement::Stage(value)
        | Measurement::Elevation(value) => [Some(value), None],
        Measurement::HoldAndCut { hold, cut } => [Some(hold), Some(cut)],
        Measurement::Product { to_product, to_water, .. } => [Some(to_product), Some(to_water)],
    }
}

/// The mean of corrections, none of which is 0 where any reading has one.
fn mean_correction(of: &[Terms]) -> Option<Decimal> {
    let zero = Decimal::new(0.0, 0);
    of.iter().any(|t| t.instrument_correction.is_some()).then_some(())?;
    let all: Vec<Decimal> = of.iter().map(|t| t.instrument_correction.unwrap_or(zero)).collect();
    Decimal::mean(&all)
}
