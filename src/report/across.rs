//! Maps of values that were worked out from several rounds: what they are called and what they must be read with.

use super::results::Results;
use super::words::counted;
use crate::diag::listed;
use crate::map::{AcrossRounds, Worked};

/// So many rounds are named one by one.
const MOST_NAMED: usize = 6;

impl Worked {
    /// What stands at a well and on a contour: `change`.
    pub(crate) const fn noun(self) -> &'static str {
        match self {
            Self::Change => "change of head",
            Self::Highest => "highest head",
            Self::Lowest => "lowest head",
            Self::Mean => "mean head",
        }
    }

    /// What a map of it shows: `Highest heads`.
    const fn title(self) -> &'static str {
        match self {
            Self::Change => "Change of head",
            Self::Highest => "Highest heads",
            Self::Lowest => "Lowest heads",
            Self::Mean => "Mean heads",
        }
    }

    /// Its word in files: `highest`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Change => "change",
            Self::Highest => "highest",
            Self::Lowest => "lowest",
            Self::Mean => "mean",
        }
    }

    /// What a map of it must be read with.
    const fn caution(self) -> &'static str {
        match self {
            Self::Change => {
                "Positive is a rise. A change whose 95 % interval holds zero may be an error of the readings. Wells that are \
                 on one of the two maps alone have none. A change of head is a volume of water only by way of a specific yield."
            }
            Self::Highest | Self::Lowest => {
                "Heads of different wells may be of different rounds: no gradient and no direction of flow can be read from \
                 this map. Between rounds the water may have been higher or lower."
            }
            Self::Mean => {
                "The mean of some rounds, not of the time between them: no water table was measured that looks like this, and \
                 its gradient is that of no day."
            }
        }
    }

    /// Whether a value may be below zero and is written with its sign.
    pub(crate) const fn is_signed(self) -> bool {
        matches!(self, Self::Change)
    }
}

impl AcrossRounds {
    /// What the map shows: `Highest heads, 2025`.
    pub(crate) fn shown(&self, aquifer_unit: Option<&str>) -> String {
        let unit = aquifer_unit.map_or_else(String::new, |unit| format!(", {unit}"));
        format!("{}{unit}, {}", self.worked.title(), self.period)
    }

    /// The rounds by name, or how many there are and between which.
    pub(crate) fn rounds_in_words(&self) -> String {
        match &self.rounds[..] {
            [first, .., last] if self.rounds.len() > MOST_NAMED => {
                format!("{} from {first} to {last}", counted(self.rounds.len(), "round"))
            }
            few => listed(few.iter().map(String::clone)),
        }
    }

    /// As briefly as a map sheet has room for, behind that contours are inferred.
    pub(super) fn short_cautions(&self) -> String {
        format!(
            "For screening: not valid without review by a licensed professional; local codes apply. One aquifer unit. {}",
            self.worked.caution()
        )
    }
}

impl<'a> Results<'a> {
    /// What the values of the map are, where they are not the heads of one round.
    pub(crate) fn across(&self) -> Option<&'a AcrossRounds> {
        self.map.surfaced.across.as_ref()
    }

    /// The table beside the map that has all wells.
    pub(crate) fn table(&self) -> &'static str {
        match self.across().map(|across| across.worked) {
            None => "heads.csv",
            Some(Worked::Change) => "changes.csv",
            Some(Worked::Highest | Worked::Lowest | Worked::Mean) => "record-surfaces.csv",
        }
    }

    /// What stands at wells and on contours: `head`.
    pub(crate) fn noun(&self) -> &'static str {
        self.across().map_or("head", |across| across.worked.noun())
    }
}
