//! The few operations on matrices that kriging needs. The only file that calls the linear algebra
//! library's kernels; all of them run on the calling thread, so that no result depends on how many
//! threads there are.

use std::alloc::{GlobalAlloc, Layout, System};
use std::hint::black_box;

use faer::Accum;
use faer::Mat;
use faer::MatMut;
use faer::MatRef;
use faer::Par;
use faer::dyn_stack::MemBuffer;
use faer::dyn_stack::MemStack;
use faer::linalg::cholesky::llt::factor;
use faer::linalg::matmul;
use faer::linalg::matmul::triangular;
use faer::linalg::matmul::triangular::BlockStructure;
use faer::linalg::triangular_solve;

/// Whether the memory has room for so many numbers. The system is asked, not the program's own
/// allocator, which may end the program where there is none.
///
/// # Errors
/// How much they fill, MB.
pub(crate) fn room(numbers: usize) -> Result<(), usize> {
    let none = Err(numbers.div_ceil(125_000));
    let Ok(layout) = Layout::array::<f64>(numbers.max(1)) else { return none };
    #[expect(unsafe_code, reason = "the standard library has no other way to ask")]
    // SAFETY: the layout is not empty; the block is not touched and goes back as it came.
    unsafe {
        // A block that nobody looks at would not be asked for.
        let block = black_box(System.alloc(layout));
        if block.is_null() {
            return none;
        }
        System.dealloc(block, layout);
    }
    Ok(())
}

/// The lower Cholesky factor, computed in place; the upper triangle is not touched.
///
/// # Errors
/// The index of the first pivot that is not positive.
pub(crate) fn cholesky(matrix: &mut Mat<f64>) -> Result<(), usize> {
    let scratch =
        factor::cholesky_in_place_scratch::<f64>(matrix.nrows(), Par::Seq, faer::Spec::default());
    let mut memory = MemBuffer::new(scratch);
    factor::cholesky_in_place(
        matrix.as_mut(),
        factor::LltRegularization::default(),
        Par::Seq,
        MemStack::new(&mut memory),
        faer::Spec::default(),
    )
    .map(|_| ())
    .map_err(|factor::LltError::NonPositivePivot { index }| index)
}

/// Replaces `rhs` by the solution of `lower x = rhs`.
pub(crate) fn solve_lower(lower: MatRef<'_, f64>, rhs: MatMut<'_, f64>) {
    triangular_solve::solve_lower_triangular_in_place(lower, rhs, Par::Seq);
}

/// The same for one column. Not by the library: see [`project`].
pub(super) fn solve_lower_one(lower: &Mat<f64>, rhs: &mut [f64]) {
    for j in 0..rhs.len() {
        let (done, rest) = rhs.split_at_mut(j + 1);
        let column = &column(lower, j)[j..];
        let x = done[j] / column[0];
        done[j] = x;
        for (y, l) in rest.iter_mut().zip(&column[1..]) {
            *y -= x * l;
        }
    }
}

/// Replaces `rhs` by the solution of `lower' x = rhs`.
pub(crate) fn solve_lower_transposed(lower: MatRef<'_, f64>, rhs: MatMut<'_, f64>) {
    triangular_solve::solve_upper_triangular_in_place(lower.transpose(), rhs, Par::Seq);
}

/// `left right`, written to `out`.
pub(super) fn multiply(out: MatMut<'_, f64>, left: MatRef<'_, f64>, right: MatRef<'_, f64>) {
    matmul::matmul(out, Accum::Replace, left, right, 1.0, Par::Seq);
}

/// `matrix' matrix`, both triangles.
pub(crate) fn gram(matrix: MatRef<'_, f64>) -> Mat<f64> {
    let n = matrix.ncols();
    let mut out = Mat::zeros(n, n);
    triangular::matmul(
        out.as_mut(),
        BlockStructure::TriangularLower,
        Accum::Replace,
        matrix.transpose(),
        BlockStructure::Rectangular,
        matrix,
        BlockStructure::Rectangular,
        1.0,
        Par::Seq,
    );
    for j in 1..n {
        for i in 0..j {
            out[(i, j)] = out[(j, i)];
        }
    }
    out
}

/// The products of a vector with each column of a matrix of a few columns.
///
/// Not by the library: after its kernels for such narrow matrices the exponentials computed next on
/// the same thread were measured at a third of their speed. (Most likely they leave the processor's
/// wide registers in use.)
pub(super) fn project(columns: &Mat<f64>, v: &[f64]) -> Vec<f64> {
    (0..columns.ncols()).map(|j| dot(column(columns, j), v)).collect()
}

/// The sum of products.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    // Four sums side by side: the order is fixed and the processor can work on them at once.
    let mut sums = [0.0; 4];
    let (a4, b4) = (a.chunks_exact(4), b.chunks_exact(4));
    let tail: f64 = a4.remainder().iter().zip(b4.remainder()).map(|(x, y)| x * y).sum();
    for (x, y) in a4.zip(b4) {
        for ((sum, x), y) in sums.iter_mut().zip(x).zip(y) {
            *sum += x * y;
        }
    }
    (sums[0] + sums[2]) + (sums[1] + sums[3]) + tail
}

/// A column as a slice.
pub(super) fn column(matrix: &Mat<f64>, j: usize) -> &[f64] {
    matrix.col_as_slice(j)
}

/// `matrix = q r` with orthonormal columns `q` (in place) and `r` upper triangular.
///
/// Gram and Schmidt's method done twice, which is orthogonal to working precision (Bjorck 1996,
/// Numerical Methods for Least Squares Problems, sec. 2.4; from memory).
///
/// # Errors
/// The index of the first column that depends on those before it.
pub(super) fn orthonormalise(matrix: &mut Mat<f64>) -> Result<Mat<f64>, usize> {
    /// A column of which less than this is left is counted as dependent.
    const DEPENDENT: f64 = 1e-10;
    let p = matrix.ncols();
    let mut r = Mat::zeros(p, p);
    for j in 0..p {
        let mut v = column(matrix, j).to_vec();
        let before = dot(&v, &v).sqrt();
        for _ in 0..2 {
            for i in 0..j {
                let q = column(matrix, i);
                let part = dot(q, &v);
                r[(i, j)] += part;
                for (x, q) in v.iter_mut().zip(q) {
                    *x -= part * q;
                }
            }
        }
        let norm = dot(&v, &v).sqrt();
        if norm.is_nan() || norm <= DEPENDENT * before {
            return Err(j);
        }
        r[(j, j)] = norm;
        for (slot, x) in matrix.col_as_slice_mut(j).iter_mut().zip(&v) {
            *slot = x / norm;
        }
    }
    Ok(r)
}
