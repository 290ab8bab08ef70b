//! What each method says when each well is left out.

use geo::Coord;

use super::types::{Candidate, Prediction, Refused};
use crate::check::ControlSet;
use crate::error::Error;
use crate::interpolate::Basis;
use crate::interpolate::KrigingReport;
use crate::interpolate::Saturated;
use crate::interpolate::{Mean, Outline, Range, Value, View, fades_m};
use crate::read::Site;
use crate::triangulate::Mesh;

/// What all methods stand on: heads, or squares of the saturated thickness.
pub(super) struct Ground<'a> {
    pub(super) site: &'a Site,
    pub(super) control: &'a ControlSet,
    pub(super) mesh: &'a Mesh,
    /// Of the mesh's heads, in their unit.
    pub(super) sds: &'a [f64],
    pub(super) saturated: Option<&'a Saturated>,
    /// The control points that are left out in turn: wells and gauges. Points of streams stay.
    pub(super) wells: &'a [usize],
}

/// What one method foretells, for each control point.
pub(super) struct Foretold {
    pub(super) predictions: Vec<Option<Prediction>>,
    pub(super) kriging: Option<KrigingReport>,
}

impl Ground<'_> {
    /// Every well's head from the others, by one method.
    ///
    /// # Units
    /// - `heads`: elevation unit, whatever the ground is in
    pub(super) fn leave_one_out(
        &self,
        candidate: Candidate,
        heads: &[f64],
    ) -> Result<Foretold, Refused> {
        let (values, kriging) = self.values(candidate).map_err(|e| refused(&e))?;
        let mut predictions = vec![None; heads.len()];
        for &i in self.wells {
            let Some(value) = values[i] else { continue };
            let Some(head) = self.head(value.head) else { continue };
            let residual = heads[i] - head;
            // Only kriging knows how sure it is.
            let standardised = (value.variance > 0.0)
                .then(|| (self.mesh.heads()[i] - value.head) / value.variance.sqrt());
            predictions[i] = Some(Prediction { head, residual, standardised });
        }
        Ok(Foretold { predictions, kriging })
    }

    /// Back to the elevation unit; `None` below the base.
    fn head(&self, value: f64) -> Option<f64> {
        let head = self.saturated.map_or(value, |s| s.base + value.sqrt());
        head.is_finite().then_some(head)
    }

    /// What the others say at each well, as the map would have it there without the well.
    fn values(
        &self,
        candidate: Candidate,
    ) -> Result<(Vec<Option<Value>>, Option<KrigingReport>), Error> {
        let mut settings = self.site.settings.surface.clone();
        settings.method = candidate.method;
        settings.kriging.drift = candidate.drift;
        let basis = Basis::new(self.site, &settings, self.control, self.mesh, self.sds)?;
        let mut means = vec![Mean::default(); self.mesh.heads().len()];
        let mut report = None;
        for view in self.views(&basis)? {
            let Some(surface) = basis.through(&view.points)? else { continue };
            report = report.or_else(|| basis.report(Some(&surface)));
            let points = basis.control_points(&view.points);
            let left_out = surface.leave_one_out();
            for (well, range) in &view.places {
                let (well, range) = (*well, *range);
                let Ok(k) = points.binary_search(&well) else { continue };
                let Some(value) = left_out[k] else { continue };
                // With one view there is nothing to weigh it against.
                let part = (!range.is_whole()).then(|| self.part(points, well)).flatten();
                means[well].add(range, part.unwrap_or(0.0), value);
            }
        }
        Ok((means.into_iter().map(Mean::value).collect(), report))
    }

    /// In what part a view of some points counts at one of them without it.
    fn part(&self, points: &[usize], well: usize) -> Option<f64> {
        let others = points.iter().filter(|i| **i != well);
        let outline = Outline::of(others.map(|i| self.mesh.local()[*i]));
        outline.part(self.mesh.local()[well], self.fades_m(well))
    }

    /// The views of the wells; one of all where there are no barriers.
    fn views(&self, basis: &Basis<'_>) -> Result<Vec<View>, Error> {
        let at = |well: usize| (self.mesh.local()[well], self.fades_m(well));
        let views = basis.views(self.wells, at)?;
        let whole = || View {
            points: (0..self.mesh.heads().len()).collect(),
            places: self.wells.iter().map(|well| (*well, Range::WHOLE)).collect(),
        };
        Ok(views.unwrap_or_else(|| vec![whole()]))
    }

    /// How deep in its shade a point is not seen any more from a well, without it, m.
    fn fades_m(&self, without: usize) -> f64 {
        let others = self.wells.iter().filter(|i| **i != without);
        let others: Vec<Coord> = others.map(|i| self.mesh.local()[*i]).collect();
        fades_m(&others)
    }
}

fn refused(error: &Error) -> Refused {
    let told = error.diagnostics();
    let reasons: Vec<&str> = told.iter().map(|d| d.message.as_str()).collect();
    Refused { reason: reasons.join("; "), advice: told.iter().find_map(|d| d.advice.clone()) }
}
