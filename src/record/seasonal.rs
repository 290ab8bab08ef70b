//! The trend of a well that has seasons: Kendall's score season by season.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::Serialize;

use super::kendall::{Slopes, Test, score, variance};
use super::trend::{NoTrend, way};
use super::types::Way;
use crate::units::median;

/// A season of fewer years than this is left out: four values have 24 orders. Common practice, no source.
pub const FEWEST_YEARS: usize = 4;

/// Fewer seasons than this have no seasonal trend.
pub const FEWEST_SEASONS: usize = 2;

/// The seasons of a year: equal parts of it, in whole months.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Seasons {
    count: i8,
    first_month: i8,
}

/// A head in its season.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct InSeason {
    /// The year in which the round of seasons began.
    pub year: i16,
    /// The season, from 0 on.
    pub season: i8,
    /// The head, in any one unit.
    pub head: f64,
}

/// The score of one season.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SeasonScore {
    /// The season, from 0 on.
    pub season: i8,
    /// Years with a head.
    pub years: usize,
    /// Kendall's score of their heads.
    pub score: i64,
    /// Its variance were there no trend.
    pub variance: f64,
}

/// The trend of a series with seasons.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeasonalTrend {
    /// Count of heads: one for each season of each year.
    pub heads: usize,
    /// The seasons that were taken.
    pub seasons: Vec<SeasonScore>,
    /// The seasons with too few years.
    pub left_out: Vec<i8>,
    /// The sum of the seasons' scores.
    pub score: i64,
    /// The median of the slopes within seasons, head unit a year.
    pub per_year: f64,
    /// The test and the interval of the slope, the seasons taken as independent.
    pub test: Test,
}

impl SeasonalTrend {
    /// Which way the heads went, at 95 %.
    #[must_use]
    pub fn way(&self) -> Way {
        way(self.score, self.test.p)
    }
}

impl Seasons {
    /// So many seasons a year, the first of which begins with this month.
    ///
    /// `None` unless `count` is 1, 2, 3, 4, 6 or 12 and `first_month` 1 to 12.
    #[must_use]
    pub fn new(count: i8, first_month: i8) -> Option<Self> {
        let fits = (1..=12).contains(&count) && 12 % count == 0 && (1..=12).contains(&first_month);
        fits.then_some(Self { count, first_month })
    }

    /// So many seasons a year, begun with the month that keeps all of these days farthest from the ends of their
    /// seasons: a March round that slips into April stays in its season. Of several such months the earliest.
    ///
    /// `None` unless `count` is 1, 2, 3, 4, 6 or 12.
    #[must_use]
    pub fn around(days: &[Date], count: i8) -> Option<Self> {
        let mut best: Option<(i64, Self)> = None;
        for first_month in 1..=12 / count.clamp(1, 12) {
            let seasons = Self::new(count, first_month)?;
            let nearest = days.iter().map(|day| seasons.days_inside(*day)).min().unwrap_or(0);
            if best.is_none_or(|(other, _)| nearest > other) {
                best = Some((nearest, seasons));
            }
        }
        best.map(|(_, seasons)| seasons)
    }

    /// The year and the season of a day.
    #[must_use]
    pub fn of(self, day: Date) -> (i16, i8) {
        let months = day.month() - self.first_month;
        let year = if months < 0 { day.year() - 1 } else { day.year() };
        (year, months.rem_euclid(12) / (12 / self.count))
    }

    /// The first and the last month of a season, 1 to 12.
    #[must_use]
    pub fn months(self, season: i8) -> [i8; 2] {
        let long = 12 / self.count;
        let month = |months: i8| (self.first_month - 1 + months).rem_euclid(12) + 1;
        [month(season * long), month(season * long + long - 1)]
    }

    /// How many days a day is from the end of its season that is nearer.
    fn days_inside(self, day: Date) -> i64 {
        let months = (day.month() - self.first_month).rem_euclid(12 / self.count);
        // Days since the season began and until it ends, a month taken for 30 days and its days for at most so many.
        let since = i64::from(months) * 30 + i64::from(day.day().min(30)) - 1;
        let length = i64::from(12 / self.count) * 30;
        since.min(length - 1 - since)
    }
}

/// The trend of heads with seasons: the score of each season by itself, added up.
///
/// Of several heads in one season of one year the median counts. Slopes are those of pairs in one season, over
/// the whole years between them.
///
/// # Units
/// - heads in any one unit, in which slopes are given for a year
///
/// # Errors
/// [`NoTrend::FewSeasons`] unless [`FEWEST_SEASONS`] seasons have heads of [`FEWEST_YEARS`] years.
///
/// # References
/// Hirsch, Slack and Smith (1982), Water Resources Research 18(1), 107-121, as the manual of the R package trend 1.1
/// writes the slope; US Geological Survey SIR 2005-5275, the Kendall family of trend tests (looked up: it takes the seasons as this does). Interval of the
/// slope: that of [`super::trend()`] with the variance of the sum, Gilbert (1987), 17.5 (from memory).
pub fn seasonal_trend(series: &[InSeason]) -> Result<SeasonalTrend, NoTrend> {
    let mut heads: BTreeMap<(i8, i16), Vec<f64>> = BTreeMap::new();
    for reading in series {
        heads.entry((reading.season, reading.year)).or_default().push(reading.head);
    }
    let mut seasons: BTreeMap<i8, Vec<(i16, f64)>> = BTreeMap::new();
    for ((season, year), heads) in heads {
        seasons.entry(season).or_default().extend(median(heads).map(|head| (year, head)));
    }
    let (taken, left_out): (Vec<_>, Vec<_>) =
        seasons.into_iter().partition(|(_, years)| years.len() >= FEWEST_YEARS);
    if taken.len() < FEWEST_SEASONS {
        let (seasons, needed) = (taken.len(), FEWEST_SEASONS);
        return Err(NoTrend::FewSeasons { seasons, needed, years: FEWEST_YEARS });
    }
    let mut slopes = Vec::new();
    let mut scores = Vec::new();
    for (season, years) in &taken {
        for (i, (year, head)) in years.iter().enumerate() {
            let later = years[i + 1..].iter();
            slopes.extend(later.map(|(y, h)| (h - head) / (f64::from(*y) - f64::from(*year))));
        }
        let heads: Vec<f64> = years.iter().map(|(_, head)| *head).collect();
        let (score, variance) = (score(&heads), variance(&heads));
        scores.push(SeasonScore { season: *season, years: years.len(), score, variance });
    }
    let slopes = Slopes::new(slopes);
    let score = scores.iter().map(|s| s.score).sum();
    let variance = scores.iter().map(|s| s.variance).sum();
    Ok(SeasonalTrend {
        heads: scores.iter().map(|s| s.years).sum(),
        left_out: left_out.into_iter().map(|(season, _)| season).collect(),
        score,
        per_year: slopes.median(),
        test: slopes.test(score, variance),
        seasons: scores,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_year_of_seasons_begins_with_its_first_month() {
        let quarters = Seasons::new(4, 2).expect("quarters");
        assert_eq!(quarters.of(date(2024, 1, 31)), (2023, 3));
        assert_eq!(quarters.of(date(2024, 2, 1)), (2024, 0));
        assert_eq!(quarters.of(date(2024, 4, 30)), (2024, 0));
        assert_eq!(quarters.of(date(2024, 12, 5)), (2024, 3));
        assert!(Seasons::new(5, 1).is_none() && Seasons::new(4, 13).is_none());
        assert!(Seasons::new(0, 1).is_none() && Seasons::around(&[], 0).is_none());
    }

    #[test]
    fn rounds_that_slip_into_the_next_month_stay_in_their_season() {
        let days = [
            date(2020, 3, 28),
            date(2020, 6, 30),
            date(2020, 10, 2),
            date(2021, 1, 4),
            date(2021, 4, 1),
        ];
        let seasons = Seasons::around(&days, 4).expect("quarters");
        let found: Vec<i8> = days.iter().map(|day| seasons.of(*day).1).collect();
        assert_eq!(found[0], found[4]);
        assert_eq!(found.iter().take(4).collect::<std::collections::BTreeSet<_>>().len(), 4);
    }

    #[test]
    fn a_season_of_three_years_is_left_out_and_one_season_is_refused() {
        let head = |i: i16, season: i8| InSeason { year: 2000 + i, season, head: f64::from(i) };
        let mut series: Vec<InSeason> = (0..5).map(|i| head(i, 0)).collect();
        series.extend((0..3).map(|i| head(i, 1)));
        let few = NoTrend::FewSeasons { seasons: 1, needed: 2, years: 4 };
        assert_eq!(seasonal_trend(&series), Err(few));
        series.extend((0..4).map(|i| head(i, 2)));
        let found = seasonal_trend(&series).expect("two seasons");
        // 10 and 6 pairs, all of them rise by 1 a year.
        assert_eq!((found.score, found.heads, &found.left_out[..]), (16, 9, &[1][..]));
        assert!((found.per_year - 1.0).abs() < 1e-12);
    }
}
