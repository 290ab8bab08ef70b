//! The likelihood in blocks against that of all heads at once, on heads drawn from a covariance.

use geo::Coord;

use super::likelihood::Likelihood;
use super::*;
use crate::geom::tolerance::WHOLE_LIKELIHOOD_WELLS;
use crate::interpolate::kriging::Model;
use crate::interpolate::kriging::factored::Factored;

/// Numbers that look random, in 0..1.
fn numbers(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed;
    move || {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// Wells over 1 km, a third of them in a cluster, and heads drawn from a covariance with errors.
pub(in crate::interpolate::kriging) fn drawn(
    n: usize,
    covariance: &Covariance,
    sd: f64,
    seed: u64,
) -> (Vec<Coord>, Vec<f64>, Vec<f64>) {
    let mut next = numbers(seed);
    let wells: Vec<Coord> = (0..n)
        .map(|i| {
            let (x, y) = (next(), next());
            let part = if i % 3 == 0 { 0.25 } else { 1.0 };
            Coord { x: 1000.0 * part * x, y: 1000.0 * part * y }
        })
        .collect();
    let mut normal = || {
        let (u, v) = (next(), next());
        (-2.0 * libm::log(1.0 - u)).sqrt() * libm::cos(2.0 * std::f64::consts::PI * v)
    };
    let sds = vec![sd; n];
    let flat = vec![0.0; n];
    let heads = Heads { wells: &wells, values: &flat, sd: Some(&sds) };
    let network = Network::new(&heads, &Drift::default()).expect("a network");
    let factored = Factored::new(&network, covariance).expect("a covariance");
    let z: Vec<f64> = (0..n).map(|_| normal()).collect();
    let values = (0..n)
        .map(|i| 300.0 + (0..=i).map(|j| factored.lower[(i, j)] * z[j]).sum::<f64>())
        .collect();
    (wells, values, sds)
}

/// The likelihoods of heads drawn from a covariance with reading errors: in blocks, and of all
/// heads at once.
fn both<T>(
    n: usize,
    truth: &Covariance,
    sd: f64,
    of: impl Fn(&Likelihood<'_>, &Likelihood<'_>) -> T,
) -> T {
    let (wells, values, sds) = drawn(n, truth, sd, 7);
    let heads = Heads { wells: &wells, values: &values, sd: Some(&sds) };
    let network = Network::new(&heads, &Drift::default()).expect("a network");
    let blocks = Likelihood::new(&network, truth.model).expect("a likelihood");
    let (log_terms, network) = (blocks.log_terms, &network);
    of(&blocks, &Likelihood { network, log_terms, blocks: None })
}

/// `docs/kriging.md` lists these, for more wells too.
#[test]
fn what_is_likeliest_in_blocks_is_nearly_so_for_all_heads_at_once() {
    for (model, range, nugget, sd) in [
        (Model::Exponential, 300.0, 0.3, 0.02),
        (Model::Spherical, 300.0, 0.0, 0.02),
        (Model::Matern52, 1500.0, 0.0, 0.3),
    ] {
        let truth = Covariance { nugget, ..Covariance::new(model, 1.0, range) };
        both(WHOLE_LIKELIHOOD_WELLS + 20, &truth, sd, |blocks, whole| {
            let options = FitOptions { model, nugget: nugget > 0.0, anisotropy: false };
            let found = fitted(blocks, options, Vec::new()).expect("a fit");
            let best = fitted(whole, options, Vec::new()).expect("a fit");
            assert!(found.in_blocks && !best.in_blocks);
            let lost =
                whole.minus_log(&found.covariance).expect("likely") - best.minus_log_likelihood;
            // 1.92 less is the bound of a 95 % interval.
            assert!((-1e-6..0.3).contains(&lost), "{model:?}: {lost}");
            let errors = best.standard_errors;
            for (a, b, error) in [
                (found.covariance.range_m, best.covariance.range_m, errors.range_m),
                (found.covariance.partial_sill, best.covariance.partial_sill, errors.partial_sill),
                (found.covariance.nugget, best.covariance.nugget, errors.nugget.or(Some(1.0))),
            ] {
                let by = (a - b).abs() / error.expect("a standard error");
                assert!(by < 0.5, "{model:?}: {a} is {by} standard errors from {b}");
            }
        });
    }
}

/// A moved covariance is as much less likely in blocks as for all heads at once.
#[test]
fn likelihoods_in_blocks_fall_off_as_those_of_all_heads_do() {
    for (model, range, nugget, bound) in [
        (Model::Exponential, 300.0, 0.1, 0.2),
        (Model::Linear, 300.0, 0.1, 0.2),
        (Model::Matern32, 300.0, 0.1, 0.6),
    ] {
        let truth = Covariance { nugget, ..Covariance::new(model, 1.0, range) };
        both(700, &truth, 0.02, |blocks, whole| {
            let less = |l: &Likelihood<'_>, c: &Covariance| {
                l.minus_log(c).expect("likely") - l.minus_log(&truth).expect("likely")
            };
            for free in [Free::Range, Free::Sill, Free::Nugget] {
                for by in [-0.3, 0.3] {
                    let mut moved = truth;
                    free.shift(&mut moved, by);
                    let (found, expected) = (less(blocks, &moved), less(whole, &moved));
                    let off = (found - expected).abs();
                    assert!(off < bound, "{model:?}, {free:?} {by}: {found}, not {expected}");
                }
            }
        });
    }
}

/// Neither the number of threads nor, but for rounding, the order of the wells counts.
#[test]
fn threads_leave_no_trace_and_the_order_of_wells_next_to_none() {
    let truth = Covariance::new(Model::Exponential, 1.0, 300.0);
    let (mut wells, mut values, sds) = drawn(500, &truth, 0.02, 3);
    let likely = |wells: &[Coord], values: &[f64], threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| {
            let heads = Heads { wells, values, sd: Some(&sds) };
            let network = Network::new(&heads, &Drift::default()).expect("a network");
            let likelihood = Likelihood::new(&network, truth.model).expect("a likelihood");
            likelihood.minus_log(&truth).expect("likely")
        })
    };
    let one = likely(&wells, &values, 1);
    assert_eq!(one.to_bits(), likely(&wells, &values, 3).to_bits());
    wells.reverse();
    values.reverse();
    let turned = likely(&wells, &values, 1);
    assert!((one - turned).abs() < 1e-8 * one.abs(), "{one} and {turned}");
}
