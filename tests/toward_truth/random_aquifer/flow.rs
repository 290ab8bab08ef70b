//! Steady heads and fluxes of an aquifer between two fixed heads, by finite differences: the water that enters
//! a cell leaves it.
//!
//! Between the middles of two cells the conductivity is the harmonic mean of theirs, as through two layers one after
//! the other; west and east the heads are fixed on the outer sides of the cells, north and south nothing flows. The
//! equations are solved exactly, by Cholesky's factors of their band.

use super::aquifer::Aquifer;

/// Heads in the cells, m, and specific discharges through their sides, m/d.
#[derive(Debug)]
pub(crate) struct Flow<'a> {
    pub(crate) aquifer: &'a Aquifer,
    heads: Vec<f64>,
    /// East through the west side of each cell and the east sides of the last column.
    east: Vec<f64>,
    /// North through the south side of each cell and the north side of its column's last one.
    north: Vec<f64>,
}

impl<'a> Flow<'a> {
    pub(crate) fn between(aquifer: &'a Aquifer, west_m: f64, east_m: f64) -> Self {
        let (columns, rows) = (aquifer.columns, aquifer.rows);
        let harmonic = |a: f64, b: f64| 2.0 * a * b / (a + b);
        // Half a cell to a fixed head conducts as a cell of twice the conductivity.
        let west = |row| 2.0 * aquifer.k(0, row);
        let east = |row| 2.0 * aquifer.k(columns - 1, row);
        let on_east = |column, row| harmonic(aquifer.k(column, row), aquifer.k(column + 1, row));
        let on_north = |column, row| harmonic(aquifer.k(column, row), aquifer.k(column, row + 1));
        let mut equations = Band::of(columns * rows, rows);
        let mut right = vec![0.0; columns * rows];
        for column in 0..columns {
            for row in 0..rows {
                let cell = aquifer.cell(column, row);
                if column == 0 {
                    equations.add(cell, cell, west(row));
                    right[cell] += west(row) * west_m;
                }
                if column + 1 == columns {
                    equations.add(cell, cell, east(row));
                    right[cell] += east(row) * east_m;
                } else {
                    equations.join(cell, aquifer.cell(column + 1, row), on_east(column, row));
                }
                if row + 1 < rows {
                    equations.join(cell, aquifer.cell(column, row + 1), on_north(column, row));
                }
            }
        }
        let heads = equations.solve(right);
        let head = |column, row| heads[aquifer.cell(column, row)];
        let cell_m = aquifer.cell_m;
        let mut through_east = Vec::with_capacity((columns + 1) * rows);
        through_east.extend((0..rows).map(|row| west(row) * (west_m - head(0, row)) / cell_m));
        for column in 0..columns - 1 {
            through_east.extend((0..rows).map(|row| {
                on_east(column, row) * (head(column, row) - head(column + 1, row)) / cell_m
            }));
        }
        let last = columns - 1;
        through_east.extend((0..rows).map(|row| east(row) * (head(last, row) - east_m) / cell_m));
        let mut through_north = Vec::with_capacity(columns * (rows + 1));
        for column in 0..columns {
            through_north.push(0.0);
            through_north.extend((0..rows - 1).map(|row| {
                on_north(column, row) * (head(column, row) - head(column, row + 1)) / cell_m
            }));
            through_north.push(0.0);
        }
        Self { aquifer, heads, east: through_east, north: through_north }
    }

    /// The head of a cell, m.
    pub(crate) fn head(&self, column: usize, row: usize) -> f64 {
        self.heads[self.aquifer.cell(column, row)]
    }

    /// Specific discharge to the east through the west and the east side of a cell, m/d.
    pub(crate) fn east(&self, column: usize, row: usize) -> [f64; 2] {
        [column, column + 1].map(|side| self.east[side * self.aquifer.rows + row])
    }

    /// Specific discharge to the north through the south and the north side of a cell, m/d.
    pub(crate) fn north(&self, column: usize, row: usize) -> [f64; 2] {
        [row, row + 1].map(|side| self.north[column * (self.aquifer.rows + 1) + side])
    }
}

/// The lower half of a symmetric matrix that is zero far from its diagonal.
struct Band {
    width: usize,
    /// Row by row, each from `width` columns before the diagonal to the diagonal.
    values: Vec<f64>,
}

impl Band {
    fn of(rows: usize, width: usize) -> Self {
        Self { width, values: vec![0.0; rows * (width + 1)] }
    }

    fn index(&self, row: usize, column: usize) -> usize {
        row * (self.width + 1) + column + self.width - row
    }

    fn add(&mut self, row: usize, column: usize, value: f64) {
        let at = self.index(row, column);
        self.values[at] += value;
    }

    /// Two cells with so much between them, the later one second.
    fn join(&mut self, a: usize, b: usize, conductance: f64) {
        self.add(a, a, conductance);
        self.add(b, b, conductance);
        self.add(b, a, -conductance);
    }

    /// The solution for a right side.
    fn solve(mut self, mut right: Vec<f64>) -> Vec<f64> {
        let rows = right.len();
        for i in 0..rows {
            let first = i.saturating_sub(self.width);
            for j in first..=i {
                let (of_i, of_j) = (self.index(i, first), self.index(j, first));
                let known = |from: usize| &self.values[from..from + j - first];
                let product: f64 = known(of_i).iter().zip(known(of_j)).map(|(a, b)| a * b).sum();
                let at = self.index(i, j);
                let left = self.values[at] - product;
                self.values[at] =
                    if i == j { left.sqrt() } else { left / self.values[self.index(j, j)] };
            }
        }
        for i in 0..rows {
            for j in i.saturating_sub(self.width)..i {
                right[i] -= self.values[self.index(i, j)] * right[j];
            }
            right[i] /= self.values[self.index(i, i)];
        }
        for i in (0..rows).rev() {
            right[i] /= self.values[self.index(i, i)];
            for j in i.saturating_sub(self.width)..i {
                right[j] -= self.values[self.index(i, j)] * right[i];
            }
        }
        right
    }
}
