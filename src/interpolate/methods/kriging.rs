//! Kriging, as `[kriging]` and `[[pumped_wells]]` ask for it. `docs/kriging.md`.

use std::borrow::Cow;
use std::sync::Arc;

use geo::Coord;

use super::cones::{Held, Shared};
use super::given;
use crate::error::Error;
use crate::geom::Frame;
use crate::interpolate::basis::Basis;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::kriging::{Kriging, PumpedWell};
use crate::interpolate::linear::linear;
use crate::interpolate::predictor::{Drawn, Predictor, Value};
use crate::interpolate::ready::{Made, Ready, Sample};
use crate::interpolate::types::KrigingReport;
use crate::read::SurfaceSettings;
use crate::triangulate::Mesh;

/// A kriged surface of what the cones that are held leave of the heads.
#[derive(Debug)]
struct Kriged<'a> {
    mesh: Cow<'a, Mesh>,
    /// The control points, by their number.
    points: Vec<usize>,
    shared: Arc<Shared>,
    rest: Kriging,
    cones: Vec<Cone>,
}

/// A cone that is held, as far as its pumped wells are seen.
#[derive(Debug)]
struct Cone {
    held: Held,
    wells: Vec<PumpedWell>,
    /// What covariance and drift make of the cone itself from its depth at the control points.
    kriged: Kriging,
}

/// Fits what all surfaces share. Behind a barrier a pumped well is not felt: it is looked at like a
/// control point.
///
/// # Errors
/// [`Error::Map`] with M407.
pub(super) fn ready<'a>(
    basis: &'a Basis<'a>,
    settings: &'a SurfaceSettings,
) -> Result<Ready<'a>, Error> {
    let drift = given::drift(&settings.kriging, basis)?;
    let sight = basis.sight(drift.cones.iter().flatten().map(|w| w.position));
    let shared = Arc::new(Shared::new(basis, &settings.kriging, sight.as_ref(), drift)?);
    Ok(Ready {
        sight,
        more_than: shared.drift.terms(),
        make: Box::new(move |sample| through(basis, Arc::clone(&shared), sample)),
    })
}

fn through<'a>(basis: &'a Basis<'a>, shared: Arc<Shared>, sample: Sample<'a>) -> Made<'a> {
    let mesh = &sample.mesh;
    let mut rest = mesh.heads().to_vec();
    let mut cones = Vec::new();
    for (held, wells) in shared.held(&sample.seen) {
        let depths: Vec<f64> = mesh.local().iter().map(|p| depth(&wells, *p)).collect();
        for (rest, depth) in rest.iter_mut().zip(&depths) {
            *rest -= held.factor * depth;
        }
        cones.push((held.clone(), wells, depths));
    }
    let points = sample.points().to_vec();
    let rest = given::system(basis, &points, &rest, &shared.covariance, &shared.drift)?;
    let cone = |(held, wells, depths)| Cone { held, wells, kriged: rest.with_values(depths) };
    let cones = cones.into_iter().map(cone).collect();
    Ok(Box::new(Kriged { mesh: sample.mesh, points, shared, rest, cones }))
}

/// A cone's term of the drift at a place.
fn depth(wells: &[PumpedWell], p: Coord) -> f64 {
    wells.iter().map(|w| w.cone_at(p)).sum()
}

impl Predictor for Kriged<'_> {
    fn mesh(&self) -> &Mesh {
        &self.mesh
    }

    /// The factor of a cone that is held adds its own error: by as much as the cone is deeper at the
    /// place than covariance and drift make it from its depth at the control points.
    fn at(&self, places: &[Coord]) -> Vec<Option<Value>> {
        let rest = self.rest.predict(places).into_iter();
        let mut values: Vec<Value> =
            rest.map(|p| Value { head: p.head, variance: p.variance }).collect();
        for Cone { held, wells, kriged } in &self.cones {
            for ((value, p), foretold) in values.iter_mut().zip(places).zip(kriged.heads(places)) {
                let depth = depth(wells, *p);
                value.head += held.factor * depth;
                value.variance += (depth - foretold) * (depth - foretold) * held.variance;
            }
        }
        values.into_iter().map(Some).collect()
    }

    /// Without a point the factors are those of the others.
    fn leave_one_out(&self) -> Vec<Option<Value>> {
        let heads = self.mesh.heads();
        let rest = self.rest.leave_one_out();
        let cones: Vec<_> = self.cones.iter().map(|c| c.kriged.leave_one_out()).collect();
        let without = |i: usize| {
            let rest = rest[i].filter(|_| heads.len() - 1 > self.shared.drift.terms())?;
            let mut value = Value { head: heads[i] - rest.residual, variance: rest.variance };
            for (Cone { held, .. }, left_out) in self.cones.iter().zip(&cones) {
                let (factor, variance) = held.without(self.points[i])?;
                let deeper = left_out[i]?.residual;
                value.head += (factor - held.factor) * deeper;
                value.variance += deeper * deeper * variance;
            }
            Some(value)
        };
        (0..heads.len()).map(without).collect()
    }

    /// Of one surface through all control points, the only one that maps ask for: no cone is held.
    fn draw(&self, frame: &Frame, spec: GridSpec, along: &[Coord]) -> Drawn {
        debug_assert!(self.cones.is_empty(), "past barriers places are asked for one by one");
        let within = linear(&self.mesh, frame, spec);
        let surface = self.rest.grid(frame, spec, |p| within.nearest(frame.to_crs(p)).is_some());
        Drawn { heads: surface.heads, sd: Some(surface.sd), along: self.rest.heads(along) }
    }

    fn kriging(&self) -> Option<KrigingReport> {
        let Shared { covariance, fit, trend, drift, .. } = &*self.shared;
        // Past barriers this is one surface of several.
        let patches = self.rest.patches().filter(|_| trend.is_none());
        let trend = trend.clone().unwrap_or_else(|| self.rest.trend());
        let (covariance, fit) = (*covariance, fit.clone());
        let (plane, cones) = (drift.plane, drift.cones.clone());
        Some(KrigingReport { covariance, fit, patches, plane, cones, trend })
    }
}
