//! Flow paths, travel times and capture against analytic solutions, published figures and SciPy.

use std::collections::BTreeMap;
use std::f64::consts::{PI, TAU};

use geo::Coord;
use headfall::geom::Slope;
use headfall::toward::{
    Conductor, End, Field, FlowPath, STEP_ERROR, Steps, Way, closed_form, mapped, retardation,
    trace_on_field,
};
use headfall::units::Span;

use crate::support::{near, rows};

fn c(x: f64, y: f64) -> Coord {
    Coord { x, y }
}

fn steps(longest_m: f64) -> Steps {
    Steps { longest_m, error: STEP_ERROR, most: 100_000 }
}

/// A pumped well in uniform flow to the east, check 5.7: T = 200, i = 0.002, Q = 500, H0 = 50,
/// R = 1000. Closed forms as quoted from EPA 600/R-08/003 in a county file (San Joaquin EHD
/// 928652, table 16).
struct Pumped;

const T: f64 = 200.0;
const I: f64 = 0.002;
const Q: f64 = 500.0;

impl Field for Pumped {
    fn at(&self, p: Coord) -> Option<(f64, Slope)> {
        let r2 = p.x * p.x + p.y * p.y;
        let head = 50.0 - I * p.x + Q / (4.0 * PI * T) * (r2 / 1e6).ln();
        let pull = Q / (TAU * T) / r2;
        let inside = r2 > 25.0 && p.x.abs() < 5000.0 && p.y.abs() < 5000.0;
        inside.then_some((head, Slope { east: pull * p.x - I, north: pull * p.y }))
    }
}

/// The distance of a place from a path.
fn off(path: &FlowPath, p: Coord) -> f64 {
    path.points
        .windows(2)
        .map(|w| {
            let (a, d) = (w[0], w[1] - w[0]);
            let along = ((p.x - a.x) * d.x + (p.y - a.y) * d.y) / (d.x * d.x + d.y * d.y);
            let q = a + d * along.clamp(0.0, 1.0);
            libm::hypot(q.x - p.x, q.y - p.y)
        })
        .fold(f64::INFINITY, f64::min)
}

#[test]
fn the_field_of_the_check_has_its_printed_heads_and_directions() {
    for (x, y, h, azimuth) in [
        (100.0, 0.0, 48.883_830_501_4, 270.0),
        (-100.0, 0.0, 49.283_830_501_4, 90.0),
        (0.0, 100.0, 49.083_830_501_4, 153.313_389_7),
        (300.0, 200.0, 48.994_110_962_7, 119.503_302_3),
        (-300.0, -200.0, 50.194_110_962_7, 78.153_158_3),
    ] {
        let (head, slope) = Pumped.at(c(x, y)).expect("inside");
        near(head, h, 1e-9);
        let path = trace_on_field(&Pumped, c(x, y), Way::Down, Steps { most: 3, ..steps(1.0) });
        let d = path.points[1] - path.points[0];
        near(libm::atan2(d.x, d.y).to_degrees().rem_euclid(360.0), azimuth, 0.2);
        near(libm::atan2(-slope.east, -slope.north).to_degrees().rem_euclid(360.0), azimuth, 1e-4);
    }
}

/// Streamlines by `scipy.integrate.solve_ivp` (`tests/data/toward/make_paths.py`).
#[test]
fn paths_on_the_analytic_field_are_those_of_scipy() {
    let mut expected: BTreeMap<u32, Vec<(f64, Coord, Coord, bool)>> = BTreeMap::new();
    for row in rows("toward/well_in_uniform_flow.csv") {
        let n = |name: &str| row[name].parse::<f64>().expect("a number");
        expected.entry(row["path"].parse().expect("a number")).or_default().push((
            n("s"),
            c(n("x"), n("y")),
            c(n("start_x"), n("start_y")),
            row["captured"] == "1",
        ));
    }
    assert_eq!(expected.len(), 12);
    for places in expected.values() {
        let start = places[0].2;
        let path = trace_on_field(&Pumped, start, Way::Down, steps(5.0));
        for (s, p, _, _) in places {
            // Half a decimetre for the chords of 5 m.
            let bound = 0.05 + STEP_ERROR * s;
            assert!(off(&path, *p) < bound, "{start:?} at {s} m: {} m off", off(&path, *p));
        }
        let end = path.points[path.points.len() - 1];
        assert_eq!(libm::hypot(end.x, end.y) < 6.0, places[0].3, "{start:?} ends at {end:?}");
    }
}

/// Along a streamline the stream function of a well in uniform flow keeps its value.
#[test]
fn the_stream_function_is_kept_within_the_stated_error() {
    let psi = |p: Coord| T * I * p.y - Q / TAU * libm::atan2(p.y, p.x);
    for start in [c(-800.0, 300.0), c(-800.0, -100.0), c(-800.0, 600.0)] {
        let path = trace_on_field(&Pumped, start, Way::Down, steps(20.0));
        let mut length = 0.0;
        for w in path.points.windows(2) {
            length += libm::hypot(w[1].x - w[0].x, w[1].y - w[0].y);
            let (_, s) = Pumped.at(w[1]).expect("inside");
            // A step aside changes the stream function by that step times the flow.
            let aside = (psi(w[1]) - psi(start)).abs() / (T * s.magnitude());
            assert!(aside <= STEP_ERROR * length, "{aside} m aside after {length} m");
        }
    }
}

#[test]
fn paths_from_about_the_well_end_at_the_stagnation_point_or_are_captured() {
    let stagnation = Q / (TAU * T * I);
    near(stagnation, 198.943_678_86, 1e-8);
    for (x, captured) in [(stagnation - 2.0, true), (stagnation + 2.0, false)] {
        let path = trace_on_field(&Pumped, c(x, 0.0), Way::Down, steps(20.0));
        let end = path.points[path.points.len() - 1];
        assert_eq!(libm::hypot(end.x, end.y) < 6.0, captured, "{x}: {end:?}");
    }
    // Far upgradient the dividing streamlines are Q / (2 T i) from the axis, beside the well half
    // of that: check 5.7, 625 and 312.5 m.
    for (y, captured) in [(312.0, true), (313.0, false), (-312.0, true), (-313.0, false)] {
        let path = trace_on_field(&Pumped, c(0.0, y), Way::Down, steps(20.0));
        let end = path.points[path.points.len() - 1];
        assert_eq!(libm::hypot(end.x, end.y) < 6.0, captured, "{y}");
    }
    // Upgradient from beside the well the path comes from far up the flow.
    let up = trace_on_field(&Pumped, c(-6.0, 0.0), Way::Up, steps(20.0));
    assert!(up.points[up.points.len() - 1].x < -4900.0, "{:?}", up.points.last());
    assert!(matches!(up.end, End::LeavesMap { .. }));
}

/// Flow with recharge between two ditches, check 5.5: K 5, 20 and 18 over 1000, w 5e-4, the
/// divide at 120 from the first.
struct Divide;

impl Field for Divide {
    fn at(&self, p: Coord) -> Option<(f64, Slope)> {
        let (k, h1, h2, l, w) = (5.0, 20.0, 18.0, 1000.0, 5e-4);
        let squared: f64 = h1 * h1 - (h1 * h1 - h2 * h2) * p.x / l + w * (l - p.x) * p.x / k;
        let slope = -(h1 * h1 - h2 * h2) / l + w * (l - 2.0 * p.x) / k;
        let h = squared.sqrt();
        let inside = (0.0..=l).contains(&p.x);
        inside.then_some((h, Slope { east: slope / (2.0 * h), north: 0.0 }))
    }
}

#[test]
fn upgradient_a_path_ends_at_the_recharge_divide() {
    for start in [10.0, 400.0, 900.0] {
        let path = trace_on_field(&Divide, c(start, 7.0), Way::Up, steps(10.0));
        assert_eq!(path.end, End::Stops { well: None });
        near(path.points[path.points.len() - 1].x, 120.0, 0.02);
        near(path.heads[path.heads.len() - 1], 20.035_967_658, 1e-8);
    }
    // Downgradient the two sides of the divide part.
    for (start, end) in [(119.0, 0.0), (121.0, 1000.0)] {
        let path = trace_on_field(&Divide, c(start, 0.0), Way::Down, steps(10.0));
        assert!(matches!(path.end, End::LeavesMap { .. }));
        near(path.points[path.points.len() - 1].x, end, 0.02);
    }
}

/// A round island with recharge, check 5.6: K 10, w 0.001, R 500, h0 10.
struct Island;

impl Field for Island {
    fn at(&self, p: Coord) -> Option<(f64, Slope)> {
        let r2 = p.x * p.x + p.y * p.y;
        let h = (100.0 + 0.001 * (250_000.0 - r2) / 20.0).sqrt();
        let s = -0.001 / 20.0 / h;
        (r2 <= 250_000.0).then_some((h, Slope { east: s * p.x, north: s * p.y }))
    }
}

#[test]
fn upgradient_every_path_of_an_island_comes_from_its_middle() {
    near(Island.at(c(150.0, 200.0)).expect("inside").0, 10.458_250_332, 1e-9);
    for k in 0..9 {
        let turn = TAU * f64::from(k) / 9.0;
        let start = c(480.0 * turn.cos(), 480.0 * turn.sin());
        let up = trace_on_field(&Island, start, Way::Up, steps(10.0));
        assert_eq!(up.end, End::Stops { well: None });
        near(up.length_m(), 480.0, 0.02);
        near(up.heads[up.heads.len() - 1], 10.606_601_718, 1e-8);
        let down = trace_on_field(&Island, start * 0.1, Way::Down, steps(10.0));
        near(down.length_m(), 452.0, 0.02);
    }
}

fn one(value: f64) -> Span {
    Span::of(value, value)
}

fn straight(length_m: f64, gradient: f64) -> FlowPath {
    FlowPath {
        way: Way::Down,
        points: vec![c(0.0, 0.0), c(0.3 * length_m, 0.0), c(length_m, 0.0)],
        heads: vec![50.0, 50.0 - 0.3 * length_m * gradient, 50.0 - length_m * gradient],
        end: End::LeavesMap { well: None },
    }
}

/// Heath (1983), USGS Water-Supply Paper 2220, "Ground-water velocity": sand of 60 m/d at 1/1000
/// and n 0.20 gives 0.3 m/d, clay of 0.0001 m/d at 1/10 and n 0.50 gives 0.00002 m/d (from memory,
/// recomputed).
#[test]
fn seepage_velocities_are_those_of_heaths_examples() {
    for (k, i, n, v) in [(60.0, 0.001, 0.20, 0.3), (1e-4, 0.1, 0.50, 2e-5)] {
        let conductor = Conductor {
            conductivity_m_per_day: one(k),
            effective_porosity: one(n),
            retardation: None,
        };
        near(conductor.velocity(one(i)).low, v, 1e-12 * v);
        near(conductor.velocity(one(i)).high, v, 1e-12 * v);
    }
    // Ranges: the slowest of the slow, the fastest of the fast.
    let sand = Conductor {
        conductivity_m_per_day: Span::of(6.0, 60.0),
        effective_porosity: Span::of(0.2, 0.3),
        retardation: None,
    };
    near(sand.velocity(one(0.001)).low, 0.02, 1e-12);
    near(sand.velocity(one(0.001)).high, 0.3, 1e-12);
}

/// Check 10.2: K 10 m/d, i 0.005, n 0.25 over 100 m take 500 d; bulk density 1.65 g/cm³, Kd 0.2 mL/g
/// and total porosity 0.30 retard by 2.1 to 1050 d (formula of regulatory files; exact arithmetic).
#[test]
fn a_retarded_substance_takes_the_time_of_the_check() {
    let conductor = Conductor {
        conductivity_m_per_day: one(10.0),
        effective_porosity: one(0.25),
        retardation: Some(retardation(one(1.65), one(0.2), one(0.30))),
    };
    let days = conductor.days(&straight(100.0, 0.005), 1.0).expect("it falls");
    near(days.low, 500.0, 1e-7);
    near(days.high, 500.0, 1e-7);
    near(conductor.retardation.expect("sorbed").high, 2.1, 1e-12);
    near(conductor.retarded(days).expect("sorbed").low, 1050.0, 1e-6);
    // Heads in feet of a fall of 0.5 m.
    let mut feet = straight(100.0, 0.005);
    feet.heads.iter_mut().for_each(|h| *h /= 0.3048);
    near(conductor.days(&feet, 0.3048).expect("it falls").low, 500.0, 1e-7);
    feet.heads[1] = feet.heads[0];
    assert!(conductor.days(&feet, 0.3048).is_none());
}

/// Closed-form capture: check 5.7 (T 200, i 0.002, Q 500), the table of a county file (San Joaquin
/// EHD 928652, p. 59: T i = 15 ft²/d, rates in gpm, widths in ft, printed to the foot), and the
/// example of Practical Design Calculations for Groundwater and Soil Remediation, p. 228 and 232
/// (50 gpm, 1000 gpd/ft², 80 ft, 0.015: 9.6, 15 and 30 ft).
#[test]
fn capture_widths_are_those_of_published_tables() {
    let zone = closed_form(500.0, one(200.0), one(0.002)).expect("it flows");
    near(zone.to_stagnation.low, 198.943_678_86, 1e-8);
    near(zone.width_at_well.low, 2.0 * 312.5, 1e-9);
    near(zone.width_far.high, 1250.0, 1e-9);
    let ft3_per_day_of_gpm = 1440.0 * 231.0 / 1728.0;
    for (gpm, x0, at_well, far) in [
        (10.0, 20.0, 64.0, 128.0),
        (15.0, 31.0, 96.0, 192.0),
        (17.5, 36.0, 112.0, 224.0),
        (20.0, 41.0, 128.0, 257.0),
    ] {
        let zone = closed_form(gpm * ft3_per_day_of_gpm, one(1500.0), one(0.01)).expect("it flows");
        near(zone.to_stagnation.low, x0, 1.0);
        near(zone.width_at_well.low, at_well, 1.0);
        near(zone.width_far.low, far, 1.0);
    }
    // gpd/ft² times ft is gpd/ft; 50 gpm is 72 000 gpd.
    let zone = closed_form(50.0 * 1440.0, one(1000.0 * 80.0), one(0.015)).expect("it flows");
    near(zone.to_stagnation.low, 9.6, 0.06);
    near(zone.width_at_well.low / 2.0, 15.0, 0.06);
    near(zone.width_far.low / 2.0, 30.0, 0.06);
    // A range of transmissivity is a range of widths, the narrow one with the high.
    let zone = closed_form(500.0, Span::of(100.0, 200.0), one(0.002)).expect("it flows");
    assert_eq!((zone.width_far.low, zone.width_far.high), (1250.0, 2500.0));
    assert!(closed_form(-500.0, one(200.0), one(0.002)).is_none());
}

/// Points of the envelope at Q / (B K i) = 86.4 ft (the same book, p. 226, to 0.02 ft):
/// x = -y / tan(2 pi T i y / Q), x upgradient. Paths that begin a hand's breadth inside are
/// captured, outside they are not.
#[test]
fn mapped_capture_has_the_published_envelope() {
    let scale = 1250.0 / 86.4;
    for (y, x) in [(5.0, -13.14), (10.0, -11.24), (20.0, -2.34), (30.0, 21.01), (40.0, 168.78)] {
        near(-y / (TAU * y / 86.4).tan(), x, 0.02);
        for (share, captured) in [(0.99, true), (1.01, false)] {
            // Our flow goes to the east; the book's x is upgradient, to the west.
            let start = c(-x * scale, y * scale * share);
            let path = trace_on_field(&Pumped, start, Way::Down, steps(20.0));
            let end = path.points[path.points.len() - 1];
            assert_eq!(libm::hypot(end.x, end.y) < 6.0, captured, "{y} {share}");
        }
    }
    let places: Vec<Coord> = (0..100 * 80)
        .map(|k| c(-1500.0 + 20.0 * f64::from(k % 100), -790.0 + 20.0 * f64::from(k / 100)))
        .collect();
    let zone = mapped(
        &places,
        20.0,
        c(0.0, 0.0),
        c(1.0, 0.0),
        |p| trace_on_field(&Pumped, p, Way::Down, steps(40.0)),
        |path| path.points.last().is_some_and(|p| libm::hypot(p.x, p.y) < 6.0),
    );
    near(zone.downgradient_m, 198.9, 20.0);
    // At x = -1500 the envelope's half width solves x = y / tan(2 pi T i y / Q) (SciPy's brentq): 554.55.
    near(zone.width_m, 2.0 * 554.55, 40.0);
}
