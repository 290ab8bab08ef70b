//! What changed at a well between two rounds, and what the errors of both heads have in common.

use serde::Serialize;

use super::types::{Level, Way};
use crate::uncertainty::NORMAL_SDS;
use crate::units::{LengthUnit, clean};

/// The change of head at one well.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HeadChange {
    /// The later head less the earlier, elevation unit.
    pub change: f64,
    /// Its standard deviation, elevation unit.
    pub sd: f64,
    /// Lower end of its 95 % interval, elevation unit.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
    /// Which way the head went, at 95 %.
    pub way: Way,
    /// Whether both heads are known to be reduced from one survey of one measuring point, whose error they share.
    pub one_survey: bool,
}

/// The change of a well's head from one round to another.
///
/// What both heads have in common cancels: the survey of the measuring point unless it was surveyed in between, the
/// lean of the well, and the length of the tape where both were read with one that is named. A tape without a name
/// counts as another one, and an elevation that was given as one from another survey.
///
/// # Units
/// - `unit`: of the heads
///
/// # References
/// JCGM 100:2008, 5.2.2 and F.1.2.3: the variance of a difference of correlated quantities.
#[must_use]
pub fn change(earlier: &Level, later: &Level, unit: LengthUnit) -> HeadChange {
    let change = clean(later.head - earlier.head);
    let sd = sd_of_change_m(earlier, later) / unit.metres();
    let half = NORMAL_SDS * sd;
    let (low, high) = (change - half, change + half);
    HeadChange {
        change,
        sd,
        low,
        high,
        way: Way::of(low, high),
        one_survey: one_survey(earlier, later),
    }
}

/// The standard deviation of the change from one head to the other, m.
pub(super) fn sd_of_change_m(a: &Level, b: &Level) -> f64 {
    own_sds_m(a, b).into_iter().map(|sd| sd * sd).sum::<f64>().sqrt()
}

/// The standard deviations of two heads of a well from errors that they do not share, m.
pub(super) fn own_sds_m(a: &Level, b: &Level) -> [f64; 2] {
    let common = variance_in_common(a, b);
    // Half of the difference each: of shared parts of unequal size what is left over belongs to both.
    let [of_a, of_b] = [a, b].map(|level| level.sds.sd_m * level.sds.sd_m - common);
    let both = (of_a + of_b).max(0.0);
    if of_a < 0.0 || of_b < 0.0 { [(both / 2.0).sqrt(); 2] } else { [of_a.sqrt(), of_b.sqrt()] }
}

/// The variance of the errors that two heads of a well share, m²: their covariance.
pub(super) fn variance_in_common(a: &Level, b: &Level) -> f64 {
    let of = |part: fn(&Level) -> f64, shared: bool| if shared { part(a) * part(b) } else { 0.0 };
    of(|l| l.sds.survey_m, one_survey(a, b))
        + of(|l| l.sds.tape_m, one_tape(a, b))
        + of(|l| l.sds.lean_m, true)
        + of(|l| l.sds.position_m, true)
}

/// Whether two heads are known to rest on one survey of one measuring point.
pub(super) fn one_survey(a: &Level, b: &Level) -> bool {
    a.surveyed == b.surveyed
        && a.measuring_point.zip(b.measuring_point).is_some_and(|(a, b)| a.total_cmp(&b).is_eq())
}

/// Whether two heads are known to be read with one instrument.
fn one_tape(a: &Level, b: &Level) -> bool {
    a.instrument.is_some() && a.instrument == b.instrument
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::Situation;
    use crate::read::HeadErrors;

    fn level(head: f64, point: f64, tape: Option<&str>) -> Level {
        let depth_m = Some(point - head);
        Level {
            head,
            sds: HeadErrors::default().of(Situation { depth_m, ..Situation::default() }),
            measuring_point: Some(point),
            surveyed: None,
            instrument: tape.map(str::to_owned),
            depth_read: depth_m,
        }
    }

    #[test]
    fn the_survey_cancels_until_the_point_is_surveyed_again() {
        let (before, after) = (level(90.0, 100.0, None), level(90.02, 100.0, None));
        let found = change(&before, &after, LengthUnit::Metre);
        // By hand: two readings of 3.048 mm and two tapes of 1 mm.
        let expected =
            (2.0_f64 * (0.003_048 * 0.003_048) + 0.001 * 0.001 + 0.000_998 * 0.000_998).sqrt();
        assert!((found.sd - expected).abs() < 1e-9, "{found:?}");
        assert!(found.one_survey && found.way == Way::Up, "{found:?}");
        let again = level(90.02, 100.05, None);
        let found = change(&before, &again, LengthUnit::Metre);
        assert!(found.sd > 0.0141 && found.way == Way::NotShown && !found.one_survey, "{found:?}");
    }

    #[test]
    fn one_tape_that_is_named_cancels_but_for_the_difference_of_depths() {
        let (before, after) = (level(90.0, 100.0, Some("A")), level(89.0, 100.0, Some("A")));
        let found = change(&before, &after, LengthUnit::Metre);
        // Two readings of 3.048 mm, a tenth of a millimetre of tape for one metre, as little lean.
        let expected = (2.0 * 0.003_048_f64 * 0.003_048 + 1e-8 + 2.5e-9).sqrt();
        assert!((found.sd - expected).abs() < 1e-7, "{found:?} {expected}");
        assert_eq!(found.way, Way::Down);
    }
}
