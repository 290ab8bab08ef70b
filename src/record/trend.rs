//! The trend of a well: Mann and Kendall's test, Sen's slope, and what autocorrelation does to both.

use serde::Serialize;

use super::kendall::{Slopes, Test, score, variance};
use super::types::{Dated, Way, YEAR_DAYS};
use crate::uncertainty::{LEVEL, NORMAL_SDS};
use crate::units::clean;

/// Fewer readings than this have no trend: the normal distribution of the score is then too coarse, and hardly
/// any order of so few values is rare. US EPA QA/G-9S tabulates the test up to 10 and takes the normal
/// distribution beyond; 8 is common practice, no source.
pub const FEWEST_READINGS: usize = 8;

/// More readings than this are not taken: the slopes of all pairs are kept at once.
pub const MOST_READINGS: usize = 5000;

/// The trend of a series.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Trend {
    /// Count of readings.
    pub readings: usize,
    /// Kendall's score: pairs that rise less pairs that fall.
    pub score: i64,
    /// Sen's slope, head unit a year: the median of the slopes of all pairs.
    pub per_year: f64,
    /// The test and the interval were the readings independent of each other.
    pub independent: Test,
    /// What the readings tell of each other.
    pub correlation: Autocorrelation,
    /// The same with the memory they are estimated to have; `None` where that is none.
    pub correlated: Option<Test>,
}

/// How readings in their order tell of each other once the trend is taken out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Autocorrelation {
    /// That of the ranks of neighbours in time.
    pub lag_one: f64,
    /// Beyond this to either side independent readings are in one series of twenty.
    pub bound: f64,
    /// What is taken for that of the heads: `lag_one` with what taking the trend out took off it, 0 to 0.99.
    pub memory: f64,
    /// The variance of the score over that of independent readings: 1 or more.
    pub variance_factor: f64,
}

/// Why a series has no trend.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(tag = "why", rename_all = "kebab-case")]
pub enum NoTrend {
    /// Fewer readings than the test needs.
    FewReadings {
        /// As many as there are.
        readings: usize,
        /// As many as are needed.
        needed: usize,
    },
    /// More readings than are taken.
    ManyReadings {
        /// As many as there are.
        readings: usize,
        /// As many as are taken.
        most: usize,
    },
    /// Two heads of one moment: which comes first is not known.
    SameMoment,
    /// Fewer seasons with readings of enough years than the seasonal test needs.
    FewSeasons {
        /// As many as there are.
        seasons: usize,
        /// As many as are needed.
        needed: usize,
        /// The years that a season needs.
        years: usize,
    },
}

impl Trend {
    /// The test and the interval that are stated: the less sure of the two.
    #[must_use]
    pub fn stated(&self) -> Test {
        self.correlated.unwrap_or(self.independent)
    }

    /// Which way the heads went, at 95 %.
    #[must_use]
    pub fn way(&self) -> Way {
        way(self.score, self.stated().p)
    }
}

/// Which way a score goes that has this probability by chance.
pub(super) fn way(score: i64, p: f64) -> Way {
    match score.signum() {
        1 if p < 1.0 - LEVEL => Way::Up,
        -1 if p < 1.0 - LEVEL => Way::Down,
        _ => Way::NotShown,
    }
}

/// The trend of the heads of a well, in the order of their times.
///
/// Mann and Kendall's test of a monotonic trend with ties, two-sided, normal with a continuity correction; Sen's
/// slope for uneven times, with its 95 % interval. Both take readings for independent. Water levels remember: both
/// are given again with the variance of the score that Hamed and Rao give for a memory that fades from reading to
/// reading as it does from one to the next. A memory that would make the test surer is not used.
///
/// # Units
/// - `series`: days; heads in any one unit, in which slopes are given for 365.25 days
///
/// # Errors
/// [`NoTrend`] below [`FEWEST_READINGS`] and above [`MOST_READINGS`], and for two heads of one moment.
///
/// # Example
/// Ten readings, one a year, each 0.1 ft lower than the one before:
///
/// ```
/// use headfall::record::{Dated, Way, trend};
///
/// let year = |i: u32| Dated { day: 365.25 * f64::from(i), head: 87.0 - 0.1 * f64::from(i) };
/// let found = trend(&(0..10).map(year).collect::<Vec<_>>()).expect("ten readings");
/// assert_eq!((found.score, found.way()), (-45, Way::Down));
/// assert!((found.per_year + 0.1).abs() < 1e-9);
/// ```
///
/// # References
/// Mann (1945), Econometrica 13, 245-259; Kendall (1975); Sen (1968), Journal of the American Statistical
/// Association 63, 1379-1389; Hamed and Rao (1998), Journal of Hydrology 204, 182-196 (abstract looked up,
/// equation as pymannkendall 1.4.3 has it); what estimating the trend takes off the correlation: van Giersbergen
/// (2005), Economics Letters 86 (from memory). Proven rates: `docs/record.md`.
pub fn trend(series: &[Dated]) -> Result<Trend, NoTrend> {
    let readings = series.len();
    if readings < FEWEST_READINGS {
        return Err(NoTrend::FewReadings { readings, needed: FEWEST_READINGS });
    }
    if readings > MOST_READINGS {
        return Err(NoTrend::ManyReadings { readings, most: MOST_READINGS });
    }
    let mut series = series.to_vec();
    series.sort_by(|a, b| a.day.total_cmp(&b.day));
    if series.windows(2).any(|pair| pair[0].day >= pair[1].day) {
        return Err(NoTrend::SameMoment);
    }
    let heads: Vec<f64> = series.iter().map(|d| d.head).collect();
    let mut slopes = Vec::with_capacity(readings * (readings - 1) / 2);
    for (i, earlier) in series.iter().enumerate() {
        let slope =
            |later: &Dated| (later.head - earlier.head) / ((later.day - earlier.day) / YEAR_DAYS);
        slopes.extend(series[i + 1..].iter().map(slope));
    }
    let slopes = Slopes::new(slopes);
    let (score, variance, per_year) = (score(&heads), variance(&heads), slopes.median());
    let first = series[0].day;
    let left: Vec<f64> =
        series.iter().map(|d| clean(d.head - per_year * ((d.day - first) / YEAR_DAYS))).collect();
    let correlation = Autocorrelation::of(&left);
    let independent = slopes.test(score, variance);
    let factor = correlation.variance_factor;
    let correlated = (factor > 1.0).then(|| slopes.test(score, factor * variance));
    Ok(Trend { readings, score, per_year, independent, correlation, correlated })
}

/// No memory is taken for more than this: beyond it a series tells nothing of its trend.
const MOST_MEMORY: f64 = 0.99;

impl Autocorrelation {
    /// Of what is left of a series without its trend.
    fn of(left: &[f64]) -> Self {
        let (ranks, n) = (ranks(left), left.len() as f64);
        let mean = ranks.iter().sum::<f64>() / n;
        let off: Vec<f64> = ranks.iter().map(|rank| rank - mean).collect();
        let all: f64 = off.iter().map(|d| d * d).sum();
        let together: f64 = off.windows(2).map(|pair| pair[0] * pair[1]).sum();
        let lag_one = if all > 0.0 { together / all } else { 0.0 };
        let memory = ((n * lag_one + 2.0) / (n - 4.0)).clamp(0.0, MOST_MEMORY);
        let (mut sum, mut fading) = (0.0, 1.0);
        for lag in 1..left.len() {
            let k = lag as f64;
            fading *= memory;
            sum += (n - k) * (n - k - 1.0) * (n - k - 2.0) * fading;
        }
        let variance_factor = 1.0 + 2.0 / (n * (n - 1.0) * (n - 2.0)) * sum;
        Self { lag_one, bound: NORMAL_SDS / n.sqrt(), memory, variance_factor }
    }
}

/// The ranks of some values from 1 on, equal ones with the mean of theirs.
fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let mut ranks = vec![0.0; values.len()];
    let mut below = 0;
    #[expect(clippy::float_cmp, reason = "equal values have one rank")]
    for tied in order.chunk_by(|a, b| values[*a] == values[*b]) {
        let rank = (below + below + tied.len() + 1) as f64 / 2.0;
        for i in tied {
            ranks[*i] = rank;
        }
        below += tied.len();
    }
    ranks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_values_share_the_mean_of_their_ranks() {
        // scipy.stats.rankdata.
        assert_eq!(ranks(&[4.0, 1.0, 4.0, 9.0, 4.0]), [3.0, 1.0, 3.0, 5.0, 3.0]);
    }

    #[test]
    fn few_readings_and_two_of_one_moment_are_refused() {
        let day = |i: u32| Dated { day: f64::from(i), head: f64::from(i % 3) };
        let seven: Vec<Dated> = (0..7).map(day).collect();
        assert_eq!(trend(&seven), Err(NoTrend::FewReadings { readings: 7, needed: 8 }));
        let mut eight: Vec<Dated> = (0..8).map(day).collect();
        assert!(trend(&eight).is_ok());
        eight[3].day = 2.0;
        assert_eq!(trend(&eight), Err(NoTrend::SameMoment));
    }

    #[test]
    fn the_order_of_the_readings_does_not_matter() {
        let day = |i: u32| Dated { day: f64::from(i * i), head: f64::from(i * 7 % 5) };
        let series: Vec<Dated> = (0..12).map(day).collect();
        let turned: Vec<Dated> = series.iter().rev().copied().collect();
        assert_eq!(trend(&series), trend(&turned));
    }
}
