//! A plane put onto another: turned, scaled and moved.

use geo::Coord;

/// A similarity transformation of the plane with four parameters: E = a x - b y + c, N = b x + a y + d.
///
/// It keeps angles and shapes, so that wells on a plan keep their places among each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Similarity {
    a: f64,
    b: f64,
    /// The middle of the points that it was fitted to, and where it goes.
    from: Coord,
    to: Coord,
}

impl Similarity {
    /// The transformation that takes points nearest to their counterparts: the sum of squares of what is
    /// left is the least. Exact for two points. `None` for fewer than two, and where all are one point.
    ///
    /// # Units
    /// - `pairs`: each point, and its counterpart in another plane
    ///
    /// # References
    /// Deakin (2007), Coordinate Transformations for Cadastral Surveying, RMIT University: the
    /// two-dimensional conformal transformation by least squares, here about the middle of the points.
    #[must_use]
    pub fn fit(pairs: &[(Coord, Coord)]) -> Option<Self> {
        if pairs.len() < 2 {
            return None;
        }
        let middle = |of: fn(&(Coord, Coord)) -> Coord| {
            let n = pairs.len() as f64;
            let sum = pairs.iter().map(of).fold(Coord::zero(), |sum, p| sum + p);
            Coord { x: sum.x / n, y: sum.y / n }
        };
        let (from, to) = (middle(|p| p.0), middle(|p| p.1));
        let (mut squares, mut along, mut across) = (0.0, 0.0, 0.0);
        for (p, q) in pairs {
            let (p, q) = (*p - from, *q - to);
            squares += p.x * p.x + p.y * p.y;
            along += p.x * q.x + p.y * q.y;
            across += p.x * q.y - p.y * q.x;
        }
        let (a, b) = (along / squares, across / squares);
        let sound = a.is_finite() && b.is_finite() && (a, b) != (0.0, 0.0);
        sound.then_some(Self { a, b, from, to })
    }

    /// Where a point goes.
    #[must_use]
    pub fn apply(&self, p: Coord) -> Coord {
        let p = p - self.from;
        Coord {
            x: self.a * p.x - self.b * p.y + self.to.x,
            y: self.b * p.x + self.a * p.y + self.to.y,
        }
    }

    /// Where a point came from.
    #[must_use]
    pub fn back(&self, p: Coord) -> Coord {
        let (p, squared) = (p - self.to, self.a * self.a + self.b * self.b);
        Coord {
            x: (self.a * p.x + self.b * p.y) / squared + self.from.x,
            y: (self.a * p.y - self.b * p.x) / squared + self.from.y,
        }
    }

    /// Units of the second plane in one of the first.
    #[must_use]
    pub fn scale(&self) -> f64 {
        libm::hypot(self.a, self.b)
    }

    /// Where the north of the first plane points in the second, degrees clockwise from its north.
    #[must_use]
    pub fn north_deg(&self) -> f64 {
        // (0, 1) goes to (-b, a).
        libm::atan2(-self.b, self.a).to_degrees()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> Coord {
        Coord { x, y }
    }

    #[test]
    fn a_quarter_turn_in_feet_is_found_again() {
        // By hand: plan north is west of the map, one unit of the plan is 0.3048 of the map's, and the
        // origin lies at (500, 900): (100, 0) is 100 ft to the north of it, (0, 100) 100 ft to the west.
        let pairs = [
            (at(0.0, 0.0), at(500.0, 900.0)),
            (at(100.0, 0.0), at(500.0, 930.48)),
            (at(0.0, 100.0), at(469.52, 900.0)),
        ];
        let fit = Similarity::fit(&pairs).expect("three points");
        assert!((fit.scale() - 0.3048).abs() < 1e-12, "{fit:?}");
        assert!((fit.north_deg() + 90.0).abs() < 1e-9, "{}", fit.north_deg());
        let p = fit.apply(at(50.0, 20.0));
        assert!((p.x - (500.0 - 20.0 * 0.3048)).abs() < 1e-9, "{p:?}");
        assert!((p.y - (900.0 + 50.0 * 0.3048)).abs() < 1e-9, "{p:?}");
        // And back: the map's (469.52, 900) is 100 ft up the plan.
        let back = fit.back(at(469.52, 900.0));
        assert!(back.x.abs() < 1e-9 && (back.y - 100.0).abs() < 1e-9, "{back:?}");
    }

    #[test]
    fn one_place_alone_fits_nothing() {
        let one = (at(1.0, 2.0), at(3.0, 4.0));
        assert_eq!(Similarity::fit(&[one]), None);
        assert_eq!(Similarity::fit(&[one, one]), None);
        assert_eq!(Similarity::fit(&[one, (at(5.0, 6.0), at(3.0, 4.0))]), None);
    }
}
