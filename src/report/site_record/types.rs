//! The flat rows of a site's record.

use schemars::JsonSchema;
use serde::Serialize;

use crate::diag::Diagnostic;
use crate::read::InputFile;
use crate::schema::Day;
use crate::units::LengthUnit;

/// A well in a round.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct LevelOfRecord {
    /// The well.
    pub well: String,
    /// The round.
    pub round: String,
    /// When it was read, local clock time of the site.
    pub read: Option<String>,
    /// Its head, elevation unit.
    pub head: Option<f64>,
    /// The head's standard deviation.
    pub head_sd: Option<f64>,
    /// The elevation that the water is below, of a well that was dry to its bottom.
    pub below: Option<f64>,
    /// The state it was found in.
    pub status: String,
    /// Whether its measuring point is another, or surveyed anew, since its head before.
    pub resurveyed: bool,
    /// The round of its head before.
    pub since: Option<String>,
    /// The change since then: positive is a rise.
    pub change: Option<f64>,
    /// Lower end of its 95 % interval.
    pub change_low: Option<f64>,
    /// Upper end.
    pub change_high: Option<f64>,
    /// The round of the same season a year before.
    pub year_before: Option<String>,
    /// The change since then.
    pub change_in_year: Option<f64>,
    /// The unit of all of them.
    pub unit: &'static str,
}

/// A well over all rounds.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct WellOfRecord {
    /// The well.
    pub well: String,
    /// Count of heads.
    pub heads: usize,
    /// The lowest.
    pub lowest: Option<f64>,
    /// The round of it.
    pub lowest_in: Option<String>,
    /// The highest.
    pub highest: Option<f64>,
    /// The round of it.
    pub highest_in: Option<String>,
    /// Their mean.
    pub mean: Option<f64>,
    /// `rises`, `falls`, `not shown`, or why there is no trend.
    pub trend: String,
    /// Sen's slope, unit a year.
    pub per_year: Option<f64>,
    /// Lower end of its 95 % interval.
    pub per_year_low: Option<f64>,
    /// Upper end.
    pub per_year_high: Option<f64>,
    /// Kendall's score.
    pub score: Option<i64>,
    /// Probability of a score as far from zero without a trend.
    pub probability: Option<f64>,
    /// The memory of the readings that was taken into account.
    pub memory: Option<f64>,
    /// The same words by seasons; none where rounds are fewer than two a year.
    pub seasonal_trend: Option<String>,
    /// The median of the slopes within seasons, unit a year.
    pub seasonal_per_year: Option<f64>,
    /// Lower end of its 95 % interval.
    pub seasonal_per_year_low: Option<f64>,
    /// Upper end.
    pub seasonal_per_year_high: Option<f64>,
    /// Probability by seasons.
    pub seasonal_probability: Option<f64>,
    /// The unit of heads and slopes.
    #[schemars(with = "LengthUnit")]
    pub unit: &'static str,
}

/// A round.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct RoundOfRecord {
    /// The round.
    pub round: String,
    /// The day in the middle of its readings.
    #[schemars(with = "Option<Day>")]
    pub day: Option<String>,
    /// Count of wells with a head.
    pub heads: usize,
    /// How many of them do not fit through time.
    pub doubtful: usize,
    /// Gradient of the plane through its wells.
    pub gradient: Option<f64>,
    /// Lower end of its 95 % interval.
    pub gradient_low: Option<f64>,
    /// Upper end.
    pub gradient_high: Option<f64>,
    /// Direction of flow against true north, degrees; none where that is not known.
    pub flow_azimuth_true_deg: Option<f64>,
    /// Against grid north.
    pub flow_azimuth_grid_deg: Option<f64>,
    /// Where the 95 % interval of the direction against grid north begins, clockwise.
    pub flow_from_grid_deg: Option<f64>,
    /// Where it ends.
    pub flow_to_grid_deg: Option<f64>,
    /// Whether the direction is resolved.
    pub direction_resolved: Option<bool>,
    /// Whether a plane describes its heads.
    pub plane_describes_heads: Option<bool>,
    /// The round before it with a gradient.
    pub since: Option<String>,
    /// Wells that both have.
    pub shared_wells: Option<usize>,
    /// From its direction to this one, degrees clockwise.
    pub turn_deg: Option<f64>,
    /// Anticlockwise end of the 95 % interval of the turn.
    pub turn_from_deg: Option<f64>,
    /// Clockwise end.
    pub turn_to_deg: Option<f64>,
    /// `turned`, `not shown` or `not resolved`.
    #[schemars(extend("enum" = ["turned", "not shown", "not resolved", null]))]
    pub turned: Option<&'static str>,
}

/// A reading that does not fit through time.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct DoubtfulOfRecord {
    /// The well.
    pub well: String,
    /// The round, of a level that stays the last of them.
    pub round: String,
    /// `unlike itself` or `stays the same`.
    #[schemars(extend("enum" = ["unlike itself", "stays the same"]))]
    pub kind: &'static str,
    /// By how much the head is too high, elevation unit.
    pub off: Option<f64>,
    /// How many of its standard deviations that is.
    pub standard_deviations: Option<f64>,
    /// What would explain it.
    pub would_explain: String,
    /// The unit.
    #[schemars(with = "LengthUnit")]
    pub unit: &'static str,
}

/// A nest in a round: from the upper well to the next below it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct NestOfRecord {
    /// The upper well.
    pub upper: String,
    /// The lower well.
    pub lower: String,
    /// The round.
    pub round: String,
    /// Head of the lower less that of the upper, elevation unit: positive when water rises.
    pub head_difference: Option<f64>,
    /// Distance of the screens' midpoints, elevation unit.
    pub distance: Option<f64>,
    /// The vertical gradient: positive is up.
    pub gradient: Option<f64>,
    /// Lower end of its 95 % interval.
    pub gradient_low: Option<f64>,
    /// Upper end.
    pub gradient_high: Option<f64>,
    /// `up`, `down` or `not resolved`.
    #[schemars(extend("enum" = ["up", "down", "not resolved"]))]
    pub direction: &'static str,
    /// The unit of difference and distance.
    #[schemars(with = "LengthUnit")]
    pub unit: &'static str,
}

/// What to do at a well on the next visit.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct VisitOfRecord {
    /// The well.
    pub well: String,
    /// What to do.
    pub what: &'static str,
    /// Why.
    pub why: String,
}

/// A map of values over a period, as a row.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SurfaceOfRecord {
    /// What the rounds are together: `2025`.
    pub period: String,
    /// What was worked out: `highest`, `lowest` or `mean`.
    #[schemars(extend("enum" = ["highest", "lowest", "mean"]))]
    pub value: &'static str,
    /// The rounds.
    pub rounds: Vec<String>,
    /// Wells on the map.
    pub wells: usize,
    /// The lowest of their values, elevation unit.
    pub from: Option<f64>,
    /// The highest.
    pub to: Option<f64>,
    /// Difference of neighbouring contours, elevation unit.
    pub interval: Option<f64>,
    /// The raster, in the folder `surfaces`.
    pub file: Option<String>,
    /// Why there is no map.
    pub why_none: Option<String>,
    /// The unit.
    #[schemars(with = "LengthUnit")]
    pub unit: &'static str,
}

/// A value of a well over a period, as a row.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct ValueOfRecord {
    /// What the rounds are together.
    pub period: String,
    /// What was worked out: `highest`, `lowest` or `mean`.
    #[schemars(extend("enum" = ["highest", "lowest", "mean"]))]
    pub value: &'static str,
    /// The rounds, with a comma and a space between them.
    pub rounds: String,
    /// The well.
    pub well: String,
    /// The value, elevation unit.
    pub head: Option<f64>,
    /// Its standard deviation.
    pub head_sd: Option<f64>,
    /// The round it was read in.
    pub read_in: Option<String>,
    /// Whether it rests on a head that does not fit its neighbours or other rounds.
    pub doubtful: bool,
    /// Why there is none.
    pub why_none: Option<String>,
    /// The unit.
    #[schemars(with = "LengthUnit")]
    pub unit: &'static str,
}

/// A round that could not be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct NotReadOfRecord<'a> {
    /// The round.
    pub round: &'a str,
    /// Why.
    pub why: &'a str,
}

/// The record of a site, all rounds side by side: the content of `record.json`. Same inputs give the same bytes.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SiteRecordSummary<'a> {
    /// The version of headfall.
    pub headfall: &'static str,
    /// The site's name.
    pub site: &'a str,
    /// The vertical datum of heads.
    pub vertical_datum: Option<&'a str>,
    /// The rounds, the earliest first.
    pub rounds: Vec<RoundOfRecord>,
    /// Rounds that could not be read, and why.
    pub not_read: Vec<NotReadOfRecord<'a>>,
    /// Mean direction of the rounds, degrees from grid north.
    pub mean_direction_grid_deg: Option<f64>,
    /// Length of the mean of their unit vectors: 1 when all agree.
    pub direction_agreement: Option<f64>,
    /// The wells.
    pub wells: Vec<WellOfRecord>,
    /// Readings that do not fit through time.
    pub doubtful: Vec<DoubtfulOfRecord>,
    /// Up or down between nested wells.
    pub nests: Vec<NestOfRecord>,
    /// Maps of the highest, the lowest and the mean heads of years and seasons.
    pub surfaces: Vec<SurfaceOfRecord>,
    /// What to do on the next visit.
    pub next_visit: Vec<VisitOfRecord>,
    /// All that was found.
    pub findings: &'a [Diagnostic],
    /// Every file read.
    pub inputs: &'a [InputFile],
    /// The files written, by name.
    pub files: Vec<&'static str>,
}
