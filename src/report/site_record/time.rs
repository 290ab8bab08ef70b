//! An axis of days.

use jiff::civil::Date;

/// Free space before the first and behind the last day, as a part of the time between them.
const MARGIN: f64 = 0.03;

/// The shortest axis, days.
const SHORTEST: f64 = 60.0;

/// Months between two ticks, and so many ticks at most.
const STEPS: &[i32] = &[1, 3, 6, 12, 24, 60, 120, 240, 600];
const MOST_TICKS: usize = 6;

/// Time across a plot: days since 1970-01-01.
#[derive(Debug, Clone)]
pub(crate) struct TimeAxis {
    from: f64,
    to: f64,
    /// Firsts of months with what is written below them.
    pub(crate) ticks: Vec<(f64, String)>,
}

impl TimeAxis {
    /// One that shows all these days; `None` without any.
    pub(crate) fn of(days: impl Iterator<Item = f64> + Clone) -> Option<Self> {
        let first = days.clone().reduce(f64::min)?;
        let last = days.reduce(f64::max)?;
        let free = (MARGIN * (last - first)).max((SHORTEST - (last - first)) / 2.0);
        let (from, to) = (first - free, last + free);
        let ticks = STEPS.iter().map(|step| ticks(from, to, *step));
        let ticks = ticks.reduce(|a, b| if a.len() > MOST_TICKS { b } else { a })?;
        Some(Self { from, to, ticks })
    }

    /// Where a day lies: 0 at the beginning, 1 at the end.
    pub(crate) fn part(&self, day: f64) -> f64 {
        (day - self.from) / (self.to - self.from)
    }
}

/// The firsts of every so many months: the year alone in January, year and month otherwise.
fn ticks(from: f64, to: f64, months: i32) -> Vec<(f64, String)> {
    let Some(start) = date(from) else { return Vec::new() };
    let first = i32::from(start.year()) * 12 + i32::from(start.month()) - 1;
    let first = first - first.rem_euclid(months);
    let mut found = Vec::new();
    for month in (0..2000).map(|k| first + k * months) {
        let (year, of_year) = (month.div_euclid(12), month.rem_euclid(12) + 1);
        let parts = (i16::try_from(year), i8::try_from(of_year));
        let (Ok(y), Ok(m)) = parts else { break };
        let Ok(at) = Date::new(y, m, 1).map(day) else { break };
        if at > to {
            break;
        }
        if at >= from {
            let text = if of_year == 1 { year.to_string() } else { format!("{year}-{of_year:02}") };
            found.push((at, text));
        }
    }
    found
}

/// The day that so many days after the beginning of 1970-01-01 lie in.
#[expect(clippy::cast_possible_truncation, reason = "days of readings are in calendars")]
fn date(days: f64) -> Option<Date> {
    let span = jiff::Span::new().try_days(days.floor() as i64).ok()?;
    Date::constant(1970, 1, 1).checked_add(span).ok()
}

/// Days since 1970-01-01 to the noon of a day.
pub(crate) fn noon(text: &str) -> Option<f64> {
    text.parse::<Date>().ok().map(|date| day(date) + 0.5)
}

fn day(date: Date) -> f64 {
    date.duration_since(Date::constant(1970, 1, 1)).as_secs_f64() / 86_400.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_firsts_of_months_and_few_enough() {
        // 2022-04-12 and 2025-10-12 are days 19094 and 20373 after 1970-01-01 (Python's datetime).
        assert_eq!([noon("2022-04-12"), noon("2025-10-12")], [Some(19_094.5), Some(20_373.5)]);
        let axis = TimeAxis::of([19_094.5, 20_373.5].into_iter()).expect("days");
        let texts: Vec<&str> = axis.ticks.iter().map(|t| t.1.as_str()).collect();
        assert_eq!(texts, ["2023", "2024", "2025"]);
        // 2023-01-01 is day 19358.
        assert!((axis.ticks[0].0 - 19_358.0).abs() < 1e-9);
        assert!(axis.part(19_094.5) > 0.0 && axis.part(20_373.5) < 1.0);
        let short = TimeAxis::of([19_094.5, 19_094.5].into_iter()).expect("days");
        let texts: Vec<&str> = short.ticks.iter().map(|t| t.1.as_str()).collect();
        assert_eq!(texts, ["2022-04", "2022-05"]);
        assert!(TimeAxis::of(std::iter::empty()).is_none());
    }
}
