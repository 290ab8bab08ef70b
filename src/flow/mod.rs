//! Triangles and heads to gradients and directions of flow.
//!
//! Groundwater in an isotropic unit flows down the head, at right angles to the contours. Every
//! gradient here is dimensionless: metres of head for each metre of ground.

mod judged;
mod left_out;
mod over_map;
mod site;
mod triangle;
mod types;
mod wells;

pub use over_map::MOST_OF_AREA;
pub use types::{OverMap, SiteFlow, TriangleFlow, VectorMean};

use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic, Severity, Warned};
use crate::error::Error;
use crate::triangulate::{self, Mesh};
use wells::Wells;

/// Gradient and direction of every triangle and of the site as a whole. Where heads were judged, what is
/// said of the whole site is what the measured heads say without them.
///
/// # Errors
/// [`Error::Map`] when PROJ cannot give the convergence at a triangle, which a control set inside
/// its CRS rules out in practice.
///
/// # Panics
/// When the control points stand on one line, which a control set rules out.
///
/// # References
/// Pinder, Celia and Gray (1981) for triangles; least squares for the plane. `docs/methods.md`.
pub fn site(control: &ControlSet, mesh: &Mesh) -> Result<Warned<SiteFlow>, Error> {
    let metres = control.elevation_unit().metres();
    let flows = |control: &ControlSet, mesh: &Mesh| {
        triangle::flows(control, mesh, metres).map_err(|e| {
            let text = format!("no north at a triangle: {e}");
            Error::Map(vec![Diagnostic::new(Code::CrsUnknown, text)])
        })
    };
    let triangles = flows(control, mesh)?;
    if triangles.iter().all(|t| t.slope.is_none()) {
        let mut told = Diagnostic::new(
            Code::BarrierCut,
            "the barriers cross every triangle: no side has three wells",
        )
        .advice("check the barrier lines; a side needs three wells that are not on one line");
        told.severity = Severity::Refusal;
        return Err(Error::Map(vec![told]));
    }
    let wells = Wells::of(control);
    let mut plane =
        wells.plane_with(&[]).expect("this is a bug in headfall: a control set has no plane");
    let points = control.points().iter();
    plane.residuals = points.map(|p| p.head * metres - plane.at(p.local)).collect();
    let convergence = control.convergence_deg();
    let azimuth = site::downhill(plane.slope);
    // What is said of the whole site rests on no judged head.
    let measured = control.measured().map(|control| {
        let mesh = triangulate::mesh(&control).value;
        flows(&control, &mesh).map(|flows| (mesh, flows))
    });
    let measured = measured.transpose()?;
    let (of, by) = measured.as_ref().map_or((mesh, &triangles), |m| (&m.0, &m.1));
    let mean = site::vector_mean(of, by, convergence, control.frame().rounding_m());
    let over_map = over_map::over_map(of, by, convergence);
    let mut findings: Vec<Diagnostic> = flat(control, mesh, &triangles).into_iter().collect();
    let value = SiteFlow {
        plane_gradient: plane.slope.magnitude(),
        plane_azimuth_grid: azimuth,
        plane_azimuth_true: azimuth.zip(convergence).map(|(a, by)| a.turned(by)),
        mean,
        over_map,
        plane,
        triangles,
    };
    findings.extend(left_out::effects(control, &value, &wells));
    findings.extend(judged::effects(control, &value, &wells));
    Ok(Warned::new(value, findings))
}

/// The finding for triangles whose three heads are equal.
fn flat(control: &ControlSet, mesh: &Mesh, flows: &[TriangleFlow]) -> Option<Diagnostic> {
    let flat: Vec<usize> = (0..flows.len()).filter(|i| flows[*i].is_flat()).collect();
    let first = mesh.triangles().get(*flat.first()?)?;
    let names = first.corners.map(|i| control.points()[i].id.clone());
    let mut told = Diagnostic::new(
        Code::FlatTriangle,
        format!(
            "{} of {} triangles {} three equal heads and no direction, the first of {}",
            flat.len(),
            flows.len(),
            if flat.len() == 1 { "has" } else { "have" },
            names.join(", ")
        ),
    );
    told.wells = names.to_vec();
    Some(told)
}
