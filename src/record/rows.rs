//! The record as rows: what a table, a page or a drawing is made of.

use serde::Serialize;

use super::change::HeadChange;
use super::circular::Circular;
use super::seasonal::{SeasonalTrend, Seasons};
use super::through_time::Unfitting;
use super::trend::{NoTrend, Trend};
use super::turned::Turn;
use crate::diag::Origin;
use crate::read::Status;
use crate::toward::VerticalGradient;
use crate::uncertainty::{DirectionInterval, MagnitudeInterval, PlaneFit};
use crate::units::{Azimuth, LengthUnit};

/// What the rounds of a site say side by side. Wells and rounds are named by their index.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Record {
    /// Unit of heads and changes.
    pub elevation_unit: LengthUnit,
    /// The wells of the register, in its order.
    pub wells: Vec<WellRow>,
    /// The rounds, the earliest first.
    pub rounds: Vec<RoundRow>,
    /// The seasons that trends are held in; `None` where rounds are fewer than two a year.
    pub seasons: Option<Seasons>,
    /// Mean and spread of the directions of the rounds, against grid north; `None` where no round has one.
    pub directions: Option<Circular>,
    /// Every well in every round in which it was read, by well and round.
    pub heads: Vec<HeadRow>,
    /// Every well between each two rounds in a row in which it has a head, by well and round.
    pub changes: Vec<ChangeRow>,
    /// Up or down between nested wells, by pair and round.
    pub nests: Vec<NestRow>,
    /// Heads that are unlike themselves, and levels that stay while others move.
    pub unfitting: Unfitting,
}

impl Record {
    /// The rows of a well in [`Record::heads`].
    #[must_use]
    pub fn heads_of(&self, well: usize) -> &[HeadRow] {
        let from = self.heads.partition_point(|h| h.well < well);
        let to = self.heads.partition_point(|h| h.well <= well);
        &self.heads[from..to]
    }

    /// The change of a well up to a round.
    #[must_use]
    pub fn change_to(&self, well: usize, round: usize) -> Option<&ChangeRow> {
        let at = self.changes.binary_search_by_key(&(well, round), |c| (c.well, c.to)).ok()?;
        self.changes.get(at)
    }
}

/// A nest in a round.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct NestRow {
    /// The round.
    pub round: usize,
    /// From the upper well to the next below it.
    pub vertical: VerticalGradient,
}

/// The elevations of a well's parts, elevation unit, where the register gives them.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Built {
    /// The measuring point, as the newest head is reduced from it.
    pub measuring_point: Option<f64>,
    /// Top of the screen.
    pub screen_top: Option<f64>,
    /// Bottom of the screen.
    pub screen_bottom: Option<f64>,
    /// How much shallower than built it was sounded, elevation unit, where that is silt.
    pub silt: Option<f64>,
}

/// A well.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WellRow {
    /// Its name.
    pub well: String,
    /// How it is built.
    pub built: Built,
    /// Its highest, lowest and mean head; `None` of a well without one.
    pub extremes: Option<Extremes>,
    /// The same for each calendar year with a head.
    pub years: Vec<(i16, Extremes)>,
    /// The same for each season, from 0 on, with a head.
    pub in_seasons: Vec<(i8, Extremes)>,
    /// Its trend, of the heads that have a date.
    pub trend: Result<Trend, NoTrend>,
    /// Its trend by seasons; `None` where the record has none.
    pub seasonal: Option<Result<SeasonalTrend, NoTrend>>,
}

/// The highest, the lowest and the mean of some heads of a well, elevation unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Extremes {
    /// Count of heads.
    pub heads: usize,
    /// The lowest head.
    pub lowest: f64,
    /// The round it was read in, the first of several.
    pub lowest_in: usize,
    /// The highest head.
    pub highest: f64,
    /// The round it was read in, the first of several.
    pub highest_in: usize,
    /// Their mean.
    pub mean: f64,
}

/// A round.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RoundRow {
    /// Its name.
    pub round: String,
    /// The day in the middle of its readings, as it is written in ISO 8601; `None` where none has a date.
    pub day: Option<String>,
    /// Count of wells with a head.
    pub heads: usize,
    /// Gradient and direction; `None` where its heads carry no map.
    pub gradient: Option<GradientRow>,
    /// How flow turned since the last round with a gradient, by the wells that both have; `None` where there is no
    /// such round, and where fewer than three wells are shared or all on one line.
    pub turn: Option<TurnRow>,
}

/// The gradient of a round: that of the plane through its wells.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GradientRow {
    /// Count of wells and gauges.
    pub wells: usize,
    /// Hydraulic gradient, dimensionless.
    pub gradient: f64,
    /// Its 95 % interval.
    pub gradient_interval: MagnitudeInterval,
    /// Direction of flow against grid north; `None` of a level plane.
    pub azimuth_grid: Option<Azimuth>,
    /// The same against true north; `None` where that is not known.
    pub azimuth_true: Option<Azimuth>,
    /// Its 95 % interval, against grid north.
    pub direction_interval: DirectionInterval,
    /// Whether the direction is resolved.
    pub resolved: bool,
    /// Whether the plane describes the heads.
    pub fit: PlaneFit,
}

/// How flow turned since an earlier round.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TurnRow {
    /// The earlier round.
    pub since: usize,
    /// The turn.
    pub turn: Turn,
}

/// A well in a round: a point of its hydrograph.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeadRow {
    /// The well.
    pub well: usize,
    /// The round.
    pub round: usize,
    /// When, as it is written: a day, or a day and a time.
    pub moment: Option<String>,
    /// The same in days since 1970-01-01, a day without a time at its noon.
    pub day: Option<f64>,
    /// The head, elevation unit; `None` where the well has none.
    pub head: Option<f64>,
    /// Its standard deviation, elevation unit.
    pub sd: Option<f64>,
    /// The state that the well was found in.
    pub status: Status,
    /// The elevation that the water is below, where a dry well was read so, elevation unit.
    pub below: Option<f64>,
    /// Thickness of floating product, elevation unit, where there is some.
    pub product: Option<f64>,
    /// Whether the measuring point is another, or surveyed anew, since the well's head before.
    pub resurveyed: bool,
    /// Where the reading stands.
    pub origin: Origin,
}

/// A well between two rounds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ChangeRow {
    /// The well.
    pub well: usize,
    /// The earlier round.
    pub from: usize,
    /// The later round.
    pub to: usize,
    /// The change.
    pub change: HeadChange,
}
