//! An aquifer of square cells whose conductivity varies at random, with steady flow from its west to its
//! east side.

use std::f64::consts::TAU;

use crate::Random;

/// Cosine waves that a field is the sum of: its values are normal to within 1.5 / 1000 in kurtosis.
const WAVES: usize = 1000;

/// What is known of an aquifer before it is drawn. Lengths in m, conductivity in m/d.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Kind {
    /// Cells from west to east, and from south to north.
    pub(crate) cells: [usize; 2],
    pub(crate) cell_m: f64,
    /// The geometric mean of the conductivity.
    pub(crate) mean_k: f64,
    /// The standard deviation of its natural logarithm.
    pub(crate) sd_ln_k: f64,
    /// That logarithm's covariance at a distance `r` is `sd² exp(-r / correlation_m)`.
    pub(crate) correlation_m: f64,
    pub(crate) porosity: f64,
}

impl Kind {
    /// The covariance of ln (K / n) at a distance: porosity is the same everywhere.
    pub(crate) fn covariance(&self, distance_m: f64) -> f64 {
        self.sd_ln_k.powi(2) * (-distance_m / self.correlation_m).exp()
    }

    /// Between what 90 % of all places have their conductivity, m/d: 1.645 standard deviations of a normal
    /// distribution (any table).
    pub(crate) fn ninety_percent_of_k(&self) -> [f64; 2] {
        [-1.645, 1.645].map(|z: f64| self.mean_k * (z * self.sd_ln_k).exp())
    }
}

/// Conductivity in each cell.
#[derive(Debug, Clone)]
pub(crate) struct Aquifer {
    pub(crate) columns: usize,
    pub(crate) rows: usize,
    pub(crate) cell_m: f64,
    pub(crate) porosity: f64,
    /// Conductivity, m/d, column by column from the west, each from the south.
    k: Vec<f64>,
}

impl Aquifer {
    /// An aquifer whose cells have these conductivities, by column and row.
    pub(crate) fn of(kind: Kind, k: impl Fn(usize, usize) -> f64) -> Self {
        let [columns, rows] = kind.cells;
        let k = (0..columns * rows).map(|cell| k(cell / rows, cell % rows)).collect();
        Self { columns, rows, cell_m: kind.cell_m, porosity: kind.porosity, k }
    }

    /// One of the aquifers of a kind. The logarithm of its conductivity is a sum of waves whose numbers are drawn
    /// from the spectral density of the exponential covariance, in the plane Student's t with one degree of freedom
    /// (Rasmussen and Williams 2006, Gaussian Processes for Machine Learning, eq. 4.15 with v = 1/2).
    pub(crate) fn drawn(kind: Kind, random: &mut Random) -> Self {
        let [columns, rows] = kind.cells;
        let mut sums = vec![0.0; columns * rows];
        for _ in 0..WAVES {
            let (east, north, chi) = (random.normal(), random.normal(), random.normal().abs());
            let phase = TAU * random.uniform();
            let step = |number: f64| number / chi / kind.correlation_m * kind.cell_m;
            // cos(a + b) is made of the sines and cosines of a and b: one each for a column and a row.
            let along = |number: f64, phase: f64, count: usize| -> Vec<(f64, f64)> {
                (0..count).map(|i| (step(number) * i as f64 + phase).sin_cos()).collect()
            };
            let (x, y) = (along(east, phase, columns), along(north, 0.0, rows));
            for (column, (sin_x, cos_x)) in x.iter().enumerate() {
                let sums = &mut sums[column * rows..(column + 1) * rows];
                for (sum, (sin_y, cos_y)) in sums.iter_mut().zip(&y) {
                    *sum += cos_x * cos_y - sin_x * sin_y;
                }
            }
        }
        let height = kind.sd_ln_k * (2.0 / WAVES as f64).sqrt();
        Self::of(kind, |column, row| kind.mean_k * (height * sums[column * rows + row]).exp())
    }

    /// Conductivity of a cell, m/d.
    pub(crate) fn k(&self, column: usize, row: usize) -> f64 {
        self.k[self.cell(column, row)]
    }

    /// Where a cell is in lists of all.
    pub(crate) fn cell(&self, column: usize, row: usize) -> usize {
        column * self.rows + row
    }

    /// From west to east, m.
    pub(crate) fn length_m(&self) -> f64 {
        self.columns as f64 * self.cell_m
    }

    /// From south to north, m.
    pub(crate) fn width_m(&self) -> f64 {
        self.rows as f64 * self.cell_m
    }
}
