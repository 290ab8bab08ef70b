//! The results, summed up.

use std::collections::BTreeMap;

use super::types::{
    ContourSummary, Counts, CrsSummary, FlowSummary, JudgedSummary, MarkCounts, Opening,
    OverMapSummary, PlaneSummary, StepSummary, Summary, UncertaintySummary, VectorMeanSummary,
    WellResidual,
};
use crate::check::JudgedHead;
use crate::flow::MOST_OF_AREA;
use crate::geom::length;
use crate::geom::tolerance::Tolerances;
use crate::reduce::Fate;
use crate::report::answers::TowardSummary;
use crate::report::digits;
use crate::report::intervals::Intervals;
use crate::report::results::Results;
use crate::triangulate::Mark;
use crate::units::LengthUnit;

impl<'a> Summary<'a> {
    /// Sums up what a run read, chose, computed and found: the content of `summary.json`.
    ///
    /// # Units
    /// Named by the members; rounded as `docs/outputs.md` says.
    #[must_use]
    pub fn of(
        results: &Results<'a>,
        files: Vec<&'static str>,
        sha256: BTreeMap<String, String>,
    ) -> Self {
        let (site, control) = (&results.map.site, &results.map.control);
        let crs = control.crs();
        Self {
            opening: Opening::of(site, &results.map.round, control),
            crs: CrsSummary {
                definition: crs.definition(),
                name: crs.name(),
                unit: crs.unit_name(),
                metres_per_unit: crs.metres_per_unit(),
            },
            inputs: results.inputs().collect(),
            method: &results.map.surface.words,
            options: results.options(),
            instruments: &site.instruments,
            tolerances: Tolerances,
            counts: counts(results),
            grid: *results.map.surface.heads.spec(),
            contours: ContourSummary {
                interval: results.map.contours.interval,
                base: results.map.contours.interval.map(|_| site.settings.base_level),
                levels: &results.map.contours.levels,
            },
            largest_step: results.map.surface.step.map(|step| StepSummary {
                head_m: digits::height(
                    control.elevation_unit().convert(step.head, LengthUnit::Metre),
                ),
                contour_intervals: digits::ratio(
                    step.intervals(results.map.contours.spacings().least()),
                ),
                easting: digits::position(step.at.x),
                northing: digits::position(step.at.y),
            }),
            flow: FlowSummary::of(results),
            uncertainty: uncertainty(results),
            kriging: results.map.surface.kriging.as_ref(),
            wells: wells(results),
            judged: control.judged().iter().map(|judged| self::judged(results, judged)).collect(),
            toward: TowardSummary::of(results),
            findings: results.findings,
            files,
            sha256,
            cautions: results.cautions(),
        }
    }
}

fn counts(results: &Results) -> Counts {
    let readings = results.map.control.accounts().iter().count();
    let used = results.map.control.accounts().iter().filter(|a| a.fate == Fate::Used).count();
    let triangles = results.map.mesh.triangles();
    let marked = |mark| triangles.iter().filter(|t| t.marks.contains(&mark)).count();
    let spec = results.map.surface.heads.spec();
    Counts {
        readings,
        readings_used: used,
        readings_not_used: readings - used,
        control_points: results.map.control.points().len(),
        judged_points: results.map.control.points().iter().filter(|p| p.is_judged()).count(),
        triangles: triangles.len(),
        marks: MarkCounts {
            sliver: marked(Mark::Sliver),
            long_hull_edge: marked(Mark::LongHullEdge),
            one_stream: marked(Mark::OneStream),
            outside_boundary: marked(Mark::OutsideBoundary),
            one_line: marked(Mark::OneLine),
            judged: marked(Mark::Judged),
        },
        flat_triangles: results.map.flow.triangles.iter().filter(|t| t.is_flat()).count(),
        contours: results.map.contours.lines.len(),
        nodes: spec.rows * spec.columns,
        nodes_supported: results.map.surface.heads.supported(),
    }
}

impl FlowSummary {
    /// Of a map.
    pub(in crate::report) fn of(results: &Results) -> Self {
        let (flow, factors) = (&results.map.flow, results.map.control.factors());
        let convergence_deg = results.map.control.convergence_deg();
        let error = results.map.uncertainty.plane.as_ref();
        Self {
            plane: PlaneSummary {
                gradient: digits::gradient(flow.plane_gradient),
                flow_azimuth_true_deg: flow.plane_azimuth_true.map(digits::azimuth),
                flow_azimuth_grid_deg: flow.plane_azimuth_grid.map(digits::azimuth),
                r_squared: flow.plane.r_squared.map(digits::coefficient),
                residual_sd_m: flow.plane.residual_sd.map(digits::height),
                sure: Intervals::of(error.map(|e| &e.stated), convergence_deg),
                basis: error.map(|e| e.basis),
                variance_ratio: error.and_then(|e| e.variance_ratio).map(digits::ratio),
            },
            vector_mean: VectorMeanSummary {
                gradient: digits::gradient(flow.mean.gradient),
                flow_azimuth_true_deg: flow.mean.azimuth_true.map(digits::azimuth),
                flow_azimuth_grid_deg: flow.mean.azimuth_grid.map(digits::azimuth),
                agreement: digits::coefficient(flow.mean.agreement),
            },
            over_map: flow.over_map.as_ref().map(|range| OverMapSummary {
                area_part: MOST_OF_AREA,
                gradient_low: digits::gradient(range.gradient_low),
                gradient_high: digits::gradient(range.gradient_high),
                flow_azimuth_true_from_deg: range.azimuths_true.map(|a| digits::azimuth(a[0])),
                flow_azimuth_true_to_deg: range.azimuths_true.map(|a| digits::azimuth(a[1])),
                flow_azimuth_grid_from_deg: range.azimuths_grid.map(|a| digits::azimuth(a[0])),
                flow_azimuth_grid_to_deg: range.azimuths_grid.map(|a| digits::azimuth(a[1])),
            }),
            plane_describes_heads: results.plane_describes(),
            convergence_deg: convergence_deg.map(digits::convergence),
            scale: digits::scale(factors.scale),
            distances_corrected: results.map.control.scale_corrected(),
        }
    }
}

fn uncertainty(results: &Results) -> UncertaintySummary {
    let (uncertainty, resolved) = (&results.map.uncertainty, results.resolved());
    let (mut inferred, mut all) = (0.0, 0.0);
    for (line, support) in results.map.contours.lines.iter().zip(&uncertainty.contours) {
        for stretch in &support.stretches {
            let length = length(stretch.points(&line.points));
            all += length;
            inferred += if stretch.inferred { length } else { 0.0 };
        }
    }
    UncertaintySummary {
        triangles_fit: resolved.fit,
        triangles_resolved: resolved.resolved,
        triangles_resolved_by_chance: digits::ratio(resolved.by_chance),
        triangles_known: uncertainty.directions.known(),
        direction_interval: uncertainty.directions.basis.words(),
        seed: uncertainty.realizations.seed,
        realizations: uncertainty.realizations.members,
        inferred_rule: uncertainty.inferred_rule.clone(),
        usual_spacing_m: digits::area(uncertainty.spacing_m),
        mean_spacing_m: digits::area(uncertainty.mean_spacing_m),
        inferred_part: (all > 0.0).then(|| digits::ratio(inferred / all)),
    }
}

fn judged<'a>(results: &Results<'a>, judged: &'a JudgedHead) -> JudgedSummary<'a> {
    let unit = results.map.control.elevation_unit();
    JudgedSummary {
        name: &judged.name,
        kind: if judged.crs.is_some() { "point" } else { "control-line" },
        head_m: digits::height(unit.convert(judged.head, LengthUnit::Metre)),
        easting: judged.crs.map(|p| digits::position(p.x)),
        northing: judged.crs.map(|p| digits::position(p.y)),
        control_points: judged.points.len(),
        reason: &judged.judgement.reason,
        by: &judged.judgement.by,
    }
}

fn wells<'a>(results: &Results<'a>) -> Vec<WellResidual<'a>> {
    let metres = |h| results.map.control.elevation_unit().convert(h, LengthUnit::Metre);
    let plane = &results.map.flow.plane.residuals;
    results
        .map
        .control
        .points()
        .iter()
        .enumerate()
        .filter(|(_, p)| !p.is_judged())
        .map(|(i, p)| WellResidual {
            well: &p.id,
            head_m: digits::height(metres(p.head)),
            head_sd_m: results.measured_sd_m(i).map(digits::height),
            plane_residual_m: plane.get(i).map(|r| digits::height(*r)),
            leave_one_out_residual_m: p.leave_one_out.map(|l| digits::height(metres(l.residual))),
            leave_one_out_score: p.leave_one_out.map(|l| digits::ratio(l.score)),
        })
        .collect()
}
