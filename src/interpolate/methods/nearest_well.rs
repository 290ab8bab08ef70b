//! The head of the nearest well: the example of DEVELOPERS.md.

use std::borrow::Cow;

use geo::Coord;

use crate::geom::distance;
use crate::interpolate::predictor::{Predictor, Value, each, values};
use crate::interpolate::ready::Sample;
use crate::triangulate::Mesh;

#[derive(Debug)]
struct NearestWell<'a>(Cow<'a, Mesh>);

pub(super) fn through(sample: Sample<'_>) -> Box<dyn Predictor + '_> {
    Box::new(NearestWell(sample.mesh))
}

impl NearestWell<'_> {
    /// The head of the well nearest to a place, of those that are not left out.
    fn head(&self, p: Coord, left_out: Option<usize>) -> Option<f64> {
        let away = |i: &usize| distance(self.0.local()[*i], p);
        let others = (0..self.0.heads().len()).filter(|i| Some(*i) != left_out);
        let nearest = others.min_by(|a, b| away(a).total_cmp(&away(b)))?;
        Some(self.0.heads()[nearest])
    }
}

impl Predictor for NearestWell<'_> {
    fn mesh(&self) -> &Mesh {
        &self.0
    }

    fn at(&self, places: &[Coord]) -> Vec<Option<Value>> {
        each(places, |p| self.head(p, None))
    }

    fn leave_one_out(&self) -> Vec<Option<Value>> {
        let wells = self.0.local().iter().enumerate();
        values(wells.map(|(i, p)| self.head(*p, Some(i))).collect())
    }
}
