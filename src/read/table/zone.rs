//! Offsets from UTC behind times, and the time zone of the site that they are converted to.
//!
//! The rules of time zones are those built in: a machine's own database would have a map depend on
//! where and when it is made.

use jiff::civil::DateTime;
use jiff::tz::{Offset, TimeZone, TimeZoneDatabase};

use super::clock::time;

/// The declared time zone of the site.
#[derive(Debug, Clone)]
pub(in crate::read) struct SiteZone {
    /// As declared.
    pub(in crate::read) name: String,
    zone: TimeZone,
}

impl SiteZone {
    /// The zone of a name in the IANA time zone database, or of an offset such as `-07:00`.
    pub(in crate::read) fn named(name: &str) -> Option<Self> {
        let zone = match offset(name) {
            Some(offset) => TimeZone::fixed(offset),
            None => TimeZoneDatabase::bundled().get(name).ok()?,
        };
        Some(Self { name: name.to_owned(), zone })
    }

    /// The clock of the site at a time that is given with its offset; nothing beyond the years that are
    /// known.
    pub(super) fn clock(&self, at: DateTime, offset: Offset) -> Option<DateTime> {
        Some(self.zone.to_datetime(offset.to_timestamp(at).ok()?))
    }
}

/// Parts a time of day, alone or behind a date, from the offset behind it: `09:35Z`, `09:35+02:00`,
/// `09:35:20 -0500`, `09:35 -05`. Nothing where there is none.
pub(in crate::read) fn parted(text: &str) -> Option<(&str, Offset)> {
    // Most dates have no time, and a byte is found quicker than a character.
    if !text.as_bytes().contains(&b':') {
        return None;
    }
    let text = text.trim_end();
    let (clock, offset) = match text.strip_suffix(['Z', 'z']) {
        Some(clock) => (clock, Offset::UTC),
        None => text
            .rfind(['+', '-', '\u{2212}'])
            .and_then(|at| Some((&text[..at], self::offset(&text[at..])?)))?,
    };
    let clock = clock.trim_end();
    // A minus may stand between the parts of a date: a time has to stand right before it.
    let times = clock.match_indices([' ', 'T', 't', ',']).map(|(at, mark)| at + mark.len());
    let is_time = |from: usize| clock.get(from..).is_some_and(|t| time(t).is_ok());
    std::iter::once(0).chain(times).any(is_time).then_some((clock, offset))
}

/// An offset from UTC: `+02:00`, `-0500`, `-05`.
fn offset(text: &str) -> Option<Offset> {
    let (sign, digits) = match text.strip_prefix('+') {
        Some(digits) => (1, digits),
        None => (-1, text.strip_prefix(['-', '\u{2212}'])?),
    };
    let two = |part: &str| -> Option<i32> {
        let is_number = part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit());
        is_number.then(|| part.parse().ok())?
    };
    let (hours, minutes) = match digits.split_once(':') {
        Some(parts) => parts,
        None if digits.len() == 4 => (digits.get(..2)?, digits.get(2..)?),
        None => (digits, "00"),
    };
    let (hours, minutes) = (two(hours)?, two(minutes)?);
    // No place on earth is further from UTC.
    let minutes = (minutes < 60).then_some(60 * hours + minutes).filter(|m| *m <= 14 * 60)?;
    Offset::from_seconds(sign * 60 * minutes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offsets_are_parted_from_times_and_from_nothing_else() {
        for (text, rest, seconds) in [
            ("2026-04-14T09:35Z", "2026-04-14T09:35", 0),
            ("2026-04-14 09:35:20+02:00", "2026-04-14 09:35:20", 7200),
            ("2026-04-14 09:35 -0500", "2026-04-14 09:35", -18000),
            ("14-04-2026 09:35-05", "14-04-2026 09:35", -18000),
            ("4/14/2026 2:05 PM -07:00", "4/14/2026 2:05 PM", -25200),
            ("09:35+05:30", "09:35", 19800),
        ] {
            assert_eq!(
                parted(text).map(|(t, o)| (t, o.seconds())),
                Some((rest, seconds)),
                "{text}"
            );
        }
        for text in [
            "2026-04-14",
            "2026-04-14T09:35",
            "09:35 14-04-2026",
            "14-04-26",
            "12-05",
            "09:35+99:00",
            "09:35 EST",
            "Z",
            "",
        ] {
            assert_eq!(parted(text), None, "{text}");
        }
    }

    /// IANA time zone database: Mountain Standard Time is UTC-7, from the second Sunday of March to the
    /// first of November UTC-6.
    #[test]
    fn the_clock_of_a_site_follows_its_summer_time() {
        let denver = SiteZone::named("America/Denver").expect("known");
        let at = |text: &str| text.parse::<DateTime>().expect("a time");
        let clock = |zone: &SiteZone, text: &str| {
            zone.clock(at(text), Offset::UTC).expect("a time").to_string()
        };
        assert_eq!(clock(&denver, "2026-04-14T15:35:00"), "2026-04-14T09:35:00");
        assert_eq!(clock(&denver, "2026-01-14T03:35:00"), "2026-01-13T20:35:00");
        let fixed = SiteZone::named("-07:00").expect("known");
        assert_eq!(clock(&fixed, "2026-04-14T15:35:00"), "2026-04-14T08:35:00");
        for name in ["MST7MDT8", "Mountain", "", "-7", "local"] {
            assert!(SiteZone::named(name).is_none(), "{name}");
        }
    }
}
