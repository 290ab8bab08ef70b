//! Directions of rounds: summed up on the circle as SciPy does, and turns between two rounds by simulation with
//! known truth.

use headfall::Azimuth;
use headfall::geo::Coord;
use headfall::record::{Circular, SharedWell, Turned, circular, turned};

use rayon::prelude::*;

use crate::{Random, documented, near, whole};

#[test]
fn mean_and_spread_of_directions_are_those_of_scipy() {
    // tests/data/record/circular.py made what is expected.
    let cases: serde_json::Value =
        serde_json::from_str(include_str!("../data/record/circular.json")).expect("JSON");
    let cases = cases.as_array().expect("cases");
    assert_eq!(cases.len(), 9);
    for case in cases {
        let number = |name: &str| case[name].as_f64().unwrap_or_else(|| panic!("{name} of {case}"));
        let degrees = case["degrees"].as_array().expect("directions");
        let directions: Vec<Azimuth> =
            degrees.iter().map(|d| Azimuth::from_degrees(d.as_f64().expect("a number"))).collect();
        let Circular { mean, resultant_length, variance, sd_deg, .. } =
            circular(&directions).expect("some");
        let mean = mean.expect("a mean");
        assert!(mean.between(Azimuth::from_degrees(number("mean"))) < 1e-9, "{mean:?} of {case}");
        let (sin, cos) = mean.degrees().to_radians().sin_cos();
        near(sin, number("east"), 1e-12, "east");
        near(cos, number("north"), 1e-12, "north");
        near(resultant_length, number("length"), 1e-12, "length");
        near(variance, number("variance"), 1e-12, "variance");
        // One direction has a spread of rounding: 1e-8 radians are the root of 1e-16.
        near(sd_deg.expect("a spread"), number("sd"), 2e-6, "sd");
    }
}

#[test]
fn directions_that_cancel_have_no_mean() {
    let found = circular(&[20.0, 140.0, 260.0].map(Azimuth::from_degrees)).expect("three");
    assert!(
        found.mean.is_none() && found.sd_deg.is_none() && found.variance > 1.0 - 1e-9,
        "{found:?}"
    );
    assert!(circular(&[]).is_none());
}

/// The defaults of docs/uncertainty.md, m: survey and reading.
const SURVEY_M: f64 = 0.010;
const READING_M: f64 = 0.003_048;

/// Pairs of rounds of each kind.
const PAIRS: usize = 2000;

/// What pairs of rounds have in common.
struct Kind {
    wells: usize,
    gradient: f64,
    /// Standard deviation of what each head has of its own in each round, m.
    scatter_m: f64,
    /// The same of what it has in both, m: the water table is no plane.
    unlike_plane_m: f64,
}

/// Two rounds by lot: 200 m square, the second turned by `turn_deg` and `steeper` times as steep.
fn pair(kind: &Kind, turn_deg: f64, steeper: f64, random: &mut Random) -> Vec<SharedWell> {
    let first = random.between(0.0, 360.0);
    let plane = |p: Coord, degrees: f64, gradient: f64| {
        let (sin, cos) = degrees.to_radians().sin_cos();
        -gradient * (p.x * sin + p.y * cos)
    };
    let well = |_| {
        let at = Coord { x: random.between(0.0, 200.0), y: random.between(0.0, 200.0) };
        let common = SURVEY_M * random.normal() + kind.unlike_plane_m * random.normal();
        let mut own = || READING_M * random.normal() + kind.scatter_m * random.normal();
        let heads_m = [
            50.0 + plane(at, first, kind.gradient) + common + own(),
            49.7 + plane(at, first + turn_deg, steeper * kind.gradient) + common + own(),
        ];
        SharedWell { at, heads_m, own_sds_m: [READING_M; 2], common_sd_m: SURVEY_M }
    };
    (0..kind.wells).map(well).collect()
}

/// Per cent of pairs: turns held by the declared errors, by the residuals and as stated, and turns that are told
/// where there is none.
fn rates(kind: &Kind) -> [f64; 4] {
    let (mut held, mut told, mut still) = ([0_usize; 3], 0, 0);
    let seed = kind.wells as u64 * 1000 + whole(kind.gradient * 1e5) + whole(kind.scatter_m * 1e3);
    let mut random = Random::new(seed);
    for i in 0..PAIRS {
        let turn = [0.0, 0.0, 12.0, -40.0][i % 4];
        let steeper = [1.0, 0.6, 1.5][i % 3];
        let found = loop {
            // A network of no width is drawn again.
            if let Some(found) = turned(&pair(kind, turn, steeper, &mut random), 0.0) {
                break found;
            }
        };
        held[0] += usize::from(found.from_head_errors.holds(turn));
        held[1] += usize::from(found.from_residuals.is_none_or(|r| r.holds(turn)));
        held[2] += usize::from(found.stated.holds(turn));
        if turn == 0.0 {
            still += 1;
            told += usize::from(found.verdict == Turned::Turned);
        }
    }
    let part = |count: usize, of: usize| 100.0 * count as f64 / of as f64;
    [part(held[0], PAIRS), part(held[1], PAIRS), part(held[2], PAIRS), part(told, still)]
}

#[test]
fn turns_are_held_by_their_intervals_and_false_ones_are_seldom_told() {
    let mut kinds = Vec::new();
    for (scatter_m, unlike_plane_m) in [(0.0, 0.0), (0.008, 0.02)] {
        for gradient in [0.004, 0.0005] {
            let wells = [3, 5, 8, 12, 20].into_iter().filter(|w| *w > 3 || scatter_m == 0.0);
            kinds.extend(wells.map(|wells| Kind { wells, gradient, scatter_m, unlike_plane_m }));
        }
    }
    let rates: Vec<[f64; 4]> = kinds.par_iter().map(rates).collect();
    let row = |(kind, [declared, residuals, stated, told]): (&Kind, &[f64; 4])| {
        let Kind { wells, gradient, scatter_m, .. } = kind;
        let of_residuals = if *wells == 3 { "-".to_owned() } else { format!("{residuals:.1}") };
        format!(
            "| {wells} | {gradient} | {scatter_m} | {declared:.1} | {of_residuals} | {stated:.1} | {told:.1} |"
        )
    };
    documented("docs/record.md", &kinds.iter().zip(&rates).map(row).collect::<Vec<_>>());
    for (kind, [declared, residuals, stated, told]) in kinds.iter().zip(&rates) {
        // Standard error 0.5 of what is held, 0.7 of what is told.
        let about = format!(
            "{} wells, {}: {declared} {residuals} {stated} {told}",
            kind.wells, kind.gradient
        );
        assert!(*stated >= 93.5 && *told <= 6.5, "{about}");
        if kind.scatter_m > 0.0 {
            // From few wells the residuals know little, and say so.
            let most = if kind.wells < 12 { 99.0 } else { 97.0 };
            assert!((93.5..=most).contains(residuals), "{about}");
        } else {
            assert!((93.0..=97.0).contains(declared), "{about}");
        }
    }
}
