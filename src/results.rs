//! Everything one map holds.

use std::ops::Deref;
use std::sync::Arc;

use geo::Coord;
use serde::Serialize;

use crate::check::{ControlSet, pumped_position};
use crate::compare::Comparison;
use crate::diag::{Diagnostic, Severity};
use crate::flow::SiteFlow;
use crate::geom::Slope;
use crate::map::{Map, Surfaced};
use crate::read::Fact;
use crate::read::InputFile;
use crate::read::{PumpedWell, Round, Settings, Site};
use crate::read::{Status, WellKind};
use crate::toward::Toward;
use crate::uncertainty::{KnownDirection, LEVEL, PlaneFit};
use crate::units::Azimuth;

/// Everything one map holds: what the drawing and the writing of files begin with.
#[derive(Debug, Clone, Copy)]
pub struct Results<'a> {
    /// The map.
    pub map: &'a Map,
    /// Where its water goes, when that was asked.
    pub toward: Option<&'a Toward>,
    /// All that was found on the way, in order.
    pub findings: &'a [Diagnostic],
}

impl Deref for Results<'_> {
    type Target = Map;

    fn deref(&self) -> &Map {
        self.map
    }
}

/// Every setting of a map, declared or by default: those of its site, and those of its round.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Options<'a> {
    #[serde(flatten)]
    site: &'a Settings,
    #[serde(flatten)]
    round: &'a Round,
    pumped_wells: &'a [PumpedWell],
}

impl<'a> Results<'a> {
    /// Those of a map whose water was not followed.
    #[must_use]
    pub const fn of(map: &'a Map, findings: &'a [Diagnostic]) -> Self {
        Self { map, toward: None, findings }
    }

    /// Every setting, declared or by default.
    #[must_use]
    pub fn options(&self) -> Options<'a> {
        Options {
            site: &self.map.site.settings,
            round: &self.map.round,
            pumped_wells: &self.map.site.pumped_wells,
        }
    }

    /// Every file read.
    pub fn inputs(&self) -> impl Iterator<Item = &'a InputFile> + use<'a> {
        let ground = self.toward.and_then(|t| t.ground.as_ref());
        let read = self.map.site.inputs.iter().chain(&self.map.round.inputs);
        read.chain(ground.into_iter().flat_map(|g| &g.inputs))
    }

    /// What this map must be read with: the usual cautions, each true of its surface.
    #[must_use]
    pub fn cautions(&self) -> Vec<&'static str> {
        CAUTIONS
            .iter()
            .map(|caution| match *caution {
                ACROSS_CONTOURS => match self.arrows_follow() {
                    Followed::Planes => ACROSS_CONTOURS,
                    Followed::Triangles => BY_TRIANGLES,
                    Followed::Surface => BY_SURFACE,
                },
                NO_PUMPING if self.has_cones() => CONES,
                usual => usual,
            })
            .collect()
    }

    /// What the arrows of sheet and page follow: the planes of the triangles where the contours are
    /// lines of them, and where directions must not be read off the surface, which is that of
    /// inverse distance; the surface itself everywhere else.
    ///
    /// # References
    /// `docs/map-sheet.md` and, for inverse distance, `docs/other-surfaces.md`.
    #[must_use]
    pub fn arrows_follow(&self) -> Followed {
        if !self.map.surface.method.has(Fact::Directions) {
            Followed::Triangles
        } else if self.map.surface.is_planes() {
            Followed::Planes
        } else {
            Followed::Surface
        }
    }

    /// The slope of the surface at a place, m/m, from heads about `reach_m` to each side of it, or
    /// nearer: none is taken across a barrier, the boundary or a stream. `None` where the surface has
    /// no slope of its own side.
    ///
    /// # Units
    /// - `p`: m in the local frame; `reach_m`: m, at least a cell is taken
    #[must_use]
    pub fn slope(&self, p: Coord, reach_m: f64) -> Option<Slope> {
        let (control, grid) = (&self.map.control, &self.map.surface.heads);
        let (frame, lines) = (control.frame(), control.beside().lines());
        let per_unit = frame.metres_per_unit();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "casts of floats saturate"
        )]
        let reach = (reach_m / (grid.spec().cell * per_unit)).round().max(1.0) as usize;
        let joined = |a: Coord, b: Coord| !lines.part(frame.to_local(a), frame.to_local(b));
        let slope = grid.slope(frame.to_crs(p), reach, joined)?;
        let metres = control.elevation_unit().metres() / per_unit;
        Some(Slope { east: slope.east * metres, north: slope.north * metres })
    }

    /// Whether the readings rule out a level water table in a triangle. A triangle that is marked as
    /// a sliver, as on a long edge of the outline, as on one stream or as on one line resolves
    /// nothing.
    ///
    /// # Units
    /// - `triangle`: index into the mesh's triangles
    #[must_use]
    pub fn resolves(&self, triangle: usize) -> bool {
        let error = self.map.uncertainty.triangles.get(triangle).copied().flatten();
        !self.map.mesh.triangles()[triangle].is_thin() && error.is_some_and(|e| e.resolved)
    }

    /// Triangles that a direction may be read off, how many of them the readings resolve, and how
    /// many of these chance alone would make on a level water table.
    #[must_use]
    pub fn resolved(&self) -> Resolved {
        let triangles = self.map.mesh.triangles();
        let fit: Vec<usize> = (0..triangles.len()).filter(|t| !triangles[*t].is_thin()).collect();
        let resolved = fit.iter().filter(|t| self.resolves(**t)).count();
        Resolved { fit: fit.len(), resolved, by_chance: (1.0 - LEVEL) * fit.len() as f64 }
    }

    /// Whether the direction of flow is known in a triangle.
    ///
    /// # Units
    /// - `triangle`: index into the mesh's triangles
    #[must_use]
    pub fn known(&self, triangle: usize) -> Option<&'a KnownDirection> {
        self.map.uncertainty.directions.triangles.get(triangle)?.as_ref()
    }

    /// Whether a direction of flow on the surface is known, in the triangle around its place.
    ///
    /// # Units
    /// - `at`: m in the local frame; `triangle`: index into the mesh's triangles
    /// - `azimuth_grid`: degrees clockwise from grid north
    #[must_use]
    pub fn known_at(&self, at: Coord, triangle: usize, azimuth_grid: Azimuth) -> bool {
        self.map.uncertainty.directions.known_at(&self.map.mesh, at, triangle, azimuth_grid)
    }

    /// The pumped wells that have a place: those that the site declares, and those that were found
    /// pumping in this round and carry nothing. Each name once, by name.
    #[must_use]
    pub fn pumped_wells(&self) -> Vec<PumpedPlace<'a>> {
        let Surfaced { site, round, control, .. } = &*self.map.surfaced;
        let register = |name: &str| site.wells.iter().position(|w| w.id == name);
        let declared = site.pumped_wells.iter().filter_map(|p| {
            let crs = pumped_position(p, site, control)?;
            Some(PumpedPlace { name: &p.well, well: register(&p.well), crs })
        });
        let carries = |well: usize| control.points().iter().any(|p| p.well() == Some(well));
        let found = control.accounts().iter().filter_map(|a| {
            let pumping = round.readings[a.reading].status == Status::Pumping;
            let crs = control.places()[a.well].filter(|_| pumping && !carries(a.well))?.crs;
            Some(PumpedPlace { name: &site.wells[a.well].id, well: Some(a.well), crs })
        });
        let mut wells: Vec<PumpedPlace> = declared.chain(found).collect();
        wells.sort_by_key(|w| w.name);
        wells.dedup_by_key(|w| w.name);
        wells
    }

    /// The standard deviation of a head that was measured, m; `None` for a stage between surveyed
    /// places of a stream, which nobody read.
    ///
    /// # Units
    /// - `point`: index into the control points
    #[must_use]
    pub fn measured_sd_m(&self, point: usize) -> Option<f64> {
        let read = self.map.control.points()[point].well().is_some();
        read.then(|| self.map.uncertainty.heads[point].sd_m)
    }

    /// Whether the plane through the wells describes their heads. Where it does not, gradient and
    /// direction are told as they range over the map ([`SiteFlow::over_map`]), and the plane after
    /// them with its warning (M416).
    #[must_use]
    pub fn plane_describes(&self) -> bool {
        self.map.uncertainty.plane.as_ref().is_none_or(|p| p.fit != PlaneFit::Poor)
    }

    /// What carries the map, points of streams left out: `12 wells and 3 gauges`.
    #[must_use]
    pub fn carriers(&self) -> String {
        carriers(&self.map.control)
    }

    /// Points along streams that carry the map beside the wells: `12 points`.
    #[must_use]
    pub fn stream_points(&self) -> Option<String> {
        let along = self.map.control.points().len() - self.map.control.wells().len();
        (along > 0).then(|| counted(along, "point"))
    }

    /// What carries the map: `12 wells and 3 gauges, with 12 points along streams`.
    #[must_use]
    pub fn control_words(&self) -> String {
        let along = self.stream_points().map(|points| format!(", with {points} along streams"));
        self.carriers() + &along.unwrap_or_default()
    }

    /// How many warnings and notes there are: `1 warning, 3 notes`.
    #[must_use]
    pub fn findings_words(&self) -> String {
        let [warnings, notes] = [Severity::Warning, Severity::Note].map(|s| self.findings_of(s));
        format!("{}, {}", counted(warnings, "warning"), counted(notes, "note"))
    }

    /// How many findings of a weight there are, those that are not told one by one among them.
    #[must_use]
    pub fn findings_of(&self, severity: Severity) -> usize {
        self.findings.iter().filter(|f| f.severity == severity).map(Diagnostic::count).sum()
    }

    /// Whether the surface has cones of pumped wells.
    #[must_use]
    pub fn has_cones(&self) -> bool {
        self.map.site.has_cones()
    }
}

/// Wells and gauges that carry a map, in words.
#[must_use]
pub fn carriers(control: &ControlSet) -> String {
    let of = |kind| control.points().iter().filter(|p| p.kind() == Some(kind)).count();
    let (wells, gauges) = (of(WellKind::Well), of(WellKind::Gauge));
    match (wells, gauges) {
        (_, 0) => counted(wells, "well"),
        (0, _) => counted(gauges, "gauge"),
        _ => format!("{} and {}", counted(wells, "well"), counted(gauges, "gauge")),
    }
}

/// A number of things: `1 well`, `2 wells`.
#[must_use]
pub fn counted(number: usize, thing: &str) -> String {
    format!("{number} {thing}{}", if number == 1 { "" } else { "s" })
}

/// A pumped well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PumpedPlace<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its number in the register, where it stands there.
    pub well: Option<usize>,
    /// Where it stands, CRS units.
    pub crs: Coord,
}

/// How many triangles have a direction that the readings resolve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resolved {
    /// Triangles without a mark but that of the boundary.
    pub fit: usize,
    /// Those of them in which the readings rule out a level water table.
    pub resolved: usize,
    /// So many would be resolved on a level water table, by chance.
    pub by_chance: f64,
}

/// What the arrows of a map follow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Followed {
    /// The planes through three wells each, whose lines the contours are.
    Planes,
    /// The planes through three wells each, because no direction may be read off the surface.
    Triangles,
    /// The slope of the surface that the contours are lines of.
    Surface,
}

/// What every map of this kind must be read with. [`Results::cautions`] gives them as they are true
/// of one map, and as they stand in every file that people read.
///
/// # References
/// What a potentiometric map can and cannot say: ASTM D6000; Ohio DNR fact sheet 65. The rest is
/// common practice, no source.
pub const CAUTIONS: &[&str] = &[
    "The surface between wells is inferred. Contours are interpolated, not measured.",
    "The map shows horizontal flow in one aquifer unit only. Wells open to other units do not \
     belong on it, and long screens blend heads.",
    ACROSS_CONTOURS,
    NO_PUMPING,
    "The map holds for the time of the round. Directions change with seasons and stages.",
    "Gradients and directions are no surer than the survey and the readings behind them. Where \
     heads differ little, the direction may not be determined at all.",
    "This is a screening aid. Local codes and the judgement of a licensed professional decide.",
];

/// The way of the water on planes of triangles whose contours are drawn.
const ACROSS_CONTOURS: &str = "Flow is drawn at right angles to the contours, as in an isotropic \
     aquifer. Anisotropy, fractures and channels turn it away from there.";

/// The same where the contours are those of another surface, which the arrows follow.
const BY_SURFACE: &str = "Arrows on map sheet and report page follow this surface, at right angles \
     to its contours, as in an isotropic aquifer. flow.geojson holds the \
     directions of the planes through three wells each, which need not agree. Anisotropy, \
     fractures and channels turn the flow away from both.";

/// The same where directions must not be read off the surface.
const BY_TRIANGLES: &str = "Directions must not be read off this surface. Arrows on map sheet and \
     report page are, as in flow.geojson, those of the planes through three wells each, as in an \
     isotropic aquifer, and need not stand at right angles to the contours. Anisotropy, fractures \
     and channels turn the flow away from both.";

/// What no map here knows of.
const NO_PUMPING: &str = "Vertical gradients, tides, barometric changes, pumping, recharge events \
     and differences in water density are not considered.";

/// The same where the surface has cones.
const CONES: &str = "Pumping is considered as cones of steady, confined, radial flow at the pumped \
     wells that the surface names, and no other pumping. Contours and the arrows on map sheet and \
     report page follow the cones; the planes through three wells each, in flow.geojson and \
     triangles.geojson, do not know them. Vertical gradients, tides, barometric changes, recharge \
     events and differences in water density are not considered.";

/// What every answer about the way of the water must be read with, beside [`CAUTIONS`].
///
/// # References
/// First arrival before the mean by dispersion: common practice, no source. The others as those
/// of the map.
pub const TOWARD_CAUTIONS: &[&str] = &[
    "A path is the way of the mean flow on this map. Dispersion spreads a plume to all sides of it \
     and makes the first arrival earlier than the times given.",
    "Preferential pathways are not considered: channels of gravel, fractures, utility trenches and \
     leaking wells carry water faster and elsewhere.",
    "The map holds for the time of the round. Directions and gradients change with seasons, stages \
     and pumping, and a plume follows all of them one after another.",
    "Flow is taken as horizontal in one aquifer unit. Water that rises or sinks between units \
     leaves the map unseen.",
    "Velocities and times rest on ranges of conductivity and porosity. They are ranges and no \
     single value within them is the answer.",
    "Decay, volatilisation and sources that change are not considered; retardation is that of \
     linear sorption at equilibrium.",
    "Beyond the wells nothing is known: a path that leaves the mapped area may go anywhere.",
    "The probabilities speak of the errors of the heads alone, not of what the water table does \
     between wells.",
    "Levels read in pumped wells hold the losses of the well: uncorrected they exaggerate its \
     capture zone. The closed form holds for a homogeneous, isotropic aquifer of uniform \
     thickness, a fully penetrating well, steady flow, and no recharge or vertical flow.",
    "This is a screening aid. Local codes and the judgement of a licensed professional decide.",
];

/// Every method tried on one round, each well left out in turn.
#[derive(Debug)]
pub struct Compared {
    /// The site.
    pub site: Arc<Site>,
    /// The round.
    pub round: Arc<Round>,
    /// The control points and the account of every reading.
    pub control: ControlSet,
    /// Gradients and directions of all wells together.
    pub flow: SiteFlow,
    /// The standard deviation of each head, elevation unit.
    pub sds: Vec<f64>,
    /// What each method says of each well from the others.
    pub comparison: Comparison,
}

/// Everything one comparison of methods holds.
#[derive(Debug, Clone, Copy)]
pub struct ComparisonResults<'a> {
    /// What was compared.
    pub compared: &'a Compared,
    /// All that was found on the way, in order.
    pub findings: &'a [Diagnostic],
}

impl Deref for ComparisonResults<'_> {
    type Target = Compared;

    fn deref(&self) -> &Compared {
        self.compared
    }
}

impl<'a> ComparisonResults<'a> {
    /// Every file read.
    pub fn inputs(&self) -> impl Iterator<Item = &'a InputFile> + use<'a> {
        self.compared.site.inputs.iter().chain(&self.compared.round.inputs)
    }
}
