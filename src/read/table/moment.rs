//! Dates and times as people write them: ISO 8601, or one declared pattern.

use jiff::civil::{Date, DateTime, Time};
use jiff::fmt::strtime;
use jiff::tz::Offset;

use crate::geom::tolerance::{EARLIEST_YEAR, LATEST_YEAR};
use crate::read::wells::reading::Moment;

use super::clock::time;
use super::zone::{self, SiteZone};

pub(in crate::read) use super::clock::BadMoment;

/// How dates are written besides ISO 8601: in one declared pattern, or in those that were found.
#[derive(Debug, Clone, Default)]
pub(in crate::read) struct DateRule {
    formats: Vec<Format>,
    /// Whether they are declared: then what follows none of them is told to be no such date.
    declared: bool,
    /// The time zone of the site, where it is declared.
    zone: Option<SiteZone>,
}

/// A pattern of dates.
#[derive(Debug, Clone)]
struct Format {
    whole: String,
    /// Its part before the time of day, where it has both.
    day_part: Option<String>,
}

impl Format {
    fn read(&self, text: &str) -> Option<Moment> {
        let Some(day) = &self.day_part else {
            return Date::strptime(&self.whole, text).ok().map(Moment::Day);
        };
        let timed = DateTime::strptime(&self.whole, text).ok().map(Moment::Time);
        timed.or_else(|| Date::strptime(day, text).ok().map(Moment::Day))
    }
}

impl DateRule {
    /// The rule of a declared pattern.
    ///
    /// # Errors
    /// Why the pattern cannot be used.
    pub(in crate::read) fn of(format: &str) -> Result<Self, String> {
        if ["%z", "%Z", "%:z", "%Q", "%:Q", "%s"].iter().any(|d| format.contains(d)) {
            return Err("the offset of times is not declared here, but with time_zone".to_owned());
        }
        let sample = DateTime::constant(2023, 2, 1, 14, 5, 0, 0);
        let written = strtime::format(format, sample).map_err(|e| e.to_string())?;
        if Date::strptime(format, &written).ok() != Some(sample.date()) {
            return Err("it does not give year, month and day".to_owned());
        }
        let time_at = ["%H", "%I", "%k", "%l", "%T", "%R", "%-H", "%-I"]
            .iter()
            .filter_map(|d| format.find(d))
            .min();
        let day_part = time_at.map(|at| format[..at].trim_end_matches([' ', 'T', ',']).to_owned());
        let formats = vec![Format { whole: format.to_owned(), day_part }];
        Ok(Self { formats, declared: true, zone: None })
    }

    /// The rule of patterns that the dates themselves show.
    pub(super) fn found(patterns: &[String]) -> Self {
        let formats = patterns.iter().filter_map(|p| Self::of(p).ok()).flat_map(|r| r.formats);
        Self { formats: formats.collect(), ..Self::default() }
    }

    /// The same where times may have an offset from UTC: they are converted to this zone.
    pub(in crate::read) fn in_zone(self, zone: Option<SiteZone>) -> Self {
        Self { zone, ..self }
    }

    /// The time zone of the site, where it is declared.
    pub(in crate::read) const fn zone(&self) -> Option<&SiteZone> {
        self.zone.as_ref()
    }

    /// Whether a pattern is declared.
    pub(in crate::read) const fn is_declared(&self) -> bool {
        self.declared
    }
}

/// A day, or a day and a time, in one cell.
///
/// # Errors
/// Why it is neither.
pub(in crate::read) fn moment(text: &str, rule: &DateRule) -> Result<Moment, BadMoment> {
    let moment = match zone::parted(text) {
        None => any_year(text, rule)?,
        Some((local, offset)) => match any_year(local, rule)? {
            Moment::Time(at) => Moment::Time(at_site(at, Some(offset), rule)?),
            Moment::Day(_) => return Err(BadMoment::Unknown),
        },
    };
    let year = moment.date().year();
    if (EARLIEST_YEAR..=LATEST_YEAR).contains(&year) {
        Ok(moment)
    } else {
        Err(BadMoment::Year(year))
    }
}

fn any_year(text: &str, rule: &DateRule) -> Result<Moment, BadMoment> {
    if let Some(read) = rule.formats.iter().find_map(|format| format.read(text)) {
        return Ok(read);
    }
    // A pattern that begins with the year, such as %Y-%d-%m, would read some ISO dates
    // as other days: then only the pattern counts.
    if rule.declared && rule.formats.iter().any(|f| f.whole.starts_with("%Y")) {
        return Err(BadMoment::NotAsDeclared);
    }
    iso(text).map_err(|bad| match bad {
        BadMoment::Ambiguous | BadMoment::Unknown if rule.declared => BadMoment::NotAsDeclared,
        other => other,
    })
}

/// The clock of the site at a time; one without an offset is of the site already.
///
/// # Errors
/// [`BadMoment::Zone`] for an offset where the site has no time zone.
pub(in crate::read) fn at_site(
    at: DateTime,
    offset: Option<Offset>,
    rule: &DateRule,
) -> Result<DateTime, BadMoment> {
    let Some(offset) = offset else { return Ok(at) };
    rule.zone().ok_or(BadMoment::Zone)?.clock(at, offset).ok_or(BadMoment::Unknown)
}

/// A time of day, with its offset from UTC where it has one.
///
/// # Errors
/// Why it is none.
pub(in crate::read) fn time_and_offset(text: &str) -> Result<(Time, Option<Offset>), BadMoment> {
    match zone::parted(text) {
        Some((local, offset)) => Ok((time(local)?, Some(offset))),
        None => Ok((time(text)?, None)),
    }
}

/// A day; a time beside it is passed over.
///
/// # Errors
/// Why it is none.
pub(in crate::read) fn day(text: &str, rule: &DateRule) -> Result<Date, BadMoment> {
    moment(text, rule).map(Moment::date)
}

/// ISO 8601: `2026-04-14`, `2026-04-14T09:35`, `2026-04-14 09:35:20`.
fn iso(text: &str) -> Result<Moment, BadMoment> {
    let b = text.as_bytes();
    let digits = |r: std::ops::Range<usize>| b[r].iter().all(u8::is_ascii_digit);
    let shaped = b.len() >= 10
        && digits(0..4)
        && b[4] == b'-'
        && digits(5..7)
        && b[7] == b'-'
        && digits(8..10);
    if !shaped {
        let numbers = text.starts_with(|c: char| c.is_ascii_digit())
            && text.len() > 5
            && text.contains(['/', '.', '-'])
            && text.bytes().filter(u8::is_ascii_digit).count() >= 4;
        return Err(if numbers {
            BadMoment::Ambiguous
        } else if text.len() >= 5 && text.bytes().all(|c| c.is_ascii_digit() || c == b'.') {
            BadMoment::Serial
        } else {
            BadMoment::Unknown
        });
    }
    let day: Date = text[..10].parse().map_err(|_| BadMoment::Unknown)?;
    let rest = &text[10..];
    if rest.is_empty() {
        return Ok(Moment::Day(day));
    }
    let clock = rest.strip_prefix(['T', 't']).unwrap_or(rest.trim_start());
    if clock.len() == rest.len() {
        return Err(BadMoment::Unknown);
    }
    time(clock).map(|t| Moment::Time(day.to_datetime(t)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn iso_only(text: &str) -> Result<String, BadMoment> {
        moment(text, &DateRule::default()).map(|m| m.to_string())
    }

    #[test]
    fn iso_days_and_times_are_read() {
        for (text, read) in [
            ("2026-04-14", "2026-04-14"),
            ("2026-04-14T09:35", "2026-04-14T09:35:00"),
            ("2026-04-14 09:35:20", "2026-04-14T09:35:20"),
            ("2026-04-14 9:35", "2026-04-14T09:35:00"),
            ("2024-02-29T23:59:59.25", "2024-02-29T23:59:59"),
            ("2026-04-14 2:05 PM", "2026-04-14T14:05:00"),
            ("2026-04-14 12:05am", "2026-04-14T00:05:00"),
            ("2026-04-14 12:05:10 pm", "2026-04-14T12:05:10"),
        ] {
            assert_eq!(iso_only(text).as_deref(), Ok(read), "{text}");
        }
    }

    #[test]
    fn every_other_way_is_refused_with_its_own_reason() {
        for (text, why) in [
            ("04/05/2026", BadMoment::Ambiguous),
            ("4.5.2026", BadMoment::Ambiguous),
            ("14-04-2026 09:35", BadMoment::Ambiguous),
            ("2026-04-14T09:35Z", BadMoment::Zone),
            ("2026-04-14T09:35+02:00", BadMoment::Zone),
            ("2026-04-14 09:35:00-05", BadMoment::Zone),
            ("2026-04-14 14:05 PM", BadMoment::TwelveHour),
            ("46126", BadMoment::Serial),
            ("2026-02-30", BadMoment::Unknown),
            ("2026-04-14T24:00", BadMoment::Unknown),
            ("2026-04-14T09:35:20:1", BadMoment::Unknown),
            ("2026-04-14x", BadMoment::Unknown),
            ("yesterday", BadMoment::Unknown),
            ("", BadMoment::Unknown),
            ("0026-04-14", BadMoment::Year(26)),
            ("1026-04-14T09:35", BadMoment::Year(1026)),
            ("2206-04-14", BadMoment::Year(2206)),
        ] {
            assert_eq!(iso_only(text), Err(why), "{text}");
        }
    }

    #[test]
    fn a_declared_pattern_settles_what_slashes_mean() {
        let us = DateRule::of("%m/%d/%Y").expect("usable");
        let elsewhere = DateRule::of("%d/%m/%Y").expect("usable");
        let read = |rule: &DateRule, text: &str| moment(text, rule).map(|m| m.to_string());
        assert_eq!(read(&us, "04/05/2026").as_deref(), Ok("2026-04-05"));
        assert_eq!(read(&us, "4/5/2026").as_deref(), Ok("2026-04-05"));
        assert_eq!(read(&elsewhere, "04/05/2026").as_deref(), Ok("2026-05-04"));
        assert_eq!(read(&us, "2026-05-04").as_deref(), Ok("2026-05-04"));
        assert_eq!(read(&us, "14/04/2026"), Err(BadMoment::NotAsDeclared));
        let timed = DateRule::of("%m/%d/%Y %H:%M").expect("usable");
        assert_eq!(read(&timed, "4/14/2026 9:35").as_deref(), Ok("2026-04-14T09:35:00"));
        assert_eq!(read(&timed, "4/14/2026").as_deref(), Ok("2026-04-14"));
        let am_pm = DateRule::of("%m/%d/%Y %I:%M %p").expect("usable");
        assert_eq!(read(&am_pm, "4/14/2026 2:05 PM").as_deref(), Ok("2026-04-14T14:05:00"));
    }

    #[test]
    fn a_year_of_two_digits_is_not_one_of_four() {
        let four = DateRule::of("%m/%d/%Y").expect("usable");
        let two = DateRule::of("%m/%d/%y").expect("usable");
        assert_eq!(moment("4/14/26", &four), Err(BadMoment::Year(26)));
        assert_eq!(moment("4/14/26", &two).map(|m| m.to_string()).as_deref(), Ok("2026-04-14"));
        assert!(moment("4/14/2026", &two).is_err());
    }

    #[test]
    fn a_pattern_that_begins_with_the_year_takes_no_iso_date_for_another_day() {
        let odd = DateRule::of("%Y-%d-%m").expect("usable");
        assert_eq!(moment("2026-05-04", &odd).map(|m| m.to_string()).as_deref(), Ok("2026-04-05"));
        assert_eq!(moment("2026-04-14", &odd), Err(BadMoment::NotAsDeclared));
    }

    #[test]
    fn a_pattern_without_a_whole_date_or_with_a_zone_is_refused() {
        for bad in ["%m/%d", "%H:%M", "%d %Y", "%", "%!", "", "%Y-%m-%dT%H:%M%z"] {
            assert!(DateRule::of(bad).is_err(), "{bad}");
        }
    }
}
