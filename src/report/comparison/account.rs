//! `cross-validation.json`.

use schemars::JsonSchema;
use serde::Serialize;

use super::types::{Compared, ComparisonResults};
use crate::cross_validate::Candidate;
use crate::cross_validate::Effect;
use crate::cross_validate::LeftOut;
use crate::cross_validate::MethodResult;
use crate::cross_validate::Scores;
use crate::diag::Diagnostic;
use crate::interpolate::KrigingReport;
use crate::read::InputFile;
use crate::report::cautions::SCREENING;
use crate::report::digits;
use crate::report::summary::Opening;
use crate::units::Azimuth;
use crate::units::HeightUnits;

/// So many wells are named as the worst of each method.
const WORST: usize = 5;

/// What a comparison must be read with.
const CAUTIONS: &[&str] = &[
    "Leaving wells out shows how a method predicts heads at wells. It is not informative between \
     wells or outside the well network.",
    "The method with the smallest errors is not the right one for that reason alone: a surface has \
     to fit the hydrogeology of the site.",
    SCREENING,
];

/// Every method with each well left out in turn: the content of `cross-validation.json`. Same inputs give the
/// same bytes.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ComparisonSummary<'a> {
    /// What was mapped.
    #[serde(flatten)]
    pub opening: Opening<'a>,
    /// Every file read.
    pub inputs: Vec<&'a InputFile>,
    /// The base above which squares of the saturated thickness were worked with, elevation unit.
    pub unconfined_base: Option<f64>,
    /// Count of wells and gauges left out in turn.
    pub wells_left_out: usize,
    /// Count of those that all usable methods could predict.
    pub wells_in_common: usize,
    /// Every method.
    pub methods: Vec<MethodSummary<'a>>,
    /// The plane through all wells.
    pub plane: EffectSummary,
    /// The mean of the triangles of all wells, weighted by area.
    pub vector_mean: EffectSummary,
    /// The well without which the plane's direction turns most.
    pub most_turning_well: Option<&'a str>,
    /// Every well, in the order of the map's control points.
    pub wells: Vec<WellSummary<'a>>,
    /// All that was found, in the order of the stages.
    pub findings: &'a [Diagnostic],
    /// The files written, by name.
    #[schemars(extend("uniqueItems" = true))]
    pub files: &'static [&'static str],
    /// What a comparison must be read with.
    #[schemars(length(min = 1))]
    pub cautions: &'static [&'static str],
}

impl<'a> ComparisonSummary<'a> {
    /// Sums a comparison up: the content of `cross-validation.json`.
    ///
    /// # Units
    /// Named by the members; rounded as `docs/outputs.md` says.
    #[must_use]
    pub fn of(results: &ComparisonResults<'a>, files: &'static [&'static str]) -> Self {
        let Compared { site, round, control, comparison, flow, .. } = results.compared;
        Self {
            opening: Opening::of(site, round, control),
            inputs: results.inputs().collect(),
            unconfined_base: site.settings.surface.unconfined_base,
            wells_left_out: comparison.wells.len(),
            wells_in_common: comparison.in_common.iter().filter(|c| **c).count(),
            methods: comparison.methods.iter().map(|m| method(results, m)).collect(),
            plane: EffectSummary::of(
                flow.plane_gradient,
                [flow.plane_azimuth_true, flow.plane_azimuth_grid],
                None,
            ),
            vector_mean: EffectSummary::of(
                flow.mean.gradient,
                [flow.mean.azimuth_true, flow.mean.azimuth_grid],
                None,
            ),
            most_turning_well: comparison.most_turning().map(|i| control.points()[i].id.as_str()),
            wells: comparison.wells.iter().map(|i| well(results, *i)).collect(),
            findings: results.findings,
            files,
            cautions: CAUTIONS,
        }
    }
}

/// One method.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MethodSummary<'a> {
    /// Its name.
    #[schemars(extend("enum" = Candidate::names()))]
    pub method: &'static str,
    /// What it is.
    pub words: &'static str,
    /// Whether the site's settings ask for it.
    pub asked: bool,
    /// Why the method does not apply to these wells; null where it applies. The members from `all` on are there only
    /// where it applies.
    pub refused: Option<&'a str>,
    /// What to do about that.
    pub advice: Option<&'a str>,
    /// What it says; `None` when it cannot be used.
    #[serde(flatten)]
    pub left_out: Option<LeftOutSummary<'a>>,
}

/// What a method says.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LeftOutSummary<'a> {
    /// Scores over all wells it could predict.
    pub all: Option<ScoreSummary>,
    /// Scores over the wells that all usable methods could predict.
    pub common: Option<ScoreSummary>,
    /// The wells with the largest residuals, the largest first.
    #[schemars(length(max = WORST))]
    pub worst_wells: Vec<&'a str>,
    /// Every well it could predict.
    pub predictions: Vec<PredictionSummary<'a>>,
    /// What kriging rests on.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(required)]
    pub kriging: Option<&'a KrigingReport>,
}

/// Scores, m and the site's foot.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct ScoreSummary {
    /// Count of wells.
    #[schemars(range(min = 1))]
    pub wells: usize,
    /// Mean of observed minus predicted, m.
    pub mean_error_m: f64,
    /// The same, ft.
    pub mean_error_ft: f64,
    /// Mean of the sizes, m.
    pub mean_absolute_error_m: f64,
    /// The same, ft.
    pub mean_absolute_error_ft: f64,
    /// Root of the mean square, m.
    pub root_mean_square_error_m: f64,
    /// The same, ft.
    pub root_mean_square_error_ft: f64,
    /// Mean of the standardised residuals; null for methods whose predictions have no standard deviation.
    pub standardised_mean: Option<f64>,
    /// Root of their mean square; null for the same methods.
    pub standardised_root_mean_square: Option<f64>,
}

/// One well by one method.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct PredictionSummary<'a> {
    /// The well.
    pub well: &'a str,
    /// Its head from the others, m.
    pub predicted_m: f64,
    /// The same, ft.
    pub predicted_ft: f64,
    /// Observed minus predicted, m.
    pub residual_m: f64,
    /// The same, ft.
    pub residual_ft: f64,
    /// The residual over its standard deviation; null for methods whose predictions have none.
    pub standardised: Option<f64>,
}

/// One well.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct WellSummary<'a> {
    /// Its name.
    pub well: &'a str,
    /// Its head, m.
    pub head_m: f64,
    /// The same, ft.
    pub head_ft: f64,
    /// Standard deviation of the head, m.
    #[schemars(range(min = 0))]
    pub head_sd_m: f64,
    /// Whether all usable methods could predict it.
    pub in_common: bool,
    /// The plane through all other wells; null when these are on one line.
    pub plane_without: Option<EffectSummary>,
    /// The mean of the triangles of all other wells; null when there are none.
    pub vector_mean_without: Option<EffectSummary>,
}

/// A gradient and direction.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct EffectSummary {
    /// Hydraulic gradient, dimensionless.
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
    /// Turn of the direction when the well is left out, degrees, clockwise positive; absent where there is no
    /// direction.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(required, range(min = -180, max = 180))]
    pub turn_deg: Option<f64>,
}

impl EffectSummary {
    fn of(gradient: f64, [truly, grid]: [Option<Azimuth>; 2], turn_deg: Option<f64>) -> Self {
        Self {
            gradient: digits::gradient(gradient),
            flow_azimuth_true_deg: truly.map(digits::azimuth),
            flow_azimuth_grid_deg: grid.map(digits::azimuth),
            turn_deg: turn_deg.map(digits::azimuth_difference),
        }
    }

    pub(crate) fn without(effect: &Effect) -> Self {
        Self::of(effect.gradient, [effect.azimuth_true, effect.azimuth_grid], effect.turn_deg)
    }
}

fn well<'a>(results: &ComparisonResults<'a>, i: usize) -> WellSummary<'a> {
    let (point, units) = (&results.compared.control.points()[i], results.units());
    let head = units.elevation(point.head);
    let without = &results.compared.comparison.without[i];
    WellSummary {
        well: &point.id,
        head_m: head.m,
        head_ft: head.ft,
        head_sd_m: units.elevation(results.compared.sds[i]).m,
        in_common: results.compared.comparison.in_common[i],
        plane_without: without.plane.as_ref().map(EffectSummary::without),
        vector_mean_without: without.mean.as_ref().map(EffectSummary::without),
    }
}

fn method<'a>(results: &ComparisonResults<'a>, method: &'a MethodResult) -> MethodSummary<'a> {
    let refused = method.outcome.as_ref().err();
    MethodSummary {
        method: method.candidate.name(),
        words: method.candidate.words(),
        asked: method.asked,
        refused: refused.map(|r| r.reason.as_str()),
        advice: refused.and_then(|r| r.advice.as_deref()),
        left_out: method.outcome.as_ref().ok().map(|l| left_out(results, l)),
    }
}

fn left_out<'a>(results: &ComparisonResults<'a>, left_out: &'a LeftOut) -> LeftOutSummary<'a> {
    let units = results.units();
    let points = results.compared.control.points();
    let predictions = left_out.predictions.iter().zip(points).filter_map(|(p, point)| {
        let p = p.as_ref()?;
        let (predicted, residual) = (units.elevation(p.head), units.elevation(p.residual));
        Some(PredictionSummary {
            well: &point.id,
            predicted_m: predicted.m,
            predicted_ft: predicted.ft,
            residual_m: residual.m,
            residual_ft: residual.ft,
            standardised: p.standardised.map(digits::ratio),
        })
    });
    LeftOutSummary {
        all: left_out.all.map(|s| scores(units, &s)),
        common: left_out.common.map(|s| scores(units, &s)),
        worst_wells: left_out.worst.iter().take(WORST).map(|i| points[*i].id.as_str()).collect(),
        predictions: predictions.collect(),
        kriging: left_out.kriging.as_ref(),
    }
}

fn scores(units: HeightUnits, scores: &Scores) -> ScoreSummary {
    let mean = units.elevation(scores.mean_error);
    let absolute = units.elevation(scores.mean_absolute_error);
    let square = units.elevation(scores.root_mean_square_error);
    ScoreSummary {
        wells: scores.wells,
        mean_error_m: mean.m,
        mean_error_ft: mean.ft,
        mean_absolute_error_m: absolute.m,
        mean_absolute_error_ft: absolute.ft,
        root_mean_square_error_m: square.m,
        root_mean_square_error_ft: square.ft,
        standardised_mean: scores.standardised_mean.map(digits::ratio),
        standardised_root_mean_square: scores.standardised_root_mean_square.map(digits::ratio),
    }
}
