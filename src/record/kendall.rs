//! Kendall's score of a series, its variance, and the slopes behind it.

use serde::Serialize;
use statrs::distribution::{ContinuousCDF, Normal};

use crate::uncertainty::NORMAL_SDS;
use crate::units::median;

/// A score tested against no trend.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Test {
    /// Variance of the score were there no trend.
    pub variance: f64,
    /// The score, less one toward zero, over its standard deviation.
    pub z: f64,
    /// Probability of a score at least as far from zero, were there no trend: two-sided.
    pub p: f64,
    /// Lower end of the 95 % interval of the slope, head unit a year.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
}

/// Kendall's score of some values in their order: the pairs that rise less those that fall.
pub(super) fn score(values: &[f64]) -> i64 {
    let mut score = 0;
    for (i, earlier) in values.iter().enumerate() {
        for later in &values[i + 1..] {
            score += i64::from(later > earlier) - i64::from(later < earlier);
        }
    }
    score
}

/// The variance of [`score`] were all orders of the values equally likely, equal values taken as equal.
///
/// # References
/// Kendall (1975), Rank Correlation Methods (from memory); US EPA QA/G-9S (2006), box 4-6, whose example
/// the tests repeat.
pub(super) fn variance(values: &[f64]) -> f64 {
    let of = |count: usize| {
        let n = count as f64;
        n * (n - 1.0) * (2.0 * n + 5.0)
    };
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    #[expect(clippy::float_cmp, reason = "equal readings are equal numbers")]
    let ties = sorted.chunk_by(|a, b| a == b).map(|tied| of(tied.len()));
    (of(values.len()) - ties.sum::<f64>()) / 18.0
}

/// The slopes of all pairs of a series, ascending, and their median, which is Sen's slope.
#[derive(Debug)]
pub(super) struct Slopes(Vec<f64>);

impl Slopes {
    /// # Units
    /// - `slopes`: head unit a year
    pub(super) fn new(mut slopes: Vec<f64>) -> Self {
        slopes.sort_by(f64::total_cmp);
        Self(slopes)
    }

    /// Sen's slope; 0 of no slopes.
    pub(super) fn median(&self) -> f64 {
        median(self.0.iter().copied()).unwrap_or(0.0)
    }

    /// The test of a score, and the interval of the slope that goes with its variance.
    ///
    /// # References
    /// Continuity correction: Hirsch, Slack and Smith (1982), Water Resources Research 18(1), 107-121 (from
    /// memory). Ranks of the ends of the interval: Sen (1968), Journal of the American Statistical Association
    /// 63, 1379-1389, eq. 2.6, rounded to whole ranks as `scipy.stats.theilslopes` does (looked up).
    pub(super) fn test(&self, score: i64, variance: f64) -> Test {
        let sd = variance.max(0.0).sqrt();
        let z = if sd > 0.0 { (score - score.signum()) as f64 / sd } else { 0.0 };
        let p = (2.0 * Normal::standard().sf(z.abs())).min(1.0);
        let (slopes, reach) = (&self.0, NORMAL_SDS * sd);
        let count = slopes.len() as f64;
        let last = slopes.len().saturating_sub(1);
        let rank = |at: f64| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a rank among the slopes"
            )]
            let rank = at.round_ties_even().max(0.0) as usize;
            rank.min(last)
        };
        let at = |rank: usize| slopes.get(rank).copied().unwrap_or(0.0);
        let low = at(rank((count - reach) / 2.0 - 1.0));
        let high = at(rank(f64::midpoint(count, reach)));
        Test { variance, z, p, low, high }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_example_of_the_epa_is_met() {
        // US EPA QA/G-9S, Data Quality Assessment: Statistical Methods for Practitioners (2006), p. 109.
        let values = [10.0, 10.0, 10.0, 5.0, 10.0, 20.0, 18.0, 17.0, 15.0, 24.0, 15.0];
        assert_eq!(score(&values), 22);
        assert!((variance(&values) - 155.33).abs() < 0.005);
        let test = Slopes::new(vec![0.0]).test(22, variance(&values));
        assert!((test.z - 1.685).abs() < 0.0005, "{test:?}");
        // One-sided 0.0459 of the normal table at 1.685; two-sided twice scipy.stats.norm.sf(21 / sqrt(155.3333)).
        assert!((test.p - 2.0 * 0.045_999_13).abs() < 1e-7, "{test:?}");
    }

    #[test]
    fn equal_values_have_no_trend_and_no_interval() {
        assert_eq!((score(&[3.0; 9]), variance(&[3.0; 9]).to_bits()), (0, 0.0_f64.to_bits()));
        let test = Slopes::new(vec![0.0; 36]).test(0, 0.0);
        assert!(
            test.z == 0.0 && (test.p - 1.0).abs() < 1e-12 && test.low == 0.0 && test.high == 0.0
        );
    }
}
