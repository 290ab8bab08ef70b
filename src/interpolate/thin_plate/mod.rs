//! The thin-plate spline: the surface through the wells that bends least, or, smoothed, the one
//! that trades misfit for bending. `docs/other-surfaces.md` has the equations.

mod equations;
mod kernel;
mod spline;
#[cfg(test)]
mod tests;

use geo::Coord;
use rayon::prelude::*;

use self::spline::Spline;
use crate::geom::Frame;
use crate::geom::tolerance::MOST_SPLINE_WELLS;
use crate::interpolate::axis::Axis;
use crate::interpolate::axis::slack;
use crate::interpolate::grid::Grid;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::kriging::linear;
use crate::interpolate::patches::{PATCH_WELLS, Patches};
use crate::interpolate::scattered;
use crate::interpolate::scattered::ScatteredError;

/// A thin-plate spline through, or near, wells.
#[derive(Debug)]
pub struct ThinPlate {
    positions: Vec<Coord>,
    heads: Vec<f64>,
    smoothed: bool,
    by: By,
}

#[derive(Debug)]
enum By {
    Whole(Box<Spline>),
    /// Each patch's spline.
    Patches(Patches, Vec<Spline>),
}

impl ThinPlate {
    /// Solves for the spline of these wells.
    ///
    /// With `smoothing_m2` = 0 the surface goes through every head. Above 0 it minimises the sum
    /// of squared misfits plus `smoothing_m2 / (8 pi)` times the bending energy: the surface lies
    /// below the head of a well by `smoothing_m2` times the factor of `r² ln r` there.
    ///
    /// Any plane comes back exactly, smoothed or not. One thread solves, so that the sums do not
    /// depend on the number of threads. More wells than
    /// [`crate::geom::tolerance::WHOLE_SURFACE_WELLS`] are taken in overlapping patches, each solved
    /// for by one thread.
    ///
    /// # Units
    /// - `positions`: m; `heads`: elevation unit; `smoothing_m2`: m²
    ///
    /// # Errors
    /// [`ScatteredError`] for wells that carry no surface, a smoothing below 0, more than
    /// [`MOST_SPLINE_WELLS`] wells, memory that does not hold their equations, and wells so near to each other that the equations are singular in
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
        if heads.len() > MOST_SPLINE_WELLS {
            return Err(ScatteredError::Option {
                option: "the count of wells",
                value: heads.len() as f64,
                bound: "100000 or fewer for a thin-plate spline",
            });
        }
        let by = match Patches::new(positions) {
            None => {
                room(heads.len(), 1, heads.len())?;
                By::Whole(Box::new(Spline::new(positions, heads, smoothing_m2)?))
            }
            Some(patches) => {
                room(heads.len(), patches.wells().len(), PATCH_WELLS)?;
                let wells: Vec<&[usize]> = patches.wells().collect();
                let of_patch = |wells: &&[usize]| {
                    let positions: Vec<Coord> = wells.iter().map(|i| positions[*i]).collect();
                    let heads: Vec<f64> = wells.iter().map(|i| heads[*i]).collect();
                    Spline::new(&positions, &heads, smoothing_m2)
                };
                let splines: Vec<Result<Spline, ScatteredError>> =
                    wells.par_iter().map(of_patch).collect();
                By::Patches(patches, splines.into_iter().collect::<Result<_, _>>()?)
            }
        };
        let (positions, heads) = (positions.to_vec(), heads.to_vec());
        Ok(Self { positions, heads, smoothed: smoothing_m2 > 0.0, by })
    }

    /// The head at a place. Far from the wells it follows their trend, and means little.
    ///
    /// # Units
    /// - `p`: m; returns: elevation unit
    #[must_use]
    pub fn at(&self, p: Coord) -> f64 {
        match &self.by {
            By::Whole(spline) => spline.at(p),
            By::Patches(patches, splines) => {
                patches.at(p).into_iter().map(|(k, part)| part * splines[k].at(p)).sum()
            }
        }
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
            let (xs, heads_there) = (&columns.positions()[first..=last], &mut heads[first..=last]);
            match &self.by {
                By::Whole(spline) => spline.row(y, xs, heads_there),
                By::Patches(..) => {
                    for (x, head) in xs.iter().zip(heads_there) {
                        *head = self.at(Coord { x: *x, y });
                    }
                }
            }
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
        let (patches, splines) = match &self.by {
            By::Whole(spline) => return spline.leave_one_out(),
            By::Patches(patches, splines) => (patches, splines),
        };
        let done: Vec<Vec<Option<f64>>> = splines.par_iter().map(Spline::leave_one_out).collect();
        let add = |sum: &mut f64, part: f64, head: &f64| *sum += part * head;
        patches.blend_at_wells(&self.positions, &done, add)
    }
}

/// Makes sure of the memory for the equations of `wells` in so many sets of so many.
fn room(wells: usize, sets: usize, of: usize) -> Result<(), ScatteredError> {
    linear::room(sets * of * of).map_err(|megabytes| ScatteredError::NoMemory { wells, megabytes })
}
