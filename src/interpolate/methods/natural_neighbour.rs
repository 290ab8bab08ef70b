//! Sibson's two natural neighbour surfaces. `docs/natural-neighbour.md`.

use geo::Coord;

use crate::geom::Frame;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::natural::{NaturalNeighbour, Variant};
use crate::interpolate::predictor::{Drawn, Predictor, Value, each, heads_at, values};
use crate::interpolate::ready::Sample;
use crate::triangulate::Mesh;

pub(super) fn through(sample: Sample<'_>, variant: Variant) -> Box<dyn Predictor + '_> {
    Box::new(NaturalNeighbour::of(sample.mesh, variant))
}

impl Predictor for NaturalNeighbour<'_> {
    fn mesh(&self) -> &Mesh {
        NaturalNeighbour::mesh(self)
    }

    fn at(&self, places: &[Coord]) -> Vec<Option<Value>> {
        each(places, |p| NaturalNeighbour::at(self, p))
    }

    fn leave_one_out(&self) -> Vec<Option<Value>> {
        values(NaturalNeighbour::leave_one_out(self))
    }

    fn draw(&self, frame: &Frame, spec: GridSpec, along: &[Coord]) -> Drawn {
        Drawn { heads: self.grid(frame, spec), sd: None, along: heads_at(self, along) }
    }
}
