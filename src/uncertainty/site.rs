//! How sure everything on one map is.

use std::sync::OnceLock;

use geo::Coord;
use jiff::civil::DateTime;
use kiddo::{ImmutableKdTree, SquaredEuclidean};
use rayon::prelude::*;

use super::asked::Asked;
use super::ensemble::{DirectionSpread, Ensemble};
use super::gradient::GradientError;
use super::head::{HeadSd, Situation};
use super::inferred::{Stretch, Support};
use super::linear::{BandOptions, HalfWidth, LinearSurface};
use super::plane::{PlaneError, plane_error};
use super::plane_fit;
use super::triangle::triangle_errors;
use crate::check::ControlSet;
use crate::contour::{ContourLine, Contours};
use crate::diag::Warned;
use crate::flow::SiteFlow;
use crate::geom::{Frame, Obstacles, distance, usual_spacing};
use crate::interpolate::{Grid, Surface};
use crate::read::{EnsembleOptions, Moment, Settings, WellKind};
use crate::triangulate::Mesh;

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
    /// The line cut where it changes between supported and inferred.
    pub stretches: Vec<Stretch>,
    /// For each stretch the median half width of its 95 % band, and whether it was capped anywhere.
    pub bands: Vec<HalfWidth>,
}

/// The median of the half widths of a band at the places of a stretch.
fn along(stretch: Stretch, band: &[HalfWidth]) -> HalfWidth {
    let along = || stretch.vertices(band.len()).map(|v| band[v]);
    let mut widths: Vec<f64> = along().map(|b| b.half_width_m).collect();
    let middle = widths.len() / 2;
    let half_width_m = *widths.select_nth_unstable_by(middle, f64::total_cmp).1;
    HalfWidth { half_width_m, capped: along().any(|b| b.capped) }
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

/// The standard deviation of each control point's head, in the control set's order.
#[must_use]
pub fn heads(settings: &Settings, control: &ControlSet) -> Vec<HeadSd> {
    let depth_m = settings.depth_unit.metres();
    let middle = control.from_to().map(|(first, last)| {
        let (first, last) = (clock(first), clock(last));
        (first, last.duration_since(first).as_secs_f64() / 2.0)
    });
    let from_middle = |m: Moment| {
        let (first, half) = middle?;
        Some((clock(m).duration_since(first).as_secs_f64() - half) / 3600.0)
    };
    control
        .points()
        .iter()
        .map(|p| {
            let errors = &settings.uncertainty.head_errors;
            if p.kind == WellKind::Stream {
                return errors.of_stage();
            }
            errors.of(Situation {
                depth_m: p.depth.map(|d| d * depth_m),
                hours_from_middle: p.moment.and_then(from_middle),
                product_thickness_m: p.product_thickness.map(|t| t * depth_m),
            })
        })
        .collect()
}

/// The median of the standard deviations of the heads of wells, elevation unit.
///
/// # Units
/// - `heads`: one for each control point
#[must_use]
pub fn usual_sd(control: &ControlSet, heads: &[HeadSd]) -> f64 {
    let mut sds: Vec<f64> = control.wells().into_iter().map(|i| heads[i].sd_m).collect();
    if sds.is_empty() {
        return 0.0;
    }
    let middle = sds.len() / 2;
    *sds.select_nth_unstable_by(middle, f64::total_cmp).1 / control.elevation_unit().metres()
}

/// A day without a time counts from noon.
fn clock(moment: Moment) -> DateTime {
    match moment {
        Moment::Time(t) => t,
        Moment::Day(d) => d.at(12, 0, 0, 0),
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
        let boundary = control.beside().boundary();
        Rasters {
            head_sd: drawn.is_planes().then(|| surface.sd_grid(frame, spec).within(boundary)),
            direction_spread: surface.grid(frame, spec, spread).within(boundary),
        }
    });
    let sd = drawn.sd.as_ref();
    let barriers = control.beside().barriers();
    let range = (f64::INFINITY, f64::NEG_INFINITY);
    let range = mesh.heads().iter().fold(range, |r, h| (r.0.min(*h), r.1.max(*h)));
    let wells = OnceLock::new();
    let carried = Carried { surface, wells, barriers, mesh, sd, heads: range, spacing_m, settings };
    let interval = contours.interval;
    let step = drawn.is_on_planes().then(|| drawn.heads.spec().cell);
    let support = |line: &mut ContourLine| {
        let asked = Asked::along(&line.points, step);
        let mut support = carried.contour(line.level, asked.points(), control.frame(), interval);
        line.points = asked.settled(&mut support.stretches);
        support
    };
    let contours = contours.lines.par_iter_mut().map(support).collect();
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
    /// What carries a line of a level along some places, CRS units; the stretches are theirs.
    fn contour(&self, level: f64, line: &[Coord], frame: &Frame, interval: f64) -> ContourSupport {
        let rule = self.settings.uncertainty.inferred;
        let local: Vec<Coord> = line.iter().map(|p| frame.to_local(*p)).collect();
        let places = self.surface.along(&local);
        let far = rule.spacings * self.spacing_m;
        let supports: Vec<Support> = (0..local.len())
            .map(|i| Support {
                to_nearest_well_m: self.to_nearest_well(local[i], places[i], far),
                in_marked_triangle: places[i]
                    .is_none_or(|(t, _)| self.mesh.triangles()[t].is_thin()),
                beyond_heads: self.heads.0 > level || self.heads.1 < level,
                sd: match self.sd {
                    Some(grid) => grid.about(line[i]),
                    None => places[i].map(|(t, weights)| self.surface.sd(t, weights)),
                },
            })
            .collect();
        let options = BandOptions { sds: BAND_SDS, cap_m: BAND_CAP_SPACINGS * self.spacing_m };
        let stretches = rule.split(line, &supports, self.spacing_m, interval);
        let band: Vec<HalfWidth> =
            places.iter().map(|at| self.surface.half_width(*at, options)).collect();
        let bands = stretches.iter().map(|stretch| along(*stretch, &band)).collect();
        ContourSupport { stretches, bands }
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
