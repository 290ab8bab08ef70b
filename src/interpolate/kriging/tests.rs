//! Kriging in patches against the system of all wells.

use geo::Coord;

use super::fit::drawn;
use super::network::Network;
use super::patched::Patched;
use super::solved::whole;
use super::system::System;
use super::*;
use crate::geom::tolerance::{MOST_KRIGED_WELLS, WHOLE_SURFACE_WELLS};
use crate::interpolate::patches::Patches;

/// How far patches are from the system of all wells at places over the site.
#[derive(Debug, Default)]
struct Off {
    /// Of heads, over the standard deviation there: root mean square and largest.
    heads: [f64; 2],
    /// Of standard deviations, as parts of them: mean with its sign, and largest size.
    sd: [f64; 2],
    /// The same of heads from the others at wells.
    left_out: [f64; 2],
}

fn off(n: usize, covariance: &Covariance, sd: f64, drift: &Drift) -> Off {
    let (wells, values, sds) = drawn(n, covariance, sd, 11);
    let heads = Heads { wells: &wells, values: &values, sd: Some(&sds) };
    let network = || Network::new(&heads, drift).expect("a network");
    let metric = covariance.metric();
    let places: Vec<Coord> = wells.iter().map(|p| metric.apply(*p)).collect();
    let patches = Patches::new(&places).expect("many wells");
    let patched = Patched::new(network(), covariance, patches).expect("a surface");
    let system: System = whole(network(), covariance).expect("a surface");
    let places: Vec<Coord> = (0..40)
        .flat_map(|i| (0..40).map(move |j| (i, j)))
        .map(|(i, j)| Coord { x: 12.0 + 25.0 * f64::from(i), y: 13.0 + 25.0 * f64::from(j) })
        .collect();
    let mut found = Off::default();
    let count = places.len() as f64;
    for (a, b) in patched.predict(&places, true).iter().zip(system.predict(&places)) {
        let heads = (a.head - b.head).abs() / b.variance.sqrt();
        let sd = (a.variance / b.variance).sqrt() - 1.0;
        found.heads[0] += heads * heads / count;
        found.heads[1] = found.heads[1].max(heads);
        found.sd[0] += sd / count;
        found.sd[1] = found.sd[1].max(sd.abs());
    }
    found.heads[0] = found.heads[0].sqrt();
    for (a, b) in patched.leave_one_out().iter().zip(system.leave_one_out()) {
        let (a, b) = (a.expect("a head"), b.expect("a head"));
        let heads = (a.predicted - b.predicted).abs() / b.variance.sqrt();
        found.left_out[0] = found.left_out[0].max(heads);
        found.left_out[1] = found.left_out[1].max((a.variance / b.variance).sqrt() - 1.0);
    }
    found
}

/// `docs/kriging.md` lists these, for more wells too.
#[test]
fn patches_are_as_good_as_the_system_of_all_wells() {
    for (model, range, nugget, sd, rms, most, sds) in [
        (Model::Exponential, 300.0, 0.0, 0.02, 1e-3, 0.02, 1e-4),
        (Model::Linear, 300.0, 0.05, 0.02, 5e-3, 0.05, 1e-3),
        (Model::Matern32, 1500.0, 0.1, 0.02, 0.02, 0.1, 2e-3),
        (Model::Matern52, 1500.0, 0.0, 0.3, 0.2, 1.0, 0.2),
    ] {
        let covariance = Covariance { nugget, ..Covariance::new(model, 1.0, range) };
        let anisotropy =
            (model == Model::Matern32).then_some(Anisotropy { azimuth_deg: 40.0, ratio: 0.7 });
        let covariance = Covariance { anisotropy, ..covariance };
        let drift = Drift { plane: model == Model::Linear, cones: Vec::new() };
        let off = off(WHOLE_SURFACE_WELLS + 50, &covariance, sd, &drift);
        assert!(off.heads[0] < rms && off.heads[1] < most, "{model:?}: {off:?}");
        // What is left out makes a head less sure, never surer.
        assert!(off.sd[0] > -1e-6 && off.sd[1] < sds, "{model:?}: {off:?}");
        assert!(off.left_out[0] < most && off.left_out[1] < sds, "{model:?}: {off:?}");
    }
}

/// Heads and their standard deviations hold what they promise: of heads drawn from the covariance
/// and read at wells, nine in ten lie within 1.645 of them elsewhere.
#[test]
fn intervals_from_patches_cover_what_they_say() {
    let sd = 0.1;
    for model in [Model::Exponential, Model::Matern32, Model::Gaussian] {
        let covariance = Covariance::new(model, 1.0, 250.0);
        let (wells, values, sds) = drawn(WHOLE_SURFACE_WELLS + 1000, &covariance, sd, 5);
        // Every third well in turn is not told: a number of them is in the cluster.
        let told: Vec<usize> = (0..wells.len()).filter(|i| i % 4 != 1).collect();
        let of = |x: &[f64]| -> Vec<f64> { told.iter().map(|i| x[*i]).collect() };
        let places: Vec<Coord> = told.iter().map(|i| wells[*i]).collect();
        let (told_values, told_sds) = (of(&values), of(&sds));
        let heads = Heads { wells: &places, values: &told_values, sd: Some(&told_sds) };
        let kriging = Kriging::new(&heads, &covariance, &Drift::default()).expect("a surface");
        assert!(kriging.patches().is_some());
        let hidden: Vec<usize> = (0..wells.len()).filter(|i| i % 4 == 1).collect();
        let places: Vec<Coord> = hidden.iter().map(|i| wells[*i]).collect();
        let said = kriging.predict(&places);
        let covered = said.iter().zip(&hidden).filter(|(p, i)| {
            // What is drawn at a well has the reading's error.
            (p.head - values[**i]).abs() < 1.645 * (p.variance + sd * sd).sqrt()
        });
        let part = covered.count() as f64 / hidden.len() as f64;
        // Three standard deviations of the share of 750.
        assert!((part - 0.9).abs() < 0.033, "{model:?}: {part}");
    }
}

#[test]
fn more_wells_than_there_is_a_way_for_are_refused() {
    let n = MOST_KRIGED_WELLS + 1;
    let wells: Vec<Coord> = (0..n).map(|i| Coord { x: i as f64, y: (i % 7) as f64 }).collect();
    let values = vec![1.0; n];
    let heads = Heads { wells: &wells, values: &values, sd: None };
    let covariance = Covariance::new(Model::Exponential, 1.0, 100.0);
    let refused = Kriging::new(&heads, &covariance, &Drift::default()).expect_err("too many");
    assert_eq!(refused, KrigingError::TooManyWells { wells: n, most: MOST_KRIGED_WELLS });
    assert!(refused.to_string().contains("50001 wells are too many"), "{refused}");
    assert!(linear::room(usize::MAX / 16).is_err() && linear::room(1000).is_ok());
}
