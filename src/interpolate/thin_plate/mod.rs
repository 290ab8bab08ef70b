//! The thin-plate spline: the surface through the wells that bends least, or, smoothed, the one
//! that trades misfit for bending. `docs/other-surfaces.md` has the equations.

mod equations;
mod kernel;
#[cfg(test)]
mod tests;

use geo::Coord;
use rayon::prelude::*;

use self::equations::Equations;
use self::kernel::bending;
use self::kernel::ln;
use crate::geom::Frame;
use crate::interpolate::Grid;
use crate::interpolate::GridSpec;
use crate::interpolate::axis::Axis;
use crate::interpolate::axis::slack;
use crate::interpolate::scattered;
use crate::interpolate::scattered::ScatteredError;

/// More wells than this are refused: the equations fill `8 n²` bytes and take `n³ / 3` steps.
pub const MOST_WELLS: usize = 10_000;

/// A thin-plate spline through, or near, wells.
#[derive(Debug)]
pub struct ThinPlate {
    positions: Vec<Coord>,
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
    smoothed: bool,
    equations: Equations,
}

impl ThinPlate {
    /// Solves for the spline of these wells.
    ///
    /// With `smoothing_m2` = 0 the surface goes through every head. Above 0 it minimises the sum
    /// of squared misfits plus `smoothing_m2 / (8 pi)` times the bending energy: the surface lies
    /// below the head of a well by `smoothing_m2` times the factor of `r² ln r` there.
    ///
    /// Any plane comes back exactly, smoothed or not. One thread solves, so that the sums do not
    /// depend on the number of threads.
    ///
    /// # Units
    /// - `positions`: m; `heads`: elevation unit; `smoothing_m2`: m²
    ///
    /// # Errors
    /// [`ScatteredError`] for wells that carry no surface, a smoothing below 0, more than
    /// [`MOST_WELLS`] wells, and wells so near to each other that the equations are singular in
    /// double precision.
    ///
    /// # References
    /// Duchon (1977); Wahba (1990), Spline Models for Observational Data, ch. 2 (both from
    /// memory). `docs/other-surfaces.md`.
    pub fn new(
        positions: &[Coord],
        heads: &[f64],
        smoothing_m2: f64,
    ) -> Result<Self, ScatteredError> {
        scattered::spread(positions, heads)?;
        if !(smoothing_m2 >= 0.0 && smoothing_m2.is_finite()) {
            return Err(ScatteredError::Option {
                option: "the smoothing",
                value: smoothing_m2,
                bound: "0 m² or more",
            });
        }
        if heads.len() > MOST_WELLS {
            return Err(ScatteredError::Option {
                option: "the count of wells",
                value: heads.len() as f64,
                bound: "10000 or fewer for a thin-plate spline",
            });
        }
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
            positions: positions.to_vec(),
            heads: heads.to_vec(),
            centre,
            scale,
            places,
            bends,
            plane,
            reference,
            smoothed: smoothing > 0.0,
            equations,
        })
    }

    /// The head at a place. Far from the wells it follows their trend, and means little.
    ///
    /// # Units
    /// - `p`: m; returns: elevation unit
    #[must_use]
    pub fn at(&self, p: Coord) -> f64 {
        let at = (p - self.centre) / self.scale;
        let [head, east, north] = self.plane;
        let trend = head + east * at.x + north * at.y;
        self.reference + trend + bending(&self.places, &self.bends, at)
    }

    /// The head at every node of a grid. Nodes where `within` has no head have none: give the
    /// linear surface, to keep to the outline of the wells, beyond which nothing was measured.
    ///
    /// Unsmoothed, a node at a well has that well's head, digit by digit. The result does not
    /// depend on the number of threads.
    ///
    /// # Units
    /// - `frame`: that of the positions; `spec`: CRS units; returns: elevation unit
    ///
    /// # Panics
    /// When `within` is a grid of other size.
    #[must_use]
    pub fn grid(&self, frame: &Frame, spec: GridSpec, within: Option<&Grid>) -> Grid {
        let columns = Axis::of_columns(&spec, frame);
        let rows = Axis::of_rows(&spec, frame);
        let mut heads = vec![f64::NAN; spec.rows * spec.columns];
        heads.par_chunks_mut(spec.columns).enumerate().for_each(|(row, heads)| {
            let y = rows.positions()[row];
            let wanted = |c: &usize| within.is_none_or(|grid| grid.head(row, *c).is_some());
            let Some(first) = (0..spec.columns).find(wanted) else { return };
            let last = (first..spec.columns).rfind(wanted).unwrap_or(first);
            self.row(y, &columns.positions()[first..=last], &mut heads[first..=last]);
            for (column, head) in heads.iter_mut().enumerate() {
                if !wanted(&column) {
                    *head = f64::NAN;
                }
            }
        });
        if !self.smoothed {
            let slack = slack(&spec, frame);
            for (well, head) in self.positions.iter().zip(&self.heads) {
                if let (Some(row), Some(column)) =
                    (rows.at(well.y, slack), columns.at(well.x, slack))
                {
                    let node = &mut heads[row * spec.columns + column];
                    *node = if node.is_finite() { *head } else { f64::NAN };
                }
            }
        }
        Grid::new(spec, heads)
    }

    /// The head at each well as the spline of all other wells, equally smoothed, has it.
    ///
    /// In closed form: leaving well `i` out changes its misfit to `bend_i / B_ii`, where `B` is
    /// the part of the inverse that maps heads to bends. `None` for a well without which the
    /// others stand on one line.
    ///
    /// # Units
    /// - returns: elevation unit, in the order of the wells
    ///
    /// # References
    /// The identity follows from the bordered equations by leaving out one row and column; for
    /// interpolation see Rippa (1999), Adv. Comput. Math. 11, 193-210 (from memory).
    #[must_use]
    pub fn leave_one_out(&self) -> Vec<Option<f64>> {
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
    fn row(&self, y: f64, xs: &[f64], heads: &mut [f64]) {
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
