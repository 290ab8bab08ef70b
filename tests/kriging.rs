//! Kriging against published values, reference libraries and analytic surfaces.

use std::collections::BTreeMap;

use geo::Coord;
use headfall::geom::Frame;
use headfall::interpolate::GridSpec;
use headfall::interpolate::kriging::Anisotropy;
use headfall::interpolate::kriging::Caution;
use headfall::interpolate::kriging::Covariance;
use headfall::interpolate::kriging::Drift;
use headfall::interpolate::kriging::FitOptions;
use headfall::interpolate::kriging::Heads;
use headfall::interpolate::kriging::Kriging;
use headfall::interpolate::kriging::KrigingError;
use headfall::interpolate::kriging::Model;
use headfall::interpolate::kriging::PumpedWell;
use headfall::interpolate::kriging::fit;

use crate::support::{near, rows};

type Row = BTreeMap<String, String>;

fn number(row: &Row, name: &str) -> f64 {
    row[name].parse().expect("a number")
}

fn points(rows: &[Row], x: &str, y: &str, h: &str) -> (Vec<Coord>, Vec<f64>) {
    let position = |r| Coord { x: number(r, x), y: number(r, y) };
    (rows.iter().map(position).collect(), rows.iter().map(|r| number(r, h)).collect())
}

fn wolfcamp() -> (Vec<Coord>, Vec<f64>) {
    points(&rows("wolfcamp/wolfcamp_85.csv"), "x_mi", "y_mi", "head_ft")
}

fn seven() -> (Vec<Coord>, Vec<f64>) {
    points(&rows("kriging/seven_points.csv"), "x", "y", "v")
}

fn exact((wells, values): &(Vec<Coord>, Vec<f64>)) -> Heads<'_> {
    Heads { wells, values, sd: None }
}

fn at(x: f64, y: f64) -> Coord {
    Coord { x, y }
}

fn plane() -> Drift {
    Drift { plane: true, cones: Vec::new() }
}

fn cone(x: f64, y: f64) -> Vec<PumpedWell> {
    vec![PumpedWell { position: at(x, y), radius_m: 0.1, rate: 1.0 }]
}

fn model(name: &str) -> Model {
    Model::ALL.into_iter().find(|m| m.name() == name).expect("a model")
}

/// Isaaks and Srivastava (1989), An Introduction to Applied Geostatistics, ch. 12: positions and
/// values from a published data set, results from memory and recomputed.
#[test]
#[expect(clippy::approx_constant, reason = "0.318 is a printed weight")]
fn seven_points_of_a_textbook() {
    let data = seven();
    let covariance = Covariance::new(Model::Exponential, 10.0, 10.0);
    let k = Kriging::new(&exact(&data), &covariance, &Drift::default()).expect("a surface");
    let p = k.predict(&[at(65.0, 137.0)])[0];
    near(p.head, 592.7, 0.05);
    near(p.head, 592.728_942_789_7, 1e-8 * 592.7);
    near(p.variance, 8.96, 0.005);
    near(p.variance, 8.956_052_788_7, 1e-8 * 8.96);
    let w = k.weights(at(65.0, 137.0));
    for (found, printed) in w.weights.iter().zip([0.173, 0.318, 0.129, 0.086, 0.151, 0.057, 0.086])
    {
        near(*found, printed, 6e-4);
    }
    near(w.multipliers[0].abs(), 0.906_616_619, 1e-8);
    near(w.weights.iter().sum(), 1.0, 1e-12);
}

/// The same textbook varies the parameters; the numbers are recomputed from its equations.
#[test]
fn seven_points_with_other_parameters() {
    let data = seven();
    let with =
        |model, sill, range, nugget| Covariance { nugget, ..Covariance::new(model, sill, range) };
    let base = Model::Exponential;
    for (covariance, head, variance) in [
        (with(base, 20.0, 10.0, 0.0), 592.728_942_789_8, 17.912_105_577_3),
        (with(base, 0.0, 10.0, 10.0), 603.714_285_714_3, 11.428_571_428_6),
        (with(base, 10.0, 20.0, 0.0), 572.39, 5.758),
        (with(base, 5.0, 10.0, 5.0), 596.78, 10.306),
        (with(Model::Gaussian, 10.0, 10.0, 0.0), 559.37, 4.781),
    ] {
        let k = Kriging::new(&exact(&data), &covariance, &Drift::default()).expect("a surface");
        let p = k.predict(&[at(65.0, 137.0)])[0];
        near(p.head, head, 0.01);
        near(p.variance, variance, 0.001);
        if covariance.model == Model::Gaussian {
            let weights = k.weights(at(65.0, 137.0)).weights;
            assert!(weights.iter().any(|w| *w < 0.0), "the gaussian gives negative weights");
        }
    }
}

/// Wolfcamp, ordinary and universal kriging: reference values of an independent solver that agrees
/// with `PyKrige` 1.7.3 to 1e-12. The parameters are chosen for the test.
#[test]
fn wolfcamp_ordinary_and_universal() {
    let data = wolfcamp();
    let covariance =
        Covariance { nugget: 12_000.0, ..Covariance::new(Model::Exponential, 35_000.0, 60.0) };
    let ok = Kriging::new(&exact(&data), &covariance, &Drift::default()).expect("a surface");
    let uk = Kriging::new(&exact(&data), &covariance, &plane()).expect("a surface");
    for (p, ordinary, universal) in [
        (
            at(0.0, 100.0),
            (2_053.741_221_643, 34_606.942_345_289),
            (2_030.706_014_698_3, 34_611.970_402_745),
        ),
        (
            at(50.0, 50.0),
            (1_911.590_749_362_2, 32_367.433_684_141),
            (1_899.345_451_260_5, 32_410.357_935_296),
        ),
        (
            at(25.0, 130.0),
            (1_594.308_514_070_9, 33_979.782_603_783),
            (1_523.808_209_718_3, 34_011.976_793_333),
        ),
        (
            at(-100.0, 80.0),
            (2_695.983_675_863_7, 32_093.403_119_504),
            (2_836.180_817_828_4, 32_253.093_319_629),
        ),
    ] {
        for (k, (head, variance)) in [(&ok, ordinary), (&uk, universal)] {
            let found = k.predict(&[p])[0];
            near(found.head, head, 1e-8 * head);
            near(found.variance, variance, 1e-8 * variance);
            near(k.heads(&[p])[0], head, 1e-8 * head);
        }
    }
    for k in [&ok, &uk] {
        let found = k.predict(&data.0[..1])[0];
        near(found.head, 1464.0, 1e-8);
        assert!(found.variance == 0.0, "a well is exact: {}", found.variance);
    }
}

/// Every row of `data/kriging/predictions.csv`, made by `make_fixtures.py` beside it.
///
/// `PyKrige` is told of the nugget either as part of the surface, or (`filtered`) as error of the
/// readings, whose variance it keeps in the prediction's.
#[test]
fn the_reference_libraries_agree() {
    let data = wolfcamp();
    let mut seen = BTreeMap::new();
    for row in rows("kriging/predictions.csv") {
        let mut covariance = Covariance::new(model(&row["model"]), 35_000.0, 60.0);
        let nugget = number(&row, "nugget");
        let filtered = row["filtered"] == "1";
        if !filtered {
            covariance.nugget = nugget;
        }
        let sd = vec![nugget.sqrt(); data.0.len()];
        if number(&row, "ratio") < 1.0 {
            let (azimuth_deg, ratio) = (number(&row, "azimuth_deg"), number(&row, "ratio"));
            covariance.anisotropy = Some(Anisotropy { azimuth_deg, ratio });
        }
        let drift = match row["drift"].as_str() {
            "constant" => Drift::default(),
            "plane" => plane(),
            "plane and cones" => {
                Drift { plane: true, cones: vec![cone(20.0, 60.0), cone(-60.0, 120.0)] }
            }
            other => panic!("a drift of the test's own: {other}"),
        };
        let heads = Heads { sd: filtered.then_some(&sd[..]), ..exact(&data) };
        let k = Kriging::new(&heads, &covariance, &drift).expect("a surface");
        let p = k.predict(&[at(number(&row, "x"), number(&row, "y"))])[0];
        let variance = p.variance + if filtered { nugget } else { 0.0 };
        near(p.head, number(&row, "head"), 1e-8 * 2000.0);
        near(variance, number(&row, "variance"), 1e-8 * 35_000.0);
        *seen.entry(row["model"].clone()).or_insert(0) += 1;
    }
    assert_eq!(seen.len(), Model::ALL.len(), "every model is in the fixture: {seen:?}");
}

/// Restricted likelihoods and their maxima by `SciPy`, through error contrasts instead of
/// determinants (`data/kriging/likelihoods.csv`).
#[test]
fn the_likeliest_covariance() {
    let data = wolfcamp();
    let mut resolved = 0;
    for row in rows("kriging/likelihoods.csv") {
        let sd = vec![number(&row, "sd"); data.0.len()];
        let heads = Heads { sd: (sd[0] > 0.0).then_some(&sd[..]), ..exact(&data) };
        let drift = Drift { plane: row["drift"] == "plane", cones: Vec::new() };
        let options = FitOptions { model: model(&row["model"]), nugget: true, anisotropy: false };
        let found = fit(&heads, &drift, options).expect("a fit");
        if number(&row, "range") > 1e6 {
            // Heads with a regional slope and no drift to carry it: no range is long enough.
            assert!(
                found.cautions.iter().any(|c| matches!(c, Caution::RangeNotFound { .. })),
                "a range without end is told"
            );
            assert_eq!(found.standard_errors.range_m, None, "a bound has no standard error");
            let worse = found.minus_log_likelihood - number(&row, "minus_log_likelihood");
            assert!(worse > 0.0 && worse < 0.5, "nearly as likely as without end: {worse}");
            continue;
        }
        resolved += 1;
        near(found.minus_log_likelihood, number(&row, "minus_log_likelihood"), 1e-7);
        let (c, se) = (found.covariance, found.standard_errors);
        for (value, error, name) in [
            (c.partial_sill, se.partial_sill, "sill"),
            (c.range_m, se.range_m, "range"),
            (c.nugget, se.nugget, "nugget"),
        ] {
            let expected = number(&row, name);
            near(value, expected, 1e-3 * expected);
            let expected = number(&row, &format!("se_{name}"));
            // The spherical likelihood has jumps in its second derivative, so that the step counts.
            let tolerance = if c.model == Model::Spherical { 0.1 } else { 0.02 };
            near(error.expect("a standard error"), expected, tolerance * expected);
        }
    }
    assert_eq!(resolved, 4, "fits with a maximum");
}

#[test]
fn a_fit_needs_wells() {
    let data = seven();
    let options = FitOptions { model: Model::Exponential, nugget: false, anisotropy: false };
    let refused = fit(&exact(&data), &Drift::default(), options).expect_err("seven are too few");
    assert!(matches!(refused, KrigingError::TooFewWells { wells: 7, needed: 11, .. }), "{refused}");

    let (wells, values) = wolfcamp();
    let few = (wells[..20].to_vec(), values[..20].to_vec());
    let found = fit(&exact(&few), &Drift::default(), options).expect("a fit");
    assert!(found.cautions.contains(&Caution::FewWells { wells: 20 }), "{:?}", found.cautions);

    let flat: Vec<f64> = few.0.iter().map(|p| 100.0 + 0.5 * p.x - 0.25 * p.y).collect();
    let refused = fit(&exact(&(few.0, flat)), &plane(), options).expect_err("nothing is left");
    assert!(matches!(refused, KrigingError::OnDrift { .. }), "{refused}");
}

/// Heads drawn from a covariance that is three times longer toward 30 degrees than across are
/// fitted with that direction, and better than without one. Wells are those of Wolfcamp; heads are
/// a plane wave whose crests run toward 30 degrees, which has no other direction.
#[test]
fn a_fitted_anisotropy_follows_the_crests() {
    let (wells, _) = wolfcamp();
    let angle = 30f64.to_radians();
    let heads: Vec<f64> =
        wells.iter().map(|p| (0.08 * (p.x * angle.cos() - p.y * angle.sin())).sin()).collect();
    let data = (wells, heads);
    let options = FitOptions { model: Model::Matern52, nugget: true, anisotropy: false };
    let even = fit(&exact(&data), &Drift::default(), options).expect("a fit");
    let options = FitOptions { anisotropy: true, ..options };
    let turned = fit(&exact(&data), &Drift::default(), options).expect("a fit");
    let a = turned.covariance.anisotropy.expect("an anisotropy");
    let off = (a.azimuth_deg - 30.0).rem_euclid(180.0);
    assert!(off.min(180.0 - off) < 2.0 && a.ratio < 0.3, "{a:?}");
    assert!(turned.minus_log_likelihood < even.minus_log_likelihood - 10.0, "it is likelier");
}

/// Residuals of each well from a system built anew without it (Dubrule 1983 says they need not be).
#[test]
fn leave_one_out_is_what_leaving_one_out_gives() {
    let (wells, values) = wolfcamp();
    let sd: Vec<f64> =
        (0..wells.len()).map(|i| if i % 3 == 0 { 0.0 } else { 20.0 + i as f64 }).collect();
    for model in Model::ALL {
        let covariance = Covariance { nugget: 900.0, ..Covariance::new(model, 35_000.0, 60.0) };
        for drift in
            [Drift::default(), plane(), Drift { plane: true, cones: vec![cone(3.0, 60.0)] }]
        {
            let heads = Heads { wells: &wells, values: &values, sd: Some(&sd) };
            let all = Kriging::new(&heads, &covariance, &drift).expect("a surface").leave_one_out();
            for i in (0..wells.len()).step_by(7) {
                let without = |v: &[f64]| {
                    v.iter()
                        .enumerate()
                        .filter(|(j, _)| *j != i)
                        .map(|(_, x)| *x)
                        .collect::<Vec<_>>()
                };
                let others: Vec<Coord> =
                    wells.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, p)| *p).collect();
                let (v, s) = (without(&values), without(&sd));
                let heads = Heads { wells: &others, values: &v, sd: Some(&s) };
                let k = Kriging::new(&heads, &covariance, &drift).expect("a surface");
                let p = k.predict(&wells[i..=i])[0];
                let found = all[i].expect("a residual");
                near(found.predicted, p.head, 1e-6);
                near(found.residual, values[i] - p.head, 1e-6);
                near(found.variance, p.variance + sd[i] * sd[i], 1e-8 * 35_000.0);
            }
        }
    }
}

#[test]
fn a_well_that_alone_tells_a_slope_has_no_residual() {
    let mut wells: Vec<Coord> = (0..5).map(|i| at(100.0 * f64::from(i), 0.0)).collect();
    wells.push(at(150.0, 80.0));
    let data = (wells, vec![10.0, 9.8, 9.7, 9.4, 9.3, 9.0]);
    let covariance = Covariance::new(Model::Exponential, 0.1, 300.0);
    let k = Kriging::new(&exact(&data), &covariance, &plane()).expect("a surface");
    let left: Vec<bool> = k.leave_one_out().iter().map(Option::is_some).collect();
    assert_eq!(left, [true, true, true, true, true, false]);
}

/// Every model: through exact wells, past wells with reading errors, no variance below 0, and the
/// same surface when the site is shifted and turned.
#[test]
fn exact_at_wells_and_the_same_wherever_the_site_lies() {
    let data = wolfcamp();
    let (sin, cos) = (0.6, 0.8);
    let moved = |p: Coord| at(5000.0 + cos * p.x + sin * p.y, -3000.0 - sin * p.x + cos * p.y);
    let there = (data.0.iter().map(|p| moved(*p)).collect::<Vec<_>>(), data.1.clone());
    let places: Vec<Coord> =
        (0..40).map(|i| at(-150.0 + 7.0 * f64::from(i), 10.0 + 43.0 * f64::from(i % 5))).collect();
    let moved_places: Vec<Coord> = places.iter().map(|p| moved(*p)).collect();
    let turn = sin.atan2(cos).to_degrees();
    for model in Model::ALL {
        for drift in [Drift::default(), plane()] {
            let anisotropy = Some(Anisotropy { azimuth_deg: 25.0, ratio: 0.5 });
            // A pure gaussian of these wells is singular in double precision.
            let range = if model == Model::Gaussian { 15.0 } else { 60.0 };
            let here = Covariance { anisotropy, ..Covariance::new(model, 35_000.0, range) };
            let k = Kriging::new(&exact(&data), &here, &drift).expect("a surface");
            for (p, h) in k.predict(&data.0).iter().zip(&data.1) {
                near(p.head, *h, 1e-6);
                near(p.variance, 0.0, 1e-6 * 35_000.0);
            }
            let anisotropy = Some(Anisotropy { azimuth_deg: 25.0 + turn, ratio: 0.5 });
            let same = Kriging::new(&exact(&there), &Covariance { anisotropy, ..here }, &drift)
                .expect("a surface");
            for (a, b) in k.predict(&places).iter().zip(same.predict(&moved_places)) {
                near(a.head, b.head, 1e-6);
                near(a.variance, b.variance, 1e-8 * 35_000.0);
                assert!(a.variance >= 0.0, "a variance below 0");
            }
            let sd = vec![50.0; data.0.len()];
            let k = Kriging::new(&Heads { sd: Some(&sd), ..exact(&data) }, &here, &drift)
                .expect("a surface");
            let past = k.predict(&data.0);
            assert!(past.iter().zip(&data.1).any(|(p, h)| (p.head - h).abs() > 5.0), "filtered");
            assert!(
                past.iter().all(|p| p.variance > 0.0 && p.variance < 2500.0),
                "better than one reading"
            );
        }
    }
}

/// Thiem's cone and uniform flow toward a well are found again from a dozen wells, drift and all:
/// h = H0 - i x + Q / (4 pi T) ln(r²/R²) with T 200 m²/d, i 0.002, Q 500 m³/d, H0 50 m, R 1000 m.
/// Heads and the stagnation point x0 = Q / (2 pi T i) as in EPA 600/R-08/003 (formulas quoted from
/// it; numbers derived).
#[test]
fn uniform_flow_to_a_well_is_recovered() {
    const X0: f64 = 198.943_678_86;
    let head = |p: Coord| {
        50.0 - 0.002 * p.x
            + 500.0 / (4.0 * std::f64::consts::PI * 200.0) * ((p.x * p.x + p.y * p.y) / 1e6).ln()
    };
    let wells: Vec<Coord> = (0..14)
        .map(|i| {
            let (angle, r) = (2.4 * f64::from(i), 60.0 + 55.0 * f64::from(i));
            at(r * angle.cos(), r * angle.sin())
        })
        .collect();
    let data = (wells.clone(), wells.iter().map(|p| head(*p)).collect::<Vec<_>>());
    let well = PumpedWell { position: at(0.0, 0.0), radius_m: 0.15, rate: 500.0 };
    let drift = Drift { plane: true, cones: vec![vec![well]] };
    for model in Model::ALL {
        let covariance = Covariance::new(model, 0.2, 400.0);
        let k = Kriging::new(&exact(&data), &covariance, &drift).expect("a surface");
        for (p, h) in [
            (at(100.0, 0.0), 48.883_830_501_4),
            (at(-100.0, 0.0), 49.283_830_501_4),
            (at(0.0, 100.0), 49.083_830_501_4),
            (at(300.0, 200.0), 48.994_110_962_7),
            (at(-300.0, -200.0), 50.194_110_962_7),
        ] {
            near(k.heads(&[p])[0], h, 1e-8 * h);
        }
        // Downgradient of the well the slope along the axis turns from rising to falling at x0.
        let slope = |x: f64| {
            let h = k.heads(&[at(x - 0.5, 0.0), at(x + 0.5, 0.0)]);
            h[1] - h[0]
        };
        let (mut low, mut high) = (50.0, 400.0);
        assert!(slope(low) > 0.0 && slope(high) < 0.0, "the divide lies between");
        while high - low > 1e-6 {
            let middle = f64::midpoint(low, high);
            if slope(middle) > 0.0 { low = middle } else { high = middle }
        }
        near(low, X0, 0.01);
        let trend = k.trend();
        near(trend[1].factor, -0.002, 1e-10);
        near(trend[2].factor, 0.0, 1e-10);
        near(1.0 / (2.0 * std::f64::consts::PI * trend[3].factor), 200.0, 1e-4);
        // At the well itself the cone ends at its radius.
        assert!(k.heads(&[at(0.0, 0.0)])[0].is_finite(), "the cone has a bottom");
    }
}

/// Thiem: two distances, T 500, Q 1000, a drawdown difference of 0.732936 (derived). Two pumped
/// wells of known rates in one term find one transmissivity.
#[test]
fn thiem_cones_of_known_rates_share_one_transmissivity() {
    let (a, b) = (at(0.0, 0.0), at(400.0, 150.0));
    let part = |p: Coord, w: Coord, q: f64| {
        q / (2.0 * std::f64::consts::PI * 500.0) * (p.x - w.x).hypot(p.y - w.y).ln()
    };
    let head = |p: Coord| 80.0 + part(p, a, 1000.0) + part(p, b, 250.0);
    let wells: Vec<Coord> = (0..12)
        .map(|i| at(-220.0 + 61.0 * f64::from(i), 37.0 * f64::from(i * i % 13) - 200.0))
        .collect();
    let data = (wells.clone(), wells.iter().map(|p| head(*p)).collect::<Vec<_>>());
    let pumped = |position, rate| PumpedWell { position, radius_m: 0.2, rate };
    let drift = Drift { plane: false, cones: vec![vec![pumped(a, 1000.0), pumped(b, 250.0)]] };
    let covariance = Covariance::new(Model::Exponential, 0.5, 300.0);
    let k = Kriging::new(&exact(&data), &covariance, &drift).expect("a surface");
    near(1.0 / (2.0 * std::f64::consts::PI * k.trend()[1].factor), 500.0, 1e-5);
    let alone = |r: f64| k.heads(&[at(0.0, r)])[0] - part(at(0.0, r), b, 250.0);
    near(alone(100.0) - alone(10.0), 0.732_935_598_9, 1e-8);
}

/// A grid is the same as its nodes one by one, with far wells interpolated over squares of nodes or
/// not, and the same to the last bit with any number of threads.
#[test]
fn a_grid_is_its_nodes() {
    let wells: Vec<Coord> = (0..700)
        .map(|i| {
            let (a, b) = (f64::from(i) * 0.754_877_666, f64::from(i) * 0.569_840_291);
            at(1000.0 * a.fract(), 1000.0 * b.fract())
        })
        .collect();
    let values: Vec<f64> = wells
        .iter()
        .map(|p| 300.0 - 0.004 * p.x + (p.x / 170.0).sin() + (p.y / 230.0).cos())
        .collect();
    let data = (wells, values);
    let frame = Frame::new(at(500_000.0, 4_000_000.0), 0.3048);
    let spec =
        GridSpec { west: 500_000.0, south: 4_000_000.0, cell: 10.0, columns: 330, rows: 300 };
    let inside = |p: Coord| p.x + p.y < 1500.0;
    for (model, range) in [
        (Model::Linear, 500.0),
        (Model::Exponential, 500.0),
        (Model::Spherical, 400.0),
        (Model::Gaussian, 90.0),
        (Model::Matern32, 300.0),
        (Model::Matern52, 300.0),
    ] {
        let anisotropy = Some(Anisotropy { azimuth_deg: 60.0, ratio: 0.6 });
        let covariance =
            Covariance { nugget: 0.01, anisotropy, ..Covariance::new(model, 2.0, range) };
        let drift = Drift { plane: true, cones: vec![cone(311.0, 433.0)] };
        let k = Kriging::new(&exact(&data), &covariance, &drift).expect("a surface");
        let threads = |n| rayon::ThreadPoolBuilder::new().num_threads(n).build().expect("threads");
        let one = threads(1).install(|| k.grid(&frame, spec, inside));
        let three = threads(3).install(|| k.grid(&frame, spec, inside));
        let heads = k.grid_of_heads(&frame, spec, inside);
        for row in 0..spec.rows {
            let line: Vec<Coord> =
                (0..spec.columns).map(|c| frame.to_local(spec.node(row, c))).collect();
            let expected = if row % 13 == 0 { k.predict(&line) } else { Vec::new() };
            for (column, p) in line.iter().enumerate() {
                let (h, s) = (one.heads.head(row, column), one.sd.head(row, column));
                assert_eq!(h.is_some(), inside(*p), "a head inside, none outside");
                let bits = |x: Option<f64>| x.map(f64::to_bits);
                assert_eq!(bits(h), bits(three.heads.head(row, column)), "heads of any thread");
                assert_eq!(bits(s), bits(three.sd.head(row, column)), "deviations of any thread");
                let (Some(h), Some(s), Some(e)) = (h, s, expected.get(column)) else { continue };
                near(h, e.head, 3e-8);
                near(s * s, e.variance, 6e-8);
                near(heads.head(row, column).expect("a head"), e.head, 3e-8);
            }
        }
    }
}

#[test]
fn what_cannot_be_kriged_is_refused_with_reasons() {
    let good = Covariance::new(Model::Exponential, 1.0, 100.0);
    let none = Drift::default();
    let spread: Vec<Coord> =
        (0..6).map(|i| at(30.0 * f64::from(i), 17.0 * f64::from(i * i % 7))).collect();
    let values = [5.0, 5.1, 5.3, 5.2, 5.6, 5.4];
    let heads = Heads { wells: &spread, values: &values, sd: None };

    let bad = Covariance { nugget: -1.0, range_m: f64::NAN, ..good };
    let refused = Kriging::new(&heads, &bad, &none).expect_err("two bad parameters");
    assert!(matches!(&refused, KrigingError::Parameters(bad) if bad.len() == 2), "{refused}");

    let refused = Kriging::new(&Heads { values: &values[1..], ..heads }, &good, &none);
    assert!(matches!(refused, Err(KrigingError::Lengths { .. })));

    let unread = [5.0, f64::NAN, 5.3, f64::INFINITY, 5.6, 5.4];
    let refused = Kriging::new(&Heads { values: &unread, ..heads }, &good, &none);
    let refused = refused.expect_err("two heads are no numbers");
    assert!(refused.to_string().contains("head of well 1"), "{refused}");
    assert!(refused.to_string().contains("head of well 3"), "{refused}");

    let mut twice = spread.clone();
    twice[4] = twice[1];
    let refused = Kriging::new(&Heads { wells: &twice, ..heads }, &good, &none);
    assert!(matches!(refused, Err(KrigingError::SamePosition { first: 1, second: 4, .. })));
    let sd = [0.01; 6];
    let kept = Kriging::new(&Heads { wells: &twice, sd: Some(&sd), ..heads }, &good, &none);
    assert!(kept.is_ok(), "two readings with errors at one position are a mean");

    let line: Vec<Coord> = (0..6).map(|i| at(30.0 * f64::from(i), 60.0 * f64::from(i))).collect();
    let refused = Kriging::new(&Heads { wells: &line, ..heads }, &good, &plane());
    assert!(
        matches!(&refused, Err(KrigingError::DriftNotEstimable { term }) if term == "slope to the north"),
        "wells on one line tell no slope across it"
    );

    let close: Vec<Coord> =
        (0..6).map(|i| at(0.5 * f64::from(i), 0.3 * f64::from(i % 2))).collect();
    let smooth = Covariance::new(Model::Gaussian, 1.0, 1000.0);
    let refused =
        Kriging::new(&Heads { wells: &close, ..heads }, &smooth, &none).expect_err("singular");
    assert!(matches!(refused, KrigingError::Singular { .. }), "{refused}");
    assert!(refused.advice().contains("nugget"), "{}", refused.advice());

    let refused = Kriging::new(
        &Heads { wells: &spread[..3], values: &values[..3], sd: None },
        &good,
        &plane(),
    );
    assert!(matches!(refused, Err(KrigingError::TooFewWells { wells: 3, needed: 4, .. })));
}
