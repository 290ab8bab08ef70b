//! What every map of this kind must be read with.

/// The cautions, as they stand in `summary.json`.
///
/// # References
/// What a potentiometric map can and cannot say: ASTM D6000; Ohio DNR fact sheet 65. The rest is
/// common practice, no source.
pub(super) const CAUTIONS: &[&str] = &[
    "The surface between wells is inferred. Contours are interpolated, not measured.",
    "The map shows horizontal flow in one aquifer unit only. Wells open to other units do not \
     belong on it, and long screens blend heads.",
    "Flow is drawn at right angles to the contours, as in an isotropic aquifer. Anisotropy, \
     fractures and channels turn it away from there.",
    "Vertical gradients, tides, barometric changes, pumping, recharge events and differences in \
     water density are not considered.",
    "The map holds for the time of the round. Directions change with seasons and stages.",
    "Gradients and directions are no surer than the survey and the readings behind them. Where \
     heads differ little, the direction may not be determined at all.",
    "This is a screening aid. Local codes and the judgement of a licensed professional decide.",
];
