//! The spline's equations, solved.

use faer::Mat;
use faer::Par;
use faer::dyn_stack::MemBuffer;
use faer::dyn_stack::MemStack;
use faer::linalg::cholesky::llt;
use geo::Coord;
use rayon::prelude::*;

use super::kernel::kernel;
use crate::interpolate::scattered::ScatteredError;

/// The equations with the planes taken out of them.
///
/// `K + smoothing I` is bordered by the wells' planes `P` (1, x, y). Three reflections turn `P`
/// upside into a triangle; what is left of the turned `K` below its first three rows is positive
/// definite, and Cholesky's method solves it. The bends then are exactly at right angles to all
/// planes.
#[derive(Debug)]
pub(super) struct Equations {
    /// The three reflections, each `I - v vᵀ`, with `|v|² = 2`.
    turns: [Vec<f64>; 3],
    /// The triangle of `P`, by columns.
    triangle: [[f64; 3]; 3],
    /// The lower factor of the turned `K`.
    factor: Mat<f64>,
    /// The size of the entries of `B`, for comparison.
    pub(super) largest: f64,
}

impl Equations {
    pub(super) fn new(places: &[Coord], smoothing: f64) -> Result<Self, ScatteredError> {
        let n = places.len();
        let (turns, triangle) = reflections(places);
        let mut k = Mat::<f64>::from_fn(n, n, |i, j| kernel(places[i] - places[j]));
        for i in 0..n {
            k[(i, i)] = smoothing;
        }
        for v in &turns {
            turn_both_sides(&mut k, v);
        }
        let inner = n - 3;
        let mut factor = Mat::<f64>::from_fn(inner, inner, |i, j| k[(i + 3, j + 3)]);
        drop(k);
        let size = (0..inner).map(|i| factor[(i, i)].abs()).fold(0.0, f64::max);
        let scratch =
            llt::factor::cholesky_in_place_scratch::<f64>(inner, Par::Seq, faer::Spec::default());
        llt::factor::cholesky_in_place(
            factor.as_mut(),
            llt::factor::LltRegularization::default(),
            Par::Seq,
            MemStack::new(&mut MemBuffer::new(scratch)),
            faer::Spec::default(),
        )
        .map_err(|_| ScatteredError::Singular)?;
        for j in 0..inner {
            for i in 0..j {
                factor[(i, j)] = 0.0;
            }
        }
        Ok(Self { turns, triangle, factor, largest: if size > 0.0 { 1.0 / size } else { 0.0 } })
    }

    /// The bends of the spline through these heads.
    pub(super) fn bends(&self, heads: &[f64]) -> Vec<f64> {
        let mut turned = heads.to_vec();
        for v in &self.turns {
            reflect(&mut turned, v);
        }
        let inner = self.factor.nrows();
        let mut right = Mat::<f64>::from_fn(inner, 1, |i, _| turned[i + 3]);
        llt::solve::solve_in_place(
            self.factor.as_ref(),
            right.as_mut(),
            Par::Seq,
            MemStack::new(&mut []),
        );
        let mut bends: Vec<f64> = vec![0.0; 3];
        bends.extend((0..inner).map(|i| right[(i, 0)]));
        for v in self.turns.iter().rev() {
            reflect(&mut bends, v);
        }
        bends
    }

    /// The plane through heads that lie on one, by the triangle of `P`.
    pub(super) fn plane(&self, heads: &[f64]) -> [f64; 3] {
        let mut turned = heads.to_vec();
        for v in &self.turns {
            reflect(&mut turned, v);
        }
        let r = &self.triangle;
        let north = turned[2] / r[2][2];
        let east = (turned[1] - r[2][1] * north) / r[1][1];
        [(turned[0] - r[1][0] * east - r[2][0] * north) / r[0][0], east, north]
    }

    /// The diagonal of `B`: for each well the square of its column of the turned identity, solved
    /// with the factor.
    pub(super) fn diagonal(&self) -> Vec<f64> {
        let inner = self.factor.nrows();
        let n = inner + 3;
        let wells: Vec<usize> = (0..n).collect();
        let blocks = wells.par_chunks(128).map(|wells| self.diagonal_of(wells));
        blocks.flatten_iter().collect()
    }

    fn diagonal_of(&self, wells: &[usize]) -> Vec<f64> {
        let inner = self.factor.nrows();
        let mut columns = Mat::<f64>::zeros(inner, wells.len());
        for (c, well) in wells.iter().enumerate() {
            let mut column = vec![0.0; inner + 3];
            column[*well] = 1.0;
            for v in &self.turns {
                reflect(&mut column, v);
            }
            for (i, value) in column[3..].iter().enumerate() {
                columns[(i, c)] = *value;
            }
        }
        faer::linalg::triangular_solve::solve_lower_triangular_in_place(
            self.factor.as_ref(),
            columns.as_mut(),
            Par::Seq,
        );
        (0..wells.len())
            .map(|c| (0..inner).map(|i| columns[(i, c)] * columns[(i, c)]).sum())
            .collect()
    }
}

/// The reflections that turn the planes' values at the wells into a triangle, and the triangle.
fn reflections(places: &[Coord]) -> ([Vec<f64>; 3], [[f64; 3]; 3]) {
    let mut columns = [
        vec![1.0; places.len()],
        places.iter().map(|p| p.x).collect(),
        places.iter().map(|p| p.y).collect(),
    ];
    let mut triangle = [[0.0; 3]; 3];
    let turns = [0, 1, 2].map(|k| {
        let mut v = columns[k].clone();
        v[..k].fill(0.0);
        let length = v.iter().map(|x| x * x).sum::<f64>().sqrt();
        v[k] += if v[k] < 0.0 { -length } else { length };
        let size = (0.5 * v.iter().map(|x| x * x).sum::<f64>()).sqrt();
        for x in &mut v {
            *x /= size;
        }
        for column in &mut columns[k..] {
            reflect(column, &v);
        }
        triangle[k][..=k].copy_from_slice(&columns[k][..=k]);
        v
    });
    (turns, triangle)
}

/// `x - v (v·x)`.
fn reflect(x: &mut [f64], v: &[f64]) {
    let dot: f64 = x.iter().zip(v).map(|(x, v)| x * v).sum();
    for (x, v) in x.iter_mut().zip(v) {
        *x -= dot * v;
    }
}

/// `(I - v vᵀ) K (I - v vᵀ)` for a symmetric `K`.
fn turn_both_sides(k: &mut Mat<f64>, v: &[f64]) {
    let n = v.len();
    let mut w = vec![0.0; n];
    for (j, factor) in v.iter().enumerate() {
        let column = k.col(j);
        for (i, w) in w.iter_mut().enumerate() {
            *w += column[i] * factor;
        }
    }
    let half = 0.5 * w.iter().zip(v).map(|(w, v)| w * v).sum::<f64>();
    for (w, v) in w.iter_mut().zip(v) {
        *w -= half * v;
    }
    for j in 0..n {
        let mut column = k.col_mut(j);
        for i in 0..n {
            column[i] -= v[i] * w[j] + w[i] * v[j];
        }
    }
}
