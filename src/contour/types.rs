//! What contouring gives.

use geo::Coord;

/// One level in five is an index contour, drawn heavier.
pub const INDEX_EVERY: u8 = 5;

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
    /// Whether it closes on itself. An open line ends where the surface ends.
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
    /// The levels between the lowest and the highest head, ascending, elevation unit.
    pub levels: Vec<f64>,
    /// The lines, by level, then by the first side of a triangle or edge of the grid that they
    /// cross, in the order of these, then along what the boundary leaves of one.
    pub lines: Vec<ContourLine>,
}
