//! Which surface is drawn through the heads, and with what.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::method::Method;

/// The shape of the covariance. Each is stated with the effective range `a`, at which what is left
/// of the covariance is `exp(-3)` = 4.98 % of the partial sill `c` (spherical: nothing).
///
/// # References
/// Isaaks and Srivastava (1989), ch. 16, for linear to gaussian with this convention of range;
/// Stein (1999), Interpolation of Spatial Data, sec. 2.7, for the Matern family.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CovarianceModel {
    /// Semivariance `c h / a` without end: a generalised covariance, of which only the slope
    /// `c / a` matters.
    Linear,
    /// `c exp(-3 h / a)`.
    Exponential,
    /// `c (1 - 1.5 h/a + 0.5 (h/a)³)` up to `a`, nothing beyond.
    Spherical,
    /// `c exp(-3 (h / a)²)`.
    Gaussian,
    /// `c (1 + s) exp(-s)`, `s = 4.749 h / a`.
    #[serde(rename = "matern-3/2")]
    Matern32,
    /// `c (1 + s + s²/3) exp(-s)`, `s = 5.924 h / a`.
    #[serde(rename = "matern-5/2")]
    Matern52,
}

impl CovarianceModel {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Linear,
        Self::Exponential,
        Self::Spherical,
        Self::Gaussian,
        Self::Matern32,
        Self::Matern52,
    ];

    /// The name in `site.toml` and on the command line.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Linear => "linear",
            Self::Exponential => "exponential",
            Self::Spherical => "spherical",
            Self::Gaussian => "gaussian",
            Self::Matern32 => "matern-3/2",
            Self::Matern52 => "matern-5/2",
        }
    }
}

/// Everything that is said about the surface. Lengths are in CRS units of the project.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct SurfaceSettings {
    /// How heads between wells are worked out.
    pub method: Method,
    /// Whether somebody chose it.
    #[serde(skip)]
    pub method_chosen: bool,
    /// The elevation of a flat aquifer base, elevation unit: the surface is then worked out in the
    /// square of the saturated thickness.
    pub unconfined_base: Option<f64>,
    /// What kriging uses: `[kriging]`.
    pub kriging: KrigingSettings,
    /// What the thin-plate spline uses: `[thin_plate]`.
    pub thin_plate: ThinPlateSettings,
    /// What inverse distance uses: `[inverse_distance]`.
    pub inverse_distance: InverseDistanceSettings,
}

/// `[kriging]`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct KrigingSettings {
    /// The covariance's shape.
    pub model: CovarianceModel,
    /// Whether there is a linear drift: universal kriging. Where nothing is declared, where there are pumped
    /// wells and the wells allow it: without a plane a regional gradient bends the cones.
    pub drift: Option<bool>,
    /// Variance of the part alike over a distance, elevation unit² (unit⁴ with `unconfined_base`); fitted where
    /// none is given.
    pub partial_sill: Option<f64>,
    /// Effective range, CRS units; fitted where none is given.
    pub range: Option<f64>,
    /// Variance not shared with any neighbour, elevation unit² (unit⁴ with `unconfined_base`); 0, or fitted,
    /// where none is given.
    pub nugget: Option<f64>,
    /// Direction of the longest range, degrees clockwise from grid north.
    pub anisotropy_azimuth_deg: Option<f64>,
    /// Range across that direction over the range along it.
    pub anisotropy_ratio: Option<f64>,
    /// Whether an anisotropy is fitted too.
    pub fit_anisotropy: bool,
}

impl Default for KrigingSettings {
    fn default() -> Self {
        Self {
            model: CovarianceModel::Exponential,
            drift: None,
            partial_sill: None,
            range: None,
            nugget: None,
            anisotropy_azimuth_deg: None,
            anisotropy_ratio: None,
            fit_anisotropy: false,
        }
    }
}

/// `[thin_plate]`.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, JsonSchema)]
pub struct ThinPlateSettings {
    /// 0 passes through every head; CRS units².
    pub smoothing: f64,
}

/// `[inverse_distance]`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct InverseDistanceSettings {
    /// The power of the distance.
    pub power: f64,
    /// Only this many nearest wells count.
    pub nearest: Option<usize>,
    /// Only wells within this distance count, CRS units.
    pub radius: Option<f64>,
}

impl Default for InverseDistanceSettings {
    fn default() -> Self {
        Self { power: 2.0, nearest: None, radius: None }
    }
}
