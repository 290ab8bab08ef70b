//! Answers in words.

use std::fmt::Write as _;

use super::summary::TowardSummary;
use super::types::{FlowRow, VerdictRow};
use crate::check::ControlSet;
use crate::report::measures;
use crate::toward::{End, FlowAtSource, Outcome, Realizations, Role, Toward, TracedPath, Verdict};
use crate::uncertainty::DirectionInterval;
use crate::units::{Azimuth, GroundUnit, Span, percent, time_words, two_digits};

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
            (None, 0) => format!("not determined: {leaving} of {of} leave the map first"),
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
                format!("{but}reached in {share} % of {realizations} (95 %: {low} to {high})")
            }
            None if *reaching == 0 => format!(
                "probability not determined: in {leaving} of {of} {realizations} the paths leave the \
                 mapped area first"
            ),
            None => format!(
                "{but}reached in {reaching} of {of} {realizations}, not determined in {leaving}, whose \
                 paths leave the mapped area first"
            ),
        }
    }
}

impl Toward {
    /// The verdicts in the order in which they are read: what is reached first, and then as they
    /// stand in the files.
    #[must_use]
    pub(crate) fn by_weight(&self) -> Vec<&Verdict> {
        let (reached, others): (Vec<_>, Vec<_>) =
            self.verdicts.iter().partition(|v| v.outcome == Outcome::Reaches);
        [reached, others].concat()
    }

    /// How many paths begin at a place: none where it lies beyond the map.
    #[must_use]
    pub(crate) fn paths_from(&self, place: usize) -> usize {
        let begun = |p: &&TracedPath| p.place == place && !p.path.points.is_empty();
        self.paths.iter().filter(begun).count()
    }

    /// Sources whose direction of flow is not resolved by the readings.
    #[must_use]
    pub(crate) fn open_sources(&self) -> Vec<&str> {
        let open = |f: &FlowAtSource| !f.resolved;
        let sources = self.places.iter().filter(|p| p.role == Role::Source);
        sources.filter(|p| p.flow.as_ref().is_some_and(open)).map(|p| p.name.as_str()).collect()
    }

    /// What velocities and times are ranges over, in a sentence; none without conductivity and
    /// porosity.
    ///
    /// # Units
    /// - `unit`: that of lengths, m or ft
    #[must_use]
    pub fn ranges(&self, unit: GroundUnit) -> Option<String> {
        let conductor = self.conductor.as_ref()?;
        let range = |s: Span| format!("{} to {}", two_digits(s.low), two_digits(s.high));

        let conductivity = conductor.conductivity_m_per_day.times(unit.length(1.0));
        let mut text = format!(
            "hydraulic conductivity {} {}/d and effective porosity {}",
            range(conductivity),
            unit.name(),
            range(conductor.effective_porosity)
        );
        if let Some(retardation) = conductor.retardation {
            let _ = write!(text, "; retardation factor {}", range(retardation));
        }
        Some(text)
    }

    /// Why no realizations are drawn, where that is not for want of heads' errors.
    #[must_use]
    pub fn no_realizations(&self) -> Option<&'static str> {
        self.cones.then_some(
            "no realizations are drawn: their paths are traced on triangles, which do not include \
             the cones of pumped wells",
        )
    }

    /// How a path that ends at the edge of the grid's surface is held against receptors, in a
    /// clause; none on triangles, which are exact.
    ///
    /// # Units
    /// - `unit`: the elevation unit; the distance is in m, or ft for a site in feet
    #[must_use]
    pub(crate) fn edge_rule(&self, unit: GroundUnit) -> Option<String> {
        Some(format!(
            "a path that ends at the edge of the mapped area within one cell ({}) of a receptor counts \
             as reaching it",
            unit.away(self.edge_m?)
        ))
    }

    /// What becomes of the water of a source, as far as one receptor is concerned, in a sentence.
    ///
    /// # Units
    /// Lengths in m, or ft for a site in feet.
    #[must_use]
    pub fn answer(&self, verdict: &Verdict, control: &ControlSet) -> String {
        let unit = GroundUnit::of(control.elevation_unit());
        let long = |m: f64| unit.whole(m);
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
                        format!(
                            "reached by {} of {n} flow paths, the first after {after}",
                            verdict.reaching
                        )
                    }
                };
                match self.edge_m.filter(|_| verdict.at_edge > 0) {
                    Some(cell) => {
                        let cell = unit.away(cell);
                        let count = verdict.at_edge;
                        format!(
                            "{reached} ({count} of {} end at the edge of the map within one cell, \
                             {cell}, of it)",
                            verdict.reaching
                        )
                    }
                    None => reached,
                }
            }
            Outcome::Passes => format!("not reached: the closest flow path passes {off} from it"),
            Outcome::LeavesMap => {
                format!(
                    "not determined: the closest flow path leaves the mapped area {off} from it"
                )
            }
            Outcome::Stops => format!(
                "not reached: the closest flow path ends at a low{}, {off} from it",
                at.unwrap_or_default()
            ),
            Outcome::Level => format!(
                "not determined: the closest flow path ends where the surface is level, {off} from it"
            ),
            Outcome::NotOnMap => {
                "not determined: the source lies beyond the mapped area".to_owned()
            }
        };
        if let Some(Span { low, high }) = verdict.days {
            let _ = write!(text, "; travel time {}", time_words(low, Some(high)));
        }
        if let Some(Span { low, high }) = verdict.retarded_days {
            let _ = write!(text, ", with sorption {}", time_words(low, Some(high)));
        }
        if let Some(realizations) = verdict.realizations {
            let _ = write!(text, "; {}", realizations.sentence(verdict.outcome, self.on_triangles));
        } else if self.cones {
            text.push_str("; no realizations: their triangles do not include the cones");
        }
        text
    }
}

impl FlowRow {
    /// The direction of flow: `175° (S)`.
    #[must_use]
    pub fn direction_words(&self) -> String {
        // Against true north where it is known.
        match (self.direction_resolved, self.flow_azimuth_true_deg.or(self.flow_azimuth_grid_deg)) {
            (None, _) => "beyond the wells".to_owned(),
            (Some(true), Some(azimuth)) => measures::toward(Azimuth::from_degrees(azimuth)),
            (Some(_), _) => "not resolved".to_owned(),
        }
    }

    /// Its 95 % interval: `170° to 180°`.
    #[must_use]
    pub fn interval_words(&self) -> Option<String> {
        let truly = self.flow_from_true_deg.zip(self.flow_to_true_deg);
        let ends = truly.or(self.flow_from_grid_deg.zip(self.flow_to_grid_deg))?;
        let [from, to] = [ends.0, ends.1].map(Azimuth::from_degrees);
        Some(measures::degrees(DirectionInterval::Arc { from, to }))
    }
}

impl VerdictRow<'_> {
    /// The bearing of the receptor: against true north, or site north where true north is not known.
    #[must_use]
    pub fn bearing_deg(&self) -> Option<f64> {
        self.bearing_true_deg.or(self.bearing_grid_deg)
    }

    /// What becomes of the water, with the count of paths and the well at the end.
    #[must_use]
    pub fn outcome_words(&self) -> String {
        let mut text = self.outcome.to_owned();
        if self.paths_reaching > 0 && self.paths > 1 {
            let _ = write!(text, " ({} of {} paths", self.paths_reaching, self.paths);
            if self.paths_reaching_at_edge > 0 {
                let _ = write!(text, ", {} at the edge", self.paths_reaching_at_edge);
            }
            text.push(')');
        } else if self.paths_reaching_at_edge > 0 {
            text.push_str(" (at the edge)");
        }
        if let Some(well) = self.at_well {
            let _ = write!(text, " at {well}");
        }
        text
    }

    /// How near the path comes, m, where it does not reach the receptor.
    #[must_use]
    pub fn short_of_m(&self) -> Option<f64> {
        self.nearest_m.filter(|_| self.paths_reaching == 0)
    }

    /// The share of realizations that reach the receptor.
    #[must_use]
    pub fn realizations_words(&self) -> Option<String> {
        let (of, reaching) = (self.realizations?, self.realizations_reaching?);
        let leaving = self.realizations_leaving_first?;
        Some(Realizations { of, reaching, leaving }.words())
    }

    /// Whether most realizations differ from the map.
    #[must_use]
    pub fn realizations_differ(&self) -> bool {
        self.realizations_agree == Some(false)
    }

    /// The travel time of the water, and that with sorption.
    #[must_use]
    pub fn travel_words(&self) -> [Option<String>; 2] {
        let days =
            [(self.travel_low_d, self.travel_high_d), (self.retarded_low_d, self.retarded_high_d)];
        days.map(|(low, high)| Some(time_words(low?, high)))
    }

    /// Whether any part of the receptor lies in the interval of the direction of flow.
    #[must_use]
    pub fn within_words(&self) -> Option<&'static str> {
        self.bearing_in_flow_interval.map(|within| if within { "yes" } else { "no" })
    }

    /// Paths traced up from the receptor that come from the source: `3 of 12`.
    #[must_use]
    pub fn upgradient_words(&self) -> Option<String> {
        let (of, all) = (self.upgradient_paths_reaching, self.upgradient_paths);
        (all > 0).then(|| format!("{of} of {all}"))
    }
}

impl<'a> TowardSummary<'a> {
    /// The verdicts in the order in which they are read: what is reached first.
    #[must_use]
    pub fn by_weight(&self) -> Vec<&VerdictRow<'a>> {
        let (reached, others): (Vec<_>, Vec<_>) =
            self.verdicts.iter().partition(|v| v.outcome == Outcome::Reaches.words());
        [reached, others].concat()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn realizations_that_leave_the_map_are_not_told_as_realizations_that_do_not_reach() {
        let realizations = |reaching, leaving| Realizations { of: 1000, reaching, leaving };
        // Wilson's intervals of 1000 of 1000 and 400 of 1000, by his formula.
        assert_eq!(realizations(1000, 0).words(), "100 % (99.6 to 100.0)");
        assert_eq!(realizations(400, 0).words(), "40 % (37.0 to 43.1)");
        assert_eq!(
            realizations(0, 1000).words(),
            "not determined: 1000 of 1000 leave the map first"
        );
        assert_eq!(realizations(400, 100).words(), "400 of 1000; 100 leave the map first");
        assert!(realizations(0, 1000).probability().is_none());
        assert_eq!(realizations(0, 1000).bounds(), (0.0, 1.0));
        let said = realizations(0, 1000).sentence(Outcome::LeavesMap, true);
        assert!(said.starts_with("probability not determined: in 1000 of 1000"), "{said}");
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
        assert!(said.starts_with("but reached in 90 %") && said.contains("on triangles"), "{said}");
    }
}
