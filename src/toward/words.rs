//! Answers in words.

use std::fmt::Write as _;

use super::answer::{Outcome, Realizations, Verdict};
use super::path::End;
use super::place::{Role, TracedPath};
use super::types::Toward;
use crate::check::ControlSet;
use crate::units::{LengthUnit, Span, away, fixed, with_power};

/// Days in a year, as calendars have it in the mean.
const YEAR: f64 = 365.25;

/// Two significant digits: a range of conductivity carries no more.
#[must_use]
pub fn two_digits(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let exponent = libm::log10(value.abs()).floor();
    if !(-3.0..6.0).contains(&exponent) {
        return with_power(value, 2);
    }
    let unit = libm::pow(10.0, exponent - 1.0);
    #[expect(clippy::cast_possible_truncation, reason = "0 to 4")]
    let decimals = (1.0 - exponent).max(0.0) as i32;
    fixed((value / unit).round() * unit, decimals)
}

/// A time of travel, in years where it is long; `high` is `None` or infinite
/// where it has no end.
///
/// # Units
/// - `low`, `high`: days
#[must_use]
pub fn time_words(low: f64, high: Option<f64>) -> String {
    let high = high.filter(|h| h.is_finite());
    if high == Some(0.0) {
        return "0 days".to_owned();
    }
    let unit = |days: f64| if days > 2.0 * YEAR { (YEAR, "years") } else { (1.0, "days") };
    let (long, name) = unit(high.unwrap_or(low));
    match high {
        // Nobody thinks in thousandths of a year.
        Some(high) if long > 1.0 && low < 0.1 * long => {
            format!("{} days to {} {name}", two_digits(low), two_digits(high / long))
        }
        Some(high) => format!("{} to {} {name}", two_digits(low / long), two_digits(high / long)),
        None => format!("{} {name} or more", two_digits(low / long)),
    }
}

/// A share in percent; one that is not 0 or 1 is never told as 0 or 100.
#[must_use]
pub fn percent(share: f64, decimals: i32) -> String {
    let told = |decimals| fixed(100.0 * share, decimals);
    let whole = |text: &str| text.parse() == Ok(0.0) || text.parse() == Ok(100.0);
    let exact = share <= 0.0 || share >= 1.0;
    (decimals..=6).map(told).find(|text| exact || !whole(text)).unwrap_or_else(|| told(6))
}

impl Realizations {
    /// What the realizations say, in the words of a table cell: the share that reaches the
    /// receptor with its 95 % interval, or how many leave that open.
    #[must_use]
    pub fn words(&self) -> String {
        let Self { of, reaching, leaving } = self;
        match (self.probability(), *reaching) {
            (Some(p), _) => format!(
                "{} % ({} to {})",
                percent(p.share, 0),
                percent(p.low, 1),
                percent(p.high, 1)
            ),
            (None, 0) => format!("not known: {leaving} of {of} leave the map first"),
            (None, _) => format!("{reaching} of {of}; {leaving} leave the map first"),
        }
    }

    /// The same in a sentence on the map.
    fn sentence(&self, outcome: Outcome, on_triangles: bool) -> String {
        let Self { of, reaching, leaving } = self;
        let realizations = if on_triangles { "realizations" } else { "realizations on triangles" };
        let but = if self.agree(outcome) { "" } else { "but " };
        match self.probability() {
            Some(p) => {
                let [low, high] = [p.low, p.high].map(|s| percent(s, 1));
                let share = percent(p.share, 0);
                format!("{but}reached in {share} % (95 %: {low} to {high}) of {realizations}")
            }
            None if *reaching == 0 => format!(
                "probability not known: in {leaving} of {of} {realizations} the paths leave the map first"
            ),
            None => format!(
                "{but}reached in {reaching} of {of} {realizations}, not known in {leaving} whose paths \
                 leave the map first"
            ),
        }
    }
}

impl Toward {
    /// The verdicts in the order in which they are read: what is reached first, and then as they
    /// stand in the files.
    #[must_use]
    pub fn by_weight(&self) -> Vec<&Verdict> {
        let (reached, others): (Vec<_>, Vec<_>) =
            self.verdicts.iter().partition(|v| v.outcome == Outcome::Reaches);
        [reached, others].concat()
    }

    /// How many paths begin at a place: none where it lies beyond the map.
    #[must_use]
    pub fn paths_from(&self, place: usize) -> usize {
        let begun = |p: &&TracedPath| p.place == place && !p.path.points.is_empty();
        self.paths.iter().filter(begun).count()
    }

    /// Sources whose direction of flow is not resolved by the readings.
    #[must_use]
    pub fn open_sources(&self) -> Vec<&str> {
        let open = |f: &super::FlowAtSource| !f.resolved;
        let sources = self.places.iter().filter(|p| p.role == Role::Source);
        sources.filter(|p| p.flow.as_ref().is_some_and(open)).map(|p| p.name.as_str()).collect()
    }

    /// What velocities and times are ranges over, in a sentence; none without conductivity and
    /// porosity.
    ///
    /// # Units
    /// - `unit`: that of lengths, m or ft
    #[must_use]
    pub fn ranges(&self, unit: LengthUnit) -> Option<String> {
        let conductor = self.conductor.as_ref()?;
        let range = |s: Span| format!("{} to {}", two_digits(s.low), two_digits(s.high));
        let unit = if unit.is_foot() { unit } else { LengthUnit::Metre };
        let conductivity =
            conductor.conductivity_m_per_day.times(LengthUnit::Metre.convert(1.0, unit));
        let name = if unit.is_foot() { "ft" } else { "m" };
        let mut text = format!(
            "hydraulic conductivity {} {name}/d and effective porosity {}",
            range(conductivity),
            range(conductor.effective_porosity)
        );
        if let Some(retardation) = conductor.retardation {
            let _ = write!(text, "; retarded by a factor of {}", range(retardation));
        }
        Some(text)
    }

    /// Why no realizations are drawn, where that is not for want of heads' errors.
    #[must_use]
    pub fn no_realizations(&self) -> Option<&'static str> {
        self.cones.then_some(
            "no realizations are drawn: they are traced on triangles, which do not include the \
             cones of pumped wells",
        )
    }

    /// How a path that ends at the edge of the grid's surface is held against receptors, in a
    /// clause; none on triangles, which are exact.
    ///
    /// # Units
    /// - `unit`: the elevation unit; the distance is in m, or ft for a site in feet
    #[must_use]
    pub fn edge_rule(&self, unit: LengthUnit) -> Option<String> {
        Some(format!(
            "a path that ends at the edge of the mapped area within a cell ({}) of a receptor reaches \
             it as far as the grid can tell",
            away(self.edge_m?, unit)
        ))
    }

    /// What becomes of the water of a source, as far as one receptor is concerned, in a sentence.
    ///
    /// # Units
    /// Lengths in m, or ft for a site in feet.
    #[must_use]
    pub fn answer(&self, verdict: &Verdict, control: &ControlSet) -> String {
        let unit = control.elevation_unit();
        let name = if unit.is_foot() { "ft" } else { "m" };
        let long = |m: f64| {
            let long = if unit.is_foot() { LengthUnit::Metre.convert(m, unit) } else { m };
            format!("{} {name}", fixed(long, 0))
        };
        let off = verdict.meeting.map_or_else(String::new, |m| long(m.nearest.distance_m));
        let at = verdict.path.and_then(|i| match self.paths[i].path.end {
            End::Stops { well } => Some(format!(" at {}", control.points()[well?].id)),
            _ => None,
        });
        let mut text = match verdict.outcome {
            Outcome::Reaches => {
                let after = long(verdict.length_m);
                let reached = match verdict.paths {
                    1 => format!("reached after {after}"),
                    n => {
                        format!("reached by {} of {n} paths, first after {after}", verdict.reaching)
                    }
                };
                match self.edge_m.filter(|_| verdict.at_edge > 0) {
                    Some(cell) => {
                        let cell = away(cell, unit);
                        let count = verdict.at_edge;
                        format!(
                            "{reached} (as far as the grid can tell: {count} of {} end at the edge of \
                             the map within a cell, {cell}, of it)",
                            verdict.reaching
                        )
                    }
                    None => reached,
                }
            }
            Outcome::Passes => format!("not reached: passed at {off}"),
            Outcome::LeavesMap => {
                format!("open: the nearest path leaves the mapped area, still {off} off")
            }
            Outcome::Stops => format!(
                "not reached: the nearest path stops at a low{}, {off} off",
                at.unwrap_or_default()
            ),
            Outcome::Level => format!("open: the nearest path comes to a level place, {off} off"),
            Outcome::NotOnMap => "open: the source lies beyond the map".to_owned(),
        };
        if let Some(Span { low, high }) = verdict.days {
            let _ = write!(text, "; travel {}", time_words(low, Some(high)));
        }
        if let Some(Span { low, high }) = verdict.retarded_days {
            let _ = write!(text, ", retarded {}", time_words(low, Some(high)));
        }
        if let Some(realizations) = verdict.realizations {
            let _ = write!(text, "; {}", realizations.sentence(verdict.outcome, self.on_triangles));
        } else if self.cones {
            text.push_str("; no realizations, whose triangles do not include the cones");
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_are_told_with_two_digits_and_an_end_only_where_they_have_one() {
        assert_eq!(time_words(123.4, Some(456.0)), "120 to 460 days");
        assert_eq!(time_words(400.0, Some(4000.0)), "1.1 to 11 years");
        assert_eq!(time_words(2.9, Some(1000.0)), "2.9 days to 2.7 years");
        assert_eq!(time_words(400.0, Some(f64::INFINITY)), "400 days or more");
        assert_eq!(time_words(36525.0, None), "100 years or more");
        assert_eq!(two_digits(0.0), "0");
        assert_eq!(two_digits(0.012_34), "0.012");
        assert_eq!(two_digits(1.0e-7), "1.0e-7");
        assert_eq!(time_words(0.0, Some(0.0)), "0 days");
        assert_eq!([percent(1.0, 0), percent(0.0, 1)], ["100", "0.0"]);
        assert_eq!([percent(0.9996, 0), percent(0.000_04, 1)], ["99.96", "0.004"]);
    }

    #[test]
    fn realizations_that_leave_the_map_are_not_told_as_realizations_that_do_not_reach() {
        let realizations = |reaching, leaving| Realizations { of: 1000, reaching, leaving };
        // Wilson's intervals of 1000 of 1000 and 400 of 1000, by his formula.
        assert_eq!(realizations(1000, 0).words(), "100 % (99.6 to 100.0)");
        assert_eq!(realizations(400, 0).words(), "40 % (37.0 to 43.1)");
        assert_eq!(realizations(0, 1000).words(), "not known: 1000 of 1000 leave the map first");
        assert_eq!(realizations(400, 100).words(), "400 of 1000; 100 leave the map first");
        assert!(realizations(0, 1000).probability().is_none());
        assert_eq!(realizations(0, 1000).bounds(), (0.0, 1.0));
        let said = realizations(0, 1000).sentence(Outcome::LeavesMap, true);
        assert!(said.starts_with("probability not known: in 1000 of 1000"), "{said}");
        // Most realizations against the map.
        assert!(
            realizations(400, 300).agree(Outcome::Passes)
                && realizations(400, 0).agree(Outcome::Passes)
        );
        assert!(
            !realizations(900, 0).agree(Outcome::Stops)
                && !realizations(100, 0).agree(Outcome::Reaches)
        );
        assert!(realizations(100, 800).agree(Outcome::Reaches));
        let said = realizations(900, 0).sentence(Outcome::Stops, false);
        assert!(
            said.starts_with("but reached in 90 %") && said.ends_with("on triangles"),
            "{said}"
        );
    }
}
