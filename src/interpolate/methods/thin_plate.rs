//! The thin-plate spline, as `[thin_plate]` asks for it. `docs/other-surfaces.md`.

use std::borrow::Cow;

use geo::Coord;

use crate::geom::Frame;
use crate::interpolate::basis::Basis;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::linear::linear;
use crate::interpolate::predictor::{Drawn, Predictor, Value, each, heads_at, values};
use crate::interpolate::ready::{Made, Sample};
use crate::interpolate::thin_plate::ThinPlate;
use crate::read::SurfaceSettings;
use crate::triangulate::Mesh;

#[derive(Debug)]
struct Plate<'a> {
    mesh: Cow<'a, Mesh>,
    spline: ThinPlate,
}

pub(super) fn through<'a>(
    basis: &'a Basis<'a>,
    settings: &'a SurfaceSettings,
    Sample { mesh, .. }: Sample<'a>,
) -> Made<'a> {
    let metres = basis.frame().metres_per_unit();
    let smoothing = settings.thin_plate.smoothing * metres * metres;
    let spline = ThinPlate::new(mesh.local(), mesh.heads(), smoothing)
        .map_err(|e| e.refused(settings.method))?;
    Ok(Box::new(Plate { mesh, spline }))
}

impl Predictor for Plate<'_> {
    fn mesh(&self) -> &Mesh {
        &self.mesh
    }

    fn at(&self, places: &[Coord]) -> Vec<Option<Value>> {
        each(places, |p| Some(self.spline.at(p)))
    }

    fn leave_one_out(&self) -> Vec<Option<Value>> {
        values(self.spline.leave_one_out())
    }

    fn draw(&self, frame: &Frame, spec: GridSpec, along: &[Coord]) -> Drawn {
        let within = linear(&self.mesh, frame, spec);
        let heads = self.spline.grid(frame, spec, Some(&within));
        Drawn { heads, sd: None, along: heads_at(self, along) }
    }
}
