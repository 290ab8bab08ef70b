//! How sure everything on one map is.

use std::sync::OnceLock;

use geo::Coord;
use kiddo::{ImmutableKdTree, SquaredEuclidean};
use rayon::prelude::*;

use super::ensemble::{DirectionSpread, Ensemble};
use super::gradient::GradientError;
use super::inferred::{Stretch, Support};
use super::linear::{BandOptions, HalfWidth, LinearSurface};
use super::plane::{PlaneError, plane_error};
use super::plane_fit;
use super::triangle::triangle_errors;
use crate::check::{ControlSet, HeadSd};
use crate::contour::{ContourLine, Contours};
use crate::diag::Warned;
use crate::flow::SiteFlow;
use crate::geom::{Frame, Obstacles, distance, usual_spacing};
use crate::interpolate::{Grid, Surface};
use crate::read::{EnsembleOptions, Method, Settings};
use crate::triangulate::Mesh;
use crate::units::median;

/// Half width of a contour's band, in standard deviations of the head: 95 % at each vertex.
const BAND_SDS: f64 = 1.96;

/// A band is drawn no wider than this part of the usual spacing of wells to each side.
const BAND_CAP_SPACINGS: f64 = 0.5;

/// Rounds are simulated until this many directions of triangles are worked out: beyond, a map of
/// very many wells would be waited for because of its spreads.
const MOST_DIRECTIONS: usize = 2_000_000;

/// But no fewer rounds than this, if as many are asked for.
const FEWEST_ROUNDS: usize = 20;

/// What carries a contour.
#[derive(Debug, Clone, PartialEq)]
pub struct ContourSupport {
    /// The line cut where it changes between supported and inferred, CRS units.
    pub stretches: Vec<Stretch>,
    /// Half the width of its 95 % band at each of its vertices.
    pub band: Vec<HalfWidth>,
}

impl ContourSupport {
    /// The median half width of the band along a stretch, and whether it was capped anywhere.
    #[must_use]
    pub fn band_along(&self, stretch: Stretch) -> HalfWidth {
        let along = || stretch.vertices(self.band.len()).map(|v| self.band[v]);
        let half_width_m = median(along().map(|b| b.half_width_m)).unwrap_or(0.0);
        HalfWidth { half_width_m, capped: along().any(|b| b.capped) }
    }
}

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
    /// Each triangle's gradient, in the mesh's order; `None` for one on one line.
    pub triangles: Vec<Option<GradientError>>,
    /// The site's plane.
    pub plane: Option<PlaneError>,
    /// How far each triangle's direction of flow spreads over the simulated rounds; empty when no
    /// rounds are drawn.
    pub spreads: Vec<DirectionSpread>,
    /// The rounds that were simulated: fewer than asked for where triangles are many.
    pub rounds: EnsembleOptions,
    /// Each contour, in their order.
    pub contours: Vec<ContourSupport>,
    /// The usual spacing of wells, m.
    pub spacing_m: f64,
    /// The rule by which a contour is inferred, as a sentence.
    pub inferred_rule: String,
    /// At every node, where asked for.
    pub rasters: Option<Rasters>,
}

/// A direction that is resolved is called wide where its 95 % interval is wider than this, degrees.
pub const WIDE_DEG: f64 = 90.0;

impl SiteUncertainty {
    /// Triangles whose direction of flow is resolved.
    #[must_use]
    pub fn resolved(&self) -> usize {
        self.triangles.iter().flatten().filter(|e| e.resolved).count()
    }

    /// Those of them whose direction is known to no better than [`WIDE_DEG`].
    #[must_use]
    pub fn resolved_wide(&self) -> usize {
        let wide = |e: &&GradientError| e.resolved && e.direction.width_deg() > WIDE_DEG;
        self.triangles.iter().flatten().filter(wide).count()
    }
}

/// How sure everything on a map is, from the standard deviations of its heads, and a finding where
/// the site's plane does not describe them.
///
/// The plane's errors are those of the plane through the control points; the contours' are those
/// of the linear surface, or of the surface drawn where that has a standard deviation of its own.
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
    contours: &Contours,
    drawn: &Surface,
    heads: Vec<HeadSd>,
) -> Warned<SiteUncertainty> {
    let metres = control.elevation_unit().metres();
    let sds: Vec<f64> = heads.iter().map(|h| h.sd_m / metres).collect();
    let sds_m: Vec<f64> = heads.iter().map(|h| h.sd_m).collect();
    let corners: Vec<[usize; 3]> = mesh.triangles().iter().map(|t| t.corners).collect();
    let mut triangles = triangle_errors(mesh.local(), mesh.heads(), &sds, metres, &corners);
    for (error, flow) in triangles.iter_mut().zip(&flow.triangles) {
        *error = error.filter(|_| flow.slope.is_some());
    }
    let (wells, well_sds): (Vec<Coord>, Vec<f64>) =
        control.wells().into_iter().map(|i| (mesh.local()[i], sds_m[i])).unzip();
    let plane = plane_error(&flow.plane, &wells, &well_sds);
    let findings = plane_fit::told(control, flow, plane.as_ref()).into_iter().collect();
    let ensemble = settings.uncertainty.ensemble;
    let most = (MOST_DIRECTIONS / corners.len().max(1)).max(FEWEST_ROUNDS);
    let rounds = EnsembleOptions { members: ensemble.members.min(most), ..ensemble };
    let ensemble = Ensemble::draw(mesh.heads(), &sds, rounds);
    let spreads = ensemble.triangle_spreads(mesh.local(), &corners);
    let (surface, spacing_m) = rayon::join(
        || LinearSurface::new(mesh.local(), mesh.heads(), &sds, &corners),
        || usual_spacing(&wells),
    );
    let rasters = settings.uncertainty.rasters.then(|| {
        let (frame, spec) = (control.frame(), *drawn.heads.spec());
        let spread = |t: usize, _| spreads.get(t).map_or(f64::NAN, |s| s.sd_deg.min(180.0));
        let linear = drawn.method == Method::Linear && settings.surface.unconfined_base.is_none();
        let boundary = control.beside().boundary();
        Rasters {
            head_sd: linear.then(|| surface.sd_grid(frame, spec).within(boundary)),
            direction_spread: surface.grid(frame, spec, spread).within(boundary),
        }
    });
    let sd = drawn.sd.as_ref();
    let barriers = control.beside().barriers();
    let range = (f64::INFINITY, f64::NEG_INFINITY);
    let range = mesh.heads().iter().fold(range, |r, h| (r.0.min(*h), r.1.max(*h)));
    let wells = OnceLock::new();
    let carried = Carried { surface, wells, barriers, mesh, sd, heads: range, spacing_m, settings };
    let support = |line: &ContourLine| carried.contour(line, control.frame(), contours.interval);
    let contours = contours.lines.par_iter().map(support).collect();
    let inferred_rule = settings.uncertainty.inferred.sentence(spacing_m, !barriers.is_empty());
    let value = SiteUncertainty {
        heads,
        triangles,
        plane,
        spreads,
        rounds,
        contours,
        spacing_m,
        inferred_rule,
        rasters,
    };
    Warned { value, findings }
}

/// What contours are held against.
struct Carried<'a> {
    surface: LinearSurface<'a>,
    /// Looked into where a contour is far from the wells around it, and made then.
    wells: OnceLock<ImmutableKdTree<f64, 2>>,
    barriers: &'a Obstacles,
    mesh: &'a Mesh,
    sd: Option<&'a Grid>,
    /// The lowest and the highest head.
    heads: (f64, f64),
    spacing_m: f64,
    settings: &'a Settings,
}

impl Carried<'_> {
    fn contour(&self, line: &ContourLine, frame: &Frame, interval: f64) -> ContourSupport {
        let rule = self.settings.uncertainty.inferred;
        let local: Vec<Coord> = line.points.iter().map(|p| frame.to_local(*p)).collect();
        let places = self.surface.along(&local);
        let far = rule.spacings * self.spacing_m;
        let supports: Vec<Support> = (0..local.len())
            .map(|i| Support {
                to_nearest_well_m: self.to_nearest_well(local[i], places[i], far),
                in_marked_triangle: places[i]
                    .is_none_or(|(t, _)| self.mesh.triangles()[t].is_thin()),
                beyond_heads: self.heads.0 > line.level || self.heads.1 < line.level,
                sd: match self.sd {
                    Some(grid) => grid.nearest(line.points[i]),
                    None => places[i].map(|(t, weights)| self.surface.sd(t, weights)),
                },
            })
            .collect();
        let options = BandOptions { sds: BAND_SDS, cap_m: BAND_CAP_SPACINGS * self.spacing_m };
        ContourSupport {
            stretches: rule.split(&line.points, &supports, self.spacing_m, interval),
            band: places.iter().map(|at| self.surface.half_width(*at, options)).collect(),
        }
    }

    /// The distance to the nearest well that no barrier hides, or to a corner of the triangle
    /// around where that is not `far` already: no barrier runs into a triangle. It is infinite where
    /// barriers hide all that is not `far`.
    fn to_nearest_well(&self, p: Coord, at: Option<(usize, [f64; 3])>, far: f64) -> f64 {
        let distance = |q: Coord| distance(p, q);
        let corner = at.map_or(f64::INFINITY, |(t, _)| {
            let corners = self.mesh.corners(&self.mesh.triangles()[t]);
            corners.into_iter().map(distance).fold(f64::INFINITY, f64::min)
        });
        if corner <= far {
            return corner;
        }
        let place = [p.x, p.y];
        let wells = self.wells.get_or_init(|| {
            let places: Vec<[f64; 2]> = self.mesh.local().iter().map(|p| [p.x, p.y]).collect();
            ImmutableKdTree::new_from_slice(&places)
        });
        let nearest = wells.nearest_one::<SquaredEuclidean>(&place).distance.sqrt();
        if nearest > far || self.barriers.is_empty() {
            return nearest;
        }
        let within = wells.within::<SquaredEuclidean>(&place, far * far);
        #[expect(clippy::cast_possible_truncation, reason = "an index of the mesh's points")]
        let seen = within.iter().map(|w| self.mesh.local()[w.item as usize]);
        let seen = seen.filter(|q| !self.barriers.part(p, *q)).map(distance);
        seen.fold(f64::INFINITY, f64::min)
    }
}
