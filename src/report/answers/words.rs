//! Answers in words.

use std::fmt::Write as _;

use super::sentences::sentences;
use super::summary::TowardSummary;
use super::types::{AcrossRow, FlowRow, VerdictRow};
use crate::check::ControlSet;
use crate::report::measures;
use crate::report::results::Results;
use crate::toward::{
    End, FlowAtSource, NotDrawn, Outcome, Realizations, Role, Toward, TracedPath, Verdict,
};
use crate::uncertainty::{DirectionInterval, NORMAL_SDS};
use crate::units::{Azimuth, GroundUnit, Span, time_words, two_digits};

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

    /// The answer, one sentence for each of the first few sources.
    #[must_use]
    pub fn in_words(&self, results: &Results<'_>) -> Vec<String> {
        sentences(results, self)
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

    /// Why no surfaces are drawn between the wells, and no share is given.
    #[must_use]
    pub fn no_realizations(&self) -> Option<&'static str> {
        self.not_drawn.map(NotDrawn::words)
    }

    /// The pumped well that draws in the water of a verdict's nearest path.
    fn pumped_of(&self, verdict: &Verdict) -> &str {
        match verdict.path.map(|i| self.paths[i].path.end) {
            Some(End::Pumped { well }) => &self.pumped_wells[well],
            _ => "",
        }
    }

    /// The stream that the nearest path of a verdict joins before it reaches the receptor.
    #[must_use]
    pub(crate) fn stream_of(&self, verdict: &Verdict) -> Option<&str> {
        match self.paths[verdict.path?].path.end {
            End::Stream { stream } if verdict.outcome == Outcome::Stream => {
                Some(self.streams[stream].as_str())
            }
            _ => None,
        }
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
            End::Stops { well } | End::Low { well } => {
                Some(format!(" at {}", control.points()[well?].id))
            }
            _ => None,
        });
        let unresolved = if verdict.unresolved { "not resolved; on this map " } else { "" };
        let on_map = match verdict.outcome {
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
            Outcome::Pumped => {
                format!("not reached: pumped well {} draws in the water", self.pumped_of(verdict))
            }
            Outcome::Low => format!(
                "not determined: the closest flow path ends in a low{} that nothing explains, {off} from it",
                at.unwrap_or_default()
            ),
            Outcome::Stream => format!(
                "not reached as groundwater: the flow paths join {}, {off} from it; what lies downstream \
                 along it is reached as surface water",
                self.stream_of(verdict).unwrap_or_default()
            ),
            Outcome::Barrier => {
                format!("not determined: the closest flow path comes to a barrier, {off} from it")
            }
            Outcome::FlowsAway => {
                format!("not reached: the water flows away from it, {off} upgradient")
            }
            Outcome::PumpedUnknown => {
                "not determined: the surface does not have the cone of a pumped well, \
                                       which may draw in this water"
                    .to_owned()
            }
            Outcome::OtherUnit => {
                "not determined: source or receptor is in another aquifer unit than the one mapped"
                    .to_owned()
            }
            Outcome::Level => format!(
                "not determined: the closest flow path ends where the surface is level, {off} from it"
            ),
            Outcome::NotOnMap => {
                "not determined: the source lies beyond the mapped area".to_owned()
            }
        };
        let mut text = format!("{unresolved}{on_map}");
        if let Some(Span { low, high }) = verdict.days {
            let _ = write!(text, "; travel time {}", time_words(low, Some(high)));
        }
        if let Some(Span { low, high }) = verdict.retarded_days {
            let _ = write!(text, ", with sorption {}", time_words(low, Some(high)));
        }
        if let Some(beyond) = verdict.beyond {
            let _ = write!(text, "; straight on at the last gradient, which no well shows, it ");
            let _ = match beyond.to_receptor_m {
                Some(m) => write!(text, "would reach it {} farther on", long(m)),
                None => write!(text, "would pass {} from it", long(beyond.off_m)),
            };
            if let Some(Span { low, high }) = beyond.days {
                let _ = write!(text, ", in {} in all", time_words(low, Some(high)));
            }
        }
        if let Some(realizations) = verdict.realizations {
            let _ = write!(text, "; {}", realizations.sentence(verdict.outcome));
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
        if self.outcome != self.outcome_on_map {
            return format!("{text} (map: {})", self.outcome_on_map);
        }
        if self.paths_reaching > 0 && self.paths > 1 {
            let _ = write!(text, " ({} of {} paths", self.paths_reaching, self.paths);
            if self.paths_reaching_at_edge > 0 {
                let _ = write!(text, ", {} at the edge", self.paths_reaching_at_edge);
            }
            text.push(')');
        } else if self.paths_reaching_at_edge > 0 {
            text.push_str(" (at the edge)");
        }
        if let Some(at) = self.at_well {
            if self.outcome == Outcome::Pumped.words() {
                text = format!("is drawn in by {at}");
            } else {
                let _ = write!(text, " at {at}");
            }
        }
        if let Some(stream) = self.at_stream {
            text = format!("joins {stream} first");
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

impl AcrossRow<'_> {
    /// Half the width of the 95 % interval of the difference, m.
    #[must_use]
    pub fn half_m(&self) -> f64 {
        NORMAL_SDS * self.sd_m
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
        assert_eq!(realizations(1000, 0).words(), "over 99 %");
        assert_eq!(realizations(400, 0).words(), "40 %");
        assert_eq!(realizations(0, 0).words(), "under 1 %");
        assert_eq!(
            realizations(0, 1000).words(),
            "not determined: 1000 of 1000 leave the map first"
        );
        assert_eq!(realizations(400, 100).words(), "40 to 50 %");
        assert_eq!(realizations(900, 15).words(), "90 %");
        assert!(realizations(0, 1000).probability().is_none());
        assert_eq!(realizations(0, 1000).bounds(), (0.0, 1.0));
        let said = realizations(0, 1000).sentence(Outcome::LeavesMap);
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
        let said = realizations(900, 0).sentence(Outcome::Stops);
        assert!(said.starts_with("but reached in 90 %"), "{said}");
    }
}
