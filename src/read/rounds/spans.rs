//! The rounds of one table, found by gaps in time.

use std::collections::HashMap;

use jiff::civil::{Date, DateTime, Time};

use crate::read::wells::reading::{Moment, Reading, Status};

/// A longer time without any reading ends a round, days: a weekend and bad weather do not. Common
/// practice, no source.
const LONGEST_BREAK_DAYS: i64 = 7;

/// One reading as far as rounds are concerned.
#[derive(Debug, Clone, Copy)]
pub(in crate::read) struct Visit {
    /// Which well, by a number of its own.
    pub(in crate::read) well: usize,
    /// When.
    pub(in crate::read) moment: Moment,
    /// Whether a level at rest was read.
    pub(in crate::read) at_rest: bool,
}

/// A round of a table: all readings from its first to its last.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::read) struct Span {
    /// Its first day, with the time where another round begins on that day.
    pub(in crate::read) name: String,
    /// The first and the last reading.
    first: (Date, Time),
    last: (Date, Time),
    /// The wells with a level at rest in it.
    pub(in crate::read) wells: Vec<usize>,
}

impl Span {
    /// Whether a reading of this moment belongs to it.
    pub(in crate::read) fn holds(&self, moment: Moment) -> bool {
        (self.first..=self.last).contains(&order(moment))
    }

    /// Whether it is meant: by its name, or by a year, a month or a day of it.
    pub(in crate::read) fn is_meant(&self, wanted: &str) -> bool {
        self.name == wanted
            || (is_date(wanted) && {
                let cut = |day: Date| day.to_string()[..wanted.len()].to_owned();
                (cut(self.first.0)..=cut(self.last.0)).contains(&wanted.to_owned())
            })
    }
}

/// Whether a text is a year, a month or a day in the way of ISO 8601.
pub(in crate::read) fn is_date(text: &str) -> bool {
    let marks = |(at, b): (usize, u8)| match at {
        4 | 7 => b == b'-',
        _ => b.is_ascii_digit(),
    };
    matches!(text.len(), 4 | 7 | 10) && text.bytes().enumerate().all(marks)
}

/// The rounds of a table, the oldest first: a gap longer than the window ends one, unless it is a
/// break of some days and no well was read on both sides of it. A table in which no well has levels at
/// rest on both sides of any gap is one round however long it took, and so is one without any gap.
///
/// # References
/// Readings within the window belong together: common practice, no source.
pub(in crate::read) fn spans(mut visits: Vec<Visit>, window_h: f64) -> Vec<Span> {
    visits.sort_by_key(|v| order(v.moment));
    let mut spans: Vec<Span> = Vec::new();
    let mut before: Option<Moment> = None;
    for visit in &visits {
        let at = order(visit.moment);
        match spans.last_mut().filter(|_| before.is_some_and(|b| !gap(b, visit.moment, window_h))) {
            Some(span) => span.last = at,
            None => {
                spans.push(Span { name: at.0.to_string(), first: at, last: at, wells: Vec::new() });
            }
        }
        if let Some(span) = spans.last_mut().filter(|_| visit.at_rest) {
            span.wells.push(visit.well);
        }
        before = Some(visit.moment);
    }
    for span in &mut spans {
        span.wells.sort_unstable();
        span.wells.dedup();
    }
    if !read_again(&spans) {
        return Vec::new();
    }
    let mut spans = without_breaks(spans);
    let days: Vec<Date> = spans.iter().map(|s| s.first.0).collect();
    for span in &mut spans {
        if days.iter().filter(|d| **d == span.first.0).count() > 1 {
            span.name = format!("{}T{}", span.first.0, span.first.1.strftime("%H%M"));
        }
    }
    spans
}

/// The same, where what a break of some days parted is one round: none of its wells was read before
/// and after it.
fn without_breaks(parts: Vec<Span>) -> Vec<Span> {
    let mut spans: Vec<Span> = Vec::new();
    for part in parts {
        let goes_on = |round: &&mut Span| {
            let days = part.first.0.duration_since(round.last.0).as_hours() / 24;
            days <= LONGEST_BREAK_DAYS
                && part.wells.iter().all(|w| round.wells.binary_search(w).is_err())
        };
        if let Some(round) = spans.last_mut().filter(goes_on) {
            round.last = part.last;
            round.wells.extend(part.wells);
            round.wells.sort_unstable();
        } else {
            spans.push(part);
        }
    }
    spans
}

/// Whether any well has a level at rest in two of them.
fn read_again(spans: &[Span]) -> bool {
    let mut wells: Vec<usize> = spans.iter().flat_map(|s| s.wells.iter().copied()).collect();
    let all = wells.len();
    #[expect(clippy::stable_sort_primitive, reason = "those of each are in order, which it uses")]
    wells.sort();
    wells.dedup();
    wells.len() < all
}

/// The rounds of these readings; `others` are moments of rows that could not be read. None where the
/// table is one round.
pub(in crate::read) fn of_readings(
    readings: &[Reading],
    others: &[Moment],
    window_h: f64,
) -> Vec<Span> {
    let all = || readings.iter().filter_map(|r| r.moment).chain(others.iter().copied());
    let ends = all().map(order).min().zip(all().map(order).max());
    let Some((first, last)) = ends else { return Vec::new() };
    if !apart(first.0.to_datetime(first.1), last.0.to_datetime(last.1), window_h)
        && first.0 == last.0
    {
        return Vec::new();
    }
    let mut numbers: HashMap<&str, usize> = HashMap::new();
    let mut visits: Vec<Visit> = Vec::with_capacity(readings.len() + others.len());
    for reading in readings {
        let Some(moment) = reading.moment else { continue };
        let next = numbers.len();
        let well = *numbers.entry(&reading.well).or_insert(next);
        let at_rest = matches!(reading.status, Status::Static | Status::Flowing);
        visits.push(Visit { well, moment, at_rest });
    }
    visits.extend(others.iter().map(|m| Visit { well: usize::MAX, moment: *m, at_rest: false }));
    spans(visits, window_h)
}

/// A moment to be sorted by; a day counts from midnight.
fn order(moment: Moment) -> (Date, Time) {
    match moment {
        Moment::Time(t) => (t.date(), t.time()),
        Moment::Day(d) => (d, Time::midnight()),
    }
}

/// Whether the later of two moments is further from the earlier one than the window. Moments of
/// which one has no time are compared by days.
fn gap(earlier: Moment, later: Moment, window_h: f64) -> bool {
    let midnight = |m: Moment| m.date().at(0, 0, 0, 0);
    match (earlier, later) {
        (Moment::Time(a), Moment::Time(b)) => apart(a, b, window_h),
        _ => apart(midnight(earlier), midnight(later), window_h),
    }
}

fn apart(earlier: DateTime, later: DateTime, window_h: f64) -> bool {
    later.duration_since(earlier).as_secs_f64() > window_h * 3600.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(day: i8) -> Moment {
        Moment::Day(Date::constant(2025, 6, day))
    }

    fn at(d: i8, hour: i8) -> Moment {
        Moment::Time(Date::constant(2025, 6, d).at(hour, 0, 0, 0))
    }

    fn of(visits: &[(usize, Moment)], window_h: f64) -> Vec<(String, usize)> {
        let visits = visits.iter().map(|&(well, moment)| Visit { well, moment, at_rest: true });
        spans(visits.collect(), window_h).into_iter().map(|s| (s.name, s.wells.len())).collect()
    }

    #[test]
    fn a_gap_longer_than_the_window_ends_a_round() {
        let two = [(1, day(20)), (0, day(10)), (1, day(11)), (0, day(20)), (2, day(21))];
        assert_eq!(of(&two, 24.0), [("2025-06-10".to_owned(), 2), ("2025-06-20".to_owned(), 3)]);
        // One of them was only read later: a round that took long.
        assert!(of(&[(0, day(10)), (1, day(20))], 24.0).is_empty());
        assert!(of(&[(0, day(10)), (0, day(11))], 24.0).is_empty());
        // Over a weekend other wells of the same round are read, and all again a week later.
        let weekend = [(0, day(6)), (1, day(9)), (0, day(16)), (1, day(16)), (2, day(30))];
        let names = ["2025-06-06", "2025-06-16", "2025-06-30"];
        let counts = [2, 2, 1];
        let expected: Vec<_> = names.map(str::to_owned).into_iter().zip(counts).collect();
        assert_eq!(of(&weekend, 24.0), expected);
        let tides = [(0, at(10, 6)), (0, at(10, 12)), (1, at(10, 7))];
        let names = [("2025-06-10T0600".to_owned(), 2), ("2025-06-10T1200".to_owned(), 1)];
        assert_eq!(of(&tides, 3.0), names);
    }

    #[test]
    fn a_round_is_meant_by_its_name_its_month_or_a_day_of_it() {
        let two = [(0, day(10)), (1, day(11)), (0, day(20)), (1, day(20))];
        let visits = two.map(|(well, moment)| Visit { well, moment, at_rest: true });
        let found = spans(visits.to_vec(), 24.0);
        let meant = |wanted: &str| found.iter().filter(|s| s.is_meant(wanted)).count();
        for (wanted, count) in [
            ("2025-06-10", 1),
            ("2025-06-11", 1),
            ("2025-06-12", 0),
            ("2025-06", 2),
            ("2025", 2),
            ("2026", 0),
            ("20", 0),
            ("spring", 0),
        ] {
            assert_eq!(meant(wanted), count, "{wanted}");
        }
        assert!(found[0].holds(at(10, 9)) && !found[0].holds(at(12, 9)));
    }
}
