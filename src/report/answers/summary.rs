//! The member `toward` of `summary.json`.

use schemars::JsonSchema;
use serde::Serialize;

use super::rows::Rows;
use super::sentences::sentences;
use super::types::{AcrossRow, PlaceRow, PumpedRow, RankRow, ReachRow, VerdictRow};
use crate::report::digits;
use crate::report::nests::VerticalRow;
use crate::report::results::Results;
use crate::toward::Role;
use crate::toward::STEP_ERROR;
use crate::toward::Toward;
use crate::units::GroundUnit;
use crate::units::Span;

/// All that is said about where the water goes: the member `toward` of `summary.json`.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct TowardSummary<'a> {
    /// The answer, one sentence for each of the first three sources.
    pub in_words: Vec<String>,
    /// How paths were followed on it, with the bound of their error.
    pub paths_by: String,
    /// What the 95 % intervals of directions of flow rest on: the readings and the surface between the wells, or
    /// the readings only.
    pub direction_interval: &'static str,
    /// Why no surfaces are drawn between the wells and no share is given.
    pub no_realizations: Option<&'static str>,
    /// The distances used, m.
    pub distances: Distances,
    /// Retardation, dimensionless, where sorption is given.
    pub retardation: Option<Span>,
    /// Sources.
    pub sources: Vec<PlaceRow<'a>>,
    /// Receptors.
    pub receptors: Vec<PlaceRow<'a>>,
    /// Every source with every receptor.
    pub verdicts: Vec<VerdictRow<'a>>,
    /// The receptors, by what reaches them earliest.
    pub receptors_by_arrival: Vec<RankRow<'a>>,
    /// Count of paths in `paths.geojson`.
    pub paths: usize,
    /// Water-level pairs along lines.
    pub reaches: Vec<ReachRow<'a>>,
    /// The nearest wells on the two sides of each barrier.
    pub across_barriers: Vec<AcrossRow<'a>>,
    /// Capture zones.
    pub pumped_wells: Vec<PumpedRow<'a>>,
    /// Nested wells.
    pub vertical_gradients: Vec<VerticalRow<'a>>,
    /// The surface against the ground.
    pub ground: Option<GroundSummary>,
    /// What the answer must be read with.
    pub cautions: Vec<&'static str>,
}

impl<'a> TowardSummary<'a> {
    /// Sums up where the water goes, when that was asked.
    ///
    /// # Units
    /// Named by the members; rounded as `docs/outputs.md` says.
    #[must_use]
    pub fn of(results: &Results<'a>) -> Option<Self> {
        Some(Self::of_toward(results, results.toward?))
    }

    /// The same of paths that are given.
    pub(in crate::report) fn of_toward(results: &Results<'a>, toward: &'a Toward) -> Self {
        let rows = Rows::new(results, toward);
        let places = |role: Role| {
            (0..toward.places.len())
                .filter(|i| toward.places[*i].role == role)
                .map(|i| rows.place(i))
                .collect()
        };
        let reaches = toward
            .lines
            .iter()
            .enumerate()
            .flat_map(|(i, line)| line.reaches.iter().map(move |reach| (i, reach)))
            .map(|(i, reach)| rows.reach(i, reach));
        Self {
            in_words: sentences(results, toward),
            paths_by: paths_by(toward, GroundUnit::of(results.control.elevation_unit())),
            direction_interval: results.uncertainty.directions.basis.words(),
            no_realizations: toward.no_realizations(),
            distances: Distances {
                capture_m: digits::length(toward.capture_m),
                edge_m: toward.edge_m.map(digits::length),
                pair_m: digits::length(toward.pair_m),
                nested_m: digits::length(toward.nested_m),
                water_m: digits::length(toward.water_m),
            },
            retardation: toward
                .conductor
                .and_then(|c| c.retardation)
                .map(|r| Span { low: digits::range_end(r.low), high: digits::range_end(r.high) }),
            sources: places(Role::Source),
            receptors: places(Role::Receptor),
            verdicts: toward.verdicts.iter().map(|v| rows.verdict(v)).collect(),
            receptors_by_arrival: (0..toward.ranking.len()).map(|i| rows.rank(i)).collect(),
            paths: toward.paths.len(),
            reaches: reaches.collect(),
            across_barriers: toward.across.iter().map(|pair| rows.across(pair)).collect(),
            pumped_wells: toward.pumped.iter().map(Rows::pumped).collect(),
            vertical_gradients: toward
                .vertical
                .iter()
                .map(|g| VerticalRow::of(results.map, g))
                .collect(),
            ground: toward.ground.as_ref().map(|g| GroundSummary {
                nodes_unknown: g.unknown,
                nodes_above: g.above,
                area_above_m2: digits::area(g.above_area_m2),
                highest: g.highest.map(|(_, by)| digits::height(by)),
            }),
            cautions: results.toward_cautions(),
        }
    }
}

/// Distances, m.
#[derive(Debug, Clone, Copy, Serialize, JsonSchema)]
pub struct Distances {
    /// A path this near to a point reaches it.
    pub capture_m: f64,
    /// A path over the grid that ends at the edge of the mapped area this near to a receptor reaches it: a cell;
    /// none on triangles.
    pub edge_m: Option<f64>,
    /// How far to each side of a line the surface was read.
    pub pair_m: f64,
    /// Wells this near to each other count as nested.
    pub nested_m: f64,
    /// Nearer to water than this the surface may be above the ground.
    pub water_m: f64,
}

/// The surface against the ground.
#[derive(Debug, Clone, Copy, Serialize, JsonSchema)]
pub struct GroundSummary {
    /// Nodes without an elevation of the ground.
    pub nodes_unknown: usize,
    /// Nodes where the surface is above the ground away from water.
    pub nodes_above: usize,
    /// Their area, m².
    pub area_above_m2: f64,
    /// By how much at most, elevation unit.
    pub highest: Option<f64>,
}

fn paths_by(toward: &Toward, unit: GroundUnit) -> String {
    match toward.edge_rule(unit) {
        None => "straight lines down each triangle's plane, exact".to_owned(),
        Some(edge) => format!(
            "Runge-Kutta steps of orders 5 and 4 over cubic convolution of the grid, estimated \
             error at most {STEP_ERROR} of the length; {edge}"
        ),
    }
}
