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

    /// Whether it closes around lower heads: higher ground is on its left, and it turns right.
    #[must_use]
    pub fn is_depression(&self) -> bool {
        let Some(start) = self.points.first() else { return false };
        let doubled: f64 = self
            .points
            .windows(2)
            .map(|w| {
                let (a, b) = (w[0] - *start, w[1] - *start);
                a.x * b.y - b.x * a.y
            })
            .sum();
        self.is_closed() && doubled < 0.0
    }
}

/// All contours of a surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Contours {
    /// Difference of neighbouring levels, elevation unit; `None` where the levels were listed.
    pub interval: Option<f64>,
    /// The levels between the lowest and the highest head, ascending, elevation unit.
    pub levels: Vec<f64>,
    /// The lowest and the highest head of the surface, elevation unit; `None` where it has none.
    pub range: Option<(f64, f64)>,
    /// The lines, by level, then by the first side of a triangle or edge of the grid that they
    /// cross, in the order of these, then along what the boundary leaves of one.
    pub lines: Vec<ContourLine>,
}

impl Contours {
    /// A level in intervals above the base level; of listed levels its number among those drawn, from 0.
    ///
    /// # Units
    /// - `level`, `base`: elevation unit
    #[must_use]
    #[expect(clippy::cast_possible_truncation, reason = "levels count at most 1e12 from the base")]
    pub fn steps(&self, level: f64, base: f64) -> i64 {
        let steps = match self.interval {
            Some(interval) => ((level - base) / interval).round(),
            None => self.levels.partition_point(|own| *own < level) as f64,
        };
        steps as i64
    }

    /// How far apart neighbouring levels are.
    pub(crate) fn spacings(&self) -> Spacings {
        let ends = self.range.map_or(0.0, |(low, high)| high - low);
        Spacings { interval: self.interval, levels: self.levels.clone(), alone: ends }
    }
}

/// How far apart neighbouring levels are.
#[derive(Debug)]
pub(crate) struct Spacings {
    interval: Option<f64>,
    levels: Vec<f64>,
    alone: f64,
}

impl Spacings {
    /// Those of levels an interval apart, elevation unit.
    #[cfg(all(test, any(feature = "page", feature = "sheet")))]
    pub(super) const fn every(interval: f64) -> Self {
        Self { interval: Some(interval), levels: Vec::new(), alone: interval }
    }

    /// From a level to the nearest other one, elevation unit; of a level without another to the ends of the
    /// heads.
    pub(crate) fn at(&self, level: f64) -> f64 {
        let nearest = || {
            let apart = self.levels.iter().map(|other| (other - level).abs());
            apart.filter(|apart| *apart > 0.0).reduce(f64::min).unwrap_or(self.alone)
        };
        self.interval.unwrap_or_else(nearest)
    }

    /// The least of all, elevation unit.
    pub(crate) fn least(&self) -> f64 {
        let least = || self.levels.iter().map(|level| self.at(*level)).reduce(f64::min);
        self.interval.or_else(least).unwrap_or(self.alone)
    }
}

/// Whether a level so many intervals above the base level is that of an index contour.
#[cfg(any(feature = "formats", feature = "page", feature = "sheet"))]
#[must_use]
pub(crate) const fn is_index(steps: i64) -> bool {
    steps.rem_euclid(INDEX_EVERY as i64) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_that_turns_right_closes_around_lower_heads() {
        let line = |places: &[(f64, f64)]| ContourLine {
            level: 1.0,
            points: places.iter().map(|(x, y)| Coord { x: *x, y: *y }).collect(),
        };
        // Higher ground on the left: outside of a line that goes with the clock.
        let low = [(5.0, 5.0), (5.0, 9.0), (9.0, 9.0), (9.0, 5.0), (5.0, 5.0)];
        assert!(line(&low).is_depression());
        let mut high = low;
        high.reverse();
        assert!(!line(&high).is_depression());
        assert!(!line(&low[..4]).is_depression(), "an open line");
    }
}
