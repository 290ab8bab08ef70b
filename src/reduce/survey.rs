//! Which measuring point elevation holds on a day, and what is wrong where none does.

use jiff::Span;
use jiff::civil::Date;

use crate::diag::{Code, Diagnostic, Origin, listed};
use crate::read::{MeasuringPoint, Reading, Settings, Well};
use crate::reduce::types::ReadingAccount;
use crate::reduce::words::show;
use crate::units::brief;

/// Days in a year, for ages.
const DAYS_A_YEAR: f64 = 365.25;

/// Why no elevation holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Unfit {
    /// None was ever given.
    Unknown,
    /// All were surveyed after the reading.
    NotYet,
    /// There are several and the reading has no date.
    Undated,
    /// Two differ and are valid from the same day.
    Twice,
}

/// The elevation that holds on a day: the one with the latest `valid_from` not after it, where no
/// `valid_from` means from the beginning. A reading without a day takes the only one there is.
pub(crate) fn valid_at(
    points: &[MeasuringPoint],
    day: Option<Date>,
) -> Result<&MeasuringPoint, Unfit> {
    let Some(day) = day else {
        return match points {
            [] => Err(Unfit::Unknown),
            [only] => Ok(only),
            _ => Err(Unfit::Undated),
        };
    };
    let latest = points
        .iter()
        .filter(|p| holds(p.valid_from, day))
        .max_by_key(|p| p.valid_from)
        .ok_or(if points.is_empty() { Unfit::Unknown } else { Unfit::NotYet })?;
    let twice = points.iter().any(|p| {
        p.valid_from == latest.valid_from && p.elevation.total_cmp(&latest.elevation).is_ne()
    });
    if twice { Err(Unfit::Twice) } else { Ok(latest) }
}

/// Whether something valid from a day, or from the beginning, is valid on another.
fn holds(valid_from: Option<Date>, day: Date) -> bool {
    valid_from.is_none_or(|from| from <= day)
}

/// The measuring point that held in the round before, whose last day was `before`; where no earlier round is
/// known, the one that held until the survey of the one that holds.
fn held<'a>(
    points: &'a [MeasuringPoint],
    holds: &MeasuringPoint,
    before: Option<Date>,
) -> Option<&'a MeasuringPoint> {
    let until = before.or_else(|| holds.valid_from?.yesterday().ok())?;
    valid_at(points, Some(until)).ok()
}

/// The first day from which a survey is not stale on `day`: a year is 365.25 days, rounded down to
/// whole days in favour of the survey.
fn fresh_from(day: Date, years: f64) -> Date {
    #[expect(clippy::cast_possible_truncation, reason = "float to integer saturates")]
    let days = (years * DAYS_A_YEAR).ceil() as i64;
    let age = Span::new().try_days(days);
    age.map_or(Date::MIN, |age| day.saturating_sub(age))
}

/// Looks elevations up and remembers what is wrong with them, so that each fault is told once with
/// all its wells.
#[derive(Debug)]
pub(super) struct Surveys<'a> {
    settings: &'a Settings,
    /// Fault, well, what is known about it, where.
    unfit: Vec<(Unfit, &'a str, String, &'a Origin)>,
    /// A day of readings, and the first day from which surveys are fresh enough for it: rounds have
    /// many readings and few days.
    fresh: Option<(Date, Date)>,
    /// Well, day of survey, where.
    stale: Vec<(&'a str, Date, &'a Origin)>,
    /// The last day of the round before, where one is known.
    before: Option<Date>,
    /// Well, the elevation that held and the one that holds, with the one's place.
    changed: Vec<(&'a str, f64, &'a MeasuringPoint)>,
}

impl<'a> Surveys<'a> {
    pub(super) const fn new(settings: &'a Settings, before: Option<Date>) -> Self {
        Self {
            settings,
            unfit: Vec::new(),
            fresh: None,
            stale: Vec::new(),
            before,
            changed: Vec::new(),
        }
    }

    /// Puts the measuring point that holds into the account of a reading, and remembers one that changed since
    /// the round before.
    pub(super) fn put(
        &mut self,
        holds: Option<&'a MeasuringPoint>,
        points: &[MeasuringPoint],
        well: &'a Well,
        account: &mut ReadingAccount,
    ) {
        let Some(point) = holds else { return };
        account.measuring_point = Some(point.elevation);
        account.surveyed = point.valid_from;
        account.changed_from = held(points, point, self.before)
            .map(|held| held.elevation)
            .filter(|held| held.total_cmp(&point.elevation).is_ne());
        self.changed.extend(account.changed_from.map(|held| (well.id.as_str(), held, point)));
    }

    /// The measuring point a reading is reduced from. Where there is none the fault is remembered.
    pub(super) fn valid(
        &mut self,
        well: &'a Well,
        points: &'a [MeasuringPoint],
        reading: &'a Reading,
    ) -> Option<&'a MeasuringPoint> {
        let day = reading.moment.map(crate::read::Moment::date);
        match valid_at(points, day) {
            Ok(point) => {
                if let (Some(from), Some(day)) = (point.valid_from, day)
                    && from < self.fresh_from(day)
                {
                    self.stale.push((&well.id, from, &point.origin));
                }
                Some(point)
            }
            Err(fault) => {
                let text = self.describe(fault, well, points, day);
                self.unfit.push((fault, &well.id, text, &reading.origin));
                None
            }
        }
    }

    fn fresh_from(&mut self, day: Date) -> Date {
        match self.fresh {
            Some((known, from)) if known == day => from,
            _ => {
                let from = fresh_from(day, self.settings.measuring_point_age_years);
                self.fresh = Some((day, from));
                from
            }
        }
    }

    fn describe(
        &self,
        fault: Unfit,
        well: &Well,
        points: &[MeasuringPoint],
        day: Option<Date>,
    ) -> String {
        let mut known: Vec<String> = points
            .iter()
            .map(|p| p.valid_from.map_or("the beginning".to_owned(), |d| d.to_string()))
            .collect();
        known.sort();
        let id = &well.id;
        match (fault, day) {
            (Unfit::NotYet, Some(day)) => {
                format!("{id} (read {day}, valid from {})", known.join(" and "))
            }
            (Unfit::Undated, _) => format!("{id} (valid from {})", known.join(" and ")),
            (Unfit::Twice, Some(day)) => {
                let from = points.iter().map(|p| p.valid_from).filter(|&f| holds(f, day)).max();
                let mut elevations: Vec<f64> = points
                    .iter()
                    .filter(|p| Some(p.valid_from) == from)
                    .map(|p| p.elevation)
                    .collect();
                elevations.sort_by(f64::total_cmp);
                let elevations: Vec<String> = elevations.iter().map(|e| brief(*e)).collect();
                let from = from.flatten().map_or("the beginning".to_owned(), |d| d.to_string());
                format!(
                    "{id} ({} {} from {from})",
                    elevations.join(" and "),
                    self.settings.elevation_unit
                )
            }
            _ => id.clone(),
        }
    }

    /// D221: measuring points whose elevation is another than in the round before.
    fn tell_changed(&mut self, findings: &mut Vec<Diagnostic>) {
        let mut changed = std::mem::take(&mut self.changed);
        changed.sort_by(|a, b| a.0.cmp(b.0).then(a.2.valid_from.cmp(&b.2.valid_from)));
        changed.dedup_by(|a, b| (a.0, a.2) == (b.0, b.2));
        if changed.is_empty() {
            return;
        }
        let unit = self.settings.elevation_unit;
        let one = |(id, held, point): &(&str, f64, &MeasuringPoint)| {
            let from = point.valid_from.map_or(String::new(), |day| format!(" from {day}"));
            format!("{id} ({} {unit}, {} {unit}{from})", show(*held), show(point.elevation))
        };
        let since = self.before.map_or_else(
            || "by their latest survey".to_owned(),
            |day| format!("since the round before, of {day}"),
        );
        let text = format!(
            "the elevation of measuring points changed {since}: {}",
            listed(changed.iter().map(one))
        );
        let mut finding = Diagnostic::new(Code::MeasuringPointChanged, text).advice(
            "each round is reduced from the elevation of its own days; report both elevations and \
             the date, and compare heads of the two rounds, not depths",
        );
        for (id, _, point) in &changed {
            finding = finding.well(id).at(&point.origin);
        }
        findings.push(finding);
    }

    /// The refusals and warnings, one for each kind of fault.
    pub(super) fn into_findings(mut self, findings: &mut Vec<Diagnostic>) {
        self.unfit.sort();
        self.unfit.dedup_by(|a, b| (a.0, a.1, &a.2) == (b.0, b.1, &b.2));
        for group in self.unfit.chunk_by(|a, b| a.0 == b.0) {
            let (what, advice) = match group[0].0 {
                Unfit::Unknown => (
                    "no measuring point elevation is given for",
                    "give it as measuring_point_elevation in the register, or in \
                     measuring-points.csv",
                ),
                Unfit::NotYet => (
                    "no measuring point elevation is valid on the day of the reading:",
                    "if the elevation was already valid on that day, clear measuring_point_date \
                     in the register or give an earlier valid_from in measuring-points.csv, and \
                     note the evidence; otherwise add the elevation of that day to \
                     measuring-points.csv",
                ),
                Unfit::Undated => (
                    "readings without a date, of wells with several measuring point elevations:",
                    "give the dates of these readings in the round",
                ),
                Unfit::Twice => (
                    "two different measuring point elevations are valid from the same day:",
                    "keep the correct one, or correct valid_from",
                ),
            };
            let list: Vec<&str> = group.iter().map(|(_, _, text, _)| text.as_str()).collect();
            let text = format!("{what} {}", listed(list));
            let mut finding = Diagnostic::new(Code::MeasuringPointMissing, text).advice(advice);
            for &(_, id, _, origin) in group {
                if finding.wells.last().is_none_or(|last| last != id) {
                    finding = finding.well(id);
                }
                finding = finding.at(origin);
            }
            findings.push(finding);
        }
        self.tell_changed(findings);
        self.stale.sort();
        self.stale.dedup();
        if self.stale.is_empty() {
            return;
        }
        let list: Vec<String> =
            self.stale.iter().map(|(id, from, _)| format!("{id} ({from})")).collect();
        let mut finding = Diagnostic::new(
            Code::MeasuringPointStale,
            format!(
                "measuring points surveyed more than {} years before their readings: {}",
                brief(self.settings.measuring_point_age_years),
                listed(list)
            ),
        )
        .advice(
            "resurvey them: casings settle, heave and are cut down, and an error in the elevation \
             is an equal error in every head",
        );
        for (id, _, origin) in &self.stale {
            finding = finding.well(id).at(origin);
        }
        findings.push(finding);
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    fn point(valid_from: Option<Date>, elevation: f64) -> MeasuringPoint {
        MeasuringPoint { valid_from, elevation, origin: Origin::file("measuring-points.csv") }
    }

    fn at(points: &[MeasuringPoint], day: Option<Date>) -> Result<f64, Unfit> {
        valid_at(points, day).map(|p| p.elevation)
    }

    #[test]
    fn the_latest_survey_not_after_the_day_holds() {
        let points = [
            point(None, 100.0),
            point(Some(date(2020, 5, 1)), 100.5),
            point(Some(date(2024, 5, 1)), 101.0),
        ];
        assert_eq!(at(&points, Some(date(2020, 4, 30))), Ok(100.0));
        assert_eq!(at(&points, Some(date(2020, 5, 1))), Ok(100.5));
        assert_eq!(at(&points, Some(date(2024, 4, 30))), Ok(100.5));
        assert_eq!(at(&points, Some(date(2030, 1, 1))), Ok(101.0));
        assert_eq!(at(&points, None), Err(Unfit::Undated));
        assert_eq!(at(&points[..1], None), Ok(100.0));
        assert_eq!(at(&points[1..], Some(date(2019, 1, 1))), Err(Unfit::NotYet));
        assert_eq!(at(&[], Some(date(2019, 1, 1))), Err(Unfit::Unknown));
        assert_eq!(at(&[], None), Err(Unfit::Unknown));
    }

    #[test]
    fn what_held_before_is_asked_of_the_round_before_or_of_the_survey_before() {
        let points = [
            point(None, 100.0),
            point(Some(date(2020, 5, 1)), 100.5),
            point(Some(date(2024, 5, 1)), 101.0),
        ];
        let before = |holds: usize, day| held(&points, &points[holds], day).map(|p| p.elevation);
        assert_eq!(before(2, None), Some(100.5));
        assert_eq!(before(2, Some(date(2019, 1, 1))), Some(100.0));
        assert_eq!(before(2, Some(date(2024, 4, 30))), Some(100.5));
        assert_eq!(before(2, Some(date(2024, 5, 1))), Some(101.0));
        assert_eq!(before(0, None), None);
        assert_eq!(held(&points[1..], &points[1], Some(date(2019, 1, 1))), None);
    }

    #[test]
    fn two_elevations_of_one_day_must_be_the_same() {
        let day = Some(date(2020, 5, 1));
        assert_eq!(at(&[point(day, 1.0), point(day, 2.0)], day), Err(Unfit::Twice));
        assert_eq!(at(&[point(day, 2.0), point(day, 2.0)], day), Ok(2.0));
        // One that no longer holds does no harm.
        assert_eq!(at(&[point(None, 1.0), point(None, 3.0), point(day, 2.0)], day), Ok(2.0));
    }

    #[test]
    fn ten_years_to_the_day_are_not_more_than_ten_years() {
        assert!(date(2010, 5, 1) >= fresh_from(date(2020, 5, 1), 10.0));
        assert!(date(2010, 5, 1) < fresh_from(date(2020, 5, 2), 10.0));
        assert_eq!(fresh_from(date(2020, 5, 2), 1e300), Date::MIN);
    }
}
