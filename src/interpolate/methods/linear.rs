//! Planes on Delaunay triangles. `docs/surface.md`.

use std::borrow::Cow;

use geo::Coord;

use crate::geom::Frame;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::linear::{Facets, linear};
use crate::interpolate::predictor::{Drawn, Predictor, Value, each, heads_at, values};
use crate::interpolate::ready::Sample;
use crate::interpolate::stars;
use crate::triangulate::Mesh;

#[derive(Debug)]
struct Linear<'a>(Cow<'a, Mesh>);

pub(super) fn through(sample: Sample<'_>) -> Box<dyn Predictor + '_> {
    Box::new(Linear(sample.mesh))
}

impl Predictor for Linear<'_> {
    fn mesh(&self) -> &Mesh {
        &self.0
    }

    fn at(&self, places: &[Coord]) -> Vec<Option<Value>> {
        let facets = Facets::new(&self.0);
        each(places, |p| facets.at(p))
    }

    fn leave_one_out(&self) -> Vec<Option<Value>> {
        values(stars::leave_one_out(&self.0))
    }

    fn draw(&self, frame: &Frame, spec: GridSpec, along: &[Coord]) -> Drawn {
        let heads = linear(&self.0, frame, spec);
        Drawn { heads, sd: None, along: heads_at(self, along) }
    }
}
