//! What stands beside an answer: when the water arrives, and what the answer hangs on.

use super::types::{RankRow, VerdictRow};
use crate::toward::{FIRST_ARRIVAL_SHARE, KnownBy};
use crate::units::{fixed, percent, time_words, two_digits};

impl VerdictRow<'_> {
    /// Arrivals, dispersion and decay, and what the answer hangs on, in clauses; none where there is nothing of these.
    ///
    /// # Units
    /// Places are in CRS units.
    #[must_use]
    pub fn beside_words(&self) -> Option<String> {
        let mut parts = Vec::new();
        parts.extend(self.arrival_words());
        if let Some(low) = self.first_arrival_low_d {
            parts.push(format!(
                "{} % of the concentration at the source arrives in {}, by longitudinal dispersion",
                percent(FIRST_ARRIVAL_SHARE, 0),
                time_words(low, self.first_arrival_high_d)
            ));
        }
        if let (Some(low), Some(high)) = (self.share_left_low, self.share_left_high) {
            let [low, high] = [low, high].map(|share| two_digits(100.0 * share));
            parts
                .push(format!("decay leaves {low} to {high} % of the concentration at the source"));
        }
        if let (Some(decides), Some(factor)) = (self.time_decided_by, self.time_decided_by_factor) {
            parts.push(format!(
                "{} makes the travel time uncertain most, by a factor of {}",
                decides.words(),
                two_digits(factor)
            ));
        }
        if let Some(wells) = &self.changes_without {
            parts.push(format!("the expected surface gives the other answer without {wells}"));
        }
        if let (Some(x), Some(y), Some(share)) =
            (self.next_well_easting, self.next_well_northing, self.next_well_explains)
        {
            parts.push(format!(
                "another well would tell most near easting {}, northing {} (it would explain {} % of what is \
                 open)",
                fixed(x, 0),
                fixed(y, 0),
                percent(share, 0)
            ));
        }
        (!parts.is_empty()).then(|| parts.join("; "))
    }

    /// Within how long the water arrives in 10, 50 and 90 % of the realizations.
    fn arrival_words(&self) -> Option<String> {
        let of = |share: &str, days: Option<f64>| {
            days.map(|d| format!("{share} within {}", time_words(d, Some(d))))
        };
        let all: Vec<String> = [
            of("10 %", self.arrival_10_percent_d),
            of("50 %", self.arrival_50_percent_d),
            of("90 %", self.arrival_90_percent_d),
        ]
        .into_iter()
        .flatten()
        .collect();
        (!all.is_empty())
            .then(|| format!("of all realizations the water arrives in {}", all.join(", ")))
    }
}

impl RankRow<'_> {
    /// The receptor, when water reaches it, and how that is known.
    #[must_use]
    pub fn words(&self) -> String {
        let time = self.arrival_low_d.map(|low| time_words(low, self.arrival_high_d));
        let time = match (time, self.beyond_wells) {
            (Some(time), false) => format!("{time} from {}", self.source),
            (Some(time), true) => {
                format!("{time} from {}, straight on beyond the wells", self.source)
            }
            (None, _) => format!("from {}", self.source),
        };
        let known = match self.known_by {
            KnownBy::MapAndRealizations => "by the map and the realizations",
            KnownBy::Map => "by the map",
            KnownBy::Open => "open",
            KnownBy::NotReached => "not reached",
        };
        let share = self.realizations.as_ref().map_or_else(String::new, |r| format!(" ({r})"));
        match self.known_by {
            KnownBy::NotReached => format!("{}: {known}{share}", self.receptor),
            _ => format!("{}: {time}; {known}{share}", self.receptor),
        }
    }
}
