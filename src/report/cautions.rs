//! What a map and an answer must be read with.

use super::directions::Followed;
use super::results::Results;

impl Results<'_> {
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
