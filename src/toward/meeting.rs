//! Where a path meets what it is held against.

use geo::Coord;

/// Where a path first reaches a target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reached {
    /// The place, m.
    pub at: Coord,
    /// How far along the path, m.
    pub along_m: f64,
    /// The head there, elevation unit.
    pub head: f64,
}

/// How near a path comes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// The distance, m; 0 where it is reached, unless that is at the edge of a grid's surface.
    pub distance_m: f64,
    /// How far along the path, m.
    pub along_m: f64,
    /// The place on the path, m.
    pub at: Coord,
    /// The place on the target, m.
    pub there: Coord,
}

/// What becomes of a path with one target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meeting {
    /// Where it is first reached.
    pub reached: Option<Reached>,
    /// How near the path comes.
    pub nearest: Nearest,
}
