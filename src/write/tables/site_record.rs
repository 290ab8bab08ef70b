//! `record.xlsx`: the record of a site as it goes into a report.

use std::io;
use std::path::Path;

use crate::read::Status;
use crate::report::{
    DoubtfulOfRecord, LevelOfRecord, NestOfRecord, RoundOfRecord, SiteRecord, ValueOfRecord,
    VisitOfRecord, WellOfRecord,
};
use crate::units::Decimal;
use crate::write::tables::columns::Columns;
use crate::write::tables::grid::Cell;
use crate::write::tables::workbook::{self, MOST_ROWS, Sheet};

/// Columns that a sheet has room for beside those of changes and extremes.
///
/// # References
/// As that of rows; spreadsheet programs open 16 384 columns (documentation of the crate excel-rs).
const MOST_ROUNDS: usize = 16_000;

/// Whether a workbook has room for the record.
pub(in crate::write) fn fits(record: &SiteRecord) -> bool {
    record.record.heads.len() < MOST_ROWS
        && record.count_of_values() < MOST_ROWS
        && record.record.rounds.len() < MOST_ROUNDS
}

/// Writes it.
pub(in crate::write) fn xlsx(record: &SiteRecord, path: &Path) -> io::Result<()> {
    let settings = &record.site.settings;
    let unit = record.record.elevation_unit.in_words();
    let elevation = settings
        .vertical_datum
        .as_ref()
        .map_or_else(|| unit.to_owned(), |datum| format!("{unit}, {datum}"));
    let places = if record.record.elevation_unit.is_foot() { 2 } else { 3 };
    let words = &Words { record, unit, elevation, places };
    let wells: Vec<usize> = (0..record.record.wells.len()).collect();
    let (levels, rounds, of_wells) = (record.levels(), record.rounds(), record.wells());
    let values = record.values();
    let (nests, doubtful, visits) = (record.nests(), record.doubtful(), record.next_visit());
    let wide = wide(words, &levels);
    let (long, of_rounds, trends) = (long(words), of_rounds(), of_each_well(words));
    let of_values = of_values(words);
    let (of_nests, of_doubtful, of_visits) = (of_nests(words), of_doubtful(words), of_visits());
    let sheets = vec![
        Sheet::of("Levels", &wide, &wells),
        Sheet::of("Readings", &long, &levels),
        Sheet::of("Rounds", &of_rounds, &rounds),
        Sheet::of("Wells", &trends, &of_wells),
        Sheet::of("Highest and lowest", &of_values, &values),
        Sheet::of("Nests", &of_nests, &nests),
        Sheet::of("Doubtful", &of_doubtful, &doubtful),
        Sheet::of("Next visit", &of_visits, &visits),
    ];
    workbook::write(path, &format!("{}, record of water levels", settings.name), sheets)
}

/// What headings and cells of several sheets share.
struct Words<'a> {
    record: &'a SiteRecord,
    unit: &'static str,
    elevation: String,
    places: i32,
}

impl Words<'_> {
    fn height(&self, value: Option<f64>) -> Option<Decimal> {
        decimals(value, self.places)
    }
}

fn decimals(value: Option<f64>, places: i32) -> Option<Decimal> {
    value.map(|v| Decimal::new(v, 0).rounded(places))
}

/// A number with as many decimals as it was rounded to.
fn as_is(value: Option<f64>) -> Option<Decimal> {
    value.map(|v| Decimal::new(v, 0))
}

fn count(value: usize) -> Option<Decimal> {
    decimals(Some(value as f64), 0)
}

fn yes(value: Option<bool>) -> &'static str {
    match value {
        Some(true) => "yes",
        Some(false) => "no",
        None => "",
    }
}

/// Wells by rounds.
fn wide<'a>(words: &'a Words<'a>, levels: &'a [LevelOfRecord]) -> Columns<'a, usize> {
    let record = &words.record.record;
    let newest = record.rounds.len().checked_sub(1);
    let at = move |well: usize, round: usize| {
        let first = record.heads.partition_point(|h| h.well < well);
        let i = record.heads_of(well).iter().position(|h| h.round == round)?;
        Some((&record.heads[first + i], &levels[first + i]))
    };
    let mut columns = Columns::new().with("Well", |w: &usize| record.wells[*w].well.as_str());
    for (i, round) in record.rounds.iter().enumerate() {
        columns = columns.with(
            format!("{} ({})", round.round, words.elevation),
            move |w: &usize| match at(*w, i) {
                None => Cell::Empty,
                Some((row, _)) if row.head.is_some() => words.height(row.head).into(),
                Some((row, _)) => match row.below.filter(|_| row.status == Status::Dry) {
                    Some(below) => {
                        let below = Decimal::new(below, 0).rounded(words.places);
                        format!("dry, below {below}").into()
                    }
                    None => row.status.word().into(),
                },
            },
        );
    }
    let of_newest = move |w: &usize| newest.and_then(|i| at(*w, i)).map(|(_, level)| level);
    let extremes = move |w: &usize| record.wells[*w].extremes;
    let round = move |i: Option<usize>| i.map_or("", |i| record.rounds[i].round.as_str());
    let unit = words.unit;
    columns
        .with(format!("Change since the head before ({unit})"), move |w| {
            words.height(of_newest(w).and_then(|l| l.change))
        })
        .with("since", move |w| of_newest(w).and_then(|l| l.since.as_deref()))
        .with(format!("Change in a year ({unit})"), move |w| {
            words.height(of_newest(w).and_then(|l| l.change_in_year))
        })
        .with("since", move |w| of_newest(w).and_then(|l| l.year_before.as_deref()))
        .with(format!("Highest ({})", words.elevation), move |w| {
            words.height(extremes(w).map(|e| e.highest))
        })
        .with("in", move |w| round(extremes(w).map(|e| e.highest_in)))
        .with(format!("Lowest ({})", words.elevation), move |w| {
            words.height(extremes(w).map(|e| e.lowest))
        })
        .with("in", move |w| round(extremes(w).map(|e| e.lowest_in)))
}

/// A row for each well and round.
fn long<'a>(words: &'a Words<'a>) -> Columns<'a, LevelOfRecord> {
    let (unit, elevation) = (words.unit, &words.elevation);
    Columns::new()
        .with("Well", |r: &LevelOfRecord| r.well.clone())
        .with("Round", |r| r.round.clone())
        .with("Measured at", |r| r.read.clone())
        .with(format!("Head ({elevation})"), |r| words.height(r.head))
        .with(format!("Standard error, 1 s ({unit})"), |r| decimals(r.head_sd, 3))
        .with("Status", |r| r.status.clone())
        .with(format!("Dry below ({elevation})"), |r| words.height(r.below))
        .with("Measuring point surveyed anew", |r| yes(r.resurveyed.then_some(true)))
        .with("Since", |r| r.since.clone())
        .with(format!("Change ({unit})"), |r| words.height(r.change))
        .with(format!("95 % from ({unit})"), |r| words.height(r.change_low))
        .with(format!("to ({unit})"), |r| words.height(r.change_high))
        .with("Same season a year before", |r| r.year_before.clone())
        .with(format!("Change since then ({unit})"), |r| words.height(r.change_in_year))
}

fn of_rounds<'a>() -> Columns<'a, RoundOfRecord> {
    Columns::new()
        .with("Round", |r: &RoundOfRecord| r.round.clone())
        .with("Day", |r| r.day.clone())
        .with("Heads", |r| count(r.heads))
        .with("of which doubtful", |r| count(r.doubtful))
        .with("Gradient (m/m)", |r| as_is(r.gradient))
        .with("95 % from (m/m)", |r| as_is(r.gradient_low))
        .with("to (m/m)", |r| as_is(r.gradient_high))
        .with("Flow toward (degrees from true north)", |r| decimals(r.flow_azimuth_true_deg, 1))
        .with("Flow toward (degrees from grid north)", |r| decimals(r.flow_azimuth_grid_deg, 1))
        .with("95 % from (degrees from grid north)", |r| decimals(r.flow_from_grid_deg, 1))
        .with("to (degrees from grid north)", |r| decimals(r.flow_to_grid_deg, 1))
        .with("Direction resolved", |r| yes(r.direction_resolved))
        .with("Plane describes the heads", |r| yes(r.plane_describes_heads))
        .with("Since", |r| r.since.clone())
        .with("Wells of both", |r| r.shared_wells.and_then(count))
        .with("Turn (degrees, clockwise positive)", |r| decimals(r.turn_deg, 1))
        .with("95 % from (degrees)", |r| decimals(r.turn_from_deg, 1))
        .with("to (degrees)", |r| decimals(r.turn_to_deg, 1))
        .with("Turned", |r| r.turned)
}

fn of_each_well<'a>(words: &'a Words<'a>) -> Columns<'a, WellOfRecord> {
    let (unit, elevation) = (words.unit, &words.elevation);
    let slope = format!("{unit} a year");
    Columns::new()
        .with("Well", |r: &WellOfRecord| r.well.clone())
        .with("Heads", |r| count(r.heads))
        .with(format!("Lowest ({elevation})"), |r| words.height(r.lowest))
        .with("in", |r| r.lowest_in.clone())
        .with(format!("Highest ({elevation})"), |r| words.height(r.highest))
        .with("in", |r| r.highest_in.clone())
        .with(format!("Mean ({elevation})"), |r| words.height(r.mean))
        .with("Trend", |r| r.trend.clone())
        .with(format!("Slope ({slope})"), |r| decimals(r.per_year, 3))
        .with(format!("95 % from ({slope})"), |r| decimals(r.per_year_low, 3))
        .with(format!("to ({slope})"), |r| decimals(r.per_year_high, 3))
        .with("Score S", |r| decimals(r.score.map(|s| s as f64), 0))
        .with("Probability p", |r| decimals(r.probability, 4))
        .with("Memory", |r| decimals(r.memory, 2))
        .with("Trend by seasons", |r| r.seasonal_trend.clone())
        .with(format!("Slope by seasons ({slope})"), |r| decimals(r.seasonal_per_year, 3))
        .with(format!("95 % from ({slope})"), |r| decimals(r.seasonal_per_year_low, 3))
        .with(format!("to ({slope})"), |r| decimals(r.seasonal_per_year_high, 3))
        .with("Probability p by seasons", |r| decimals(r.seasonal_probability, 4))
}

fn of_values<'a>(words: &'a Words<'a>) -> Columns<'a, ValueOfRecord> {
    Columns::new()
        .with("Period", |r: &ValueOfRecord| r.period.clone())
        .with("Value", |r| r.value)
        .with("Well", |r| r.well.clone())
        .with(format!("Head ({})", words.elevation), |r| words.height(r.head))
        .with(format!("Standard error, 1 s ({})", words.unit), |r| decimals(r.head_sd, 3))
        .with("in", |r| r.read_in.clone())
        .with("Doubtful", |r| yes(r.doubtful.then_some(true)))
        .with("Why none", |r| r.why_none.clone())
        .with("Rounds", |r| r.rounds.clone())
}

fn of_nests<'a>(words: &'a Words<'a>) -> Columns<'a, NestOfRecord> {
    let unit = words.unit;
    Columns::new()
        .with("Upper well", |r: &NestOfRecord| r.upper.clone())
        .with("Lower well", |r| r.lower.clone())
        .with("Round", |r| r.round.clone())
        .with(format!("Head of the lower less the upper ({unit})"), |r| {
            words.height(r.head_difference)
        })
        .with(format!("Distance of screen midpoints ({unit})"), |r| decimals(r.distance, 2))
        .with("Vertical gradient (up positive)", |r| as_is(r.gradient))
        .with("95 % from", |r| as_is(r.gradient_low))
        .with("to", |r| as_is(r.gradient_high))
        .with("Direction", |r| r.direction)
}

fn of_doubtful<'a>(words: &'a Words<'a>) -> Columns<'a, DoubtfulOfRecord> {
    Columns::new()
        .with("Well", |r: &DoubtfulOfRecord| r.well.clone())
        .with("Round", |r| r.round.clone())
        .with("Kind", |r| r.kind)
        .with(format!("Too high by ({})", words.unit), |r| words.height(r.off))
        .with("Standard deviations", |r| decimals(r.standard_deviations, 1))
        .with("What would explain it", |r| r.would_explain.clone())
}

fn of_visits<'a>() -> Columns<'a, VisitOfRecord> {
    Columns::new()
        .with("Well", |r: &VisitOfRecord| r.well.clone())
        .with("What to do", |r| r.what)
        .with("Why", |r| r.why.clone())
}
