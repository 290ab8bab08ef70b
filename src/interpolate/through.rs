//! A surface through those of a site's control points that are seen together, by the method that
//! its settings ask for.

use std::borrow::Cow;

use geo::Coord;
use rayon::prelude::*;

use super::held::{Held, Shared};
use super::inverse_distance::InverseDistance;
use super::kriging::{Covariance, Drift, Heads, Kriging, PumpedWell, TrendTerm};
use super::linear::Facets;
use super::natural::{NaturalNeighbour, Variant};
use super::sight::{Sight, TooMany, Value, View};
use super::stars;
use super::surface::{about, drift, inverse_distances, thin_plate_of};
use super::thin_plate::ThinPlate;
use super::types::KrigingReport;
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic};
use crate::error::Error;
use crate::geom::fit_plane;
use crate::geom::tolerance::MOST_VIEWED;
use crate::read::{Method, Site, SurfaceSettings};
use crate::triangulate;
use crate::triangulate::Mesh;

/// What the surfaces of a site are worked out from.
#[derive(Debug)]
pub(crate) struct Basis<'a> {
    pub(super) settings: &'a SurfaceSettings,
    pub(super) control: &'a ControlSet,
    pub(super) mesh: &'a Mesh,
    pub(super) sds: &'a [f64],
    /// The control points and then the pumped wells, as they are seen past the barriers; `None`
    /// where there are no barriers.
    sight: Option<Sight>,
    /// What kriging shares between all surfaces.
    shared: Option<Shared>,
}

/// A surface.
#[derive(Debug)]
pub(crate) struct Through<'a> {
    mesh: Cow<'a, Mesh>,
    by: By,
}

#[derive(Debug)]
enum By {
    Linear(Facets),
    Natural(Variant),
    ThinPlate(Box<ThinPlate>),
    InverseDistance(InverseDistance),
    Kriging(Box<Kriged>),
}

/// A kriged surface of what the cones that are held leave of the heads.
#[derive(Debug)]
struct Kriged {
    rest: Kriging,
    cones: Vec<Cone>,
    /// The control points, by their number.
    points: Vec<usize>,
    /// How many there must be more than.
    terms: usize,
}

/// A cone that is held, as far as its pumped wells are seen.
#[derive(Debug)]
struct Cone {
    held: Held,
    wells: Vec<PumpedWell>,
    /// What covariance and drift make of the cone itself from its depth at the control points.
    kriged: Kriging,
}

impl<'a> Basis<'a> {
    /// The basis of a site's surfaces by one method, with all that its surfaces share.
    ///
    /// # Units
    /// - `mesh`: m, and heads or squares of the saturated thickness; `sds`: the standard deviation of
    ///   each of these, in their unit
    ///
    /// # Errors
    /// [`Error::Map`] with M407 when kriging cannot be used.
    pub(crate) fn new(
        site: &'a Site,
        settings: &'a SurfaceSettings,
        control: &'a ControlSet,
        mesh: &'a Mesh,
        sds: &'a [f64],
    ) -> Result<Self, Error> {
        let drift = match settings.method {
            Method::Kriging => drift(&settings.kriging, site, control)?,
            _ => Drift::default(),
        };
        let barriers = control.beside().barriers();
        // Behind a wall a pumped well is not felt: it is looked at like a control point.
        let cones = drift.cones.iter().flatten().map(|w| w.position);
        let sight = (!barriers.is_empty()).then(|| {
            let points: Vec<Coord> = mesh.local().iter().copied().chain(cones).collect();
            Sight::new(points, barriers)
        });
        let mut basis = Self { settings, control, mesh, sds, sight, shared: None };
        if settings.method == Method::Kriging {
            basis.shared = Some(Shared::new(&basis, drift)?);
        }
        Ok(basis)
    }

    /// What is seen past the barriers; `None` where there are none.
    pub(super) const fn sight(&self) -> Option<&Sight> {
        self.sight.as_ref()
    }

    /// The views that some places have past the barriers; `None` where there are none.
    ///
    /// # Units
    /// - `at`: gives a place and its [`super::fades_m`], m, by number
    ///
    /// # Errors
    /// [`Error::Map`] with M407 when the views are too many.
    pub(crate) fn views(
        &self,
        places: &[usize],
        at: impl Fn(usize) -> (Coord, f64) + Sync,
    ) -> Result<Option<Vec<View>>, Error> {
        let views = self.sight().map(|sight| sight.views(places, at, MOST_VIEWED)).transpose();
        views.map_err(|TooMany| too_many())
    }

    /// What kriging rests on: with the drift as found by `surface` where there are no barriers.
    pub(crate) fn report(&self, surface: Option<&Through<'_>>) -> Option<KrigingReport> {
        let Shared { covariance, fit, trend, .. } = self.shared.as_ref()?;
        let of_surface = || surface.map(Through::trend).unwrap_or_default();
        let trend = trend.clone().unwrap_or_else(of_surface);
        let patches = match surface.map(|s| &s.by) {
            Some(By::Kriging(kriged)) => kriged.rest.patches(),
            _ => None,
        };
        Some(KrigingReport { covariance: *covariance, fit: fit.clone(), patches, trend })
    }

    /// The surface through the points seen; `None` when they carry none.
    ///
    /// # Errors
    /// [`Error::Map`] with M407 when the method cannot be used.
    pub(crate) fn through(&self, seen: &[usize]) -> Result<Option<Through<'a>>, Error> {
        let points = self.control_points(seen);
        let local: Vec<Coord> = points.iter().map(|i| self.mesh.local()[*i]).collect();
        let heads: Vec<f64> = points.iter().map(|i| self.mesh.heads()[*i]).collect();
        if fit_plane(&local, &heads).is_none() {
            return Ok(None);
        }
        // Barriers have taken triangles out of the map's mesh.
        let mesh = if self.sight.is_none() && points.len() == self.mesh.local().len() {
            Cow::Borrowed(self.mesh)
        } else {
            Cow::Owned(triangulate::mesh_of(local, heads))
        };
        let (settings, frame) = (self.settings, self.control.frame());
        let by = match settings.method {
            Method::Linear => By::Linear(Facets::new(&mesh)),
            Method::NaturalNeighbour => By::Natural(Variant::Plain),
            Method::SmoothNaturalNeighbour => By::Natural(Variant::Smooth),
            Method::ThinPlate => By::ThinPlate(Box::new(thin_plate_of(settings, frame, &mesh)?)),
            Method::InverseDistance => {
                By::InverseDistance(inverse_distances(settings, frame, &mesh)?)
            }
            Method::Kriging => match self.kriged(points, seen, &mesh)? {
                Some(kriged) => By::Kriging(Box::new(kriged)),
                None => return Ok(None),
            },
        };
        Ok(Some(Through { mesh, by }))
    }

    /// The control points among the points seen.
    pub(crate) fn control_points<'v>(&self, seen: &'v [usize]) -> &'v [usize] {
        &seen[..seen.partition_point(|i| *i < self.mesh.local().len())]
    }

    fn kriged(
        &self,
        points: &[usize],
        seen: &[usize],
        mesh: &Mesh,
    ) -> Result<Option<Kriged>, Error> {
        let Some(shared) = self.shared.as_ref().filter(|s| points.len() > s.drift.terms()) else {
            return Ok(None);
        };
        let mut rest = mesh.heads().to_vec();
        let mut cones = Vec::new();
        for (held, wells) in shared.held(seen) {
            let depths: Vec<f64> = mesh.local().iter().map(|p| depth(&wells, *p)).collect();
            for (rest, depth) in rest.iter_mut().zip(&depths) {
                *rest -= held.factor * depth;
            }
            cones.push((held, wells, depths));
        }
        let rest = self.kriging(points, &rest, &shared.covariance, &shared.drift)?;
        let cone = |(held, wells, depths): (&Held, _, _)| {
            let kriged = rest.with_values(depths);
            Cone { held: held.clone(), wells, kriged }
        };
        let cones = cones.into_iter().map(cone).collect();
        Ok(Some(Kriged { rest, cones, points: points.to_vec(), terms: shared.drift.terms() }))
    }

    /// The kriging system of some control points and values at them.
    ///
    /// # Errors
    /// [`Error::Map`] with M407.
    pub(super) fn kriging(
        &self,
        points: &[usize],
        values: &[f64],
        covariance: &Covariance,
        drift: &Drift,
    ) -> Result<Kriging, Error> {
        let places: Vec<Coord> = points.iter().map(|i| self.mesh.local()[*i]).collect();
        let sds: Vec<f64> = points.iter().map(|i| self.sds[*i]).collect();
        let heads = Heads { wells: &places, values, sd: Some(&sds) };
        Kriging::new(&heads, covariance, drift)
            .map_err(|e| Error::Map(vec![about(&e, self.control, points)]))
    }
}

fn too_many() -> Error {
    Error::Map(vec![
        Diagnostic::new(
            Code::SurfaceRefused,
            format!(
                "past the barriers the places of the map have so many different views of the wells \
                 that all views together hold more than {MOST_VIEWED} wells"
            ),
        )
        .advice("set a larger cell, or simplify the barriers"),
    ])
}

/// A cone's term of the drift at a place.
fn depth(wells: &[PumpedWell], p: Coord) -> f64 {
    wells.iter().map(|w| w.cone_at(p)).sum()
}

/// A head without a variance.
const fn sure(head: f64) -> Value {
    Value { head, variance: f64::NAN }
}

impl Through<'_> {
    /// The values at places within the outline of the points; `None` where there is none.
    ///
    /// # Units
    /// - `places`: m
    pub(crate) fn at(&self, places: &[Coord]) -> Vec<Option<Value>> {
        let each = |head: &(dyn Fn(Coord) -> Option<f64> + Sync)| {
            let places = places.par_iter().with_min_len(64);
            places.map(|p| head(*p).map(sure)).collect()
        };
        match &self.by {
            By::Linear(surface) => each(&|p| surface.at(p)),
            By::Natural(variant) => {
                let surface = NaturalNeighbour::new(&self.mesh, *variant);
                each(&|p| surface.at(p))
            }
            By::ThinPlate(surface) => each(&|p| Some(surface.at(p))),
            By::InverseDistance(surface) => each(&|p| surface.at(p)),
            By::Kriging(kriged) => kriged.at(places),
        }
    }

    /// The value at each of the control points from all others, in their order; its variance has the
    /// reading's own. `None` where the others say nothing, or carry no surface.
    pub(crate) fn leave_one_out(&self) -> Vec<Option<Value>> {
        let heads = match &self.by {
            By::Linear(_) => stars::leave_one_out(&self.mesh),
            By::Natural(variant) => NaturalNeighbour::new(&self.mesh, *variant).leave_one_out(),
            By::ThinPlate(surface) => surface.leave_one_out(),
            By::InverseDistance(surface) => surface.leave_one_out(),
            By::Kriging(kriged) => return self.carried(kriged.leave_one_out(self.mesh.heads())),
        };
        self.carried(heads.into_iter().map(|head| head.map(sure)).collect())
    }

    /// What the others say where they carry a surface.
    fn carried(&self, mut values: Vec<Option<Value>>) -> Vec<Option<Value>> {
        let (local, count) = (self.mesh.local(), values.len());
        let plane = fit_plane(local, self.mesh.heads());
        for (value, at) in values.iter_mut().zip(local) {
            *value = value.filter(|_| plane.as_ref().is_some_and(|p| p.stands_without(*at, count)));
        }
        values
    }

    /// The drift as found from these points; nothing where there is none.
    fn trend(&self) -> Vec<TrendTerm> {
        match &self.by {
            By::Kriging(kriged) => kriged.rest.trend(),
            _ => Vec::new(),
        }
    }
}

impl Kriged {
    /// The factor of a cone adds its own error: by as much as the cone is deeper at the place than
    /// covariance and drift make it from its depth at the control points.
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
    fn leave_one_out(&self, heads: &[f64]) -> Vec<Option<Value>> {
        let rest = self.rest.leave_one_out();
        let cones: Vec<_> = self.cones.iter().map(|c| c.kriged.leave_one_out()).collect();
        let without = |i: usize| {
            let rest = rest[i].filter(|_| heads.len() - 1 > self.terms)?;
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
}
