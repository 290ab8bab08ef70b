//! What is fitted, and what is said of it.

use schemars::JsonSchema;
use serde::Serialize;

use crate::diag::{Code, Diagnostic};
use crate::interpolate::kriging::covariance::{Covariance, Model};
use crate::units::{GroundUnit, LengthUnit};

/// Below this many wells a fit is said to be poorly known: about 50 are needed by restricted
/// maximum likelihood (Kerry and Oliver 2007, Geoderma 140, 383-396), 100 or more by the method of
/// moments (Webster and Oliver 1992, Journal of Soil Science 43, 177-192). Both from memory.
pub(crate) const WELL_FITTED_WELLS: usize = 50;

/// What is to be fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FitOptions {
    /// The covariance's shape.
    pub model: Model,
    /// Whether there may be a nugget.
    pub nugget: bool,
    /// Whether there may be a geometric anisotropy.
    pub anisotropy: bool,
}

/// Standard errors of fitted parameters, each in the parameter's unit; none for what was not
/// fitted, ended at a bound of what was looked at, or is not resolved. Where a parameter ended at a
/// bound the others' errors are those with it held there.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, JsonSchema)]
pub struct StandardErrors {
    /// Of the partial sill, head unit².
    pub partial_sill: Option<f64>,
    /// Of the range, m.
    pub range_m: Option<f64>,
    /// Of the nugget, head unit².
    pub nugget: Option<f64>,
    /// Of the anisotropy's azimuth, degrees.
    pub azimuth_deg: Option<f64>,
    /// Of the anisotropy's ratio.
    pub ratio: Option<f64>,
}

/// What a user should know about a fit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "caution", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Caution {
    /// Fewer wells than `WELL_FITTED_WELLS`.
    FewWells {
        /// Count of wells.
        wells: usize,
    },
    /// The likeliest range is the longest (or shortest) one looked at: the heads do not show it.
    RangeNotFound {
        /// That bound, m. The range found is within 2 % of it.
        bound_m: f64,
    },
    /// The likeliest nugget is none.
    NoNugget,
    /// The likelihood is so flat that no standard errors can be had.
    Flat,
}

impl Caution {
    /// It as a finding (M408), said `of` a fit among several, such as `kriging: `.
    #[must_use]
    pub fn told(&self, of: &str, unit: LengthUnit) -> Diagnostic {
        Diagnostic::new(Code::CovarianceCaution, format!("{of}{}", self.words(unit)))
    }

    /// It in words, lengths in m, or in ft for a site in feet.
    #[must_use]
    pub fn words(&self, unit: LengthUnit) -> String {
        match self {
            Self::FewWells { wells } => format!(
                "the covariance was fitted to {wells} wells; with fewer than {WELL_FITTED_WELLS} \
                 its parameters are poorly known"
            ),
            Self::RangeNotFound { bound_m } => format!(
                "the heads do not determine the range of the covariance: the best fit is within 2 % of \
                 {}, a limit of the search",
                GroundUnit::of(unit).away_to(*bound_m, 1)
            ),
            Self::NoNugget => "the best fit has no nugget".to_owned(),
            Self::Flat => {
                "the likelihood is flat around its maximum; the parameters have no standard \
                           errors"
                    .to_owned()
            }
        }
    }
}

/// A fitted covariance.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Fit {
    /// The likeliest covariance.
    pub covariance: Covariance,
    /// Standard errors of its parameters.
    pub standard_errors: StandardErrors,
    /// Minus the logarithm of the restricted likelihood, natural. Comparable between covariances
    /// of the same wells with the same drift.
    pub minus_log_likelihood: f64,
    /// Count of wells.
    pub wells: usize,
    /// Whether the likelihood is that of heads in blocks, for more than
    /// `whole_likelihood_wells` of the tolerances.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub in_blocks: bool,
    /// What a user should know.
    pub cautions: Vec<Caution>,
}
