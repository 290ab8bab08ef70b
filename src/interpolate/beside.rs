//! Surfaces past barriers: each node, and each place where
//! the outline cuts the grid, is given its head by the views of the wells that it has.

use geo::Coord;
use rayon::prelude::*;

use super::grid::{Grid, GridSpec};
use super::linear::linear;
use super::rim::Rim;
use super::sight::{Mean, Outline, Range, Value, View, fades_m};
use super::surface::Fields;
use super::through::Basis;
use crate::check::ControlSet;
use crate::diag::bounded;
use crate::error::Error;
use crate::read::{Method, Site};
use crate::triangulate;
use crate::triangulate::Mesh;

/// What the wells make of the nodes where barriers stand between them.
///
/// # Errors
/// [`Error::Map`] with M407 when the method cannot be used, or when the views are too many.
pub(super) fn fields(
    site: &Site,
    control: &ControlSet,
    mesh: &Mesh,
    spec: GridSpec,
    sds: &[f64],
) -> Result<Fields, Error> {
    let frame = control.frame();
    let basis = Basis::new(site, &site.settings.surface, control, mesh, sds)?;
    let whole = triangulate::mesh_of(mesh.local().to_vec(), mesh.heads().to_vec());
    let within = linear(&whole, frame, spec);
    let method = site.settings.surface.method;
    // A triangle that no barrier meets is one of every view that its places have.
    let drawn = (method == Method::Linear).then(|| linear(mesh, frame, spec));
    let kriged = method == Method::Kriging;
    let mut heads = drawn.map_or_else(|| vec![f64::NAN; within.heads.len()], |grid| grid.heads);
    let mut sd = if kriged { heads.clone() } else { Vec::new() };
    let mut rim = Rim::new(&whole, frame, &spec);
    let open = |k: &usize| within.heads[*k].is_finite() && heads[*k].is_nan();
    // Places on the outline are numbered on from the nodes.
    let count = heads.len();
    let places: Vec<usize> =
        (0..count).filter(open).chain(count..count + rim.places().len()).collect();
    let wells: Vec<Coord> = control.wells().iter().map(|i| mesh.local()[*i]).collect();
    let fades_m = fades_m(&wells);
    let place = |k: usize| match k.checked_sub(count) {
        Some(on_outline) => rim.places()[on_outline],
        None => frame.to_local(spec.node(k / spec.columns, k % spec.columns)),
    };
    let views = basis.views(&places, |k| (place(k), fades_m))?.unwrap_or_default();
    let done: Vec<Result<Vec<Said>, Error>> =
        views.par_iter().map(|view| of_view(&basis, view, fades_m, place)).collect();
    let mut means = vec![Mean::default(); places.len()];
    let mut refusals = Vec::new();
    for values in done {
        match values {
            Ok(values) => {
                for Said { place, range, part, value } in values {
                    if let Ok(k) = places.binary_search(&place) {
                        means[k].add(range, part, value);
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
        return Err(Error::Map(bounded(refusals)));
    }
    let mut along = vec![f64::NAN; rim.places().len()];
    for (k, value) in places.iter().zip(&means).filter_map(|(k, m)| Some((*k, m.value()?))) {
        if k >= count {
            along[k - count] = value.head;
            continue;
        }
        heads[k] = value.head;
        if kriged {
            sd[k] = value.variance.sqrt();
        }
    }
    rim.take(along);
    let sd = kriged.then(|| Grid::new(spec, sd));
    let heads = Grid::new(spec, heads);
    Ok(Fields { heads, sd, planes: None, rim, kriging: basis.report(None) })
}

/// What a view says at a place.
struct Said {
    place: usize,
    range: Range,
    part: f64,
    value: Value,
}

/// What a view says at its places, in their order, as far as it says something.
fn of_view(
    basis: &Basis<'_>,
    view: &View,
    fades_m: f64,
    at: impl Fn(usize) -> Coord,
) -> Result<Vec<Said>, Error> {
    let Some(surface) = basis.through(&view.points)? else { return Ok(Vec::new()) };
    let points = basis.control_points(&view.points).iter();
    let outline = Outline::of(points.map(|i| basis.mesh.local()[*i]));
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
    Ok(within.iter().zip(surface.at(&places)).filter_map(said).collect())
}
