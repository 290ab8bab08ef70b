//! Where along a contour it is asked what carries it.

use geo::Coord;

use super::inferred::Stretch;
use crate::geom::distance;

/// A contour with places between its vertices.
///
/// On a grid a contour has a vertex in every cell. On planes it runs straight through a whole
/// triangle, and what carries it changes on the way.
#[derive(Debug)]
pub(super) struct Asked {
    points: Vec<Coord>,
    is_vertex: Vec<bool>,
}

impl Asked {
    /// The vertices of a contour and, where a step is given, one place or more on each piece between
    /// them, about a step apart.
    ///
    /// # Units
    /// - `step`: that of the contour, positive
    pub(super) fn along(contour: &[Coord], step: Option<f64>) -> Self {
        let mut asked = Self { points: Vec::new(), is_vertex: Vec::new() };
        for w in contour.windows(2) {
            asked.push(w[0], true);
            let Some(step) = step else { continue };
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a contour is no longer than some cells of a grid"
            )]
            let parts = (distance(w[0], w[1]) / step).max(2.0) as u32;
            for k in 1..parts {
                asked.push(w[0] + (w[1] - w[0]) * (f64::from(k) / f64::from(parts)), false);
            }
        }
        if let Some(last) = contour.last() {
            asked.push(*last, true);
        }
        asked
    }

    fn push(&mut self, at: Coord, is_vertex: bool) {
        self.points.push(at);
        self.is_vertex.push(is_vertex);
    }

    /// The places, along the contour.
    pub(super) fn points(&self) -> &[Coord] {
        &self.points
    }

    /// The contour with a vertex more wherever one of its stretches begins or ends between two, and
    /// the stretches, which were those of its places, by its vertices.
    pub(super) fn settled(self, stretches: &mut [Stretch]) -> Vec<Coord> {
        let all = self.points.len();
        let mut kept = self.is_vertex;
        for stretch in &*stretches {
            kept[stretch.first] = true;
            if let Some(last) = stretch.vertices(all).last() {
                kept[last] = true;
            }
        }
        let before: Vec<usize> = kept
            .iter()
            .scan(0, |count, kept| Some(std::mem::replace(count, *count + usize::from(*kept))))
            .collect();
        for stretch in stretches {
            stretch.count = stretch.vertices(all).filter(|k| kept[*k]).count();
            stretch.first = before[stretch.first];
        }
        let mut kept = kept.into_iter();
        let mut points = self.points;
        points.retain(|_| kept.next() == Some(true));
        points
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn at(x: f64, y: f64) -> Coord {
        Coord { x, y }
    }

    fn stretch(first: usize, count: usize, inferred: bool) -> Stretch {
        Stretch { first, count, inferred }
    }

    #[test]
    fn places_stand_on_each_piece_about_a_step_apart() {
        let line = [at(0.0, 0.0), at(10.0, 0.0), at(10.0, 0.5)];
        let asked = Asked::along(&line, Some(2.5));
        let xs: Vec<(f64, f64)> = asked.points().iter().map(|p| (p.x, p.y)).collect();
        let first = [0.0, 2.5, 5.0, 7.5].map(|x| (x, 0.0));
        assert_eq!(xs, [&first[..], &[(10.0, 0.0), (10.0, 0.25), (10.0, 0.5)]].concat());
        assert_eq!(Asked::along(&line, None).points(), line);
    }

    #[test]
    fn a_vertex_is_added_where_a_stretch_changes_and_nowhere_else() {
        let line = [at(0.0, 0.0), at(8.0, 0.0), at(16.0, 0.0)];
        let mut stretches = [stretch(0, 4, true), stretch(3, 2, false), stretch(4, 5, true)];
        let points = Asked::along(&line, Some(2.0)).settled(&mut stretches);
        assert_eq!(points, [at(0.0, 0.0), at(6.0, 0.0), at(8.0, 0.0), at(16.0, 0.0)]);
        assert_eq!(stretches, [stretch(0, 2, true), stretch(1, 2, false), stretch(2, 2, true)]);
        let mut whole = [stretch(0, 9, true)];
        assert_eq!(Asked::along(&line, Some(2.0)).settled(&mut whole), line);
        assert_eq!(whole, [stretch(0, 3, true)]);
    }

    #[test]
    fn a_stretch_that_goes_on_past_the_seam_of_a_closed_line_still_does() {
        let line = [at(0.0, 0.0), at(4.0, 0.0), at(0.0, 4.0), at(0.0, 0.0)];
        let asked = Asked::along(&line, Some(2.0));
        // 0, 2, 4 along the first side; then one place in the middle of each of the two others.
        assert_eq!(asked.points().len(), 7);
        let mut stretches = [stretch(1, 3, false), stretch(3, 5, true)];
        let places: Vec<Coord> = stretches[1].points(asked.points()).collect();
        let points = asked.settled(&mut stretches);
        assert_eq!(points.len(), 6, "two changes: {points:?}");
        assert_eq!(stretches[0].points(&points).collect::<Vec<_>>(), points[1..4]);
        let after: Vec<Coord> = stretches[1].points(&points).collect();
        assert_eq!((after[0], after[after.len() - 1]), (places[0], places[places.len() - 1]));
    }
}
