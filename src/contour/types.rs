//! What contouring gives.

use geo::Coord;

/// One line of equal head. Higher ground is on the left of its direction.
#[derive(Debug, Clone, PartialEq)]
pub struct ContourLine {
    /// Its level, elevation unit.
    pub level: f64,
    /// Its vertices, CRS units; the first is repeated at the end of a closed line and nothing
    /// else is repeated.
    pub points: Vec<Coord>,
}

impl ContourLine {
    /// Whether it closes on itself. An open line ends at the edge of support.
    #[must_use]
    pub fn is_closed(&self) -> bool {
        self.points.first() == self.points.last()
    }
}

/// All contours of a surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Contours {
    /// Difference of neighbouring levels, elevation unit.
    pub interval: f64,
    /// The levels between the lowest and the highest node, ascending, elevation unit.
    pub levels: Vec<f64>,
    /// The lines, by level, then by their first vertex in grid order.
    pub lines: Vec<ContourLine>,
}
