//! The trends of 104 wells of the Idaho National Laboratory, 1990 to 2005 (US Geological Survey, CC0), against
//! pymannkendall and SciPy: `tests/data/record/trends.py` made what is expected.

use std::collections::BTreeMap;

use headfall::record::{
    Dated, FEWEST_READINGS, InSeason, NoTrend, Seasons, Way, YEAR_DAYS, seasonal_trend, trend,
};
use jiff::civil::{DateTime, date};

use crate::{Random, documented, near, rows};

type Row = BTreeMap<String, String>;

/// The readings of each well by its number, in the order of their times.
fn record() -> BTreeMap<String, Vec<(DateTime, f64)>> {
    let mut wells: BTreeMap<String, Vec<(DateTime, f64)>> = BTreeMap::new();
    for row in rows("inl/inl_esrp_record_1990-2005.csv") {
        let when: DateTime = row["datetime_utc"].parse().expect("a time");
        let head = row["head_ft_as_published"].parse().expect("a head");
        wells.entry(row["site_no"].clone()).or_default().push((when, head));
    }
    for readings in wells.values_mut() {
        readings.sort_by_key(|r| r.0);
    }
    wells
}

fn expected(row: &Row, column: &str) -> f64 {
    row[column].parse().unwrap_or_else(|_| panic!("{column}: {:?}", row[column]))
}

/// Holds a number to a relative 1e-9, or to 1e-12 near zero: rounding of sums and of the normal distribution.
#[track_caller]
fn same(found: f64, row: &Row, column: &str) {
    let expected = expected(row, column);
    near(found, expected, 1e-9 * expected.abs() + 1e-12, &format!("{} {column}", row["site_no"]));
}

#[test]
fn trends_of_a_real_record_are_those_of_reference_libraries() {
    let (record, expected) = (record(), rows("record/trends.csv"));
    assert_eq!((record.len(), expected.len()), (104, 104));
    let start = date(1990, 1, 1).at(0, 0, 0, 0);
    let mut refused = 0;
    for row in &expected {
        let readings = &record[&row["site_no"]];
        assert_eq!(readings.len().to_string(), row["readings"]);
        let dated = |(when, head): &(DateTime, f64)| Dated {
            day: when.duration_since(start).as_secs_f64() / 86_400.0,
            head: *head,
        };
        let found = trend(&readings.iter().map(dated).collect::<Vec<_>>());
        if row["s"].is_empty() {
            let few = NoTrend::FewReadings { readings: readings.len(), needed: FEWEST_READINGS };
            assert_eq!(found, Err(few), "{}", row["site_no"]);
            refused += 1;
            continue;
        }
        let found = found.expect("a trend");
        assert_eq!(found.score.to_string(), row["s"], "{}", row["site_no"]);
        same(found.independent.variance, row, "var_s");
        same(found.independent.z, row, "z");
        same(found.independent.p, row, "p");
        same(found.per_year, row, "slope");
        same(found.independent.low, row, "slope_low");
        same(found.independent.high, row, "slope_high");
        same(found.correlation.lag_one, row, "lag_one");
        same(found.correlation.variance_factor, row, "factor");
        same(found.stated().z, row, "z_correlated");
        same(found.stated().p, row, "p_correlated");
    }
    assert_eq!(refused, 4, "wells of fewer than eight readings");
}

#[test]
fn seasonal_trends_of_a_real_record_are_those_of_reference_libraries() {
    let record = record();
    let months = Seasons::new(12, 1).expect("months");
    let mut refused = 0;
    for row in rows("record/trends.csv") {
        let in_season = |(when, head): &(DateTime, f64)| {
            let (year, season) = months.of(when.date());
            InSeason { year, season, head: *head }
        };
        let series: Vec<InSeason> = record[&row["site_no"]].iter().map(in_season).collect();
        let found = seasonal_trend(&series);
        if row["seasonal_s"].is_empty() {
            let Err(NoTrend::FewSeasons { seasons, .. }) = found else { panic!("{found:?}") };
            assert_eq!(seasons.to_string(), row["seasons"], "{}", row["site_no"]);
            refused += 1;
            continue;
        }
        let found = found.expect("a trend");
        assert_eq!(found.seasons.len().to_string(), row["seasons"], "{}", row["site_no"]);
        assert_eq!(found.score.to_string(), row["seasonal_s"], "{}", row["site_no"]);
        same(found.test.variance, &row, "seasonal_var_s");
        same(found.test.z, &row, "seasonal_z");
        same(found.test.p, &row, "seasonal_p");
        same(found.per_year, &row, "seasonal_slope");
        same(found.test.low, &row, "seasonal_low");
        same(found.test.high, &row, "seasonal_high");
    }
    assert!((1..30).contains(&refused), "{refused}");
}

/// Quarterly heads for some years, each remembering this part of the one before, with a trend.
fn remembering(years: usize, memory: f64, per_year: f64, random: &mut Random) -> Vec<Dated> {
    let mut off = random.normal();
    let fresh = (1.0 - memory * memory).sqrt();
    let mut heads = Vec::new();
    for i in 0..4 * years {
        heads
            .push(Dated { day: i as f64 * YEAR_DAYS / 4.0, head: off + per_year * i as f64 / 4.0 });
        off = memory * off + fresh * random.normal();
    }
    heads
}

/// Of this many series each.
const SERIES: usize = 2000;

/// The rates of a memory: no trend shown as one by the plain test and as stated, and a slope of a tenth of a
/// standard deviation a year held by the interval that is stated.
fn rates(years: usize, memory: f64) -> [f64; 3] {
    let (mut counts, mut random) = ([0_usize; 3], Random::new(41 + years as u64));
    for _ in 0..SERIES {
        let level = trend(&remembering(years, memory, 0.0, &mut random)).expect("readings");
        counts[0] += usize::from(level.independent.p < 0.05);
        counts[1] += usize::from(level.way() != Way::NotShown);
        let sloped =
            trend(&remembering(years, memory, 0.1, &mut random)).expect("readings").stated();
        counts[2] += usize::from(sloped.low <= 0.1 && 0.1 <= sloped.high);
    }
    counts.map(|count| 100.0 * count as f64 / SERIES as f64)
}

#[test]
fn trends_that_are_not_there_are_seldom_shown_and_slopes_are_held() {
    let mut table = Vec::new();
    for years in [3, 5, 10] {
        for memory in [0.0, 0.3, 0.6] {
            let [plain, stated, held] = rates(years, memory);
            table.push(format!(
                "| {} | {memory} | {plain:.1} | {stated:.1} | {held:.1} |",
                4 * years
            ));
            // Standard error of the rates 0.5 to 0.7: within the level where there is no memory, and never far off.
            if memory == 0.0 {
                assert!(stated < 6.0 && (94.0..100.0).contains(&held), "{}", table.join("\n"));
            }
            assert!(stated < 14.0 && held > 87.0, "{}", table.join("\n"));
        }
    }
    documented("docs/record.md", &table);
}
