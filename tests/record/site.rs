//! The record of a site in memory, put together: rows, gradients and turns of rounds, dry readings, new surveys.

use headfall::check::{self, ControlSet};
use headfall::diag::Origin;
use headfall::read::{MeasuringPoint, Status};
use headfall::record::{self, NoTrend, Record, ReducedRound, Turned, Way};
use headfall::reduce::{self, Reduced};
use headfall::{Azimuth, LengthUnit, Measurement, Reading, Round, Settings, Site, Well};
use jiff::civil::{Date, date};

use crate::near;

/// Eight wells in 200 m square, m.
const PLACES: [(f64, f64); 8] = [
    (0.0, 0.0),
    (200.0, 10.0),
    (190.0, 200.0),
    (5.0, 190.0),
    (100.0, 90.0),
    (60.0, 140.0),
    (150.0, 60.0),
    (40.0, 40.0),
];

fn settings() -> Settings {
    Settings::local("Low Field", LengthUnit::Metre, LengthUnit::Metre)
}

/// Measuring points at 30 m; that of MW-1 is at 30.05 m from 2023 on.
fn site() -> Site {
    let wells: Vec<Well> =
        (1..).zip(PLACES).map(|(i, (x, y))| Well::new(&format!("MW-{i}"), x, y)).collect();
    let mut site = Site::new(settings(), wells);
    let point = |valid_from, elevation| MeasuringPoint {
        valid_from,
        elevation,
        origin: Origin::file("a survey"),
    };
    for i in 1..=PLACES.len() {
        let mut points = vec![point(None, 30.0)];
        if i == 1 {
            points.push(point(Some(date(2023, 1, 1)), 30.05));
        }
        site.measuring_points.insert(format!("MW-{i}"), points);
    }
    site
}

/// A round of a plane that falls by 0.005 toward `degrees`, `lower` m below that of the first.
fn round(day: Date, degrees: f64, lower: f64, dry: Option<usize>) -> Round {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let reading = |(i, (x, y)): (usize, (f64, f64))| {
        let head = 25.0 - lower - 0.005 * ((x - 100.0) * sin + (y - 100.0) * cos);
        let id = format!("MW-{}", i + 1);
        let point = if i == 0 && day.year() >= 2023 { 30.05 } else { 30.0 };
        let depth = ((point - head) * 1000.0).round() / 1000.0;
        let mut reading = if dry == Some(i) {
            let mut reading = Reading::new(&id, Measurement::None);
            reading.status = Status::Dry;
            reading.dry_to = Some(9.5);
            reading
        } else {
            Reading::new(&id, Measurement::Depth(depth))
        };
        reading.moment = Some(headfall::read::Moment::Day(day));
        reading
    };
    let readings = PLACES.into_iter().enumerate().map(reading).collect();
    Round::new(&day.to_string(), readings, &settings())
}

fn record(site: &Site, rounds: &[Round]) -> Record {
    let reduced: Vec<Reduced> =
        rounds.iter().map(|r| reduce::round(site, r).expect("heads").value).collect();
    let control: Vec<Option<ControlSet>> = rounds
        .iter()
        .zip(&reduced)
        .map(|(r, reduced)| check::control(site, r, reduced).ok().map(|c| c.value))
        .collect();
    let of = |i: usize| ReducedRound {
        round: &rounds[i],
        reduced: &reduced[i],
        control: control[i].as_ref(),
    };
    record::of(site, &(0..rounds.len()).map(of).collect::<Vec<_>>())
}

/// Ten rounds, half a year apart, that fall by 0.06 m each; the last turns by 20 degrees.
fn ten() -> Vec<Round> {
    (0..10_u8)
        .map(|i| {
            let day = date(2019 + i16::from(i / 2), if i % 2 == 0 { 3 } else { 9 }, 14);
            let dry = (i == 4).then_some(6);
            round(day, if i == 9 { 110.0 } else { 90.0 }, 0.06 * f64::from(i), dry)
        })
        .collect()
}

#[test]
fn rounds_have_gradients_and_the_turn_of_the_last_is_told() {
    let record = record(&site(), &ten());
    assert_eq!(record.rounds.len(), 10);
    for (i, row) in record.rounds.iter().enumerate() {
        let gradient = row.gradient.expect("a plane");
        near(gradient.gradient, 0.005, 2e-5, &row.round);
        let toward = Azimuth::from_degrees(if i == 9 { 110.0 } else { 90.0 });
        let azimuth = gradient.azimuth_grid.expect("it slopes");
        assert!(azimuth.between(toward) < 0.3 && gradient.resolved, "{gradient:?}");
        assert!(gradient.direction_interval.holds(toward), "{gradient:?}");
        assert_eq!(gradient.wells, if i == 4 { 7 } else { 8 });
        let Some(turn) = row.turn else {
            assert_eq!(i, 0);
            continue;
        };
        assert_eq!((turn.since, turn.turn.wells), (i - 1, if i == 4 || i == 5 { 7 } else { 8 }));
        let expected = if i == 9 { Turned::Turned } else { Turned::NotShown };
        assert_eq!(turn.turn.verdict, expected, "{turn:?}");
        assert!(turn.turn.stated.holds(if i == 9 { 20.0 } else { 0.0 }), "{turn:?}");
    }
    // Nine of 90 degrees and one of 110: numpy.degrees(scipy.stats.circmean(...)) is 91.9696.
    let directions = record.directions.expect("ten");
    assert_eq!(directions.directions, 10);
    near(directions.mean.expect("one way").degrees(), 91.969_6, 0.1, "mean");
}

#[test]
fn wells_have_trends_changes_extremes_and_hydrographs() {
    let record = record(&site(), &ten());
    let well = &record.wells[4];
    let trend = well.trend.as_ref().expect("ten heads");
    // MW-5 is in the middle: 0.06 m in half a year, the last round turned by some millimetres.
    assert_eq!((trend.score, trend.way()), (-45, Way::Down));
    near(trend.per_year, -0.12, 0.002, "MW-5");
    // Half years about March and September: from June on, so that March is of the year begun before.
    assert_eq!(record.seasons.map(|s| s.of(date(2020, 3, 14))), Some((2019, 1)));
    let seasonal = well.seasonal.as_ref().expect("two a year").as_ref().expect("five years");
    assert_eq!((seasonal.score, seasonal.heads), (-20, 10));
    let extremes = well.extremes.expect("heads");
    assert_eq!((extremes.highest_in, extremes.lowest_in, extremes.heads), (0, 9, 10));
    assert_eq!((well.years.len(), well.in_seasons.len()), (5, 2));
    let changes: Vec<_> = record.changes.iter().filter(|c| c.well == 4).collect();
    assert_eq!(changes.len(), 9);
    for change in &changes {
        assert!(change.change.one_survey && change.change.way == Way::Down, "{change:?}");
        // The survey cancels: two readings of 3 mm and tapes of half a millimetre, and no survey of 10 mm.
        near(change.change.sd, 0.004_4, 0.000_2, "sd");
    }
    let again =
        record.changes.iter().find(|c| c.well == 0 && c.to == 8).expect("MW-1 in March 2023");
    assert!(!again.change.one_survey && again.change.sd > 0.014, "{again:?}");
    let of = |well: usize| record.heads.iter().filter(move |h| h.well == well);
    let marks: Vec<usize> = of(0).filter(|h| h.resurveyed).map(|h| h.round).collect();
    assert_eq!(marks, [8]);
    let dry = of(6).find(|h| h.round == 4).expect("a row");
    assert_eq!((dry.head, dry.status), (None, Status::Dry));
    near(dry.below.expect("dry to 9.5 m"), 20.5, 1e-9, "dry");
    assert_eq!(of(6).count(), 10);
    assert!(
        record.unfitting.odd.is_empty() && record.unfitting.stuck.is_empty(),
        "{:?}",
        record.unfitting
    );
}

#[test]
fn the_order_of_rounds_does_not_matter_and_few_say_why_they_have_no_trend() {
    let mut rounds = ten();
    let forward = record(&site(), &rounds);
    rounds.reverse();
    assert_eq!(record(&site(), &rounds), forward);
    let few = record(&site(), &ten()[..2]);
    assert_eq!(few.wells[0].trend, Err(NoTrend::FewReadings { readings: 2, needed: 8 }));
    let none = record(&site(), &[]);
    assert!(
        none.rounds.is_empty() && none.wells[0].extremes.is_none() && none.directions.is_none()
    );
}

#[test]
fn a_record_is_written_as_json_with_numbers_alone() {
    let text = serde_json::to_string(&record(&site(), &ten())).expect("JSON");
    // A number that is not finite would be null where there is a number.
    assert!(text.contains("\"per_year\":-0.1") && !text.contains("\"sd\":null,\"low\""), "{text}");
}

#[test]
fn a_head_that_is_wrong_is_named_from_the_tables_on() {
    let mut rounds = ten();
    let reading = rounds[8].readings.iter_mut().find(|r| r.well == "MW-3").expect("read");
    let Measurement::Depth(depth) = reading.measurement else { panic!("a depth") };
    reading.measurement = Measurement::Depth(depth + 1.0);
    let record = record(&site(), &rounds);
    let found: Vec<(usize, usize)> =
        record.unfitting.odd.iter().map(|o| (o.round, o.well)).collect();
    assert_eq!(found, [(8, 2)], "{:?}", record.unfitting);
    let whole = &record.unfitting.odd[0].causes[..];
    assert!(
        matches!(whole, [record::Cause::WholeUnit { depth: d }] if (d - depth).abs() < 1e-9),
        "{whole:?}"
    );
}
