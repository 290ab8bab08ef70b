//! Everything one map holds.

use crate::check::ControlSet;
use crate::compare::Comparison;
use crate::contour::Contours;
use crate::diag::Diagnostic;
use crate::flow::SiteFlow;
use crate::interpolate::Surface;
use crate::read::InputFile;
use crate::read::Method;
use crate::read::SiteFile;
use crate::toward::Toward;
use crate::triangulate::Mesh;
use crate::uncertainty::SiteUncertainty;

/// The part of a map that its rasters show. It is known before contours and uncertainty are, so that
/// rasters, which take the longest, can be written while those are worked out.
#[derive(Debug, Clone, Copy)]
pub struct Fields<'a> {
    /// What the files say.
    pub site: &'a SiteFile,
    /// The control points and the account of every reading.
    pub control: &'a ControlSet,
    /// The heads at the nodes, and how they were worked out.
    pub surface: &'a Surface,
}

/// Everything one map holds: what the drawing and the writing of files begin with.
#[derive(Debug, Clone, Copy)]
pub struct Results<'a> {
    /// What the files say.
    pub site: &'a SiteFile,
    /// The control points and the account of every reading.
    pub control: &'a ControlSet,
    /// The triangles.
    pub mesh: &'a Mesh,
    /// The heads at the nodes, and how they were worked out.
    pub surface: &'a Surface,
    /// The lines of equal head.
    pub contours: &'a Contours,
    /// Gradients and directions.
    pub flow: &'a SiteFlow,
    /// All that was found on the way, in order.
    pub findings: &'a [Diagnostic],
    /// How sure all of it is.
    pub uncertainty: &'a SiteUncertainty,
    /// Where its water goes, when that was asked.
    pub toward: Option<&'a Toward>,
}

impl<'a> Results<'a> {
    /// Every file read.
    pub fn inputs(&self) -> impl Iterator<Item = &'a InputFile> + use<'a> {
        let ground = self.toward.and_then(|t| t.ground.as_ref());
        self.site.inputs.iter().chain(ground.map(|g| &g.input))
    }

    /// What this map must be read with: the usual cautions, each true of its surface.
    #[must_use]
    pub fn cautions(&self) -> Vec<&'static str> {
        CAUTIONS
            .iter()
            .map(|caution| match *caution {
                ACROSS_CONTOURS if !self.flow_crosses_contours() => BY_TRIANGLES,
                NO_PUMPING if self.has_cones() => CONES,
                usual => usual,
            })
            .collect()
    }

    /// Whether the arrows, which are those of the triangles' planes, stand at right angles to the
    /// contours: where the contours are lines of the same planes.
    #[must_use]
    pub fn flow_crosses_contours(&self) -> bool {
        self.surface.method == Method::Linear
            && self.site.settings.surface.unconfined_base.is_none()
    }

    /// Whether the surface has cones of pumped wells.
    #[must_use]
    pub fn has_cones(&self) -> bool {
        self.surface.method == Method::Kriging
            && !self.site.settings.surface.kriging.pumped_wells.is_empty()
    }

    /// What the map's rasters show.
    #[must_use]
    pub const fn fields(&self) -> Fields<'a> {
        Fields { site: self.site, control: self.control, surface: self.surface }
    }
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

/// The same where the contours are those of another surface.
const BY_TRIANGLES: &str = "Arrows of flow are those of the planes through three wells each, as in \
     an isotropic aquifer. The contours are those of another surface, and need not stand at right \
     angles to them. Anisotropy, fractures and channels turn the flow away from both.";

/// What no map here knows of.
const NO_PUMPING: &str = "Vertical gradients, tides, barometric changes, pumping, recharge events \
     and differences in water density are not considered.";

/// The same where the surface has cones.
const CONES: &str = "Pumping is considered as cones of steady, confined, radial flow at the pumped \
     wells that the surface names, and no other pumping. Arrows, being those of the planes through \
     three wells each, do not know the cones. Vertical gradients, tides, barometric changes, \
     recharge events and differences in water density are not considered.";

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

/// Everything one comparison of methods holds.
#[derive(Debug, Clone, Copy)]
pub struct ComparisonResults<'a> {
    /// What the files say.
    pub site: &'a SiteFile,
    /// The control points and the account of every reading.
    pub control: &'a ControlSet,
    /// Gradients and directions of all wells together.
    pub flow: &'a SiteFlow,
    /// The standard deviation of each head, elevation unit.
    pub sds: &'a [f64],
    /// What each method says of each well from the others.
    pub comparison: &'a Comparison,
    /// All that was found on the way, in order.
    pub findings: &'a [Diagnostic],
}
