//! One spline, solved as a whole.

use geo::Coord;
use rayon::prelude::*;

use super::equations::Equations;
use super::kernel::bending;
use super::kernel::ln;
use crate::interpolate::scattered::ScatteredError;

/// A thin-plate spline through, or near, wells.
#[derive(Debug)]
pub(super) struct Spline {
    heads: Vec<f64>,
    /// Middle of the wells, m, and m in one unit of the equations.
    centre: Coord,
    scale: f64,
    /// The wells' positions in the equations.
    places: Vec<Coord>,
    /// Factors of `r² ln r²` about each well.
    bends: Vec<f64>,
    /// Head at the centre, less the reference, and slopes, in the equations' unit of length.
    plane: [f64; 3],
    /// What heads are counted from.
    reference: f64,
    equations: Equations,
}

impl Spline {
    /// As [`super::ThinPlate::new`], of wells that are known to carry a surface.
    ///
    /// # Errors
    /// [`ScatteredError::Singular`].
    pub(super) fn new(
        positions: &[Coord],
        heads: &[f64],
        smoothing_m2: f64,
    ) -> Result<Self, ScatteredError> {
        let n = heads.len() as f64;
        let sum = positions.iter().fold(Coord::zero(), |s: Coord<f64>, p| s + *p);
        let centre = sum / n;
        let reach = |p: &Coord| libm::hypot(p.x - centre.x, p.y - centre.y);
        let scale = positions.iter().map(reach).fold(0.0, f64::max);
        let places: Vec<Coord> = positions.iter().map(|p| (*p - centre) / scale).collect();
        let reference = heads.iter().sum::<f64>() / n;
        let centred: Vec<f64> = heads.iter().map(|h| h - reference).collect();
        // r² ln r is half of r² ln r².
        let smoothing = 2.0 * smoothing_m2 / (scale * scale);
        let equations = Equations::new(&places, smoothing)?;
        let bends = equations.bends(&centred);
        let misfit: Vec<f64> = (0..places.len())
            .into_par_iter()
            .map(|i| centred[i] - smoothing * bends[i] - bending(&places, &bends, places[i]))
            .collect();
        let plane = equations.plane(&misfit);
        let sound = bends.iter().chain(&plane).all(|v| v.is_finite());
        sound.then_some(()).ok_or(ScatteredError::Singular)?;
        Ok(Self {
            heads: heads.to_vec(),
            centre,
            scale,
            places,
            bends,
            plane,
            reference,
            equations,
        })
    }

    /// The head at a place.
    pub(super) fn at(&self, p: Coord) -> f64 {
        let at = (p - self.centre) / self.scale;
        let [head, east, north] = self.plane;
        let trend = head + east * at.x + north * at.y;
        self.reference + trend + bending(&self.places, &self.bends, at)
    }

    /// As [`super::ThinPlate::leave_one_out`].
    pub(super) fn leave_one_out(&self) -> Vec<Option<f64>> {
        let diagonal = self.equations.diagonal();
        let wells = self.heads.iter().zip(self.bends.iter().zip(diagonal));
        wells
            .map(|(head, (bend, b))| {
                // A well that alone stands off the line of the others bends nothing: B_ii = 0.
                let predicted = head - bend / b;
                (b > f64::EPSILON * self.equations.largest && predicted.is_finite())
                    .then_some(predicted)
            })
            .collect()
    }

    /// One row of heads: for each well a loop over nodes, which runs in vector registers.
    pub(super) fn row(&self, y: f64, xs: &[f64], heads: &mut [f64]) {
        let per_m = 1.0 / self.scale;
        let at: Vec<f64> = xs.iter().map(|x| (x - self.centre.x) * per_m).collect();
        let y = (y - self.centre.y) * per_m;
        let [head, east, north] = self.plane;
        for (h, x) in heads.iter_mut().zip(&at) {
            *h = head + east * x + north * y;
        }
        for (place, bend) in self.places.iter().zip(&self.bends) {
            let dy2 = (y - place.y) * (y - place.y);
            for (h, x) in heads.iter_mut().zip(&at) {
                let dx = x - place.x;
                let square = dx * dx + dy2;
                *h += bend * (square * ln(square));
            }
        }
        for h in heads {
            *h += self.reference;
        }
    }
}
