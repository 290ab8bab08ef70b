//! The members of `summary.json`. What is said of them here is in its schema.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;

use crate::check::ControlSet;
use crate::diag::Diagnostic;
use crate::geom::tolerance::Tolerances;
use crate::interpolate::{GridSpec, KrigingReport};
use crate::read::Calibration;
use crate::read::InputFile;
use crate::read::{Round, Site};
use crate::report::answers::TowardSummary;
use crate::report::intervals::Intervals;
use crate::report::results::Options;
use crate::schema::{Moment, Positive, Sha256};
use crate::sealed::BuiltOf;
use crate::uncertainty::Basis;
use crate::units::{Azimuth, LengthUnit};

/// The account of a run. It holds no time of the run and no absolute path, so that two runs of
/// the same inputs give the same bytes.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Summary<'a> {
    /// What was mapped.
    #[serde(flatten)]
    pub opening: Opening<'a>,
    /// The project CRS.
    pub crs: CrsSummary<'a>,
    /// Every file read.
    pub inputs: Vec<&'a InputFile>,
    /// How heads between wells were worked out.
    pub method: &'a str,
    /// Every setting, declared or by default.
    pub options: Options<'a>,
    /// Calibrations of instruments, by name.
    pub instruments: &'a BTreeMap<String, Calibration>,
    /// Every tolerance of this version.
    pub tolerances: Tolerances,
    /// How many of everything.
    pub counts: Counts,
    /// Where the nodes are, CRS units: the pixel centres of `surface.tif`.
    pub grid: GridSpec,
    /// The contours.
    pub contours: ContourSummary<'a>,
    /// The largest step of the surface between two neighbouring nodes that no barrier parts: by how much more the
    /// head changes between them than beside them; null without barriers.
    pub largest_step: Option<StepSummary>,
    /// Gradient and direction of the whole site.
    pub flow: FlowSummary,
    /// How sure the map is.
    pub uncertainty: UncertaintySummary,
    /// What a kriged surface rests on: covariance, fit with standard errors, trend.
    pub kriging: Option<&'a KrigingReport>,
    /// How each control point departs from the plane and from its neighbours.
    #[schemars(length(min = 3))]
    pub wells: Vec<WellResidual<'a>>,
    /// The heads that somebody judged and nobody measured: points, then control lines.
    pub judged: Vec<JudgedSummary<'a>>,
    /// Where the water goes; left out when that was not asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(required)]
    pub toward: Option<TowardSummary<'a>>,
    /// All that was found, in the order of the stages.
    pub findings: &'a [Diagnostic],
    /// The files written, by name.
    #[schemars(extend("uniqueItems" = true))]
    pub files: Vec<&'static str>,
    /// SHA-256 of each file written, but of `summary.json` itself and of `files.sha256`.
    #[schemars(with = "BTreeMap<String, Sha256>")]
    pub sha256: BTreeMap<String, String>,
    /// What the map must be read with.
    #[schemars(length(min = 1))]
    pub cautions: Vec<&'static str>,
}

/// What every account begins with.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Opening<'a> {
    /// The version of headfall.
    pub headfall: &'static str,
    /// What the program was built of.
    pub built_of: BuiltOf,
    /// The site's name.
    pub site: &'a str,
    /// The round's name.
    pub round: &'a str,
    /// The first reading behind the map, local clock time of the site.
    #[schemars(with = "Option<Moment>")]
    pub from: Option<String>,
    /// The last reading behind the map, local clock time of the site.
    #[schemars(with = "Option<Moment>")]
    pub to: Option<String>,
    /// The aquifer unit mapped.
    pub aquifer_unit: Option<&'a str>,
    /// The vertical datum of heads.
    pub vertical_datum: Option<&'a str>,
    /// The unit of heads and contour levels.
    pub elevation_unit: LengthUnit,
    /// The foot that `_ft` means in all files.
    pub foot: Foot,
}

impl<'a> Opening<'a> {
    /// The opening of an account of a site and the heads that carry its map.
    #[must_use]
    pub fn of(site: &'a Site, round: &'a Round, control: &'a ControlSet) -> Self {
        let foot = control.elevation_unit().foot();
        Self {
            headfall: env!("CARGO_PKG_VERSION"),
            built_of: BuiltOf::this(),
            site: &site.settings.name,
            round: &round.name,
            from: control.from_to().map(|(from, _)| from.to_string()),
            to: control.from_to().map(|(_, to)| to.to_string()),
            aquifer_unit: control.aquifer_unit(),
            vertical_datum: site.settings.vertical_datum.as_deref(),
            elevation_unit: control.elevation_unit(),
            foot: Foot { unit: foot, metres: foot.metres() },
        }
    }
}

/// A foot.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Foot {
    /// Which foot.
    #[schemars(extend("enum" = ["ft", "ft-us"]))]
    pub unit: LengthUnit,
    /// Its size, m.
    #[schemars(with = "Positive")]
    pub metres: f64,
}

/// The project CRS.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct CrsSummary<'a> {
    /// As declared; local for local coordinates.
    pub definition: &'a str,
    /// Its name in PROJ's database.
    pub name: &'a str,
    /// The name of its unit.
    pub unit: &'a str,
    /// The size of its unit, m.
    #[schemars(with = "Positive")]
    pub metres_per_unit: f64,
}

/// How many of everything.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Counts {
    /// Readings of the round.
    pub readings: usize,
    /// Readings behind the map.
    pub readings_used: usize,
    /// Readings not used.
    pub readings_not_used: usize,
    /// Control points: wells and gauges, points along streams, judged heads.
    pub control_points: usize,
    /// Those of them that were judged.
    pub judged_points: usize,
    /// Triangles.
    pub triangles: usize,
    /// Triangles that deserve distrust.
    pub marks: MarkCounts,
    /// Triangles without a direction.
    pub flat_triangles: usize,
    /// Lines of equal head.
    pub contours: usize,
    /// Nodes of the grid.
    pub nodes: usize,
    /// Nodes with a head.
    pub nodes_supported: usize,
}

/// A judgement behind the map.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct JudgedSummary<'a> {
    /// The name of the point or of the line.
    pub name: &'a str,
    /// `point` or `control-line`.
    #[schemars(extend("enum" = ["point", "control-line"]))]
    pub kind: &'static str,
    /// The head, m.
    pub head_m: f64,
    /// Where a point is, CRS units.
    pub easting: Option<f64>,
    /// Where a point is, CRS units.
    pub northing: Option<f64>,
    /// Control points that it has on the map.
    #[schemars(range(min = 1))]
    pub control_points: usize,
    /// Why.
    pub reason: &'a str,
    /// Who decided it.
    pub by: &'a str,
}

/// How many triangles have each mark.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct MarkCounts {
    /// Slivers: the longest side over the height is above the bound.
    pub sliver: usize,
    /// Triangles on a long edge of the outline.
    pub long_hull_edge: usize,
    /// Triangles whose three corners are on one stream.
    pub one_stream: usize,
    /// Triangles whose centroid lies outside the boundary.
    pub outside_boundary: usize,
    /// Triangles whose three corners are on one line: they have no gradient.
    pub one_line: usize,
    /// Triangles with a corner whose head was judged.
    pub judged: usize,
}

/// The contours.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ContourSummary<'a> {
    /// Difference of neighbouring levels, elevation unit; null where the levels are listed.
    pub interval: Option<f64>,
    /// A level that all others count from, elevation unit; null where the levels are listed.
    pub base: Option<f64>,
    /// The levels, ascending, elevation unit.
    pub levels: &'a [f64],
}

/// A step of the surface between two neighbouring nodes that no barrier parts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct StepSummary {
    /// Its height, m.
    #[schemars(range(min = 0))]
    pub head_m: f64,
    /// Its height in contour intervals.
    #[schemars(range(min = 0))]
    pub contour_intervals: f64,
    /// The middle between the two nodes, CRS units.
    pub easting: f64,
    /// The middle between the two nodes, CRS units.
    pub northing: f64,
}

/// Gradient and direction of the whole site.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct FlowSummary {
    /// The least-squares plane through all control points.
    pub plane: PlaneSummary,
    /// The area-weighted vector mean of the triangles.
    pub vector_mean: VectorMeanSummary,
    /// The ranges of gradient and direction that hold most of the mapped area; null where no triangle has a
    /// gradient.
    pub over_map: Option<OverMapSummary>,
    /// Whether the plane describes the heads; where it does not (M416), report `over_map`.
    pub plane_describes_heads: bool,
    /// Meridian convergence at the site's centre, degrees: true azimuth = grid azimuth + convergence. In local
    /// coordinates the azimuth of site north, null where it is not known.
    pub convergence_deg: Option<f64>,
    /// Grid distance over ground distance at the site's centre.
    #[schemars(with = "Positive")]
    pub scale: f64,
    /// Whether distances were divided by that scale.
    pub distances_corrected: bool,
}

/// The ranges of gradient and direction that hold most of the mapped area.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct OverMapSummary {
    /// The part of the area of the triangles that they hold.
    pub area_part: f64,
    /// The lower end of the range of hydraulic gradients, m/m.
    #[schemars(range(min = 0))]
    pub gradient_low: f64,
    /// Its upper end, m/m.
    #[schemars(range(min = 0))]
    pub gradient_high: f64,
    /// Where the range of directions of flow begins, degrees clockwise from true north; null where there is no
    /// single direction.
    #[schemars(with = "Option<Azimuth>")]
    pub flow_azimuth_true_from_deg: Option<f64>,
    /// Where it ends.
    #[schemars(with = "Option<Azimuth>")]
    pub flow_azimuth_true_to_deg: Option<f64>,
    /// The same against grid north, or site north in local coordinates.
    #[schemars(with = "Option<Azimuth>")]
    pub flow_azimuth_grid_from_deg: Option<f64>,
    /// Where it ends.
    #[schemars(with = "Option<Azimuth>")]
    pub flow_azimuth_grid_to_deg: Option<f64>,
}

/// A least-squares plane.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct PlaneSummary {
    /// Hydraulic gradient, m/m.
    #[schemars(range(min = 0))]
    pub gradient: f64,
    /// Direction of flow against true north, degrees clockwise; null when there is none, and where true north is
    /// not known.
    #[schemars(with = "Option<Azimuth>")]
    pub flow_azimuth_true_deg: Option<f64>,
    /// Direction of flow against grid north, or site north in local coordinates, degrees clockwise; null when
    /// there is none.
    #[schemars(with = "Option<Azimuth>")]
    pub flow_azimuth_grid_deg: Option<f64>,
    /// Coefficient of determination; null when all heads are equal and with three wells.
    pub r_squared: Option<f64>,
    /// Residual standard deviation, m; null for three control points.
    pub residual_sd_m: Option<f64>,
    /// Its 95 % intervals.
    #[serde(flatten)]
    pub sure: Intervals,
    /// Which errors the intervals rest on.
    pub basis: Option<Basis>,
    /// Residual variance over the one that the heads' errors lead to expect.
    pub variance_ratio: Option<f64>,
}

/// How sure the map is.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct UncertaintySummary {
    /// Triangles that a direction may be read off: without a mark but that of the boundary.
    pub triangles_fit: usize,
    /// Those of them in which the readings rule out a level water table.
    pub triangles_resolved: usize,
    /// So many would be resolved on a level water table, by chance.
    #[schemars(range(min = 0))]
    pub triangles_resolved_by_chance: f64,
    /// Those of them whose direction is known to within the stated angle.
    pub triangles_known: usize,
    /// What the 95 % intervals of directions rest on.
    pub direction_interval: &'static str,
    /// Seed of the realizations.
    pub seed: u64,
    /// How many were simulated.
    pub realizations: usize,
    /// When a contour is inferred.
    pub inferred_rule: String,
    /// The usual spacing of wells, m: the median distance to the nearest.
    pub usual_spacing_m: f64,
    /// The mean spacing of wells, m: the root of the area of their outline for each, or the usual one
    /// where that is larger.
    pub mean_spacing_m: f64,
    /// The part of all contours, by length, that is inferred.
    pub inferred_part: Option<f64>,
}

/// An area-weighted vector mean.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct VectorMeanSummary {
    /// Hydraulic gradient, m/m.
    #[schemars(range(min = 0))]
    pub gradient: f64,
    /// Direction of flow against true north, degrees clockwise; null when there is none, and where true north is
    /// not known.
    #[schemars(with = "Option<Azimuth>")]
    pub flow_azimuth_true_deg: Option<f64>,
    /// Direction of flow against grid north, or site north in local coordinates, degrees clockwise; null when
    /// there is none.
    #[schemars(with = "Option<Azimuth>")]
    pub flow_azimuth_grid_deg: Option<f64>,
    /// 1 when all triangles agree, 0 when their directions cancel.
    #[schemars(range(min = 0, max = 1))]
    pub agreement: f64,
}

/// How a control point departs from the plane and from its neighbours.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct WellResidual<'a> {
    /// The well.
    pub well: &'a str,
    /// Its head, m.
    pub head_m: f64,
    /// Standard deviation of its head, m; null for a point of a stream, which nobody read.
    pub head_sd_m: Option<f64>,
    /// Observed minus plane, m.
    pub plane_residual_m: Option<f64>,
    /// Observed minus its neighbours' plane, m.
    pub leave_one_out_residual_m: Option<f64>,
    /// That residual over its standard deviation, by the scatter of the others.
    pub leave_one_out_score: Option<f64>,
}
