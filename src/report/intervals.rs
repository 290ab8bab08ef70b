//! How sure a gradient is, as files give it.

use serde::Serialize;

use crate::report::digits;
use crate::uncertainty::{DirectionInterval, GradientError};

/// A gradient's 95 % intervals, rounded. Without an error nothing is known, and nothing is
/// resolved.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Intervals {
    /// Lower end of the interval of the hydraulic gradient.
    pub gradient_low: Option<f64>,
    /// Upper end.
    pub gradient_high: Option<f64>,
    /// Whether the direction is resolved.
    pub direction_resolved: bool,
    /// Where the interval of the direction begins, clockwise, against true north; none where the
    /// direction is not resolved.
    pub flow_azimuth_true_from_deg: Option<f64>,
    /// Where it ends.
    pub flow_azimuth_true_to_deg: Option<f64>,
}

impl Intervals {
    /// # Units
    /// - `convergence_deg`: degrees, where the gradient is
    pub(crate) fn of(error: Option<&GradientError>, convergence_deg: f64) -> Self {
        let Some(error) = error else { return Self::default() };
        let arc = Self::arc(Some(error.direction).filter(|_| error.resolved), convergence_deg);
        Self {
            gradient_low: Some(digits::gradient(error.magnitude.low)),
            gradient_high: Some(digits::gradient(error.magnitude.high)),
            direction_resolved: error.resolved,
            flow_azimuth_true_from_deg: arc.map(|a| a[0]),
            flow_azimuth_true_to_deg: arc.map(|a| a[1]),
        }
    }

    /// The ends of a direction's interval against true north, degrees; `None` where there is none and
    /// for the whole circle.
    pub(crate) fn arc(
        interval: Option<DirectionInterval>,
        convergence_deg: f64,
    ) -> Option<[f64; 2]> {
        match interval?.turned(convergence_deg) {
            DirectionInterval::Arc { from, to } => Some([from, to].map(digits::azimuth)),
            DirectionInterval::WholeCircle => None,
        }
    }
}
