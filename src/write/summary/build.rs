//! The results, summed up.

use super::cautions::CAUTIONS;
use super::types::{
    ContourSummary, Counts, CrsSummary, FlowSummary, Foot, MarkCounts, PlaneSummary, Summary,
    VectorMeanSummary, WellResidual,
};
use crate::geom::tolerance::TOLERANCES;
use crate::reduce::Fate;
use crate::results::Results;
use crate::triangulate::Mark;
use crate::units::LengthUnit;
use crate::write::decimals;
use crate::write::file_names;

/// Sums up what a run read, chose, computed and found: the content of `summary.json`.
///
/// # Units
/// Named by the members; rounded as `docs/outputs.md` says.
#[must_use]
pub fn summary<'a>(results: &Results<'a>) -> Summary<'a> {
    let (site, control) = (results.site, results.control);
    let foot = control.elevation_unit().foot();
    let crs = control.crs();
    Summary {
        headfall: env!("CARGO_PKG_VERSION"),
        site: &site.settings.name,
        round: &site.round,
        from: control.from_to().map(|(from, _)| from.to_string()),
        to: control.from_to().map(|(_, to)| to.to_string()),
        aquifer_unit: control.aquifer_unit(),
        vertical_datum: site.settings.vertical_datum.as_deref(),
        elevation_unit: control.elevation_unit(),
        foot: Foot { unit: foot, metres: foot.metres() },
        crs: CrsSummary {
            definition: crs.definition(),
            name: crs.name(),
            unit: crs.unit_name(),
            metres_per_unit: crs.metres_per_unit(),
        },
        inputs: &site.inputs,
        method: &results.surface.words,
        options: &site.settings,
        instruments: &site.instruments,
        tolerances: TOLERANCES,
        counts: counts(results),
        grid: *results.surface.heads.spec(),
        contours: ContourSummary {
            interval: results.contours.interval,
            base: site.settings.base_level,
            levels: &results.contours.levels,
        },
        flow: flow(results),
        wells: wells(results),
        findings: results.findings,
        files: file_names(results),
        cautions: CAUTIONS,
    }
}

fn counts(results: &Results) -> Counts {
    let accounts = results.control.accounts();
    let used = accounts.iter().filter(|a| a.fate == Fate::Used).count();
    let triangles = results.mesh.triangles();
    let marked = |mark| triangles.iter().filter(|t| t.marks.contains(&mark)).count();
    let spec = results.surface.heads.spec();
    Counts {
        readings: accounts.len(),
        readings_used: used,
        readings_set_aside: accounts.len() - used,
        control_points: results.control.points().len(),
        triangles: triangles.len(),
        marks: MarkCounts {
            sliver: marked(Mark::Sliver),
            long_hull_edge: marked(Mark::LongHullEdge),
        },
        flat_triangles: results.flow.triangles.iter().filter(|t| t.azimuth_grid.is_none()).count(),
        contours: results.contours.lines.len(),
        nodes: spec.rows * spec.columns,
        nodes_supported: results.surface.heads.supported(),
    }
}

fn flow(results: &Results) -> FlowSummary {
    let (flow, factors) = (results.flow, results.control.factors());
    FlowSummary {
        plane: PlaneSummary {
            gradient: decimals::gradient(flow.plane_gradient),
            flow_azimuth_true_deg: flow.plane_azimuth_true.map(decimals::azimuth),
            flow_azimuth_grid_deg: flow.plane_azimuth_grid.map(decimals::azimuth),
            r_squared: flow.plane.r_squared.map(decimals::coefficient),
            residual_sd_m: flow.plane.residual_sd.map(decimals::height),
        },
        vector_mean: VectorMeanSummary {
            gradient: decimals::gradient(flow.mean.gradient),
            flow_azimuth_true_deg: flow.mean.azimuth_true.map(decimals::azimuth),
            flow_azimuth_grid_deg: flow.mean.azimuth_grid.map(decimals::azimuth),
            agreement: decimals::coefficient(flow.mean.agreement),
        },
        convergence_deg: decimals::convergence(factors.convergence_deg),
        scale: decimals::scale(factors.scale),
        distances_corrected: results.control.scale_corrected(),
    }
}

fn wells<'a>(results: &Results<'a>) -> Vec<WellResidual<'a>> {
    let metres = |h| results.control.elevation_unit().convert(h, LengthUnit::Metre);
    let plane = &results.flow.plane.residuals;
    results
        .control
        .points()
        .iter()
        .enumerate()
        .map(|(i, p)| WellResidual {
            well: &p.id,
            head_m: decimals::height(metres(p.head)),
            plane_residual_m: plane.get(i).map(|r| decimals::height(*r)),
            leave_one_out_residual_m: p.leave_one_out.map(|l| decimals::height(metres(l.residual))),
            leave_one_out_score: p.leave_one_out.map(|l| decimals::ratio(l.score)),
        })
        .collect()
}
