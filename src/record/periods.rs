//! Rounds that belong together, and the highest, the lowest and the mean head of each well in them.

use std::collections::BTreeMap;

use jiff::civil::{Date, date};

use super::rows::{HeadRow, Record};
use super::seasonal::Seasons;
use crate::diag::listed;
use crate::map::Worked;
use crate::read::Status;

/// A period has so many rounds or more: the highest of one is that one.
const FEWEST_ROUNDS: usize = 2;

/// Rounds that belong together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Period {
    /// What they are: `2025`, `April to June of 3 years`, `all rounds`.
    pub words: String,
    /// Which of the record's, in their order.
    pub rounds: Vec<usize>,
}

/// A value that was worked out at a well from the rounds of a period.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PeriodValue {
    /// The value, elevation unit.
    pub value: f64,
    /// Its standard deviation, elevation unit: of a mean the mean of those of its heads, which is what it is at most.
    pub sd: f64,
    /// The round it was read in, the first of several; `None` of a mean.
    pub read_in: Option<usize>,
    /// Whether it rests on a head that does not fit its neighbours or other rounds.
    pub doubtful: bool,
}

/// The periods of a record: calendar years, seasons over the years, and all rounds where they are of several years.
#[must_use]
pub fn periods(record: &Record) -> Vec<Period> {
    let mut years: BTreeMap<i16, Vec<usize>> = BTreeMap::new();
    let mut seasons: BTreeMap<i8, BTreeMap<i16, Vec<usize>>> = BTreeMap::new();
    for (i, round) in record.rounds.iter().enumerate() {
        let Some(day) = round.day.as_ref().and_then(|day| day.parse::<Date>().ok()) else {
            continue;
        };
        years.entry(day.year()).or_default().push(i);
        if let Some((year, season)) = record.seasons.map(|seasons| seasons.of(day)) {
            seasons.entry(season).or_default().entry(year).or_default().push(i);
        }
    }
    let several = years.len() > 1;
    let mut periods: Vec<Period> = years
        .into_iter()
        .map(|(year, rounds)| Period { words: year.to_string(), rounds })
        .collect();
    for (season, years) in seasons.into_iter().filter(|(_, years)| years.len() > 1) {
        let months = record.seasons.map_or_else(String::new, |seasons| months(seasons, season));
        let words = format!("{months} of {} years", years.len());
        let mut rounds: Vec<usize> = years.into_values().flatten().collect();
        rounds.sort_unstable();
        periods.push(Period { words, rounds });
    }
    if several {
        let rounds = (0..record.rounds.len()).collect();
        periods.push(Period { words: "all rounds".to_owned(), rounds });
    }
    periods.retain(|period| period.rounds.len() >= FEWEST_ROUNDS);
    periods
}

impl Record {
    /// Whether a well was read in one of the rounds of a period.
    #[must_use]
    pub fn was_read(&self, well: usize, period: &Period) -> bool {
        self.heads_of(well).iter().any(|row| period.rounds.contains(&row.round))
    }
}

/// The months of a season: `April to June`.
fn months(seasons: Seasons, season: i8) -> String {
    let name = |month: i8| date(2000, month, 1).strftime("%B").to_string();
    let [first, last] = seasons.months(season);
    if first == last { name(first) } else { format!("{} to {}", name(first), name(last)) }
}

/// A value of a well in a period, or why it has none: the well has to be on the map of each of its rounds. For the highest
/// head a round in which the well was dry is left out: the water was lower.
///
/// # Units
/// - `on_map`: whether the well is on the map of a round, and if so whether its head does not fit its neighbours there
/// - returns: elevation unit
///
/// # Errors
/// Which rounds' maps it is not on, or that it was dry in all.
pub fn value(
    record: &Record,
    period: &Period,
    worked: Worked,
    well: usize,
    on_map: impl Fn(usize) -> Option<bool>,
) -> Result<PeriodValue, String> {
    let rows = record.heads_of(well);
    let row = |round: usize| rows.iter().find(|row| row.round == round);
    let mut read: Vec<(&HeadRow, f64)> = Vec::new();
    let mut missing = Vec::new();
    for round in &period.rounds {
        match row(*round) {
            Some(row) if on_map(*round).is_some() && row.head.is_some() => {
                read.extend(row.head.map(|h| (row, h)));
            }
            Some(row) if worked == Worked::Highest && row.status == Status::Dry => {}
            _ => missing.push(record.rounds[*round].round.clone()),
        }
    }
    if !missing.is_empty() {
        return Err(format!("not on the map of {}", listed(missing)));
    }
    let by_head = |a: &&(&HeadRow, f64), b: &&(&HeadRow, f64)| a.1.total_cmp(&b.1);
    let sd = |row: &HeadRow| row.sd.unwrap_or_default();
    let doubtful =
        |row: &HeadRow| on_map(row.round) == Some(true) || record.unfitting.has(well, row.round);
    let of_one = |(row, head): &(&HeadRow, f64)| PeriodValue {
        value: *head,
        sd: sd(row),
        read_in: Some(row.round),
        doubtful: doubtful(row),
    };
    let found = match worked {
        // Of equal heads the first round counts.
        Worked::Highest => read.iter().rev().max_by(by_head).map(of_one),
        Worked::Lowest => read.iter().min_by(by_head).map(of_one),
        Worked::Mean | Worked::Change => (!read.is_empty()).then(|| {
            let count = read.len() as f64;
            PeriodValue {
                value: read.iter().map(|(_, head)| head).sum::<f64>() / count,
                sd: read.iter().map(|(row, _)| sd(row)).sum::<f64>() / count,
                read_in: None,
                doubtful: read.iter().any(|(row, _)| doubtful(row)),
            }
        }),
    };
    found.ok_or_else(|| "dry in all of its rounds".to_owned())
}
