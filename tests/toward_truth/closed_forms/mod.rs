//! Sites whose heads are formulas: what `headfall toward` says of their water, against what the formulas say.
//!
//! | file | what is in it |
//! |---|---|
//! | `heads` | the formulas |
//! | `way` | the way of the water over them, and its time |
//! | `case` | a site, a question, what is true and what a right answer is |
//! | `sites` | all sites, each question with whether it is answered right today |

mod case;
mod heads;
mod sites;
mod way;

use rayon::prelude::*;

use crate::near;
use case::{Case, Row};
use heads::{
    GRADIENT, PUMP, between_ditches, gaining, gaining_then_losing, plate, pumped, pumped_in_feet,
    stagnation, to_a_drain, uniform, width,
};
use sites::{all, c, ends_near_the_pump};
use way::{Heads, down};

/// Networks by lot beside a pumped well.
const NETWORKS: u64 = 20;

/// The table; `cargo test --release --test toward_truth -- --nocapture the_water_of_formulas` prints it.
#[test]
#[expect(clippy::print_stdout, reason = "a table to be looked at")]
fn the_water_of_formulas_goes_where_they_say() {
    let mut rows: Vec<Row> = all().into_par_iter().flat_map_iter(Case::rows).collect();
    rows.push(of_networks());
    println!("site | question | truth | found | as it should be");
    for row in &rows {
        println!("{} | {}", row.text, if row.holds { "yes" } else { "NO" });
    }
    let marked_wrong: Vec<&str> =
        rows.iter().filter(|r| r.holds != r.holds_today).map(|r| r.text.as_str()).collect();
    assert!(
        marked_wrong.is_empty(),
        "a right answer got lost, or one became right (mark it in `sites`):\n{}",
        marked_wrong.join("\n")
    );
}

/// All networks that end near the pumped well in one row: none of them may say that the well catches what it does not.
fn of_networks() -> Row {
    let rows = |seed| ends_near_the_pump(seed).rows();
    let rows: Vec<Row> = (0..NETWORKS).into_par_iter().flat_map_iter(rows).collect();
    let wrong = rows.iter().filter(|r| !r.holds).count();
    Row {
        text: format!("networks that end near the pump | {wrong} of {NETWORKS} say it is caught"),
        holds: wrong == 0,
        holds_today: true,
    }
}

/// Steady flow without recharge: the mean of the heads on a small circle is the head in its middle (Gauss's mean value of
/// harmonic functions), beside streams, plates and wells.
#[test]
fn the_formulas_are_of_steady_flow() {
    let heads: [(Heads, &[(f64, f64)]); 6] = [
        (uniform, &[(10.0, 20.0)]),
        (pumped, &[(950.0, 830.0), (300.0, 1210.0)]),
        (pumped_in_feet, &[(30.0, -12.0)]),
        (gaining_then_losing, &[(150.0, 330.0), (800.0, 90.0)]),
        (plate, &[(-20.0, 25.0), (40.0, -90.0), (3.0, 84.0)]),
        (to_a_drain, &[(30.0, -40.0)]),
    ];
    for (heads, places) in heads {
        for (x, y) in places {
            let on_circle = |k: u32| {
                let turn = std::f64::consts::TAU * f64::from(k) / 64.0;
                heads(c(x + turn.cos(), y + turn.sin()))
            };
            let mean = (0..64).map(on_circle).sum::<f64>() / 64.0;
            near(mean, heads(c(*x, *y)), 1e-10);
        }
    }
    // Between the ditches h² bends by 2 w / K, recharge over conductivity.
    let squared = |x: f64| between_ditches(c(x, 0.0)).powi(2);
    let bend = squared(301.0) - 2.0 * squared(300.0) + squared(299.0);
    near(bend, -2.0 * 5e-4 / 5.0, 1e-9);
    near(gaining(c(0.0, 200.0)), 100.0, 1e-12);
    // Nothing flows through the plate, and round it the heads are the same on both sides.
    near(plate(c(-1e-9, 90.0)), plate(c(1e-9, 90.0)), 1e-9);
    assert!(plate(c(-1e-9, 40.0)) - plate(c(1e-9, 40.0)) > 0.5);
}

/// The steps of the way against times in closed form: a plane; radial flow, t = n (r² - r0²) / (2 K A) with Thiem's
/// A = Q / (2 pi T); the axis of a well in uniform flow, t = n / (K i) (d - x0 ln(1 + d / x0)) with x0 the distance of the
/// stagnation point (integrals of the seepage velocity).
#[test]
fn the_way_over_a_formula_takes_the_time_of_its_integral() {
    let sand = [10.0, 0.25];
    let (end, days) = down(uniform, sand, c(10.0, 5.0), |p| p.x >= 310.0).expect("it arrives");
    near(end.x, 310.0, 0.11);
    near(days, 300.0 * 0.25 / 0.05, 1.0);
    let (_, days) = down(to_a_drain, sand, c(120.0, -160.0), |p| libm::hypot(p.x, p.y) <= 5.0)
        .expect("it arrives");
    let a = 400.0 / (std::f64::consts::TAU * 200.0);
    near(days, 0.25 * (40_000.0 - 25.0) / (2.0 * 10.0 * a), 0.5);
    let at_the_well = |p: geo::Coord| libm::hypot(p.x - PUMP.x, p.y - PUMP.y) <= 1.0;
    let (_, days) = down(pumped, sand, c(PUMP.x - 500.0, PUMP.y), at_the_well).expect("it arrives");
    let to = |d: f64| 0.25 / (10.0 * GRADIENT) * (d - stagnation() * (d / stagnation()).ln_1p());
    near(days, to(500.0) - to(1.0), 0.5);
    // What the formulas give for this well: 198.9 and 1250 m.
    near(stagnation(), 198.943_678_86, 1e-8);
    near(width(), 1250.0, 1e-9);
    // On either side of the dividing streamline, nearly half the width from the axis 10 km up.
    for (y, caught) in [(0.47, true), (0.51, false)] {
        let start = c(PUMP.x - 10_000.0, PUMP.y + y * width());
        let found = down(pumped, sand, start, |p| at_the_well(p) || p.x > PUMP.x + 1000.0);
        assert_eq!(found.is_some_and(|(p, _)| at_the_well(p)), caught, "{y}: {found:?}");
    }
}
