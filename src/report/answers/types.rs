//! The flat rows, rounded, that GeoJSON, CSV and JSON share.

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::Serialize;

use crate::toward::{Decides, GradientFrom, KnownBy};

/// A source, a receptor or a pumped well.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PlaceRow<'a> {
    /// Its name.
    pub name: Cow<'a, str>,
    /// `source`, `receptor` or `pumped well`.
    pub role: &'static str,
    /// Count of paths that begin there.
    pub paths: usize,
    /// The flow around it.
    #[serde(flatten)]
    pub flow: FlowRow,
    /// For a receptor the sources that reach it, for a source the receptors it reaches.
    pub meets: Vec<Cow<'a, str>>,
}

/// The flow around a place.
#[derive(Debug, Clone, Copy, Default, Serialize, JsonSchema)]
pub struct FlowRow {
    /// Hydraulic gradient of the triangle around it.
    pub gradient: Option<f64>,
    /// Direction of flow there, degrees from true north; none where true north is not known.
    pub flow_azimuth_true_deg: Option<f64>,
    /// Where the 95 % interval of that direction begins, clockwise; none when the direction is
    /// not resolved.
    pub flow_from_true_deg: Option<f64>,
    /// Where it ends.
    pub flow_to_true_deg: Option<f64>,
    /// Direction of flow there, degrees from grid north, or site north in local coordinates.
    pub flow_azimuth_grid_deg: Option<f64>,
    /// Where its interval begins.
    pub flow_from_grid_deg: Option<f64>,
    /// Where it ends.
    pub flow_to_grid_deg: Option<f64>,
    /// Whether the direction is resolved; none beyond the map.
    pub direction_resolved: Option<bool>,
}

/// A flow path.
#[derive(Debug, Clone, Serialize)]
pub struct PathRow<'a> {
    /// Counted from 1.
    pub id: usize,
    /// The place it begins at.
    pub from: Cow<'a, str>,
    /// What that is.
    pub role: &'static str,
    /// `down` or `up` the gradient.
    pub way: &'static str,
    /// Why it ends.
    pub end: &'static str,
    /// The well it ends at, where it ends at one.
    pub end_well: Option<&'a str>,
    /// Length, m.
    pub length_m: f64,
    /// Length, ft.
    pub length_ft: f64,
    /// Head where it begins, m.
    pub head_begin_m: f64,
    /// Head where it begins, ft.
    pub head_begin_ft: f64,
    /// Head where it ends, m.
    pub head_end_m: f64,
    /// Head where it ends, ft.
    pub head_end_ft: f64,
    /// Difference of these over the length.
    pub gradient: Option<f64>,
    /// Lower end of its 95 % interval from the errors of the heads.
    pub gradient_low: Option<f64>,
    /// Upper end.
    pub gradient_high: Option<f64>,
    /// Time of travel over all of it, lowest, days.
    pub travel_low_d: Option<f64>,
    /// Time of travel over all of it, highest, days; none where `gradient_low` is 0.
    pub travel_high_d: Option<f64>,
}

/// One source with one receptor.
#[derive(Debug, Clone, Default, Serialize, JsonSchema)]
pub struct VerdictRow<'a> {
    /// The source.
    pub source: Cow<'a, str>,
    /// The receptor.
    pub receptor: Cow<'a, str>,
    /// `reaches`, `passes`, `leaves the mapped area`, `stops at a low`, `comes to a level place` or
    /// `not on the map`.
    pub outcome: &'static str,
    /// What the map alone says.
    pub outcome_on_map: &'static str,
    /// The well at which the path stops or leaves the map, where it is one.
    pub at_well: Option<&'a str>,
    /// The stream that the nearest path joins.
    pub at_stream: Option<&'a str>,
    /// Paths from the source.
    pub paths: usize,
    /// Those that reach the receptor.
    pub paths_reaching: usize,
    /// Those of them that end at the edge of the mapped area within a cell of it: reached as far as
    /// the grid can tell.
    pub paths_reaching_at_edge: usize,
    /// The path meant by what follows: its `id`.
    pub path: Option<usize>,
    /// How near it comes, m; 0 when it reaches the receptor, up to a cell when at the edge.
    pub nearest_m: Option<f64>,
    /// The same, ft.
    pub nearest_ft: Option<f64>,
    /// Its length to there, m.
    pub length_m: Option<f64>,
    /// The same, ft.
    pub length_ft: Option<f64>,
    /// Where it first reaches the receptor or is nearest, CRS units.
    pub easting: Option<f64>,
    /// Northing of that place.
    pub northing: Option<f64>,
    /// Head at the source, m.
    pub head_begin_m: Option<f64>,
    /// The same, ft.
    pub head_begin_ft: Option<f64>,
    /// Head there, m.
    pub head_there_m: Option<f64>,
    /// The same, ft.
    pub head_there_ft: Option<f64>,
    /// Mean gradient on the way.
    pub gradient: Option<f64>,
    /// Lower end of its 95 % interval from the errors of the heads; 0 where these leave the fall
    /// open.
    #[schemars(range(min = 0))]
    pub gradient_low: Option<f64>,
    /// Upper end.
    #[schemars(range(min = 0))]
    pub gradient_high: Option<f64>,
    /// Seepage velocity over that interval, lowest, m/d.
    pub velocity_low_m_per_d: Option<f64>,
    /// Seepage velocity, highest, m/d.
    pub velocity_high_m_per_d: Option<f64>,
    /// Lowest, ft/d.
    pub velocity_low_ft_per_d: Option<f64>,
    /// Highest, ft/d.
    pub velocity_high_ft_per_d: Option<f64>,
    /// Time of travel of the water, shortest, days.
    pub travel_low_d: Option<f64>,
    /// Time of travel of the water, longest, days; none where `gradient_low` is 0: without end.
    pub travel_high_d: Option<f64>,
    /// Time of travel of the retarded substance, shortest, days.
    pub retarded_low_d: Option<f64>,
    /// Time of travel of the retarded substance, longest, days; none likewise.
    pub retarded_high_d: Option<f64>,
    /// Within how many days the water has arrived in 10 % of all realizations, conductivity and porosity drawn as they
    /// are declared; none where it arrives in fewer.
    pub arrival_10_percent_d: Option<f64>,
    /// In 50 %.
    pub arrival_50_percent_d: Option<f64>,
    /// In 90 %.
    pub arrival_90_percent_d: Option<f64>,
    /// What makes the range of the travel time wide: `conductivity`, `porosity` or `surface`.
    pub time_decided_by: Option<Decides>,
    /// How many times its low end that alone makes its high end.
    pub time_decided_by_factor: Option<f64>,
    /// When the first of the substance arrives by longitudinal dispersion, earliest, days.
    pub first_arrival_low_d: Option<f64>,
    /// Latest, days; none where it has no end.
    pub first_arrival_high_d: Option<f64>,
    /// The least share of the concentration at the source that decay leaves.
    pub share_left_low: Option<f64>,
    /// The largest.
    pub share_left_high: Option<f64>,
    /// From the beginning of the path to the nearest place of the receptor, degrees from true north; none
    /// where true north is not known.
    pub bearing_true_deg: Option<f64>,
    /// The same, degrees from grid north, or site north in local coordinates.
    pub bearing_grid_deg: Option<f64>,
    /// Whether any place of the receptor, seen from there, lies in the 95 % interval of the
    /// direction of flow at the source; none when the direction is not resolved.
    pub bearing_in_flow_interval: Option<bool>,
    /// The flow at the source.
    #[serde(skip)]
    pub flow: FlowRow,
    /// Direction of flow at the source, degrees from true north.
    pub flow_azimuth_true_deg: Option<f64>,
    /// Where the 95 % interval of that direction begins, clockwise; none when the direction is
    /// not resolved.
    pub flow_from_true_deg: Option<f64>,
    /// Where it ends.
    pub flow_to_true_deg: Option<f64>,
    /// Direction of flow at the source, degrees from grid north, or site north in local coordinates.
    pub flow_azimuth_grid_deg: Option<f64>,
    /// Where its interval begins.
    pub flow_from_grid_deg: Option<f64>,
    /// Where it ends.
    pub flow_to_grid_deg: Option<f64>,
    /// Share of the realizations in which a path reaches the receptor; none when some of them
    /// leave it open, and where no realizations are drawn.
    pub probability: Option<f64>,
    /// Lower end of its 95 % interval, realizations that leave first as not reaching.
    pub probability_low: Option<f64>,
    /// Upper end of its 95 % interval, realizations that leave first as reaching.
    pub probability_high: Option<f64>,
    /// Count of realizations.
    pub realizations: Option<usize>,
    /// Realizations in which a path reaches the receptor.
    pub realizations_reaching: Option<usize>,
    /// Realizations in which none does and the paths leave the mapped area on their way there.
    pub realizations_leaving_first: Option<usize>,
    /// Whether most realizations agree with the map.
    pub realizations_agree: Option<bool>,
    /// The share if only the readings err and the surface runs straight from well to well.
    pub probability_readings_only: Option<f64>,
    /// Wells without which the expected surface gives the other answer, in a list.
    pub changes_without: Option<String>,
    /// Where another well would tell most about the answer, CRS units.
    pub next_well_easting: Option<f64>,
    /// The same.
    pub next_well_northing: Option<f64>,
    /// The share of the answer's variance over the realizations that its head would explain.
    pub next_well_explains: Option<f64>,
    /// Straight on from where the path leaves the mapped area at its last gradient, where no well shows it: the
    /// direction, degrees clockwise from grid north.
    pub beyond_azimuth_grid_deg: Option<f64>,
    /// From there to the receptor, m; none where it would pass it.
    pub beyond_to_receptor_m: Option<f64>,
    /// How far it would pass it, m.
    pub beyond_off_m: Option<f64>,
    /// Days from the source to the receptor, lowest.
    pub beyond_travel_low_d: Option<f64>,
    /// Highest.
    pub beyond_travel_high_d: Option<f64>,
    /// Paths upgradient from the receptor.
    pub upgradient_paths: usize,
    /// Those that come from the source.
    pub upgradient_paths_reaching: usize,
}

/// A receptor in the order of earliest arrival.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RankRow<'a> {
    /// Its place in the order, from 1.
    pub rank: usize,
    /// The receptor.
    pub receptor: Cow<'a, str>,
    /// The source whose water reaches it earliest, or most probably.
    pub source: Cow<'a, str>,
    /// Earliest arrival, days; of an open receptor straight on beyond the wells.
    pub arrival_low_d: Option<f64>,
    /// Latest arrival of that water, days.
    pub arrival_high_d: Option<f64>,
    /// How that is known.
    pub known_by: KnownBy,
    /// Whether the time is that of a straight line beyond the wells.
    pub beyond_wells: bool,
    /// What the realizations say.
    pub realizations: Option<String>,
}

/// A stretch of a line along which the flow on one side has one sense.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ReachRow<'a> {
    /// The line.
    pub line: Cow<'a, str>,
    /// `left` or `right`, seen along the line.
    pub side: &'static str,
    /// The compass point of that side.
    pub compass: &'static str,
    /// Where the reach begins, m along the line.
    pub from_m: f64,
    /// Where it ends.
    pub to_m: f64,
    /// `toward`, `away` or `not resolved`.
    pub water_flows: &'static str,
    /// `stage` or `surface`: what gives the level on the line.
    pub level_on_line: &'static str,
    /// The surface beside the line less the level on it, mean, m.
    pub difference_m: f64,
    /// The same, ft.
    pub difference_ft: f64,
    /// Its standard deviation, m.
    pub sd_m: f64,
    /// The distance over which it applies, m.
    pub distance_m: f64,
    /// Lowest of the differences along the reach, m.
    pub lowest_m: f64,
    /// Highest of them, m.
    pub highest_m: f64,
    /// The nearest well on this side.
    pub well: Option<&'a str>,
    /// Its head less the level on the line, m.
    pub well_difference_m: Option<f64>,
    /// Its standard deviation, m.
    pub well_sd_m: Option<f64>,
    /// Its distance, m.
    pub well_distance_m: Option<f64>,
    /// The sense of flow by that pair.
    pub well_says: Option<&'static str>,
}

/// The capture zone of a pumped well.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PumpedRow<'a> {
    /// The well.
    pub well: Cow<'a, str>,
    /// Whether its own level is used for the map.
    pub level_used: bool,
    /// Pumping rate, m3/d.
    pub rate_m3_per_d: Option<f64>,
    /// The gradient of the closed form, of the flow without the pumping: low end of its interval.
    pub gradient_low: Option<f64>,
    /// High end.
    pub gradient_high: Option<f64>,
    /// Where it is from: `declared` or `surface`.
    pub gradient_from: Option<GradientFrom>,
    /// The transmissivity that the cone on the surface implies, lowest, m2/d.
    pub implied_transmissivity_low_m2_per_d: Option<f64>,
    /// Highest, m2/d.
    pub implied_transmissivity_high_m2_per_d: Option<f64>,
    /// Closed form: well to stagnation point, lowest, m.
    pub to_stagnation_low_m: Option<f64>,
    /// Highest, m.
    pub to_stagnation_high_m: Option<f64>,
    /// Closed form: full width at the well, lowest, m.
    pub width_at_well_low_m: Option<f64>,
    /// Highest, m.
    pub width_at_well_high_m: Option<f64>,
    /// Closed form: full width far upgradient, lowest, m.
    pub width_far_low_m: Option<f64>,
    /// Highest, m.
    pub width_far_high_m: Option<f64>,
    /// Mapped: nodes tried.
    pub nodes_tried: usize,
    /// Mapped: nodes whose path ends at the well.
    pub nodes_captured: usize,
    /// Mapped: their area, m2; none where no path ends at the well.
    pub mapped_area_m2: Option<f64>,
    /// Mapped: extent across the flow, m.
    pub mapped_width_m: Option<f64>,
    /// Mapped: extent downgradient of the well, m.
    pub mapped_downgradient_m: Option<f64>,
}

/// Two wells on the two sides of a barrier.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct AcrossRow<'a> {
    /// The barrier.
    pub barrier: &'a str,
    /// Where along it, m from its beginning.
    pub along_m: f64,
    /// The well with the higher head.
    pub higher: &'a str,
    /// The well with the lower one.
    pub lower: &'a str,
    /// By how much it is higher, m.
    pub difference_m: f64,
    /// The same, ft.
    pub difference_ft: f64,
    /// Its standard deviation, m.
    pub sd_m: f64,
    /// Whether the difference is beyond 1.96 standard deviations.
    pub resolved: bool,
    /// From well to well, m.
    pub distance_m: f64,
}
