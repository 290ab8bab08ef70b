//! The directions of the rounds as they are drawn: against the stated north, with what is known of each.

use super::rows::SiteRecord;
use crate::record::Turned;
use crate::uncertainty::{DirectionInterval, PlaneFit};
use crate::units::Azimuth;

/// Rings of a compass: more would touch each other.
const MOST_RINGS: usize = 40;

/// The direction of a round.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(clippy::struct_excessive_bools, reason = "each is shown by itself")]
pub(crate) struct Directed {
    /// The round.
    pub(crate) round: usize,
    /// Its direction against the stated north.
    pub(crate) azimuth: Azimuth,
    /// Its 95 % interval, the same.
    pub(crate) interval: DirectionInterval,
    /// Whether the direction is resolved.
    pub(crate) resolved: bool,
    /// Whether a plane describes the heads.
    pub(crate) planar: bool,
    /// Whether flow turned since the round before.
    pub(crate) turned: bool,
    /// Whether heads of it do not fit the record.
    pub(crate) doubtful: bool,
}

impl Directed {
    /// Where its interval begins and ends clockwise, degrees, the end beyond 360 where it passes north; `None` of a
    /// direction that is not resolved.
    pub(crate) fn ends(&self) -> Option<(f64, f64)> {
        match self.interval {
            DirectionInterval::Arc { from, to } if self.resolved => {
                let width = to.turned(-from.degrees()).degrees();
                Some((from.degrees(), from.degrees() + width))
            }
            _ => None,
        }
    }
}

impl SiteRecord {
    /// The rounds with a direction that a compass has rings for, the newest if there are more, the earliest first; and how
    /// many are left out.
    pub(crate) fn on_rings(&self) -> (Vec<Directed>, usize) {
        let mut directed = self.directed();
        let left_out = directed.len().saturating_sub(MOST_RINGS);
        (directed.split_off(left_out), left_out)
    }

    /// The rounds that have a direction, the earliest first.
    fn directed(&self) -> Vec<Directed> {
        let norths = self.norths();
        let rounds = self.record.rounds.iter().enumerate();
        let of = |(round, row): (usize, &crate::record::RoundRow)| {
            let gradient = row.gradient?;
            Some(Directed {
                round,
                azimuth: norths.state(gradient.azimuth_grid?),
                interval: gradient.direction_interval.turned(norths.turn_deg()),
                resolved: gradient.resolved,
                planar: gradient.fit != PlaneFit::Poor,
                turned: row.turn.is_some_and(|t| t.turn.verdict == Turned::Turned),
                doubtful: self.doubtful_in(round) > 0,
            })
        };
        rounds.filter_map(of).collect()
    }

    /// The years with the ring of their first round, rings of these directions `step` apart; those that would lie on the one
    /// before are left out, where each is so wide and high.
    pub(crate) fn years_on_rings(
        &self,
        shown: &[Directed],
        step: f64,
        (wide, high): (f64, f64),
    ) -> Vec<(usize, &str)> {
        let (sin, cos) = libm::sincos(self.away_from_directions().to_radians());
        let apart = (wide / sin.abs().max(1e-9)).min(high / cos.abs().max(1e-9));
        let mut found: Vec<(usize, &str)> = Vec::new();
        let mut before = None;
        for (i, of) in shown.iter().enumerate() {
            let day = self.record.rounds[of.round].day.as_deref();
            let Some(year) = day.and_then(|day| day.get(..4)) else { continue };
            let near = found.last().is_some_and(|(k, _)| (i - k) as f64 * step < apart);
            if before != Some(year) && !near {
                found.push((i, year));
            }
            before = Some(year);
        }
        found
    }

    /// Where on a circle directions are fewest, degrees against the stated north: a place for names.
    pub(crate) fn away_from_directions(&self) -> f64 {
        let mean = self.record.directions.and_then(|d| d.mean);
        mean.map_or(45.0, |mean| self.norths().state(mean).turned(180.0).degrees())
    }
}
