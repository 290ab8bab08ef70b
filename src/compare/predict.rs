//! What each method says when each well is left out.

use super::linear;
use super::types::{Candidate, Prediction, Refused};
use crate::check::ControlSet;
use crate::error::Error;
use crate::interpolate::KrigingReport;
use crate::interpolate::Saturated;
use crate::interpolate::inverse_distances;
use crate::interpolate::kriged;
use crate::interpolate::natural::NaturalNeighbour;
use crate::interpolate::natural::Variant;
use crate::interpolate::thin_plate_of;
use crate::read::KrigingSettings;
use crate::read::Method;
use crate::read::SiteFile;
use crate::triangulate::Mesh;

/// What all methods stand on: heads, or squares of the saturated thickness.
pub(super) struct Ground<'a> {
    pub(super) site: &'a SiteFile,
    pub(super) control: &'a ControlSet,
    pub(super) mesh: &'a Mesh,
    /// Of the mesh's heads, in their unit.
    pub(super) sds: &'a [f64],
    pub(super) saturated: Option<&'a Saturated>,
}

/// What one method foretells.
pub(super) struct Foretold {
    pub(super) predictions: Vec<Option<Prediction>>,
    pub(super) kriging: Option<KrigingReport>,
}

/// A prediction as the method gives it, and its standardised residual where the method has one.
type Raw = Option<(f64, Option<f64>)>;

impl Ground<'_> {
    /// Every well's head from the others, by one method.
    ///
    /// # Units
    /// - `heads`, `sds`: elevation unit, whatever the ground is in
    pub(super) fn leave_one_out(
        &self,
        candidate: Candidate,
        heads: &[f64],
        sds: &[f64],
    ) -> Result<Foretold, Refused> {
        let (raw, kriging) = self.raw(candidate).map_err(|e| refused(&e))?;
        let predictions = raw
            .into_iter()
            .zip(heads.iter().zip(sds))
            .map(|(raw, (observed, sd))| {
                let (value, standardised) = raw?;
                let head = self.head(value)?;
                let residual = observed - head;
                // Kriging knows how sure it is; elsewhere only the reading's own error is known.
                let standardised = standardised.or_else(|| (*sd > 0.0).then(|| residual / sd));
                Some(Prediction { head, residual, standardised })
            })
            .collect();
        Ok(Foretold { predictions, kriging })
    }

    /// Back to the elevation unit; `None` below the base.
    fn head(&self, value: f64) -> Option<f64> {
        let head = self.saturated.map_or(value, |s| s.base + value.sqrt());
        head.is_finite().then_some(head)
    }

    fn raw(&self, candidate: Candidate) -> Result<(Vec<Raw>, Option<KrigingReport>), Error> {
        let plain = |heads: Vec<Option<f64>>| {
            heads.into_iter().map(|h| h.map(|h| (h, None))).collect::<Vec<Raw>>()
        };
        let settings = &self.site.settings.surface;
        let frame = self.control.frame();
        let natural = |variant| plain(NaturalNeighbour::new(self.mesh, variant).leave_one_out());
        let heads = match candidate.method {
            Method::Linear => plain(linear::leave_one_out(self.mesh)),
            Method::NaturalNeighbour => natural(Variant::Plain),
            Method::SmoothNaturalNeighbour => natural(Variant::Smooth),
            Method::ThinPlate => plain(thin_plate_of(settings, frame, self.mesh)?.leave_one_out()),
            Method::InverseDistance => {
                plain(inverse_distances(settings, frame, self.mesh)?.leave_one_out())
            }
            Method::Kriging => {
                let settings =
                    KrigingSettings { drift: candidate.drift, ..settings.kriging.clone() };
                let (kriging, report) =
                    kriged(self.site, &settings, self.control, self.mesh, self.sds)?;
                let heads = kriging.leave_one_out().into_iter();
                let heads = heads.map(|l| l.map(|l| (l.predicted, Some(l.standardised()))));
                return Ok((heads.collect(), Some(report)));
            }
        };
        Ok((heads, None))
    }
}

fn refused(error: &Error) -> Refused {
    let told = error.diagnostics();
    let reasons: Vec<&str> = told.iter().map(|d| d.message.as_str()).collect();
    Refused { reason: reasons.join("; "), advice: told.iter().find_map(|d| d.advice.clone()) }
}
