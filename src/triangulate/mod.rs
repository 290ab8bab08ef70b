//! Control points to triangles.

mod beside;
mod cut;
mod delaunay;
mod outline;
mod planes;
mod quality;
mod types;

use geo::Coord;

pub(crate) use outline::{Outline, Side};
pub(crate) use planes::Planes;
pub use types::{Mark, Mesh, Triangle};

use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic, Warned};
use crate::geom::tolerance;
use crate::units::{GroundUnit, fixed, told_apart};

/// The Delaunay triangulation of a control set.
///
/// Triangles that a barrier crosses are taken out (M410). Slivers (M401), triangles with three
/// corners on one stream (M411) or on one line (M412) and triangles on long edges of the outline
/// (M402) are marked and told, never dropped: an outline without them would hide where the wells
/// do not reach.
///
/// # References
/// Delaunay (1934); the empty-circle criterion is decided by exact predicates (Shewchuk 1997).
#[must_use]
pub fn mesh(control: &ControlSet) -> Warned<Mesh> {
    let points = control.points();
    let local: Vec<Coord> = points.iter().map(|p| p.local).collect();
    let heads = points.iter().map(|p| p.head).collect();
    let mut mesh = judged(local, heads, |i| points[i].well().is_some());
    let mut findings = cut::at_barriers(control, &mut mesh);
    quality::mark_lines(&mut mesh.triangles);
    beside::mark(control, &mut mesh);
    let marks = [Mark::Sliver, Mark::LongHullEdge, Mark::OneStream, Mark::OneLine, Mark::Judged];
    findings.extend(marks.into_iter().filter_map(|mark| told(mark, &mesh.triangles, control)));
    Warned::new(mesh, findings)
}

/// The Delaunay triangulation of points known to be finite, distinct and not on one line.
///
/// # Units
/// - `local`: m; `heads`: elevation unit
pub(crate) fn mesh_of(local: Vec<Coord>, heads: Vec<f64>) -> Mesh {
    let mut mesh = judged(local, heads, |_| true);
    quality::mark_lines(&mut mesh.triangles);
    mesh
}

fn judged(local: Vec<Coord>, heads: Vec<f64>, is_well: impl Fn(usize) -> bool) -> Mesh {
    let (corners, hull) = delaunay::triangles_and_hull(&local);
    let triangles = quality::judged(&local, corners, &hull, is_well);
    Mesh { local, heads, triangles, hull }
}

/// One finding for all triangles with a mark, the worst named.
fn told(mark: Mark, triangles: &[Triangle], control: &ControlSet) -> Option<Diagnostic> {
    let marked = triangles.iter().filter(|t| t.marks.contains(&mark));
    let count = marked.clone().count();
    let worst = marked.max_by(|a, b| a.base_to_height.total_cmp(&b.base_to_height))?;
    let names = worst.corners.map(|i| control.points()[i].id.as_str());
    let of_all = format!("{count} of {} triangles", triangles.len());
    let [have, lie, their] =
        if count == 1 { ["has", "lies", "its"] } else { ["have", "lie", "their"] };
    let text = match mark {
        Mark::Sliver => format!(
            "{of_all} {have} a base more than {} times {their} height; the thinnest ({}) has {}",
            tolerance::BASE_TO_HEIGHT,
            names.join(", "),
            match worst.base_to_height {
                ratio if ratio.is_finite() => told_apart(ratio, tolerance::BASE_TO_HEIGHT, 1).0,
                _ => "no height".to_owned(),
            }
        ),
        Mark::LongHullEdge => format!(
            "{of_all} {lie} on an edge of the outline longer than {} times the usual well \
             spacing, such as {}",
            tolerance::LONG_HULL_EDGE,
            names.join(", ")
        ),
        Mark::OneStream => {
            let names = names.join(", ");
            format!("{of_all} {have} {their} three corners on one stream, such as {names}")
        }
        Mark::OneLine => format!(
            "{of_all} {have} three corners on one line and no gradient (height below {} of the \
             longest side, or below {} and {} of it), such as {}",
            tolerance::COLLINEAR_SPREAD,
            GroundUnit::of(control.elevation_unit()).away(tolerance::ONE_LINE_HEIGHT_M),
            tolerance::ONE_LINE_HEIGHT,
            names.join(", ")
        ),
        Mark::Judged => {
            let area = |judged: bool| {
                let counted = triangles.iter().filter(|t| !judged || t.is_judged());
                counted.map(|t| t.area_m2).sum::<f64>()
            };
            format!(
                "{of_all} {have} a judged head at a corner, {} % of the mapped area, such as {}",
                fixed(100.0 * area(true) / area(false), 0),
                names.join(", ")
            )
        }
        Mark::OutsideBoundary => return None,
    };
    let (code, advice) = match mark {
        Mark::Sliver => (Code::Sliver, "do not rely on the direction of such a triangle alone"),
        Mark::LongHullEdge => (
            Code::LongHullEdge,
            "contours there depend on widely spaced wells; treat them as \
                                  inferred",
        ),
        Mark::OneLine => (
            Code::OneLine,
            "they are left out of the mean of the triangles; the heads of their wells are on the \
             map",
        ),
        Mark::Judged => (
            Code::JudgedTriangles,
            "contours there are drawn as inferred, and no direction of flow is known there; gradient and \
             direction of the whole site are those of the measured heads alone",
        ),
        _ => (
            Code::OneStream,
            "such a triangle shows the fall of the stream; do not take a direction of groundwater \
             flow from it",
        ),
    };
    let mut told = Diagnostic::new(code, text).advice(advice);
    told.wells = names.map(str::to_owned).to_vec();
    Some(told)
}
