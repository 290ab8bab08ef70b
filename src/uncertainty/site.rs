//! How sure everything on one map is.

use std::sync::OnceLock;

use geo::Coord;
use rayon::prelude::*;

use super::around::HeadsAround;
use super::asked::Asked;
use super::carried::{Carried, ContourSupport, Errors, Tally};
use super::ensemble::{DirectionSpread, Ensemble};
use super::gradient::GradientError;
use super::inferred::RestsOn;
use super::known::Directions;
use super::linear::LinearSurface;
use super::mostly_inferred;
use super::plane::{PlaneError, plane_error};
use super::plane_unfit;
use super::triangle::{MOST_EXACT_TRIANGLES, triangle_errors};
use crate::check::{ControlSet, HeadSd};
use crate::contour::{ContourLine, Contours};
use crate::diag::Warned;
use crate::flow::SiteFlow;
use crate::geom::{mean_spacing, usual_spacing};
use crate::interpolate::{Grid, Surface};
use crate::read::{EnsembleOptions, Settings};
use crate::triangulate::Mesh;

/// Realizations are simulated until this many directions of triangles are worked out: beyond, a map of
/// very many wells would be waited for because of its spreads.
const MOST_DIRECTIONS: usize = 2_000_000;

/// But no fewer realizations than this, if as many are asked for.
const FEWEST_ROUNDS: usize = 20;

/// Uncertainty at every node.
#[derive(Debug, Clone)]
pub struct Rasters {
    /// The standard deviation of the linear surface, elevation unit; only where that is the one
    /// drawn.
    pub head_sd: Option<Grid>,
    /// The spread of the direction of flow of the triangle around, degrees.
    pub direction_spread: Grid,
}

/// How sure everything on one map is.
#[derive(Debug, Clone)]
pub struct SiteUncertainty {
    /// Each control point's standard deviation, in the control set's order.
    pub heads: Vec<HeadSd>,
    /// Each triangle's gradient, in the mesh's order, from the errors of the readings alone; `None`
    /// for one on one line or with a judged head.
    pub triangles: Vec<Option<GradientError>>,
    /// How well directions of flow are known.
    pub directions: Directions,
    /// The site's plane.
    pub plane: Option<PlaneError>,
    /// How far each triangle's direction of flow spreads over the realizations; empty when no
    /// realizations are drawn.
    pub spreads: Vec<DirectionSpread>,
    /// The realizations that were simulated: fewer than asked for where triangles are many.
    pub realizations: EnsembleOptions,
    /// Each contour, in their order.
    pub contours: Vec<ContourSupport>,
    /// The usual spacing of wells, m: the median distance to the nearest.
    pub spacing_m: f64,
    /// The mean spacing of wells, m, or the usual one where that is larger.
    pub mean_spacing_m: f64,
    /// The rule by which a contour is inferred, as a sentence.
    pub inferred_rule: String,
    /// At every node, where asked for.
    pub rasters: Option<Rasters>,
}

impl SiteUncertainty {
    /// The stretches of all contours, in their order: which contour each is of, and which of its stretches.
    pub(crate) fn stretches(&self) -> impl Iterator<Item = (usize, usize)> {
        let of = |(line, support): (usize, &ContourSupport)| {
            (0..support.stretches.len()).map(move |s| (line, s))
        };
        self.contours.iter().enumerate().flat_map(of)
    }
}

/// How sure everything on a map is, from the standard deviations of its heads, and a finding where
/// the site's plane does not describe them.
///
/// The plane's errors are those of the plane through the control points; the contours' are those
/// of the linear surface, or of the surface drawn where that has a standard deviation of its own.
/// A contour on planes gets a vertex wherever it changes between supported and inferred.
///
/// # Units
/// - `heads`: one for each control point
///
/// # References
/// `docs/uncertainty.md`.
#[must_use]
pub fn site(
    settings: &Settings,
    control: &ControlSet,
    mesh: &Mesh,
    flow: &SiteFlow,
    contours: &mut Contours,
    drawn: &Surface,
    heads: Vec<HeadSd>,
) -> Warned<SiteUncertainty> {
    let metres = control.elevation_unit().metres();
    let sds: Vec<f64> = heads.iter().map(|h| h.sd_m / metres).collect();
    let sds_m: Vec<f64> = heads.iter().map(|h| h.sd_m).collect();
    let corners: Vec<[usize; 3]> = mesh.triangles().iter().map(|t| t.corners).collect();
    let triangles = measured_triangles(mesh, flow, &sds, metres, &corners);
    let (wells, well_sds): (Vec<Coord>, Vec<f64>) =
        control.wells().into_iter().map(|i| (mesh.local()[i], sds_m[i])).unzip();
    let plane = plane_error(&flow.plane, &wells, &well_sds);
    let mut findings: Vec<_> =
        plane_unfit::told(control, flow, plane.as_ref()).into_iter().collect();
    let ensemble = settings.uncertainty.ensemble;
    let most = (MOST_DIRECTIONS / corners.len().max(1)).max(FEWEST_ROUNDS);
    let realizations = EnsembleOptions { members: ensemble.members.min(most), ..ensemble };
    let ensemble = Ensemble::draw(mesh.heads(), &sds, realizations);
    let spreads = ensemble.triangle_spreads(mesh.local(), &corners);
    let (surface, (spacing_m, mean_spacing_m)) = rayon::join(
        || LinearSurface::new(mesh.local(), mesh.heads(), &sds, &corners),
        || (usual_spacing(&wells), mean_spacing(&wells)),
    );
    let mean_spacing_m = mean_spacing_m.max(spacing_m);
    let around = HeadsAround::new(control, &heads);
    let between = around.between(spacing_m);
    let between = match between {
        Some(between) if corners.len() > MOST_EXACT_TRIANGLES => Some(between.most_probable()),
        between => between,
    };
    let within_deg = settings.uncertainty.direction_within_deg;
    let rasters = settings.uncertainty.rasters.then(|| {
        let (frame, spec) = (control.frame(), *drawn.heads.spec());
        let spread = |t: usize, _| spreads.get(t).map_or(f64::NAN, |s| s.sd_deg.min(180.0));
        let boundary = control.beside().boundary();
        Rasters {
            head_sd: drawn.is_planes().then(|| surface.sd_grid(frame, spec).within(boundary)),
            direction_spread: surface.grid(frame, spec, spread).within(boundary),
        }
    });
    let barriers = control.beside().barriers();
    let given = drawn.kriging.as_ref().is_some_and(|k| k.fit.is_none());
    let errors = match (drawn.sd.as_ref().filter(|_| given), &between) {
        (Some(sd), _) => Errors::Own(sd),
        (None, None) => Errors::Readings,
        (None, Some(between)) if drawn.is_on_planes() => {
            let sides = |t: &[usize; 3]| between.along_sides(t.map(|i| mesh.local()[i]));
            Errors::Planes { between, sides: corners.par_iter().map(sides).collect() }
        }
        (None, Some(between)) => Errors::Around { between, around: &around },
    };
    let readings_only = matches!(errors, Errors::Readings);
    let carried = Carried {
        surface,
        errors,
        measured: &wells,
        tree: OnceLock::new(),
        barriers,
        mesh,
        metres,
        heads: measured_heads(control),
        spacing_m,
        mean_spacing_m,
        rule: settings.uncertainty.inferred,
        drawn: control.has_judged().then_some(drawn),
        around: &around,
        between: between.as_ref(),
    };
    let next = contours.spacings();
    let step = drawn.is_on_planes().then(|| drawn.heads.spec().cell);
    let support = |line: &mut ContourLine| {
        let asked = Asked::along(&line.points, step);
        let (mut support, tally) =
            carried.contour(line.level, asked.points(), control.frame(), next.at(line.level));
        line.points = asked.settled(&mut support.stretches);
        (support, tally)
    };
    let (contours, tallies): (Vec<_>, Vec<_>) = contours.lines.par_iter_mut().map(support).unzip();
    let tally = tallies.into_iter().fold(Tally::default(), Tally::and);
    findings.extend(mostly_inferred::told(control, &tally, settings.uncertainty.inferred));
    let inferred_rule = settings.uncertainty.inferred.sentence(
        mean_spacing_m,
        settings.elevation_unit,
        !barriers.is_empty(),
        RestsOn { readings_only, judged: control.has_judged(), unfit: around.any_off() },
    );
    let directions = Directions::of(control, mesh, flow, &triangles, (between, around), within_deg);
    let value = SiteUncertainty {
        heads,
        triangles,
        directions,
        plane,
        spreads,
        realizations,
        contours,
        spacing_m,
        mean_spacing_m,
        inferred_rule,
        rasters,
    };
    Warned::new(value, findings)
}

/// The errors of the triangles that have a gradient and no judged head at a corner.
fn measured_triangles(
    mesh: &Mesh,
    flow: &SiteFlow,
    sds: &[f64],
    metres: f64,
    corners: &[[usize; 3]],
) -> Vec<Option<GradientError>> {
    let mut errors = triangle_errors(mesh.local(), mesh.heads(), sds, metres, corners);
    let of_triangles = flow.triangles.iter().zip(mesh.triangles());
    for (error, (flow, triangle)) in errors.iter_mut().zip(of_triangles) {
        *error = error.filter(|_| flow.slope.is_some() && !triangle.is_judged());
    }
    errors
}

/// The lowest and the highest head that was not judged, elevation unit.
fn measured_heads(control: &ControlSet) -> (f64, f64) {
    let measured = control.points().iter().filter(|p| !p.is_judged()).map(|p| p.head);
    measured.fold((f64::INFINITY, f64::NEG_INFINITY), |r, h| (r.0.min(h), r.1.max(h)))
}
