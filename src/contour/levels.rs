//! Which levels are drawn.

use crate::diag::Code;
use crate::diag::Diagnostic;
use crate::error::Error;
use crate::geom::tolerance::MOST_LEVELS;
use crate::interpolate::RoundNumber;
use crate::units::{LengthUnit, as_given, brief, brief_to, clean};

/// The interval is chosen to bring the count of levels as near to this as a round number can.
const USUAL_LEVELS: f64 = 10.0;

/// Heads and levels are rounded to 1e-9; an interval below ten of these has no meaning.
const LEAST_INTERVAL: f64 = 1e-8;

/// A level more intervals than this from its base cannot be counted in whole numbers safely.
const FARTHEST: f64 = 1e12;

/// The levels of a map.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Levels {
    /// Difference of neighbouring levels, elevation unit.
    pub(super) interval: f64,
    /// The levels strictly between the lowest and the highest head, ascending.
    pub(super) values: Vec<f64>,
}

impl Levels {
    /// The levels `base + k interval` strictly between the lowest and the highest head.
    ///
    /// Each is computed from its own whole `k`, so no error accumulates, and cleaned of binary
    /// dust. A level equal to the lowest or the highest head is touched but not crossed by the
    /// surface and is left out. Without an `interval` one is chosen that is not below `least`.
    pub(super) fn choose(
        range: Option<(f64, f64)>,
        interval: Option<f64>,
        base: f64,
        least: f64,
        unit: LengthUnit,
    ) -> Result<Self, Error> {
        let Some((low, high)) = range else {
            return Ok(Self { interval: interval.unwrap_or(1.0), values: Vec::new() });
        };
        let usual = usual_interval(high - low, least);
        let interval = interval.unwrap_or(usual);
        if !(interval >= LEAST_INTERVAL && interval.is_finite()) {
            return refuse(
                format!(
                    "the contour interval {} {unit} is not a positive number of at least {} {unit}",
                    as_given(interval),
                    brief(LEAST_INTERVAL)
                ),
                usual,
                unit,
            );
        }
        let [low_told, high_told] = [low, high].map(|head| brief_to(head, 4));
        let count = (high - low) / interval;
        if count > MOST_LEVELS as f64 {
            return refuse(
                format!(
                    "the contour interval {} {unit} gives {} levels between the heads {low_told} \
                     and {high_told} {unit}; the limit is {MOST_LEVELS}",
                    brief(interval),
                    brief_to(count, 0)
                ),
                usual,
                unit,
            );
        }
        let first = ((low - base) / interval).floor();
        if first.is_nan() || first.abs() > FARTHEST {
            return Err(Error::Map(vec![
                Diagnostic::new(
                    Code::TooManyLevels,
                    format!(
                        "the base level {} {unit} lies too many intervals of {} {unit} from the \
                         heads {low_told} to {high_told} {unit}",
                        as_given(base),
                        brief(interval)
                    ),
                )
                .advice("set a base level near the heads, or leave it at 0"),
            ]));
        }
        let values = (0..MOST_LEVELS + 3)
            .map(|k| clean(base + (first + k as f64) * interval))
            .skip_while(|level| *level <= low)
            .take_while(|level| *level < high)
            .collect();
        Ok(Self { interval, values })
    }
}

/// The round number that draws nearest to ten levels in a range, between 6 and 16 of them; or the
/// first that is not below `least`, and fewer. 1 for a surface without relief.
fn usual_interval(relief: f64, least: f64) -> f64 {
    if relief < USUAL_LEVELS * LEAST_INTERVAL {
        return 1.0;
    }
    let usual = RoundNumber::nearest(relief / USUAL_LEVELS);
    if usual.value() < least { RoundNumber::at_least(least) } else { usual }.value()
}

fn refuse(message: String, usual: f64, unit: LengthUnit) -> Result<Levels, Error> {
    Err(Error::Map(vec![Diagnostic::new(Code::TooManyLevels, message).advice(format!(
        "set an interval such as {usual} {unit}, or leave it out to have one chosen from the heads"
    ))]))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::float_cmp, reason = "levels are clean decimals")]

    use super::*;

    fn levels(low: f64, high: f64, interval: Option<f64>, base: f64) -> Levels {
        Levels::choose(Some((low, high)), interval, base, 0.0, LengthUnit::Metre)
            .expect("they can be drawn")
    }

    fn refusal(low: f64, high: f64, interval: f64, base: f64) -> Diagnostic {
        let e = Levels::choose(Some((low, high)), Some(interval), base, 0.0, LengthUnit::Metre)
            .expect_err("must refuse");
        assert_eq!(e.diagnostics().len(), 1, "{e:?}");
        e.diagnostics()[0].clone()
    }

    #[test]
    fn levels_are_whole_multiples_without_binary_dust() {
        let found = levels(99.95, 100.85, Some(0.1), 0.0).values;
        // Adding 0.1 again and again would end at 100.79999999999995.
        assert_eq!(found, [100.0, 100.1, 100.2, 100.3, 100.4, 100.5, 100.6, 100.7, 100.8]);
    }

    #[test]
    fn a_base_shifts_them() {
        assert_eq!(levels(-1.0, 2.0, Some(1.0), 0.25).values, [-0.75, 0.25, 1.25]);
        assert_eq!(levels(-1.0, 2.0, Some(1.0), 1000.25).values, [-0.75, 0.25, 1.25]);
    }

    #[test]
    fn levels_at_the_lowest_and_the_highest_head_are_left_out() {
        assert_eq!(levels(1.0, 4.0, Some(1.0), 0.0).values, [2.0, 3.0]);
    }

    #[test]
    fn the_chosen_interval_gives_between_six_and_sixteen_levels() {
        for (low, high, interval) in
            [(250.3, 262.9, 1.0), (250.3, 266.9, 2.0), (10.0, 10.4, 0.05), (0.0, 3500.0, 500.0)]
        {
            let found = levels(low, high, None, 0.0);
            assert_eq!(found.interval, interval, "{low} to {high}");
            assert!((6..=16).contains(&found.values.len()), "{:?}", found.values);
        }
    }

    #[test]
    fn no_interval_below_the_least_is_chosen() {
        let chosen = |low, high, least| {
            let found = Levels::choose(Some((low, high)), None, 0.0, least, LengthUnit::Metre);
            let found = found.expect("they can be drawn");
            (found.interval, found.values)
        };
        // Ten levels would stand 0.002 apart.
        assert_eq!(chosen(9.99, 10.01, 0.012), (0.02, vec![10.0]));
        assert_eq!(chosen(9.99, 10.01, 0.02), (0.02, vec![10.0]));
        assert_eq!(chosen(9.99, 9.999, 0.021), (0.05, vec![]));
        // A least one below the usual changes nothing.
        assert_eq!(chosen(250.3, 262.9, 0.999).0, 1.0);
        // One that is asked for is drawn.
        let asked = Levels::choose(Some((9.99, 10.01)), Some(0.005), 0.0, 0.02, LengthUnit::Metre);
        assert_eq!(asked.expect("it can be drawn").values, [9.995, 10.0, 10.005]);
    }

    #[test]
    fn a_surface_without_relief_has_no_levels() {
        let flat = levels(100.0, 100.0, None, 0.0);
        assert_eq!((flat.interval, flat.values.len()), (1.0, 0));
        let empty =
            Levels::choose(None, None, 0.0, 0.0, LengthUnit::Metre).expect("nothing to refuse");
        assert!(empty.values.is_empty(), "{empty:?}");
    }

    #[test]
    fn too_many_levels_name_interval_range_and_a_workable_interval() {
        let d = refusal(250.0, 275.0, 0.001, 0.0);
        assert_eq!(d.code, Code::TooManyLevels);
        for part in ["0.001", "25000 levels", "250", "275"] {
            assert!(d.message.contains(part), "{part} in {}", d.message);
        }
        let advice = d.advice.expect("there is advice");
        assert!(advice.contains("such as 2 m,"), "{advice}");
        assert!(
            Levels::choose(Some((250.0, 275.0)), Some(2.0), 0.0, 0.0, LengthUnit::Metre).is_ok(),
            "as advised"
        );
        assert!(
            Levels::choose(Some((0.0, 2000.0)), Some(1.0), 0.0, 0.0, LengthUnit::Metre).is_ok(),
            "2000 are allowed"
        );
    }

    #[test]
    fn impossible_intervals_and_bases_are_refused() {
        for interval in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-12] {
            assert!(refusal(1.0, 2.0, interval, 0.0).message.contains("positive"), "{interval}");
        }
        for base in [f64::NAN, f64::INFINITY, 1e300] {
            assert!(refusal(1.0, 2.0, 0.1, base).message.contains("base level"), "{base}");
        }
    }
}
