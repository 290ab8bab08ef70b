//! A gradient with its errors.

use serde::Serialize;

use super::confidence::Confidence;
use super::covariance::Covariance;
use super::direction;
use super::direction::DirectionInterval;
use super::magnitude::Estimate;
use super::magnitude::MagnitudeInterval;
use crate::geom::Slope;
use crate::units::Azimuth;

/// How sure a gradient is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GradientError {
    /// Covariance of the two components, dimensionless.
    pub covariance: Covariance,
    /// 95 % interval of the hydraulic gradient, dimensionless.
    pub magnitude: MagnitudeInterval,
    /// 95 % interval of the direction of flow, degrees clockwise from grid north.
    pub direction: DirectionInterval,
    /// Whether the direction is resolved: whether the joint 95 % region of the two components
    /// keeps clear of zero. When false the verdict is `direction not resolved`, and the magnitude's
    /// interval begins at 0.
    pub resolved: bool,
    /// Whether it is resolved by so little that such directions are held in fewer than 95 of 100
    /// rounds: those that happened to look steep are among them.
    pub only_just: bool,
}

/// A gradient whose square is less than this many times the bound of its verdict, four standard
/// deviations where the errors are declared, is only just resolved: from there on the intervals of
/// resolved directions hold 94 % and more (`docs/uncertainty.md`).
const ONLY_JUST: f64 = 8.0 / 3.0;

impl GradientError {
    /// The intervals of a gradient.
    ///
    /// `None` when the covariance is singular: at least two heads of three must have an error, and
    /// the wells must not stand on one line.
    ///
    /// # Units
    /// - `slope`, `covariance`: heads and distances in one unit, as a rule m
    ///
    /// # References
    /// Direction: Fieller (1954). Magnitude: inversion of an ordering of estimates with its exact
    /// distribution at the nearest gradient of that magnitude, after Feldman and Cousins (1998),
    /// Physical Review D 57(7), 3873-3889 (from memory); the ordering is theirs, the likelihood
    /// ratio, with a yardstick of our own. Equations and proven coverage: `docs/uncertainty.md`.
    #[must_use]
    pub fn new(slope: Slope, covariance: Covariance, confidence: &Confidence) -> Option<Self> {
        Self::with(slope, covariance, confidence, |estimate| estimate.interval(confidence))
    }

    /// As [`Self::new`] at a thousandth of the cost: where the gradient is weak, the magnitude's
    /// interval is that of the joint 95 % region, which holds the truth in 95 % or more.
    pub(crate) fn quick(
        slope: Slope,
        covariance: Covariance,
        confidence: &Confidence,
    ) -> Option<Self> {
        Self::with(slope, covariance, confidence, |estimate| {
            let steep = estimate.steep_interval(confidence);
            steep.unwrap_or_else(|| estimate.joint_interval(confidence))
        })
    }

    fn with(
        slope: Slope,
        covariance: Covariance,
        confidence: &Confidence,
        magnitude: impl Fn(&Estimate) -> MagnitudeInterval,
    ) -> Option<Self> {
        let axes = covariance.axes();
        let usable = axes.best > 0.0 && axes.worst.is_finite() && slope.magnitude().is_finite();
        if !usable {
            return None;
        }
        let [x, y] = axes.whitened(slope);
        let square = x * x + y * y;
        let resolved = square > confidence.region;
        Some(Self {
            covariance,
            magnitude: magnitude(&Estimate::new(slope, &axes)),
            direction: direction::fieller(slope, &axes, confidence),
            resolved,
            only_just: resolved && square < ONLY_JUST * confidence.region,
        })
    }

    /// Of two errors of one gradient what reaches as far as the wider one to every side. Resolved is
    /// what both resolve.
    ///
    /// # Units
    /// - `azimuth`: the direction of flow that both are of; `None` for a level plane
    pub(super) fn widened(self, other: Self, azimuth: Option<Azimuth>) -> Self {
        let wider = other.covariance.worst_sd() > self.covariance.worst_sd();
        Self {
            covariance: if wider { other.covariance } else { self.covariance },
            magnitude: MagnitudeInterval {
                low: self.magnitude.low.min(other.magnitude.low),
                high: self.magnitude.high.max(other.magnitude.high),
            },
            direction: self.direction.widened(other.direction, azimuth),
            resolved: self.resolved && other.resolved,
            only_just: self.resolved && other.resolved && (self.only_just || other.only_just),
        }
    }

    /// The verdict in words: `direction resolved` or `direction not resolved`.
    #[must_use]
    pub const fn verdict(&self) -> &'static str {
        if self.resolved { "direction resolved" } else { "direction not resolved" }
    }
}

/// The probability, were this the true magnitude of the gradient, of heads at least as far from it
/// as those read. The interval of [`GradientError::magnitude`] holds the magnitudes above 0.05.
///
/// # Units
/// - `slope`, `covariance`, `magnitude`: dimensionless
#[must_use]
pub fn magnitude_plausibility(
    slope: Slope,
    covariance: Covariance,
    magnitude: f64,
    confidence: &Confidence,
) -> f64 {
    Estimate::new(slope, &covariance.axes()).plausibility(magnitude, confidence)
}

/// Fieller's interval of the direction alone, for whoever needs no magnitude: that of
/// [`GradientError::direction`].
///
/// # Units
/// - `slope`, `covariance`: dimensionless
#[must_use]
pub fn direction_interval(
    slope: Slope,
    covariance: Covariance,
    confidence: &Confidence,
) -> DirectionInterval {
    direction::fieller(slope, &covariance.axes(), confidence)
}
