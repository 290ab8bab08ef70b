//! Residuals to scores.

use super::predict::Foretold;
use super::types::{LeftOut, Prediction, Scores};

/// What a method says, with its scores over all wells it reaches and over those in common.
pub(super) fn scored(foretold: Foretold, in_common: &[bool]) -> LeftOut {
    let Foretold { predictions, kriging } = foretold;
    let all = scores(&predictions.iter().flatten().copied().collect::<Vec<_>>());
    let common = predictions.iter().zip(in_common).filter(|(_, common)| **common);
    let common = scores(&common.filter_map(|(p, _)| *p).collect::<Vec<_>>());
    let size = |i: &usize| predictions[*i].map_or(0.0, |p| p.residual.abs());
    let mut worst: Vec<usize> =
        (0..predictions.len()).filter(|i| predictions[*i].is_some()).collect();
    worst.sort_by(|a, b| size(b).total_cmp(&size(a)).then(a.cmp(b)));
    LeftOut { predictions, all, common, worst, kriging }
}

/// The scores of some wells; `None` of none.
fn scores(predictions: &[Prediction]) -> Option<Scores> {
    let wells = predictions.len();
    if wells == 0 {
        return None;
    }
    let n = wells as f64;
    let mean = |of: fn(f64) -> f64| predictions.iter().map(|p| of(p.residual)).sum::<f64>() / n;
    let standardised: Option<Vec<f64>> = predictions.iter().map(|p| p.standardised).collect();
    let standard = |of: fn(f64) -> f64| {
        standardised.as_ref().map(|s| s.iter().map(|v| of(*v)).sum::<f64>() / n)
    };
    Some(Scores {
        wells,
        mean_error: mean(|r| r),
        mean_absolute_error: mean(f64::abs),
        root_mean_square_error: mean(|r| r * r).sqrt(),
        standardised_mean: standard(|s| s),
        standardised_root_mean_square: standard(|s| s * s).map(f64::sqrt),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn prediction(residual: f64, standardised: Option<f64>) -> Prediction {
        Prediction { head: 100.0 - residual, residual, standardised }
    }

    #[test]
    fn scores_are_the_moments_of_the_residuals() {
        let of = [prediction(3.0, Some(1.5)), prediction(-4.0, Some(-2.0))];
        let found = scores(&of).expect("two wells");
        assert_eq!(found.wells, 2);
        for (value, expected) in [
            (found.mean_error, -0.5),
            (found.mean_absolute_error, 3.5),
            (found.root_mean_square_error, 12.5_f64.sqrt()),
            (found.standardised_mean.expect("known"), -0.25),
            (found.standardised_root_mean_square.expect("known"), 3.125_f64.sqrt()),
        ] {
            assert!((value - expected).abs() < 1e-15, "{value} is not {expected}");
        }
        assert_eq!(scores(&[]), None);
        let one_unknown = [prediction(1.0, None), prediction(1.0, Some(1.0))];
        assert_eq!(scores(&one_unknown).expect("two").standardised_mean, None);
    }

    #[test]
    fn the_worst_wells_come_first_and_equals_in_the_order_of_the_wells() {
        let residuals = [Some(0.1), None, Some(-0.5), Some(0.1), Some(0.4)];
        let predictions = residuals.map(|r| r.map(|r| prediction(r, None))).to_vec();
        let common = [true, false, true, false, false];
        let found = scored(Foretold { predictions, kriging: None }, &common);
        assert_eq!(found.worst, [2, 4, 0, 3]);
        assert_eq!(found.all.expect("four").wells, 4);
        assert_eq!(found.common.expect("two").wells, 2);
    }
}
