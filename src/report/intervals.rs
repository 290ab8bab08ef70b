//! How sure a gradient is, as files give it.

use schemars::JsonSchema;
use serde::Serialize;

use crate::report::digits;
use crate::uncertainty::{DirectionInterval, GradientError};
use crate::units::Azimuth;

/// A gradient's 95 % intervals, rounded. Without an error nothing is known, and nothing is
/// resolved.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, JsonSchema)]
pub struct Intervals {
    /// Lower end of the 95 % interval of the gradient.
    pub gradient_low: Option<f64>,
    /// Upper end.
    pub gradient_high: Option<f64>,
    /// Whether the joint 95 % region of the gradient keeps clear of zero.
    pub direction_resolved: bool,
    /// Where the 95 % interval of the direction begins, clockwise from true north; null when not resolved.
    #[schemars(with = "Option<Azimuth>")]
    pub flow_azimuth_true_from_deg: Option<f64>,
    /// Where it ends.
    #[schemars(with = "Option<Azimuth>")]
    pub flow_azimuth_true_to_deg: Option<f64>,
    /// The same against grid north, or site north in local coordinates.
    #[schemars(with = "Option<Azimuth>")]
    pub flow_azimuth_grid_from_deg: Option<f64>,
    /// Where it ends.
    #[schemars(with = "Option<Azimuth>")]
    pub flow_azimuth_grid_to_deg: Option<f64>,
}

impl Intervals {
    /// # Units
    /// - `convergence_deg`: degrees, where the gradient is; `None` where true north is not known
    pub(crate) fn of(error: Option<&GradientError>, convergence_deg: Option<f64>) -> Self {
        let Some(error) = error else { return Self::default() };
        let all = Self {
            gradient_low: Some(digits::gradient(error.magnitude.low)),
            gradient_high: Some(digits::gradient(error.magnitude.high)),
            direction_resolved: error.resolved,
            ..Self::default()
        };
        all.with_direction(Some(error.direction).filter(|_| error.resolved), convergence_deg)
    }

    /// The same with the ends of a direction's interval, degrees: none where there is no interval, and for
    /// the whole circle.
    pub(crate) fn with_direction(
        self,
        interval: Option<DirectionInterval>,
        convergence_deg: Option<f64>,
    ) -> Self {
        let ends = |turn: f64| match interval?.turned(turn) {
            DirectionInterval::Arc { from, to } => Some([from, to].map(digits::azimuth)),
            DirectionInterval::WholeCircle => None,
        };
        let (on_plan, truly) = (ends(0.0), convergence_deg.and_then(ends));
        Self {
            flow_azimuth_true_from_deg: truly.map(|a| a[0]),
            flow_azimuth_true_to_deg: truly.map(|a| a[1]),
            flow_azimuth_grid_from_deg: on_plan.map(|a| a[0]),
            flow_azimuth_grid_to_deg: on_plan.map(|a| a[1]),
            ..self
        }
    }
}
