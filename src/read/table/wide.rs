//! Wide tables: a date for a heading, and the levels of that day below it.

use jiff::civil::Date;

use super::columns::{Column, Quantity};
use super::date_advice::MONTHS;
use super::dates::{Orders, Written};
use super::heading::{self, Marks};
use super::moment::{DateRule, moment};

/// A shorter text in a heading is no date.
const SHORTEST: usize = 6;

/// A date of more words than this is none.
const MOST_WORDS: usize = 3;

/// What a dated column may hold.
const DATED: [Column; 7] = [
    Column::DepthToWater,
    Column::DepthToProduct,
    Column::ProductThickness,
    Column::PressureHead,
    Column::Stage,
    Column::Elevation,
    Column::Status,
];

/// The columns of one day.
#[derive(Debug, Clone)]
pub(in crate::read) struct WideDay {
    pub(in crate::read) day: Date,
    pub(in crate::read) places: Vec<WidePlace>,
}

/// One of the columns of a day.
#[derive(Debug, Clone)]
pub(in crate::read) struct WidePlace {
    /// What it holds: depths to water where its heading is a date alone and nothing else is said.
    pub(in crate::read) column: Column,
    /// Whether its heading is a date alone, or with a unit.
    pub(in crate::read) bare: bool,
    /// Its place in the table.
    pub(in crate::read) at: usize,
    pub(in crate::read) marks: Marks,
}

/// The dated columns among headings, the earliest day first, with how the dates are written.
pub(in crate::read) fn days<'a>(
    headings: impl Iterator<Item = (usize, &'a str)> + Clone,
    among: &[Column],
    declared: &DateRule,
    decimal_comma: bool,
) -> (Vec<WideDay>, Written) {
    let mut orders = Orders::of(decimal_comma);
    for (_, text) in headings.clone() {
        if let Some((date, _)) = dated(text, declared) {
            orders.see(&date);
        }
    }
    let written = if declared.is_declared() { Written::Plain } else { orders.written() };
    let rule = match &written {
        Written::So { rule, .. } => rule,
        _ => declared,
    };
    let mut days: Vec<WideDay> = Vec::new();
    for (at, text) in headings {
        let Some((date, rest)) = dated(text, rule) else { continue };
        let Ok(moment) = moment(&date, rule) else { continue };
        let Some((column, bare, marks)) = holds(&rest, among) else { continue };
        let place = WidePlace { column, bare, at, marks };
        match days.iter_mut().find(|d| d.day == moment.date()) {
            Some(day) => day.places.push(place),
            None => days.push(WideDay { day: moment.date(), places: vec![place] }),
        }
    }
    days.sort_by_key(|d| d.day);
    (days, written)
}

/// What a dated column holds by the rest of its heading, and whether that says no more than a unit.
fn holds(rest: &str, among: &[Column]) -> Option<(Column, bool, Marks)> {
    let dated: Vec<Column> = DATED.into_iter().filter(|c| among.contains(c)).collect();
    if heading::words(rest).is_empty() {
        return Some((Column::DepthToWater, true, Marks::default()));
    }
    if let Some((column, marks)) = heading::recognise(rest, &dated) {
        return Some((column, false, marks));
    }
    // A unit alone reads as one when a quantity stands before it.
    let (column, marks) =
        heading::recognise(&format!("{} {rest}", Column::DepthToWater.words()), &dated)?;
    (column.quantity() == Quantity::ReadingDepth).then_some((column, true, marks))
}

/// Whether all words of a text are names of months or belong to a time of day. A pattern of dates would
/// take any other for a part of each of them.
fn words_are_of_dates(text: &str) -> bool {
    let lower = text.to_lowercase();
    let mut words = lower.split(|c: char| !c.is_alphabetic()).filter(|w| !w.is_empty());
    let month = |w: &str| w.len() > 2 && MONTHS.iter().any(|m| m.starts_with(w));
    words.all(|w| month(w) || ["am", "pm", "t", "z"].contains(&w))
}

/// The date in a heading and what stands around it.
fn dated(text: &str, rule: &DateRule) -> Option<(String, String)> {
    let is_date = |t: &str| {
        t.len() >= SHORTEST
            && words_are_of_dates(t)
            && (moment(t, rule).is_ok() || {
                let mut alone = Orders::default();
                alone.see(t);
                !matches!(alone.written(), Written::Plain)
            })
    };
    if !text.bytes().any(|b| b.is_ascii_digit()) {
        return None;
    }
    if is_date(text) {
        return Some((text.to_owned(), String::new()));
    }
    let words: Vec<&str> = text.split(|c: char| c.is_whitespace() || "_()[]".contains(c)).collect();
    for length in (1..=MOST_WORDS.min(words.len())).rev() {
        for at in 0..=words.len() - length {
            let date = words[at..at + length].join(" ");
            let date = date.trim_matches([' ', ',', ';', ':']);
            if is_date(date) {
                let rest = [&words[..at], &words[at + length..]].concat().join(" ");
                return Some((date.to_owned(), rest));
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use crate::read::table::columns::SINGLE;

    use super::*;

    fn of(headings: &[&str]) -> Vec<(String, Column, bool)> {
        let (days, _) =
            days(headings.iter().copied().enumerate(), SINGLE, &DateRule::default(), false);
        days.iter()
            .flat_map(|d| d.places.iter().map(|p| (d.day.to_string(), p.column, p.bare)))
            .collect()
    }

    #[test]
    fn a_date_for_a_heading_is_found_with_what_it_holds() {
        let depth = Column::DepthToWater;
        for (heading, column, bare) in [
            ("2025-06-10", depth, true),
            ("6/30/2025", depth, true),
            ("30-Jun-25", depth, true),
            ("30 June 2025", depth, true),
            ("2025-06-10 (ft)", depth, true),
            ("DTW 2025-06-10", depth, false),
            ("DTW_2025-06-10 (ft)", depth, false),
            ("2025-06-10 Groundwater Elevation (ft)", Column::Elevation, false),
            ("Jun 30, 2025 status", Column::Status, false),
        ] {
            let found = of(&[heading]);
            assert_eq!(found.len(), 1, "{heading}");
            assert_eq!((found[0].1, found[0].2), (column, bare), "{heading}");
        }
    }

    #[test]
    fn other_headings_with_numbers_are_none() {
        for heading in ["NO3 2025-06-10", "MW-1", "Round 1", "2025", "1-2-3", "", "Depth 12.50"] {
            assert!(of(&[heading]).is_empty(), "{heading}: {:?}", of(&[heading]));
        }
    }

    #[test]
    fn headings_together_settle_day_and_month() {
        let found = of(&["03/06/2025", "14/06/2025"]);
        assert_eq!((found[0].0.as_str(), found[1].0.as_str()), ("2025-06-03", "2025-06-14"));
        let headings = ["03/06/2025", "04/06/2025"].into_iter().enumerate();
        let (days, written) = days(headings, SINGLE, &DateRule::default(), false);
        assert!(days.is_empty() && matches!(written, Written::Ambiguous { .. }));
    }
}
