//! What every method of interpolation answers: values at places, on the grid of a map, and at each
//! well from the others.

use std::fmt::Debug;

use geo::Coord;
use rayon::prelude::*;

use super::grid::{Grid, GridSpec};
use super::linear::linear;
use super::types::KrigingReport;
use crate::geom::Frame;
use crate::triangulate::Mesh;

/// Places that one thread works on in one go.
const PLACES_AT_ONCE: usize = 64;

/// What a method says, and how sure it is of that where it knows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Value {
    /// The head, in its unit.
    pub(crate) head: f64,
    /// The variance of its error; NaN where the method has none.
    pub(crate) variance: f64,
}

impl Value {
    /// A head without a variance.
    pub(super) const fn of(head: f64) -> Self {
        Self { head, variance: f64::NAN }
    }
}

/// Heads of a map, in the unit of the wells' values.
#[derive(Debug)]
pub(super) struct Drawn {
    /// At the nodes of its grid.
    pub(super) heads: Grid,
    /// Their standard deviations where the method has one.
    pub(super) sd: Option<Grid>,
    /// Along the outline of the wells; NaN where there is none.
    pub(super) along: Vec<f64>,
}

/// A surface through wells by some method.
pub(super) trait Predictor: Debug + Send + Sync {
    /// The wells, with their values.
    fn mesh(&self) -> &Mesh;

    /// The values at places within the outline of the wells; `None` where the method has none.
    ///
    /// # Units
    /// - `places`: m
    fn at(&self, places: &[Coord]) -> Vec<Option<Value>>;

    /// The value at each well from all others; its variance has the reading's own. `None` where the
    /// others say nothing.
    fn leave_one_out(&self) -> Vec<Option<Value>>;

    /// The heads of a map: at the nodes within the outline of the wells, and at places along it. A
    /// method that has a quicker way than place by place takes it.
    ///
    /// # Units
    /// - `frame`: that of the mesh; `spec`: CRS units; `along`: m
    fn draw(&self, frame: &Frame, spec: GridSpec, along: &[Coord]) -> Drawn {
        let mut heads = linear(self.mesh(), frame, spec).heads;
        let nodes: Vec<usize> = (0..heads.len()).filter(|k| heads[*k].is_finite()).collect();
        let node = |k: &usize| frame.to_local(spec.node(k / spec.columns, k % spec.columns));
        let places: Vec<Coord> = nodes.iter().map(node).collect();
        let mut sd = vec![f64::NAN; heads.len()];
        for (k, value) in nodes.iter().zip(self.at(&places)) {
            heads[*k] = value.map_or(f64::NAN, |v| v.head);
            sd[*k] = value.map_or(f64::NAN, |v| v.variance.sqrt());
        }
        let sure = sd.iter().any(|sd| sd.is_finite());
        Drawn {
            heads: Grid::new(spec, heads),
            sd: sure.then(|| Grid::new(spec, sd)),
            along: heads_at(self, along),
        }
    }

    /// What kriging rests on; `None` of other methods.
    fn kriging(&self) -> Option<KrigingReport> {
        None
    }
}

/// The heads at places; NaN where there is none.
///
/// # Units
/// - `places`: m
pub(super) fn heads_at<P: Predictor + ?Sized>(surface: &P, places: &[Coord]) -> Vec<f64> {
    if places.is_empty() {
        return Vec::new();
    }
    surface.at(places).into_iter().map(|value| value.map_or(f64::NAN, |v| v.head)).collect()
}

/// The values of a method that has no variance, place by place.
///
/// # Units
/// - `places`: m
pub(super) fn each(
    places: &[Coord],
    head: impl Fn(Coord) -> Option<f64> + Sync,
) -> Vec<Option<Value>> {
    let places = places.par_iter().with_min_len(PLACES_AT_ONCE);
    places.map(|p| head(*p).map(Value::of)).collect()
}

/// Heads without a variance.
pub(super) fn values(heads: Vec<Option<f64>>) -> Vec<Option<Value>> {
    heads.into_iter().map(|head| head.map(Value::of)).collect()
}
