//! A line that is walked along.

use geo::Coord;

use super::pieces::{at, foot};
use super::spacing::distance;

/// A line with the way to each of its vertices.
#[derive(Debug)]
pub(crate) struct Course<'a> {
    points: &'a [Coord],
    ways: Vec<f64>,
}

impl<'a> Course<'a> {
    pub(crate) fn new(points: &'a [Coord]) -> Self {
        let mut ways = Vec::with_capacity(points.len());
        let mut way = 0.0;
        for (i, p) in points.iter().enumerate() {
            if i > 0 {
                way += distance(points[i - 1], *p);
            }
            ways.push(way);
        }
        Self { points, ways }
    }

    /// The piece nearest to a place, by the number of its first vertex, and the share of it there; the first of
    /// equals.
    pub(crate) fn nearest(&self, p: Coord) -> Option<(usize, f64)> {
        let pieces = self.points.windows(2).enumerate().map(|(i, w)| {
            let piece = [w[0], w[1]];
            let share = foot(piece, p);
            (distance(p, at(piece, share)), (i, share))
        });
        pieces.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, nearest)| nearest)
    }

    /// The way to a share of a piece.
    pub(crate) fn way_to(&self, (piece, share): (usize, f64)) -> f64 {
        self.ways[piece] + share * (self.ways[piece + 1] - self.ways[piece])
    }

    /// Its whole length.
    pub(crate) fn length(&self) -> f64 {
        self.ways.last().copied().unwrap_or(0.0)
    }

    /// The place after a way along it, held within its ends.
    pub(crate) fn place(&self, way: f64) -> Coord {
        let i = self.ways.partition_point(|w| *w < way).clamp(1, self.points.len() - 1);
        let (a, b) = (self.points[i - 1], self.points[i]);
        let piece = self.ways[i] - self.ways[i - 1];
        let share =
            if piece > 0.0 { ((way - self.ways[i - 1]) / piece).clamp(0.0, 1.0) } else { 0.0 };
        a + (b - a) * share
    }

    /// The vertices strictly between two ways.
    pub(crate) fn between(&self, from: f64, to: f64) -> &'a [Coord] {
        let start = self.ways.partition_point(|w| *w <= from);
        let end = self.ways.partition_point(|w| *w < to).max(start);
        &self.points[start..end]
    }

    /// The direction at a place along it, of length one.
    pub(crate) fn direction(&self, way: f64) -> Coord {
        let i = self.ways.partition_point(|w| *w < way).clamp(1, self.points.len() - 1);
        let step = self.points[i] - self.points[i - 1];
        let length = libm::hypot(step.x, step.y);
        if length > 0.0 { step / length } else { Coord { x: 1.0, y: 0.0 } }
    }

    /// Places at even steps along it, the first half a step from its beginning, with the direction at
    /// each: as many as there is a step for, at least three and at most `most`.
    ///
    /// # Units
    /// - `step`: that of the line
    pub(crate) fn at_steps(&self, step: f64, most: f64) -> Vec<(Coord, Coord)> {
        let count = (self.length() / step).round().clamp(3.0, most);
        let step = self.length() / count;
        let mut places = Vec::new();
        let mut way = step / 2.0;
        while way < self.length() {
            places.push((self.place(way), self.direction(way)));
            way += step;
        }
        places
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_course_is_walked_by_length() {
        let at = |x, y| Coord { x, y };
        let points = [at(0.0, 0.0), at(3.0, 0.0), at(3.0, 4.0)];
        let course = Course::new(&points);
        assert!((course.length() - 7.0).abs() < 1e-12);
        assert_eq!(course.place(5.0), at(3.0, 2.0));
        assert_eq!(course.direction(5.0), at(0.0, 1.0));
        assert_eq!(course.between(1.0, 5.0), [at(3.0, 0.0)]);
        assert_eq!(course.nearest(at(4.0, 3.0)), Some((1, 0.75)));
        assert!((course.way_to((1, 0.75)) - 6.0).abs() < 1e-12);
    }

    #[test]
    fn even_steps_begin_half_a_step_in() {
        let at = |x, y| Coord { x, y };
        let points = [at(0.0, 0.0), at(4.0, 0.0), at(4.0, 4.0)];
        let (east, north) = (at(1.0, 0.0), at(0.0, 1.0));
        let four = [(1.0, 0.0, east), (3.0, 0.0, east), (4.0, 1.0, north), (4.0, 3.0, north)];
        let four = four.map(|(x, y, along)| (at(x, y), along));
        let course = Course::new(&points);
        assert_eq!(course.at_steps(2.1, f64::INFINITY), four);
        assert_eq!(course.at_steps(0.1, 4.0), four);
        assert_eq!(course.at_steps(100.0, 60.0).len(), 3);
    }
}
