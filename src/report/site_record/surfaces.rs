//! The highest, the lowest and the mean heads of years and seasons, as rows.

use super::period_map::PeriodMap;
use super::rows::SiteRecord;
use super::types::{SurfaceOfRecord, ValueOfRecord};
use crate::record::PeriodValue;
use crate::report::digits;

impl SiteRecord {
    fn rounds_of(&self, map: &PeriodMap) -> Vec<String> {
        map.period.rounds.iter().map(|i| self.round(*i)).collect()
    }

    /// Every map of values over a period.
    #[must_use]
    pub fn surfaces(&self) -> Vec<SurfaceOfRecord> {
        let of = |one: &PeriodMap| {
            let map = one.map.as_ref().ok();
            let points = map.map_or(&[][..], |map| map.control.points());
            let ends =
                points.iter().map(|p| p.head).fold(None, |ends: Option<(f64, f64)>, head| {
                    Some(ends.map_or((head, head), |(low, high)| (low.min(head), high.max(head))))
                });
            SurfaceOfRecord {
                period: one.period.words.clone(),
                value: one.worked.word(),
                rounds: self.rounds_of(one),
                wells: points.len(),
                from: ends.map(|(low, _)| digits::height(low)),
                to: ends.map(|(_, high)| digits::height(high)),
                interval: map.and_then(|map| map.contours.interval),
                file: map.map(|_| one.file()),
                why_none: one.map.as_ref().err().cloned(),
                unit: self.unit().name(),
            }
        };
        self.surfaces.iter().map(of).collect()
    }

    /// Whether any of them has a map.
    pub(crate) fn has_surfaces(&self) -> bool {
        self.surfaces.iter().any(|one| one.map.is_ok())
    }

    /// The wells with a value over a period or the reason why they have none: those that were read in one of its rounds.
    fn valued(&self) -> impl Iterator<Item = (&PeriodMap, usize, &Result<PeriodValue, String>)> {
        let read = |one: &PeriodMap, well: usize| self.record.was_read(well, &one.period);
        self.surfaces.iter().flat_map(move |one| {
            let all = one.values.iter().enumerate();
            all.filter(move |(well, _)| read(one, *well)).map(move |(well, v)| (one, well, v))
        })
    }

    /// How many rows [`SiteRecord::values`] has.
    pub(crate) fn count_of_values(&self) -> usize {
        self.valued().count()
    }

    /// Every value of every well over a period.
    #[must_use]
    pub fn values(&self) -> Vec<ValueOfRecord> {
        let row = |(one, well, value): (&PeriodMap, usize, &Result<PeriodValue, String>)| {
            let found = value.as_ref().ok();
            ValueOfRecord {
                period: one.period.words.clone(),
                value: one.worked.word(),
                rounds: self.rounds_of(one).join(", "),
                well: self.record.wells[well].well.clone(),
                head: found.map(|v| digits::height(v.value)),
                head_sd: found.map(|v| digits::height(v.sd)),
                read_in: found.and_then(|v| v.read_in).map(|i| self.round(i)),
                doubtful: found.is_some_and(|v| v.doubtful),
                why_none: value.as_ref().err().cloned(),
                unit: self.unit().name(),
            }
        };
        self.valued().map(row).collect()
    }
}
