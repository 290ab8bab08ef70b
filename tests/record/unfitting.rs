//! Heads that are unlike themselves, by simulation with known truth: how often a clean round is accused, how often
//! a planted mistake is found, and what it is called.
//!
//! The sites are drawn by lot, and meant to be ordinary: 12 wells in 300 ft square, a plane of 0.002 to 0.008. All wells
//! rise and fall with the seasons (0.5 to 2 ft up and down) and, by steps of 0.25 ft, from quarter to quarter for good. They
//! do both by their place on the site more or less: by 15 % from the middle to a side, and by 3 % in a bend, of the seasons
//! another 15 % than of the other movement. Each head has scatter of its own, which
//! rounds and wells do not share, of 0.02 or 0.03 ft; it is read to 0.01 ft with an error of 0.01 ft. Eight rounds, a
//! quarter apart.

use std::ops::Range;

use headfall::LengthUnit;
use headfall::geo::Coord;
use headfall::read::HeadErrors;
use headfall::record::{Cause, Level, Levels, RoundLevels, Unfitting, unfitting};
use headfall::uncertainty::Situation;

use rayon::prelude::*;

use crate::{Random, documented, whole};

const FOOT_M: f64 = 0.3048;
const ROUNDS: usize = 8;

fn hundredths(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

/// The level of a depth below a measuring point, both ft.
fn level(point: f64, depth: f64) -> Level {
    let depth_m = Some(depth * FOOT_M);
    Level {
        head: hundredths(point - depth),
        sds: HeadErrors::default().of(Situation { depth_m, ..Situation::default() }),
        measuring_point: Some(point),
        surveyed: None,
        instrument: None,
        depth_read: Some(depth),
    }
}

/// Reads a well of a round otherwise.
fn read_otherwise(levels: &mut Levels, round: usize, well: usize, by: f64) {
    let level_of = levels.rounds[round].wells[well].as_mut().expect("a head");
    let (point, depth) =
        (level_of.measuring_point.expect("a point"), level_of.depth_read.expect("a depth"));
    *level_of = level(point, hundredths(depth + by));
}

/// A site by lot, all of it read right.
fn site(wells: usize, scatter: f64, random: &mut Random) -> Levels {
    let half = 150.0;
    let places: Vec<Coord> = (0..wells)
        .map(|_| Coord { x: random.between(-half, half), y: random.between(-half, half) })
        .collect();
    let (fall, toward) = (random.between(0.002, 0.008), random.between(0.0, std::f64::consts::TAU));
    let mut field = || [0.15, 0.15, 0.03, 0.03].map(|sd| sd * random.normal());
    let fields = [field(), field()];
    let (season, phase) = (random.between(0.5, 2.0), random.between(0.0, 1.0));
    let response = |p: &Coord, [east, north, bend, twist]: [f64; 4]| {
        let (x, y) = (p.x / half, p.y / half);
        1.0 + east * x + north * y + bend * (x * x - y * y) + twist * x * y
    };
    let points: Vec<f64> =
        places.iter().map(|_| hundredths(100.0 + random.between(5.0, 15.0))).collect();
    let mut year = 0.0;
    let rounds = (0..ROUNDS)
        .map(|t| {
            year += 0.25 * random.normal();
            let season = season * (std::f64::consts::TAU * (t as f64 / 4.0 + phase)).sin();
            let well = |(p, point): (&Coord, &f64)| {
                let plane = 95.0 - fall * (p.x * toward.sin() + p.y * toward.cos());
                let head = plane
                    + season * response(p, fields[0])
                    + year * response(p, fields[1])
                    + scatter * random.normal();
                Some(level(*point, hundredths(point - head + 0.01 * random.normal())))
            };
            RoundLevels {
                depth_unit: LengthUnit::Foot,
                wells: places.iter().zip(&points).map(well).collect(),
            }
        })
        .collect();
    let places = places.into_iter().map(|p| Some(Coord { x: p.x * FOOT_M, y: p.y * FOOT_M }));
    Levels { elevation_unit: LengthUnit::Foot, places: places.collect(), rounds }
}

fn named(found: &Unfitting, round: usize) -> Vec<usize> {
    found.odd.iter().filter(|o| o.round == round).map(|o| o.well).collect()
}

/// Sites of each kind, by their seeds: those that the bounds were chosen with, and others.
const SITES: Range<u64> = 0..600;
const OTHER_SITES: Range<u64> = 5_000_000..5_001_800;

/// Per cent: clean rounds that are accused; rounds with 0.30 ft planted in one well, in any round of the eight, that
/// are told with this well and no other; the same of the newest round; clean rounds beside a planted one that are
/// accused.
fn rates(wells: usize, scatter: f64, sites: Range<u64>) -> [f64; 4] {
    let mut counts = [0_usize; 4];
    let number = (sites.end - sites.start) as f64;
    for k in sites {
        let mut random = Random::new(k * 1009 + wells as u64 * 31 + whole(scatter * 1000.0));
        let clean = site(wells, scatter, &mut random);
        let told = unfitting(&clean);
        let accused = |told: &Unfitting, but: usize| {
            (0..ROUNDS).filter(|t| *t != but && !named(told, *t).is_empty()).count()
        };
        counts[0] += accused(&told, ROUNDS);
        for (round, i) in [(random.below(ROUNDS), 1), (ROUNDS - 1, 2)] {
            let mut planted = clean.clone();
            let well = random.below(wells);
            let by = if random.chance(0.5) { 0.30 } else { -0.30 };
            read_otherwise(&mut planted, round, well, by);
            let told = unfitting(&planted);
            counts[i] += usize::from(named(&told, round) == [well]);
            counts[3] += accused(&told, round);
        }
    }
    let of = [ROUNDS as f64, 1.0, 1.0, 2.0 * (ROUNDS as f64 - 1.0)];
    std::array::from_fn(|i| 100.0 * counts[i] as f64 / number / of[i])
}

/// The rates of every kind of site, held against the rows of `docs/record.md`.
fn documented_rates(sites: &Range<u64>) -> Vec<((usize, f64), [f64; 4])> {
    let kinds: Vec<(usize, f64)> =
        [5, 8, 12, 20].into_iter().flat_map(|wells| [(wells, 0.02), (wells, 0.03)]).collect();
    let rates: Vec<[f64; 4]> =
        kinds.par_iter().map(|(wells, scatter)| rates(*wells, *scatter, sites.clone())).collect();
    let row = |((wells, scatter), [accused, found, newest, beside]): (&(usize, f64), &[f64; 4])| {
        format!("| {wells} | {scatter} | {accused:.2} | {beside:.2} | {found:.1} | {newest:.1} |")
    };
    documented("docs/record.md", &kinds.iter().zip(&rates).map(row).collect::<Vec<_>>());
    kinds.into_iter().zip(rates).collect()
}

#[test]
fn a_third_of_a_foot_in_one_well_is_named_and_clean_rounds_are_left_alone() {
    for ((wells, _), [accused, found, newest, beside]) in documented_rates(&SITES) {
        // 4800 clean rounds and 600 planted ones: standard errors 0.1 and 0.9.
        assert!(accused < 1.0 && beside < 1.0, "{wells}: {accused} {beside}");
        assert!(wells < 12 || found.min(newest) > 95.0, "{wells}: {found} {newest}");
    }
}

#[test]
#[ignore = "minutes; the same on sites that the bounds were not chosen with"]
fn a_third_of_a_foot_is_named_on_other_sites_too() {
    for ((wells, _), [accused, found, newest, beside]) in documented_rates(&OTHER_SITES) {
        // 14 400 clean rounds and 1800 planted ones: standard errors 0.1 and 0.5.
        assert!(accused < 1.2 && beside < 1.2, "{wells}: {accused} {beside}");
        assert!(wells < 12 || found.min(newest) > 94.0, "{wells}: {found} {newest}");
    }
}

/// What is said of a well in the newest round.
fn causes(levels: &Levels, well: usize) -> Vec<Cause> {
    let found = unfitting(levels);
    let odd = found.odd.iter().find(|o| o.round == ROUNDS - 1 && o.well == well);
    odd.unwrap_or_else(|| panic!("well {well} is not told: {found:?}")).causes.clone()
}

fn twelve(seed: u64) -> Levels {
    site(12, 0.02, &mut Random::new(seed))
}

#[test]
fn two_wells_exchanged_are_named_with_each_other() {
    let (mut tried, mut both, mut otherwise) = (0, 0, 0);
    for seed in 0..60 {
        let mut levels = twelve(seed);
        let depth =
            |w: usize| levels.rounds[ROUNDS - 1].wells[w].as_ref().and_then(|l| l.depth_read);
        let (a, b) = (depth(2).expect("a depth"), depth(7).expect("a depth"));
        if (a - b).abs() < 0.4 {
            continue;
        }
        tried += 1;
        read_otherwise(&mut levels, ROUNDS - 1, 2, b - a);
        read_otherwise(&mut levels, ROUNDS - 1, 7, a - b);
        let found = unfitting(&levels);
        let with = |well: usize| {
            let odd = found.odd.iter().find(|o| o.round == ROUNDS - 1 && o.well == well)?;
            Some(
                odd.causes
                    .iter()
                    .filter_map(
                        |c| if let Cause::Exchanged { with } = c { Some(*with) } else { None },
                    )
                    .collect::<Vec<_>>(),
            )
        };
        both += usize::from(with(2) == Some(vec![7]) && with(7) == Some(vec![2]));
        otherwise += named(&found, ROUNDS - 1).iter().filter(|w| ![2, 7].contains(w)).count();
    }
    assert!(
        tried > 45 && both * 100 >= tried * 95 && otherwise <= 2,
        "{both} of {tried}, {otherwise}"
    );
}

#[test]
fn a_decimal_that_moved_and_a_foot_that_was_read_otherwise_are_named() {
    for seed in 0..10 {
        let mut levels = twelve(seed);
        let read = levels.rounds[ROUNDS - 1].wells[4]
            .as_ref()
            .and_then(|l| l.depth_read)
            .expect("a depth");
        read_otherwise(&mut levels, ROUNDS - 1, 4, 9.0 * read);
        let found = causes(&levels, 4);
        assert!(
            matches!(found[..], [Cause::DecimalMoved { depth }] if (depth - read).abs() < 0.01),
            "{found:?}"
        );
        let mut levels = twelve(seed);
        read_otherwise(&mut levels, ROUNDS - 1, 4, -1.0);
        let found = causes(&levels, 4);
        let whole = found
            .iter()
            .find_map(|c| if let Cause::WholeUnit { depth } = c { Some(*depth) } else { None });
        assert!(whole.is_some_and(|depth| (depth - read).abs() < 1e-9), "{found:?}");
    }
}

#[test]
fn a_depth_whose_decimals_are_inches_is_named() {
    let mut levels = twelve(3);
    // 11 inches are 0.917 ft: the true depth is made one of a whole foot and 11 inches, written as decimals.
    let last =
        levels.rounds[ROUNDS - 1].wells[6].as_ref().and_then(|l| l.depth_read).expect("a depth");
    let feet = last.trunc();
    read_otherwise(&mut levels, ROUNDS - 1, 6, feet + 0.11 - last);
    for round in &mut levels.rounds {
        // All of its record is moved by what makes the last depth a foot and 11 inches.
        let level_of = round.wells[6].as_mut().expect("a head");
        let depth = level_of.depth_read.expect("a depth");
        let by = feet + 11.0 / 12.0 - last;
        if (depth - (feet + 0.11)).abs() > 1e-9 {
            *level_of = level(level_of.measuring_point.expect("a point"), hundredths(depth + by));
        }
    }
    let found = causes(&levels, 6);
    assert!(found.contains(&Cause::FeetAndInches { feet, inches: 11.0 }), "{found:?}");
}

#[test]
fn a_step_that_begins_with_a_survey_or_an_instrument_says_so_and_is_told_once() {
    let mut levels = twelve(5);
    for (t, round) in levels.rounds.iter_mut().enumerate() {
        let level_of = round.wells[1].as_mut().expect("a head");
        level_of.instrument = Some(if t < 6 { "E-1" } else { "E-2" }.to_owned());
        if t >= 6 {
            let (point, depth) =
                (level_of.measuring_point.expect("a point"), level_of.depth_read.expect("a depth"));
            // A survey that is wrong by half a foot: the readings are right.
            *level_of =
                Level { instrument: level_of.instrument.clone(), ..level(point + 0.5, depth) };
        }
    }
    let found = unfitting(&levels);
    assert_eq!(named(&found, 6), [1], "{found:?}");
    assert_eq!(named(&found, 7), [0; 0], "{found:?}");
    let odd = found.odd.iter().find(|o| o.round == 6).expect("told");
    assert!((odd.off - 0.5).abs() < 0.15, "{odd:?}");
    assert!(
        matches!(odd.causes[0], Cause::MeasuringPoint { from, to, fits_before: true } if (to - from - 0.5).abs() < 1e-9),
        "{odd:?}"
    );
    assert_eq!(odd.causes[1], Cause::Instrument { from: "E-1".into(), to: "E-2".into() });
}

#[test]
fn a_level_that_stays_while_others_move_is_told_and_one_that_stays_with_them_is_not() {
    let mut levels = twelve(8);
    let stays = levels.rounds[3].wells[9].clone();
    for round in &mut levels.rounds[3..] {
        round.wells[9].clone_from(&stays);
    }
    let found = unfitting(&levels);
    let stuck: Vec<(usize, usize, usize)> =
        found.stuck.iter().map(|s| (s.well, s.from, s.to)).collect();
    assert_eq!(stuck, [(9, 3, ROUNDS - 1)], "{:?}", found.stuck);
    // All others stay too, to their own scatter.
    let mut still = twelve(8);
    let first = still.rounds[0].clone();
    for (t, round) in still.rounds.iter_mut().enumerate() {
        *round = first.clone();
        for well in 0..12 {
            let off = if well == 9 { 0.0 } else { 0.01 * ((t * 7 + well * 3) % 5) as f64 };
            let level_of = round.wells[well].as_mut().expect("a head");
            *level_of = level(
                level_of.measuring_point.expect("a point"),
                hundredths(level_of.depth_read.expect("a depth") + off),
            );
        }
    }
    let found = unfitting(&still);
    assert!(found.stuck.is_empty() && found.odd.is_empty(), "{found:?}");
}

#[test]
fn a_round_of_three_wells_and_one_round_say_nothing() {
    let mut levels = site(3, 0.02, &mut Random::new(1));
    read_otherwise(&mut levels, 7, 0, 5.0);
    assert_eq!(unfitting(&levels), Unfitting::default());
    let mut levels = twelve(1);
    levels.rounds.truncate(1);
    assert_eq!(unfitting(&levels), Unfitting::default());
}

#[test]
fn a_well_that_scatters_more_than_others_is_not_accused_round_by_round() {
    let (mut accused, mut random) = (0, Random::new(77));
    for seed in 0..100 {
        let mut levels = twelve(seed);
        for round in 0..ROUNDS {
            read_otherwise(&mut levels, round, 5, 0.25 * random.normal());
        }
        accused += unfitting(&levels).odd.len();
    }
    // 800 heads of such wells, of which some 300 lie more than 0.25 ft off.
    assert!(accused < 100, "{accused}");
}
