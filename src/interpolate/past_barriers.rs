//! Surfaces past barriers: a place is given its head by the views of the wells that it has, on the map
//! and where wells are left out in turn.

use std::borrow::Cow;

use geo::Coord;
use rayon::prelude::*;

use super::basis::Basis;
use super::grid::{Grid, GridSpec};
use super::linear::linear;
use super::predictor::{Predictor, Value};
use super::ready::{Made, Sample};
use super::rim::Rim;
use super::sight::{Mean, Outline, Range, Sight, TooMany, View, fades_m, fades_without_each_m};
use super::types::{Fields, KrigingReport};
use crate::diag::{Code, Diagnostic, bounded};
use crate::error::Error;
use crate::geom::fit_plane;
use crate::geom::tolerance::MOST_VIEWED;
use crate::triangulate;

/// A method past the barriers of a site.
pub(super) struct PastBarriers<'a> {
    pub(super) basis: &'a Basis<'a>,
    pub(super) sight: Sight,
    /// A view carries a surface by more control points than so many.
    pub(super) more_than: usize,
    pub(super) make: Box<dyn Fn(Sample<'a>) -> Made<'a> + Sync + 'a>,
}

/// What a view says at a place.
struct Said {
    place: usize,
    range: Range,
    part: f64,
    value: Value,
}

/// What the views say at their places, and what kriging rests on.
type OfViews<T> = (Vec<T>, Option<KrigingReport>);

impl<'a> PastBarriers<'a> {
    /// What the wells make of the nodes of a map and of its outline. Where `planes` are drawn, a
    /// triangle that no barrier meets is one of every view that its places have.
    ///
    /// # Errors
    /// [`Error::Map`] with M407 when the method cannot be used, or when the views are too many.
    pub(super) fn draw(&self, spec: GridSpec, planes: bool, sure: bool) -> Result<Fields, Error> {
        let (frame, mesh) = (self.basis.frame(), &*self.basis.mesh);
        let whole = triangulate::mesh_of(mesh.local().to_vec(), mesh.heads().to_vec());
        let within = linear(&whole, frame, spec);
        let drawn = planes.then(|| linear(mesh, frame, spec));
        let mut heads = drawn.map_or_else(|| vec![f64::NAN; within.heads.len()], |grid| grid.heads);
        let mut sd = if sure { heads.clone() } else { Vec::new() };
        let mut rim = Rim::new(&whole, frame, &spec);
        let open = |k: &usize| within.heads[*k].is_finite() && heads[*k].is_nan();
        // Places on the outline are numbered on from the nodes.
        let count = heads.len();
        let places: Vec<usize> =
            (0..count).filter(open).chain(count..count + rim.places().len()).collect();
        let wells = self.basis.control.wells();
        let wells: Vec<Coord> = wells.into_iter().map(|i| mesh.local()[i]).collect();
        let fades_m = fades_m(&wells);
        let place = |k: usize| match k.checked_sub(count) {
            Some(on_outline) => rim.places()[on_outline],
            None => frame.to_local(spec.node(k / spec.columns, k % spec.columns)),
        };
        let views = self.views(&places, |k| (place(k), fades_m))?;
        let (said, kriging) = of_all(&views, |view| self.at_places(view, fades_m, place))?;
        let mut means = vec![Mean::default(); places.len()];
        for Said { place, range, part, value } in said {
            if let Ok(k) = places.binary_search(&place) {
                means[k].add(range, part, value);
            }
        }
        let mut along = vec![f64::NAN; rim.places().len()];
        for (k, value) in places.iter().zip(&means).filter_map(|(k, m)| Some((*k, m.value()?))) {
            if k >= count {
                along[k - count] = value.head;
                continue;
            }
            heads[k] = value.head;
            if sure {
                sd[k] = value.variance.sqrt();
            }
        }
        rim.take(along);
        let sd = sure.then(|| Grid::new(spec, sd));
        Ok(Fields { heads: Grid::new(spec, heads), sd, planes: None, rim, kriging })
    }

    /// What a view says at its places, in their order, as far as it says something.
    fn at_places(
        &self,
        view: &View,
        fades_m: f64,
        at: impl Fn(usize) -> Coord,
    ) -> Result<OfViews<Said>, Error> {
        let Some(surface) = self.through(view)? else { return Ok((Vec::new(), None)) };
        let outline = Outline::of(surface.mesh().local().iter().copied());
        let parts = view.places.iter().map(|(k, _)| outline.part(at(*k), fades_m));
        let within: Vec<(usize, Range, f64)> = view
            .places
            .iter()
            .zip(parts)
            .filter_map(|((k, range), p)| Some((*k, *range, p?)))
            .collect();
        let places: Vec<Coord> = within.iter().map(|w| at(w.0)).collect();
        let said = |((place, range, part), value): (&(usize, Range, f64), Option<Value>)| {
            let value = value.filter(|v| v.head.is_finite())?;
            Some(Said { place: *place, range: *range, part: *part, value })
        };
        let said = within.iter().zip(surface.at(&places)).filter_map(said).collect();
        Ok((said, surface.kriging()))
    }

    /// What the others say at each of the wells that are left out in turn, as the map would have it
    /// there without the well.
    ///
    /// # Errors
    /// As [`Self::draw`].
    pub(super) fn leave_one_out(&self, in_turn: &InTurn) -> Result<OfViews<Option<Value>>, Error> {
        let local = self.basis.mesh.local();
        let views = self.views(&in_turn.wells, |i| (local[i], in_turn.fades_m(i)))?;
        let (said, kriging) = of_all(&views, |view| self.at_wells(view, in_turn))?;
        let mut means = vec![Mean::default(); local.len()];
        for Said { place, range, part, value } in said {
            means[place].add(range, part, value);
        }
        Ok((means.into_iter().map(Mean::value).collect(), kriging))
    }

    /// What a view says at each of its wells from all its others.
    fn at_wells(&self, view: &View, in_turn: &InTurn) -> Result<OfViews<Said>, Error> {
        let Some(surface) = self.through(view)? else { return Ok((Vec::new(), None)) };
        let points = self.basis.points(&view.points);
        let left_out = leave_one_out(&*surface);
        let local = self.basis.mesh.local();
        let of_well = |(well, range): &(usize, Range)| {
            let value = left_out[points.binary_search(well).ok()?]?;
            // With one view there is nothing to weigh it against.
            let part = if range.is_whole() {
                None
            } else {
                let others = points.iter().filter(|i| *i != well).map(|i| local[*i]);
                Outline::of(others).part(local[*well], in_turn.fades_m(*well))
            };
            Some(Said { place: *well, range: *range, part: part.unwrap_or(0.0), value })
        };
        Ok((view.places.iter().filter_map(of_well).collect(), surface.kriging()))
    }

    /// The surface through the control points of a view; `None` when they carry none.
    fn through(&self, view: &View) -> Result<Option<Box<dyn Predictor + 'a>>, Error> {
        let (points, mesh) = (self.basis.points(&view.points), &*self.basis.mesh);
        let local: Vec<Coord> = points.iter().map(|i| mesh.local()[*i]).collect();
        let heads: Vec<f64> = points.iter().map(|i| mesh.heads()[*i]).collect();
        if fit_plane(&local, &heads).is_none() || points.len() <= self.more_than {
            return Ok(None);
        }
        let mesh = Cow::Owned(triangulate::mesh_of(local, heads));
        (self.make)(Sample { mesh, seen: view.points.clone() }).map(Some)
    }

    /// The views that some places have.
    ///
    /// # Units
    /// - `at`: gives a place and its [`fades_m`], m, by number
    fn views(
        &self,
        places: &[usize],
        at: impl Fn(usize) -> (Coord, f64) + Sync,
    ) -> Result<Vec<View>, Error> {
        self.sight.views(places, at, MOST_VIEWED).map_err(|TooMany| too_many())
    }
}

/// The wells that are left out in turn, with all that this asks of them whatever the method.
pub(crate) struct InTurn {
    pub(super) wells: Vec<usize>,
    /// How deep in its shade a point is not seen any more from each well, without it, m; nothing where
    /// there are no barriers.
    fades_m: Vec<f64>,
}

impl InTurn {
    /// Wells and gauges of a site. Points of streams stay in place.
    pub(crate) fn of(basis: &Basis<'_>) -> Self {
        let wells = basis.control.wells();
        let places: Vec<Coord> = wells.iter().map(|i| basis.mesh.local()[*i]).collect();
        let parted = !basis.control.beside().barriers().is_empty();
        let fades_m = if parted { fades_without_each_m(&places) } else { Vec::new() };
        Self { wells, fades_m }
    }

    fn fades_m(&self, well: usize) -> f64 {
        self.wells.binary_search(&well).map_or(0.0, |k| self.fades_m[k])
    }
}

/// What the others say at each well of a surface, where they carry one.
pub(super) fn leave_one_out(surface: &dyn Predictor) -> Vec<Option<Value>> {
    let mut values = surface.leave_one_out();
    let (local, count) = (surface.mesh().local(), values.len());
    let plane = fit_plane(local, surface.mesh().heads());
    for (value, at) in values.iter_mut().zip(local) {
        *value = value.filter(|_| plane.as_ref().is_some_and(|p| p.stands_without(*at, count)));
    }
    values
}

/// What all views say, in their order; or all that is wrong with them, each once.
fn of_all<T: Send>(
    views: &[View],
    of: impl Fn(&View) -> Result<OfViews<T>, Error> + Sync + Send,
) -> Result<OfViews<T>, Error> {
    let done: Vec<Result<OfViews<T>, Error>> = views.par_iter().map(of).collect();
    let (mut said, mut kriging, mut refusals) = (Vec::new(), None, Vec::new());
    for done in done {
        match done {
            Ok((more, report)) => {
                said.extend(more);
                kriging = kriging.or(report);
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
    if refusals.is_empty() { Ok((said, kriging)) } else { Err(Error::Map(bounded(refusals))) }
}

fn too_many() -> Error {
    Error::Map(vec![
        Diagnostic::new(
            Code::SurfaceRefused,
            format!(
                "the barriers hide the wells from the nodes of the map in too many different \
                 ways: more than {MOST_VIEWED} wells in all sets together"
            ),
        )
        .advice("set a larger cell, or simplify the barriers"),
    ])
}
