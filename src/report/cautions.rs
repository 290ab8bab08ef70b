//! What a map and an answer must be read with.

use super::directions::Followed;
use super::results::Results;
use crate::toward::Spreading;

impl Results<'_> {
    /// What this map must be read with: the usual cautions, each true of its surface.
    #[must_use]
    pub fn cautions(&self) -> Vec<&'static str> {
        let judged = self.map.control.has_judged().then_some(JUDGED);
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
            .chain(judged)
            .collect()
    }

    /// The same as briefly as a map sheet has room for: one sentence that comes first, and the others.
    #[must_use]
    pub fn short_cautions(&self) -> [String; 2] {
        if let Some(across) = self.across() {
            return ["Contours between wells are inferred.".to_owned(), across.short_cautions()];
        }
        let arrows = match self.arrows_follow() {
            Followed::Triangles => {
                "Do not read directions off this surface: arrows are those of planes through three \
                 wells, as in an isotropic aquifer, and need not cross the contours at right angles."
            }
            Followed::Planes => "Flow is drawn as in an isotropic aquifer.",
            Followed::Surface => {
                "Arrows follow this surface, as in an isotropic aquifer; planes through three wells \
                 (the layer flow) may differ."
            }
        };
        let pumping = if self.has_cones() {
            "Pumping is included only as steady, confined cones at the pumped wells of the surface. \
             Tides, recharge,"
        } else {
            "Tides, pumping, recharge,"
        };
        let others = format!(
            "For screening: not valid without review by a licensed professional; local codes apply. \
             Horizontal flow in one aquifer unit at the time of the round. {arrows} {pumping} density, \
             anisotropy and vertical gradients are not considered."
        );
        let first = match self.judged() {
            Some(judged) => {
                format!("Contours between wells are inferred; some rest on {judged}, not measured.")
            }
            None => "Contours between wells are inferred.".to_owned(),
        };
        [first, others]
    }

    /// What every flow path must be read with: [`TOWARD_CAUTIONS`], each true of what this site declares.
    #[must_use]
    pub fn toward_cautions(&self) -> Vec<&'static str> {
        let Substance { disperses, decays } = self.substance();
        let usual = TOWARD_CAUTIONS.iter().map(|caution| match *caution {
            NO_DISPERSION if disperses => DISPERSION,
            NO_DECAY if decays => DECAY,
            usual => usual,
        });
        usual.collect()
    }

    /// The same as briefly as below a table: what flow paths leave out.
    #[must_use]
    pub fn paths_leave_out(&self) -> String {
        let Substance { disperses, decays } = self.substance();
        let dispersion = if disperses {
            "First arrivals are those of longitudinal dispersion."
        } else {
            "Dispersion would shorten the first arrival."
        };
        let aside = if disperses { "dispersion to the sides, " } else { "" };
        let decay = if decays { "" } else { ", decay" };
        format!(
            "Advective paths at the time of the round. {dispersion} Not considered: {aside}preferential \
             pathways, changes of season, stage and pumping, vertical flow{decay}."
        )
    }

    fn substance(&self) -> Substance {
        let declared = Spreading::new(&self.map.site.settings.receptors.aquifer);
        Substance {
            disperses: declared.is_some_and(|d| d.dispersivity_m.is_some()),
            decays: declared.is_some_and(|d| d.half_life_days.is_some()),
        }
    }
}

/// What is declared of a substance.
struct Substance {
    disperses: bool,
    decays: bool,
}

/// What every map of this kind must be read with. [`Results::cautions`] gives them as they are true
/// of one map.
///
/// # References
/// What a potentiometric map can and cannot show: ASTM D6000; Ohio DNR fact sheet 65. The rest is
/// common practice, no source.
pub const CAUTIONS: &[&str] = &[
    "Contours between wells are inferred: they are interpolated, not measured.",
    "The map shows horizontal flow in one aquifer unit only. Wells open to other units do not \
     belong on it, and long screens blend heads.",
    ACROSS_CONTOURS,
    NO_PUMPING,
    "The map represents the time of the round. Flow directions change with seasons and stages.",
    "Gradients and directions are no better than the survey and the readings. Where heads differ \
     little, the direction may not be determined at all.",
    SCREENING,
];

/// Where heads were judged.
const JUDGED: &str = "Heads at judged points and along control lines were not measured: somebody decided \
     them, for the reason given. Contours and flow paths there are an interpretation. Gradient and direction \
     of the whole site, intervals and checks rest on measured heads alone.";

/// Who decides.
pub(super) const SCREENING: &str =
    "For screening. Local codes and the judgement of a licensed professional decide.";

/// Flow on planes of triangles whose contours are drawn.
const ACROSS_CONTOURS: &str = "Flow is drawn at right angles to the contours, as in an isotropic \
     aquifer. Anisotropy, fractures and buried channels turn it.";

/// The same where the contours are those of another surface, which the arrows follow.
const BY_SURFACE: &str = "Arrows on map sheet and report page follow this surface, at right angles \
     to its contours, as in an isotropic aquifer. The layer flow holds the directions of planes \
     through three wells, which may differ. Anisotropy, fractures and buried channels turn the flow \
     from both.";

/// The same where directions must not be read off the surface.
const BY_TRIANGLES: &str = "Do not read directions off this surface. Arrows on map sheet and report \
     page are those of planes through three wells, as in the layer flow and in an isotropic aquifer, \
     and need not cross the contours at right angles. Anisotropy, fractures and buried channels turn \
     the flow from both.";

/// What no map here includes.
const NO_PUMPING: &str = "Vertical gradients, tides, barometric changes, pumping, recharge events \
     and differences in water density are not considered.";

/// The same where the surface has cones.
const CONES: &str = "Pumping is included as cones of steady, confined, radial flow at the pumped \
     wells of the surface, and no other pumping. Contours and the arrows on map sheet and report page \
     follow the cones; the planes through three wells, in the layers flow and triangles, do \
     not. Vertical gradients, tides, barometric changes, recharge events and differences in water \
     density are not considered.";

/// What every evaluation of flow paths must be read with, beside [`CAUTIONS`]. [`Results::toward_cautions`] gives
/// them as they are true of one site.
///
/// # References
/// First arrival before the mean by dispersion: common practice, no source. The others as those
/// of the map.
pub const TOWARD_CAUTIONS: &[&str] = &[
    NO_DISPERSION,
    "Preferential pathways are not considered: gravel channels, fractures, utility trenches and \
     leaking wells carry water faster and elsewhere.",
    "The map represents the time of the round. Directions and gradients change with seasons, stages \
     and pumping, and the position of a plume results from all past flow directions.",
    "Flow is taken as horizontal in one aquifer unit. Vertical leakage between units is not \
     represented.",
    "Velocities and times are ranges over conductivity and porosity: no single value within them is \
     the answer.",
    NO_DECAY,
    "The fate of water beyond the mapped area is not determined.",
    "Shares of realizations include the errors of the heads and, as far as the wells show it, the \
     shape of the water table between them; those if only the readings err do not include the latter.",
    "Levels measured in pumped wells include well losses: uncorrected, they exaggerate the capture \
     zone. The closed form holds for a homogeneous, isotropic aquifer of uniform thickness, a fully \
     penetrating well, steady flow, and no recharge or vertical flow.",
    SCREENING,
];

/// Without a dispersivity.
const NO_DISPERSION: &str = "Flow paths are advective, on this map. Dispersion spreads a plume to all sides of \
     them and shortens the first arrival below the times given.";

/// With one.
const DISPERSION: &str = "Flow paths are advective, on this map. First arrivals include longitudinal dispersion, \
     by the dispersivity declared; travel times are those of the mean of a substance. Dispersion to the sides, \
     which spreads and dilutes a plume, is not considered.";

/// Without a half-life.
const NO_DECAY: &str = "Decay, volatilisation and sources that change are not considered; retardation is that of \
     linear sorption at equilibrium.";

/// With one.
const DECAY: &str = "Decay is of the first order, by the half-life declared, of dissolved and sorbed substance alike. \
     Volatilisation and sources that change are not considered; retardation is that of linear sorption at \
     equilibrium.";

/// What the record of a site must be read with.
///
/// # References
/// `docs/record.md`; the rest is common practice, no source.
pub const RECORD_CAUTIONS: &[&str] = &[
    "A trend or a turn says what the readings show, not why.",
    "\"Not shown\" is not \"none\": few rounds, or uncertain ones, show little.",
    "Gradient and direction are those of a plane through the wells of a round. Other wells than in the round before \
     change them without any change of the water.",
    "Rounds are moments: between them levels may have been higher, lower or turned, by pumping, rain, tides or a stream.",
    "Water levels remember. The stated trends take that into account as far as the readings show it; by seasons they do \
     not.",
    "A doubtful reading may be right, and a wrong one may fit: a whole round read with a wrong tape is not seen.",
    "Heads between readings are joined by straight lines to lead the eye; nothing was measured there.",
    "For screening: not valid without review by a licensed professional; local codes apply.",
];
