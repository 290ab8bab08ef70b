//! Inverse distance, as `[inverse_distance]` asks for it. `docs/other-surfaces.md`.

use std::borrow::Cow;

use geo::Coord;

use crate::geom::Frame;
use crate::interpolate::basis::Basis;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::inverse_distance::{InverseDistance, Options};
use crate::interpolate::linear::linear;
use crate::interpolate::predictor::{Drawn, Predictor, Value, each, heads_at, values};
use crate::interpolate::ready::{Made, Sample};
use crate::read::SurfaceSettings;
use crate::triangulate::Mesh;

#[derive(Debug)]
struct Weighed<'a> {
    mesh: Cow<'a, Mesh>,
    surface: InverseDistance,
}

pub(super) fn through<'a>(
    basis: &'a Basis<'a>,
    settings: &'a SurfaceSettings,
    Sample { mesh, .. }: Sample<'a>,
) -> Made<'a> {
    let given = settings.inverse_distance;
    let options = Options {
        power: given.power,
        nearest: given.nearest,
        radius_m: given.radius.map(|r| r * basis.frame().metres_per_unit()),
    };
    let surface = InverseDistance::new(mesh.local(), mesh.heads(), options)
        .map_err(|e| e.refused(settings.method))?;
    Ok(Box::new(Weighed { mesh, surface }))
}

impl Predictor for Weighed<'_> {
    fn mesh(&self) -> &Mesh {
        &self.mesh
    }

    fn at(&self, places: &[Coord]) -> Vec<Option<Value>> {
        each(places, |p| self.surface.at(p))
    }

    fn leave_one_out(&self) -> Vec<Option<Value>> {
        values(self.surface.leave_one_out())
    }

    fn draw(&self, frame: &Frame, spec: GridSpec, along: &[Coord]) -> Drawn {
        let within = linear(&self.mesh, frame, spec);
        let heads = self.surface.grid(frame, spec, Some(&within));
        Drawn { heads, sd: None, along: heads_at(self, along) }
    }
}
