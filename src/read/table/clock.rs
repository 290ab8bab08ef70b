//! A time of day as people write it.

use jiff::civil::Time;

/// Why a text is not taken as a date or time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::read) enum BadMoment {
    /// Numbers with slashes or dots, which are read differently in different places.
    Ambiguous,
    /// It has an offset from UTC or a zone.
    Zone,
    /// A spreadsheet's day number.
    Serial,
    /// A clock with am and pm, and no time that it shows.
    TwelveHour,
    /// No such day or time, or another way to write it.
    Unknown,
    /// It does not follow the declared pattern.
    NotAsDeclared,
    /// A year in which nobody read a well, as two digits are when they are read as four.
    Year(i16),
}

/// A time of day: hours and minutes, seconds where given, on either clock.
///
/// # Errors
/// Why it is none.
pub(super) fn time(text: &str) -> Result<Time, BadMoment> {
    if let Some(time) = clock_time(text) {
        return Ok(time);
    }
    let lower = text.to_ascii_lowercase();
    if lower.ends_with('m') && (lower.contains("am") || lower.contains("pm")) {
        let read = ["%I:%M %p", "%I:%M%p", "%I:%M:%S %p", "%I:%M:%S%p"]
            .iter()
            .find_map(|pattern| Time::strptime(pattern, &lower).ok());
        return read.ok_or(BadMoment::TwelveHour);
    }
    let zone_at = text.find(['Z', 'z', '+', '-', '[']);
    let zone = zone_at.is_some_and(|at| clock_time(&text[..at]).is_some());
    Err(if zone { BadMoment::Zone } else { BadMoment::Unknown })
}

/// `9:35`, `09:35`, `09:35:20`, `09:35:20.5`.
fn clock_time(text: &str) -> Option<Time> {
    let mut parts = text.split(':');
    let mut two_digits = || -> Option<i8> {
        let part = parts.next()?;
        let fits = (1..=2).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
        if fits { part.parse().ok() } else { None }
    };
    let (hour, minute) = (two_digits()?, two_digits()?);
    let Some(seconds) = parts.next() else {
        return Time::new(hour, minute, 0, 0).ok();
    };
    // jiff would pass over an offset behind the seconds.
    if parts.next().is_some() || !seconds.bytes().all(|b| b.is_ascii_digit() || b == b'.') {
        return None;
    }
    format!("{hour:02}:{minute:02}:{seconds}").parse().ok()
}
