//! What each method says when each well is left out.

use super::types::{Candidate, Prediction, Refused};
use crate::error::Error;
use crate::interpolate::{Basis, InTurn, KrigingReport, SiteSurface, WithoutIt};
use crate::read::SurfaceSettings;

/// What one method foretells, for each control point.
pub(super) struct Foretold {
    pub(super) predictions: Vec<Option<Prediction>>,
    pub(super) kriging: Option<KrigingReport>,
}

/// Every well's head from the others, by one method.
///
/// # Units
/// - `heads`: elevation unit
pub(super) fn foretold(
    basis: &Basis<'_>,
    settings: &SurfaceSettings,
    in_turn: &InTurn,
    candidate: Candidate,
    heads: &[f64],
) -> Result<Foretold, Refused> {
    let mut settings = settings.clone();
    settings.method = candidate.method;
    settings.kriging.drift = Some(candidate.drift);
    let surface = SiteSurface::new(basis, &settings);
    let left_out = surface.and_then(|surface| surface.leave_one_out(in_turn));
    let (found, kriging) = left_out.map_err(|e| refused(&e))?;
    let prediction = |(found, observed): (Option<WithoutIt>, &f64)| {
        let WithoutIt { head, standardised } = found?;
        Some(Prediction { head, residual: observed - head, standardised })
    };
    let predictions = found.into_iter().zip(heads).map(prediction).collect();
    Ok(Foretold { predictions, kriging })
}

fn refused(error: &Error) -> Refused {
    let told = error.diagnostics();
    let reasons: Vec<&str> = told.iter().map(|d| d.message.as_str()).collect();
    Refused { reason: reasons.join("; "), advice: told.iter().find_map(|d| d.advice.clone()) }
}
