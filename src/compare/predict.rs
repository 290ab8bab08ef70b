//! What each method says when each well is left out.

use std::collections::BTreeMap;

use geo::Coord;

use super::linear;
use super::types::{Candidate, Prediction, Refused};
use crate::check::ControlSet;
use crate::error::Error;
use crate::geom::fit_plane;
use crate::interpolate::KrigingReport;
use crate::interpolate::Saturated;
use crate::interpolate::kriging::{Covariance, Drift, Fit, Heads, Kriging};
use crate::interpolate::natural::NaturalNeighbour;
use crate::interpolate::natural::Variant;
use crate::interpolate::{about, covariance, drift, inverse_distances, seen_from, thin_plate_of};
use crate::read::KrigingSettings;
use crate::read::Method;
use crate::read::SiteFile;
use crate::triangulate;
use crate::triangulate::Mesh;

/// What all methods stand on: heads, or squares of the saturated thickness.
pub(super) struct Ground<'a> {
    pub(super) site: &'a SiteFile,
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

/// A prediction as the method gives it, and its standardised residual where the method has one.
type Raw = Option<(f64, Option<f64>)>;

/// The control points that some wells see past the barriers, these wells among them.
struct View {
    points: Vec<usize>,
    /// The pumped wells seen, by their number in the drift.
    cones: Vec<usize>,
    wells: Vec<usize>,
}

/// What kriging shares between views.
struct Shared {
    covariance: Covariance,
    fit: Option<Fit>,
    drift: Drift,
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
        let (raw, kriging) = self.raw(candidate).map_err(|e| refused(&e))?;
        let mut predictions = vec![None; heads.len()];
        for &i in self.wells {
            let Some((value, standardised)) = raw[i] else { continue };
            let Some(head) = self.head(value) else { continue };
            let residual = heads[i] - head;
            predictions[i] = Some(Prediction { head, residual, standardised });
        }
        Ok(Foretold { predictions, kriging })
    }

    /// Back to the elevation unit; `None` below the base.
    fn head(&self, value: f64) -> Option<f64> {
        let head = self.saturated.map_or(value, |s| s.base + value.sqrt());
        head.is_finite().then_some(head)
    }

    fn raw(&self, candidate: Candidate) -> Result<(Vec<Raw>, Option<KrigingReport>), Error> {
        if candidate.method == Method::Linear {
            // Triangles that a barrier crosses are not in the mesh.
            return Ok((plain(linear::leave_one_out(self.mesh)), None));
        }
        let settings = KrigingSettings {
            drift: candidate.drift,
            ..self.site.settings.surface.kriging.clone()
        };
        let drift = match candidate.method {
            Method::Kriging => drift(&settings, self.site, self.control)?,
            _ => Drift::default(),
        };
        let views = self.views(&drift);
        let shared = match candidate.method {
            Method::Kriging => Some(self.shared(&settings, &views, drift)?),
            _ => None,
        };
        let mut raw = vec![None; self.mesh.heads().len()];
        let mut report = None;
        let largest = views.iter().map(|v| v.points.len()).max();
        for view in &views {
            let Some((found, trend)) = self.of_view(candidate.method, view, shared.as_ref())?
            else {
                continue;
            };
            for &well in &view.wells {
                if let Ok(k) = view.points.binary_search(&well) {
                    raw[well] = found[k];
                }
            }
            if Some(view.points.len()) == largest && report.is_none() {
                report = trend;
            }
        }
        Ok((raw, report))
    }

    /// The wells by what they see; one view of all where there are no barriers. As on the map, a
    /// head is worked out from the control points seen from its place.
    fn views(&self, drift: &Drift) -> Vec<View> {
        let local = self.mesh.local();
        let barriers = self.control.beside().barriers();
        let cones: Vec<Coord> = drift.cones.iter().flatten().map(|w| w.position).collect();
        let all: Vec<usize> = (0..local.len()).collect();
        if barriers.is_empty() {
            let cones = (0..cones.len()).collect();
            return vec![View { points: all, cones, wells: self.wells.to_vec() }];
        }
        let places: Vec<Coord> = self.wells.iter().map(|i| local[*i]).collect();
        let points: Vec<Coord> = local.iter().chain(&cones).copied().collect();
        let mut views: BTreeMap<Vec<usize>, Vec<usize>> = BTreeMap::new();
        for (well, seen) in self.wells.iter().zip(seen_from(&places, &points, barriers)) {
            views.entry(seen).or_default().push(*well);
        }
        let view = |(seen, wells): (Vec<usize>, Vec<usize>)| {
            let (points, cones) = seen.split_at(seen.partition_point(|i| *i < local.len()));
            let cones = cones.iter().map(|i| i - local.len()).collect();
            View { points: points.to_vec(), cones, wells }
        };
        views.into_iter().map(view).collect()
    }

    /// The covariance given, or fitted where most wells see each other.
    fn shared(
        &self,
        settings: &KrigingSettings,
        views: &[View],
        drift: Drift,
    ) -> Result<Shared, Error> {
        let seen = |view: &View| -> Vec<usize> {
            view.points.iter().copied().filter(|i| self.wells.binary_search(i).is_ok()).collect()
        };
        let largest = views.iter().rev().max_by_key(|v| seen(v).len());
        let wells = largest.map_or_else(Vec::new, seen);
        let part = largest.map_or_else(Drift::default, |v| drift_of(&drift, v));
        let (covariance, fit) =
            covariance(settings, self.control, self.mesh, self.sds, &wells, &part)?;
        Ok(Shared { covariance, fit, drift })
    }

    /// What a method says of all points of a view; `None` when they carry no surface.
    #[expect(clippy::type_complexity, reason = "a prediction each, and what kriging rests on")]
    fn of_view(
        &self,
        method: Method,
        view: &View,
        shared: Option<&Shared>,
    ) -> Result<Option<(Vec<Raw>, Option<KrigingReport>)>, Error> {
        let local: Vec<Coord> = view.points.iter().map(|i| self.mesh.local()[*i]).collect();
        let heads: Vec<f64> = view.points.iter().map(|i| self.mesh.heads()[*i]).collect();
        if fit_plane(&local, &heads).is_none() {
            return Ok(None);
        }
        let whole;
        // Barriers have taken triangles out of the map's mesh.
        let mesh = if self.control.beside().barriers().is_empty() {
            self.mesh
        } else {
            whole = triangulate::mesh_of(local, heads);
            &whole
        };
        let (settings, frame) = (&self.site.settings.surface, self.control.frame());
        let natural = |variant| NaturalNeighbour::new(mesh, variant).leave_one_out();
        let found = match method {
            Method::Linear => linear::leave_one_out(mesh),
            Method::NaturalNeighbour => natural(Variant::Plain),
            Method::SmoothNaturalNeighbour => natural(Variant::Smooth),
            Method::ThinPlate => thin_plate_of(settings, frame, mesh)?.leave_one_out(),
            Method::InverseDistance => inverse_distances(settings, frame, mesh)?.leave_one_out(),
            Method::Kriging => {
                return Ok(shared.map(|s| self.kriged(s, view, mesh)).transpose()?.flatten());
            }
        };
        Ok(Some((plain(found), None)))
    }

    #[expect(clippy::type_complexity, reason = "as `of_view`")]
    fn kriged(
        &self,
        shared: &Shared,
        view: &View,
        mesh: &Mesh,
    ) -> Result<Option<(Vec<Raw>, Option<KrigingReport>)>, Error> {
        let drift = drift_of(&shared.drift, view);
        if view.points.len() <= 1 + 2 * usize::from(drift.plane) + drift.cones.len() {
            return Ok(None);
        }
        let sds: Vec<f64> = view.points.iter().map(|i| self.sds[*i]).collect();
        let heads = Heads { wells: mesh.local(), values: mesh.heads(), sd: Some(&sds) };
        let kriging = Kriging::new(&heads, &shared.covariance, &drift)
            .map_err(|e| Error::Map(vec![about(&e, self.control, &view.points)]))?;
        let found = kriging.leave_one_out().into_iter();
        let found = found.map(|l| l.map(|l| (l.predicted, Some(l.standardised())))).collect();
        let (covariance, fit) = (shared.covariance, shared.fit.clone());
        let report = KrigingReport { covariance, fit, trend: kriging.trend() };
        Ok(Some((found, Some(report))))
    }
}

/// The drift with the cones that a view sees.
fn drift_of(drift: &Drift, view: &View) -> Drift {
    let mut next = 0;
    let mut seen = |_: &_| {
        next += 1;
        view.cones.binary_search(&(next - 1)).is_ok()
    };
    let mut cones = Vec::new();
    for cone in &drift.cones {
        let cone: Vec<_> = cone.iter().copied().filter(|w| seen(w)).collect();
        if !cone.is_empty() {
            cones.push(cone);
        }
    }
    Drift { plane: drift.plane, cones }
}

fn plain(heads: Vec<Option<f64>>) -> Vec<Raw> {
    heads.into_iter().map(|h| h.map(|h| (h, None))).collect()
}

fn refused(error: &Error) -> Refused {
    let told = error.diagnostics();
    let reasons: Vec<&str> = told.iter().map(|d| d.message.as_str()).collect();
    Refused { reason: reasons.join("; "), advice: told.iter().find_map(|d| d.advice.clone()) }
}
