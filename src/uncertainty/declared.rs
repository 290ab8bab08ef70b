//! Values of conductivity and porosity, drawn from the distributions that are declared for them.

use super::confidence::NORMAL_SDS;
use super::ensemble::Normal;
use crate::read::Distribution;
use crate::units::Span;

/// The random streams of conductivity and porosity.
const AQUIFER: u64 = 2;

/// For each of `count` realizations one value of every range, in the order of the ranges, independent of each other.
///
/// Each realization has a random stream of its own. The range of a log-normal distribution holds 95 % of it; the
/// others do not go beyond theirs.
///
/// # Units
/// - `ranges`: above 0, each in its own unit
///
/// # References
/// The inverses of the log-uniform and the triangular distribution: exact arithmetic.
#[must_use]
pub fn drawn_from<const N: usize>(
    ranges: [(Span, Distribution); N],
    seed: u64,
    count: usize,
) -> Vec<[f64; N]> {
    let one = |k: usize| {
        let mut normal = Normal::new(seed, k as u64, AQUIFER);
        ranges.map(|(range, distribution)| draw(range, distribution, &mut normal))
    };
    (0..count).map(one).collect()
}

fn draw(range: Span, distribution: Distribution, normal: &mut Normal) -> f64 {
    let Span { low, high } = range;
    let [log_low, log_high] = [low, high].map(libm::log);
    match distribution {
        Distribution::LogNormal => {
            let sd = (log_high - log_low) / (2.0 * NORMAL_SDS);
            libm::exp(f64::midpoint(log_low, log_high) + sd * normal.next())
        }
        Distribution::LogUniform => libm::exp(log_low + normal.share() * (log_high - log_low)),
        Distribution::Triangular => {
            let (share, half) = (normal.share(), 0.5 * (high - low));
            if share < 0.5 {
                low + half * (2.0 * share).sqrt()
            } else {
                high - half * (2.0 * (1.0 - share)).sqrt()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RANGE: Span = Span { low: 2.0, high: 50.0 };

    fn sorted(distribution: Distribution) -> Vec<f64> {
        let mut all: Vec<f64> =
            drawn_from([(RANGE, distribution)], 7, 20_000).into_iter().map(|[v]| v).collect();
        all.sort_by(f64::total_cmp);
        all
    }

    fn share_below(all: &[f64], value: f64) -> f64 {
        all.iter().filter(|v| **v < value).count() as f64 / all.len() as f64
    }

    /// Shares below some values by the formulas of the distributions: of the log-normal one with half the logarithm
    /// of 25 as 1.96 standard deviations, 2.5 % are below 2 and 97.5 % below 50; of the triangular one 12.5 % are
    /// below a quarter of the range. The share of 20 000 draws has a standard deviation of at most 0.0036.
    #[test]
    fn shares_are_those_of_the_distributions() {
        let normal = sorted(Distribution::LogNormal);
        let uniform = sorted(Distribution::LogUniform);
        let triangular = sorted(Distribution::Triangular);
        for (all, value, share) in [
            (&normal, 2.0, 0.025),
            (&normal, 10.0, 0.5),
            (&normal, 50.0, 0.975),
            (&uniform, 10.0, 0.5),
            (&uniform, 4.472_135_955, 0.25),
            (&triangular, 14.0, 0.125),
            (&triangular, 26.0, 0.5),
            (&triangular, 38.0, 0.875),
        ] {
            let found = share_below(all, value);
            assert!((found - share).abs() < 0.011, "{found} below {value}, expected {share}");
        }
        for all in [&uniform, &triangular] {
            assert!(all[0] >= 2.0 && all[all.len() - 1] <= 50.0);
        }
    }
}
