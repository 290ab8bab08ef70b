//! What several files of the record need.

use geo::Coord;
use jiff::civil::Date;
use serde::Serialize;

use crate::uncertainty::HeadSd;
use crate::units::LengthUnit;

/// Days in a year: trends are stated for each 365.25 days.
pub const YEAR_DAYS: f64 = 365.25;

/// Readings within so many days of the same day of the year are of one season: nearer to each other than to the next one.
pub const SEASON_DAYS: f64 = 45.0;

/// A head and when it was read.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Dated {
    /// Days from any one moment, the same for all heads of a series.
    pub day: f64,
    /// The head, in any one unit.
    pub head: f64,
}

/// Which way a quantity went, as far as its 95 % interval shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Way {
    /// It rose.
    Up,
    /// It fell.
    Down,
    /// Neither is shown: zero is within the interval.
    NotShown,
}

impl Way {
    /// Of an interval.
    pub(super) fn of(low: f64, high: f64) -> Self {
        if low > 0.0 {
            Self::Up
        } else if high < 0.0 {
            Self::Down
        } else {
            Self::NotShown
        }
    }
}

/// The head of a well in one round, and what is behind it.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// The head, elevation unit.
    pub head: f64,
    /// The parts of its standard deviation, m.
    pub sds: HeadSd,
    /// The measuring point that it was reduced from, elevation unit; `None` of an elevation that was given.
    pub measuring_point: Option<f64>,
    /// The first day on which that elevation holds; `None` where it holds from the beginning.
    pub surveyed: Option<Date>,
    /// The instrument, where named.
    pub instrument: Option<String>,
    /// The depth to water as it was read, depth unit, where it was.
    pub depth_read: Option<f64>,
}

/// The heads of one round.
#[derive(Debug, Clone, PartialEq)]
pub struct RoundLevels {
    /// Unit of the depths that were read.
    pub depth_unit: LengthUnit,
    /// One for each well of the record; `None` where it has no head.
    pub wells: Vec<Option<Level>>,
}

/// The heads of a record: wells by rounds.
#[derive(Debug, Clone, PartialEq)]
pub struct Levels {
    /// Unit of heads.
    pub elevation_unit: LengthUnit,
    /// Position of each well, m; `None` of one that has none.
    pub places: Vec<Option<Coord>>,
    /// The rounds, the earliest first.
    pub rounds: Vec<RoundLevels>,
}

impl Levels {
    /// The head of a well in a round.
    #[must_use]
    pub fn at(&self, round: usize, well: usize) -> Option<&Level> {
        self.rounds.get(round)?.wells.get(well)?.as_ref()
    }
}
