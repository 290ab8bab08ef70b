//! Surfaces as they are drawn, and where.

use geo::Coord;

/// A square lattice of nodes on which surfaces are drawn, row by row from the south-west.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lattice {
    /// Its south-western node, m.
    pub corner: Coord,
    /// From node to node, m.
    pub cell_m: f64,
    /// Nodes from west to east.
    pub columns: usize,
    /// Nodes from south to north.
    pub rows: usize,
}

impl Lattice {
    /// How many nodes there are.
    #[must_use]
    pub const fn count(&self) -> usize {
        self.rows * self.columns
    }

    /// Where a node is, counted row by row, m.
    #[must_use]
    pub fn place(&self, node: usize) -> Coord {
        self.node(node / self.columns, node % self.columns)
    }

    /// Where a node is, m.
    #[must_use]
    pub fn node(&self, row: usize, column: usize) -> Coord {
        self.corner + Coord { x: column as f64, y: row as f64 } * self.cell_m
    }
}

/// One surface that agrees with the readings.
#[derive(Debug, Clone)]
pub struct Drawn {
    /// The heads at the nodes of the lattice, m.
    pub heads: Vec<f64>,
    /// The factor of each cone, m for one unit of its wells' rates.
    pub cones: Vec<f64>,
}
