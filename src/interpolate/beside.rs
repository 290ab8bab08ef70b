//! Surfaces on both sides of barriers: each node is given its head by the wells it sees.

use std::collections::BTreeMap;

use geo::Coord;
use rayon::prelude::*;

use super::grid::{Grid, GridSpec};
use super::kriging::{Covariance, Drift, Heads, Kriging};
use super::linear::linear;
use super::natural::{NaturalNeighbour, Variant};
use super::rim::Rim;
use super::scattered::AT_WELL_M;
use super::surface::{
    Fields, KrigingReport, about, covariance, drift, inverse_distances, thin_plate_of,
};
use super::views::{self, View};
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic};
use crate::error::Error;
use crate::geom::fit_plane;
use crate::geom::tolerance::MOST_VIEWED;
use crate::read::{Method, SiteFile};
use crate::triangulate;
use crate::triangulate::Mesh;

/// A head, and its standard deviation where the method gives one; NaN where there is none.
type Value = (f64, f64);

const NOTHING: Value = (f64::NAN, f64::NAN);

/// What the wells make of the nodes where barriers stand between them.
///
/// Nodes that see the same wells are worked out together, from these wells alone and within their
/// outline.
///
/// # Errors
/// [`Error::Map`] with M407 when the method cannot be used, or when the views are too many.
pub(super) fn fields(
    site: &SiteFile,
    control: &ControlSet,
    mesh: &Mesh,
    spec: GridSpec,
    sds: &[f64],
) -> Result<Fields, Error> {
    let frame = control.frame();
    let whole = triangulate::mesh_of(mesh.local().to_vec(), mesh.heads().to_vec());
    let within = linear(&whole, frame, spec);
    let kriged = site.settings.surface.method == Method::Kriging;
    let drift = if kriged {
        drift(&site.settings.surface.kriging, site, control)?
    } else {
        Drift::default()
    };
    // Cones of pumped wells are looked at like wells: behind a wall they are not felt.
    let cones: Vec<Coord> = drift.cones.iter().flatten().map(|w| w.position).collect();
    let points: Vec<Coord> = mesh.local().iter().chain(&cones).copied().collect();
    let views = views::of(&within, frame, &points, control.beside().barriers(), MOST_VIEWED)
        .map_err(|views::TooMany| too_many())?;
    let side = Side { site, control, mesh, sds, drift };
    let shared = if kriged { Some(side.shared(&views)?) } else { None };
    let done: Vec<Result<Vec<Value>, Error>> =
        views.par_iter().map(|view| side.view(view, spec, shared.as_ref())).collect();
    let mut heads = vec![f64::NAN; spec.rows * spec.columns];
    let mut sd = if kriged { heads.clone() } else { Vec::new() };
    let mut refusals = Vec::new();
    for (view, values) in views.iter().zip(done) {
        match values {
            Ok(values) => {
                for (node, value) in view.nodes.iter().zip(values) {
                    heads[*node as usize] = value.0;
                    if kriged {
                        sd[*node as usize] = value.1;
                    }
                }
            }
            Err(error) => {
                for told in error.diagnostics() {
                    if !refusals.contains(told) {
                        refusals.push(told.clone());
                    }
                }
            }
        }
    }
    if !refusals.is_empty() {
        return Err(Error::Map(refusals));
    }
    let sd = kriged.then(|| Grid::new(spec, sd));
    let mut rim = Rim::new(&whole, frame, &spec);
    let along = side.along(&rim, &points, shared.as_ref())?;
    rim.take(along);
    Ok(Fields { heads: Grid::new(spec, heads), sd, planes: None, rim, kriging: shared })
}

/// What every view is worked out from.
struct Side<'a> {
    site: &'a SiteFile,
    control: &'a ControlSet,
    mesh: &'a Mesh,
    sds: &'a [f64],
    drift: Drift,
}

impl Side<'_> {
    /// The wells among the points of a view.
    fn wells<'v>(&self, view: &'v View) -> &'v [usize] {
        &view.points[..view.points.partition_point(|i| *i < self.mesh.local().len())]
    }

    /// The drift with the cones that a view sees.
    fn drift(&self, view: &View) -> Drift {
        let mut next = self.mesh.local().len();
        let mut seen = |_: &_| {
            next += 1;
            view.points.binary_search(&(next - 1)).is_ok()
        };
        let mut cones = Vec::new();
        for cone in &self.drift.cones {
            let cone: Vec<_> = cone.iter().copied().filter(|w| seen(w)).collect();
            if !cone.is_empty() {
                cones.push(cone);
            }
        }
        Drift { plane: self.drift.plane, cones }
    }

    /// The covariance that all views share: fitted where most wells see each other, as far as they
    /// see the same nodes.
    fn shared(&self, views: &[View]) -> Result<KrigingReport, Error> {
        let is_well =
            |i: &&usize| self.control.beside().stream(&self.control.points()[**i]).is_none();
        let largest =
            views.iter().rev().max_by_key(|v| self.wells(v).iter().filter(is_well).count());
        let wells: Vec<usize> = largest
            .map_or_else(Vec::new, |v| self.wells(v).iter().filter(is_well).copied().collect());
        let drift = largest.map_or_else(Drift::default, |v| self.drift(v));
        let (covariance, fit) = covariance(
            &self.site.settings.surface.kriging,
            self.control,
            self.mesh,
            self.sds,
            &wells,
            &drift,
        )?;
        let all = largest.map_or(&[][..], |v| self.wells(v));
        let trend = self.kriging(all, &covariance, &drift)?.trend();
        Ok(KrigingReport { covariance, fit, trend })
    }

    fn kriging(
        &self,
        wells: &[usize],
        covariance: &Covariance,
        drift: &Drift,
    ) -> Result<Kriging, Error> {
        let (places, heads) = self.part(wells);
        let sds: Vec<f64> = wells.iter().map(|i| self.sds[*i]).collect();
        let heads = Heads { wells: &places, values: &heads, sd: Some(&sds) };
        Kriging::new(&heads, covariance, drift)
            .map_err(|e| Error::Map(vec![about(&e, self.control, wells)]))
    }

    fn part(&self, wells: &[usize]) -> (Vec<Coord>, Vec<f64>) {
        wells.iter().map(|i| (self.mesh.local()[*i], self.mesh.heads()[*i])).unzip()
    }

    /// The heads along the outline, each from the wells that are seen from there.
    fn along(
        &self,
        rim: &Rim,
        points: &[Coord],
        shared: Option<&KrigingReport>,
    ) -> Result<Vec<f64>, Error> {
        let barriers = self.control.beside().barriers();
        let seen = views::seen_from(rim.places(), points, barriers);
        let mut views: BTreeMap<Vec<usize>, Vec<usize>> = BTreeMap::new();
        for (place, points) in seen.into_iter().enumerate() {
            views.entry(points).or_default().push(place);
        }
        let mut heads = vec![f64::NAN; rim.places().len()];
        for (points, places) in views {
            let at: Vec<Coord> = places.iter().map(|place| rim.places()[*place]).collect();
            let values = self.at(&View { points, nodes: Vec::new() }, &at, shared)?;
            for (place, value) in places.into_iter().zip(values) {
                heads[place] = value.0;
            }
        }
        Ok(heads)
    }

    /// The values at the nodes of a view, in their order.
    fn view(
        &self,
        view: &View,
        spec: GridSpec,
        shared: Option<&KrigingReport>,
    ) -> Result<Vec<Value>, Error> {
        let node = |k: usize| spec.node(k / spec.columns, k % spec.columns);
        let nodes: Vec<Coord> =
            view.nodes.iter().map(|k| self.control.frame().to_local(node(*k as usize))).collect();
        self.at(view, &nodes, shared)
    }

    /// The values at places that have a view, in their order.
    fn at(
        &self,
        view: &View,
        nodes: &[Coord],
        shared: Option<&KrigingReport>,
    ) -> Result<Vec<Value>, Error> {
        let settings = &self.site.settings.surface;
        let wells = self.wells(view);
        let (places, heads) = self.part(wells);
        let nothing = vec![NOTHING; nodes.len()];
        if fit_plane(&places, &heads).is_none() {
            return Ok(nothing);
        }
        let mesh = triangulate::mesh_of(places, heads);
        let inside: Vec<bool> = nodes.iter().map(|p| mesh.surrounds(*p, AT_WELL_M)).collect();
        let each = |head: &(dyn Fn(Coord) -> f64 + Sync)| -> Vec<Value> {
            let nodes = nodes.par_iter().zip(&inside).with_min_len(64);
            nodes.map(|(p, i)| if *i { (head(*p), f64::NAN) } else { NOTHING }).collect()
        };
        let none = |head: Option<f64>| head.unwrap_or(f64::NAN);
        let method = settings.method;
        Ok(match method {
            Method::Linear => nothing,
            Method::NaturalNeighbour => {
                let surface = NaturalNeighbour::new(&mesh, Variant::Plain);
                each(&|p| none(surface.at(p)))
            }
            Method::SmoothNaturalNeighbour => {
                let surface = NaturalNeighbour::new(&mesh, Variant::Smooth);
                each(&|p| none(surface.at(p)))
            }
            Method::ThinPlate => {
                let plate = thin_plate_of(settings, self.control.frame(), &mesh)?;
                each(&|p| plate.at(p))
            }
            Method::InverseDistance => {
                let surface = inverse_distances(settings, self.control.frame(), &mesh)?;
                each(&|p| none(surface.at(p)))
            }
            Method::Kriging => {
                let Some(shared) = shared else { return Ok(nothing) };
                let drift = self.drift(view);
                let terms = 1 + 2 * usize::from(drift.plane) + drift.cones.len();
                if wells.len() <= terms {
                    return Ok(nothing);
                }
                let kriging = self.kriging(wells, &shared.covariance, &drift)?;
                let done = kriging.predict(nodes);
                done.iter()
                    .zip(&inside)
                    .map(|(p, i)| if *i { (p.head, p.variance.sqrt()) } else { NOTHING })
                    .collect()
            }
        })
    }
}

fn too_many() -> Error {
    Error::Map(vec![
        Diagnostic::new(
            Code::SurfaceRefused,
            format!(
                "past the barriers the grid's nodes have so many different views of the wells \
                 that all views together hold more than {MOST_VIEWED} wells"
            ),
        )
        .advice(
            "draw the linear surface, which needs no views; or set a larger cell, or simplify the \
             barriers",
        ),
    ])
}
