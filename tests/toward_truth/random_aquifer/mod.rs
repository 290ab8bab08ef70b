//! Aquifers drawn by lot, whose water is known: how often an answer of `headfall toward` is so.
//!
//! The logarithm of the conductivity is a normal field with an exponential covariance that is alike over a fifth of the
//! site. Heads and fluxes are those of finite differences, the way of the water that of a particle through their cells;
//! none of it is the program's. Twenty-five wells by lot read the heads to 1 cm.

mod aquifer;
mod flow;
mod particle;
mod shares;
mod table;

use geo::Coord;
use headfall::Method;
use headfall::read::SurfaceSettings;
use rayon::prelude::*;

use crate::{Random, near};
use aquifer::{Aquifer, Kind};
use flow::Flow;
use particle::Course;
use shares::{Answered, asked, kind};
use table::{Count, rows};

/// A small aquifer of which nothing is drawn.
fn plain(columns: usize, rows: usize) -> Kind {
    Kind { cells: [columns, rows], ..kind(0.0) }
}

#[test]
fn one_conductivity_makes_a_plane_and_the_time_of_darcys_law() {
    let aquifer = Aquifer::of(plain(30, 20), |_, _| 8.0);
    let flow = Flow::between(&aquifer, 3.0, 0.0);
    for column in 0..30 {
        for row in 0..20 {
            near(flow.head(column, row), 3.0 * (1.0 - (column as f64 + 0.5) / 30.0), 1e-11);
            for (east, north) in flow.east(column, row).iter().zip(flow.north(column, row)) {
                near(*east, 8.0 * 0.01, 1e-12);
                near(north, 0.0, 1e-12);
            }
        }
    }
    // From 47 m to the east side at 300 m: t = L n / (K i).
    let course = Course::from(&flow, Coord { x: 47.0, y: 101.0 });
    let (end, day) = (course.points[course.points.len() - 1], course.days[course.days.len() - 1]);
    near(end.x, 300.0, 1e-9);
    near(end.y, 101.0, 1e-9);
    near(day, 253.0 * 0.25 / (8.0 * 0.01), 1e-6);
    near(course.crosses(200.0, [100.0, 102.0]).expect("it does"), 153.0 * 0.25 / 0.08, 1e-6);
    assert_eq!(course.crosses(200.0, [102.0, 104.0]), None);
}

/// Through layers one after the other flows what their harmonic mean lets through, along layers beside each other
/// what their arithmetic mean does (any textbook).
#[test]
fn layers_let_through_what_their_means_do() {
    let k = |layer: usize| [2.0, 50.0, 9.0, 0.5][layer % 4];
    let across = Aquifer::of(plain(40, 6), |column, _| k(column / 10));
    let flow = Flow::between(&across, 4.0, 0.0);
    let harmonic = 4.0 / (1.0 / 2.0 + 1.0 / 50.0 + 1.0 / 9.0 + 1.0 / 0.5);
    for column in 0..40 {
        near(flow.east(column, 3)[1], harmonic * 0.01, 1e-12);
    }
    let along = Aquifer::of(plain(40, 6), |_, row| k(row));
    let flow = Flow::between(&along, 4.0, 0.0);
    let through: f64 = (0..6).map(|row| flow.east(17, row)[0]).sum();
    near(through / 6.0, (2.0 + 50.0 + 9.0 + 0.5 + 2.0 + 50.0) / 6.0 * 0.01, 1e-12);
    // Along each layer the water has its own velocity: 300 m at 0.5 m/d times 0.01 over 0.25.
    let course = Course::from(&flow, Coord { x: 100.0, y: 35.0 });
    near(course.days[course.days.len() - 1], 300.0 * 0.25 / (0.5 * 0.01), 1e-6);
}

/// What enters a cell leaves it, and what enters the aquifer leaves it; nothing crosses north and south.
#[test]
fn no_water_is_lost_in_an_aquifer_drawn_by_lot() {
    let aquifer = Aquifer::drawn(kind(2.0), &mut Random::new(7));
    let flow = Flow::between(&aquifer, 5.0, 0.0);
    let scale = 10.0 * 0.005;
    for column in 0..100 {
        for row in 0..100 {
            let ([west, east], [south, north]) = (flow.east(column, row), flow.north(column, row));
            near(west + south, east + north, 1e-9 * scale);
        }
        near(flow.north(column, 0)[0], 0.0, 0.0);
        near(flow.north(column, 99)[1], 0.0, 0.0);
    }
    let through = |column: usize| (0..100).map(|row| flow.east(column, row)[0]).sum::<f64>();
    near(through(0), through(99), 1e-9 * scale);
}

/// The covariance of many fields is the one asked for, at distances along the axes and between them.
#[test]
fn aquifers_drawn_by_lot_have_the_covariance_asked_for() {
    const FIELDS: u64 = 400;
    let small = Kind { cells: [30, 30], sd_ln_k: 1.5, correlation_m: 100.0, ..kind(0.0) };
    let pairs = [([0, 0], 0.0), ([5, 0], 50.0), ([0, 10], 100.0), ([12, 16], 200.0)];
    let field = |seed: u64| -> (f64, [f64; 4]) {
        let aquifer = Aquifer::drawn(small, &mut Random::new(seed));
        let ln = |column: usize, row: usize| (aquifer.k(column, row) / 10.0).ln();
        (ln(3, 3), pairs.map(|([east, north], _)| ln(3, 3) * ln(3 + east, 3 + north)))
    };
    let fields: Vec<_> = (0..FIELDS).into_par_iter().map(field).collect();
    // Four standard errors: of a mean sd / sqrt n, of a covariance at most sd² sqrt(2 / n).
    let bound = 4.0 / (FIELDS as f64).sqrt();
    near(fields.iter().map(|f| f.0).sum::<f64>() / FIELDS as f64, 0.0, bound * 1.5);
    for (i, (_, distance)) in pairs.iter().enumerate() {
        let found = fields.iter().map(|f| f.1[i]).sum::<f64>() / FIELDS as f64;
        near(found, small.covariance(*distance), bound * 1.5_f64.powi(2) * 2.0_f64.sqrt());
    }
}

/// The linear surface, and the one with a plane and a covariance fitted to the wells.
fn surfaces() -> [(&'static str, SurfaceSettings); 2] {
    let linear = SurfaceSettings { method: Method::Linear, ..SurfaceSettings::default() };
    let mut kriging = SurfaceSettings { method: Method::Kriging, ..SurfaceSettings::default() };
    kriging.kriging.drift = Some(true);
    [("linear", linear), ("kriging with a plane", kriging)]
}

/// Over a conductivity range that holds 90 % of the aquifer a range of days holds nearly all times.
#[test]
fn ranges_of_days_hold_the_times_of_aquifers_drawn_by_lot() {
    let answers = asked(1.0, &surfaces()[0].1, 40);
    let days = Count::of(&answers, Answered::days_hold);
    assert!(days.of >= 8 && 10 * days.so >= 9 * days.of, "{days:?}");
}

/// Makes the tables of `docs/toward.md`: `cargo test --release -- --ignored --nocapture the_tables_of_shares`.
#[test]
#[ignore = "minutes of simulation"]
#[expect(clippy::print_stdout, reason = "tables to be looked at")]
fn the_tables_of_shares() {
    for sd in [1.0, 2.0] {
        for (surface, settings) in surfaces() {
            let answers = asked(sd, &settings, 150);
            for row in rows(&format!("{sd:.0}, {surface}"), &answers) {
                println!("{row}");
            }
        }
    }
}
