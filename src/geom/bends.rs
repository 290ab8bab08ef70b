//! Where a line bends.

use geo::{Coord, LineString, SimplifyIdx};

use super::pieces::{at, foot};
use super::spacing::distance;
use super::tolerance::SAME_POSITION_M;

/// The numbers of the vertices at which a line bends, its ends among them, ascending: between two of
/// them no vertex is farther from the straight way than `within_m`.
///
/// However many vertices are set on its straight parts, they are the same.
///
/// # Units
/// - `course`, `within_m`: m
///
/// # References
/// Douglas and Peucker (1973), Cartographica 10(2), 112-122 (from memory).
#[must_use]
pub fn bends(course: &[Coord], within_m: f64) -> Vec<usize> {
    let mut bends: Vec<usize> = Vec::new();
    let straight = |from: usize, k: usize, to: usize| {
        let way = [course[from], course[to]];
        distance(course[k], at(way, foot(way, course[k]))) <= SAME_POSITION_M
    };
    for next in LineString(course.to_vec()).simplify_idx(within_m) {
        // On a part that runs beside the way between its ends any vertex may have been taken first.
        while let [.., from, k] = bends[..]
            && straight(from, k, next)
        {
            bends.pop();
        }
        bends.push(next);
    }
    bends
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A trapezium without its base and a closed square, each with more and more vertices on its
    /// sides: rounding puts these off by 1e-13.
    #[test]
    fn vertices_on_straight_parts_are_no_bends() {
        let shapes: [&[(f64, f64)]; 2] = [
            &[(0.3, 0.1), (30.3, 40.1), (90.3, 40.1), (120.3, 0.1)],
            &[(0.1, 0.2), (50.1, 0.2), (50.1, 50.2), (0.1, 50.2), (0.1, 0.2)],
        ];
        for shape in shapes {
            let corners: Vec<Coord> = shape.iter().map(|(x, y)| Coord { x: *x, y: *y }).collect();
            for parts in [1_usize, 3, 1000] {
                let on = |w: &[Coord]| {
                    let (a, b) = (w[0], w[1]);
                    (0..parts).map(move |k| at([a, b], k as f64 / parts as f64)).collect::<Vec<_>>()
                };
                let mut course: Vec<Coord> = corners.windows(2).flat_map(on).collect();
                course.push(corners[corners.len() - 1]);
                let found = bends(&course, 0.5);
                let expected: Vec<usize> = (0..corners.len()).map(|k| k * parts).collect();
                assert_eq!(found, expected, "{parts} parts");
            }
        }
        assert!(bends(&[], 0.5).is_empty());
        assert_eq!(bends(&[Coord { x: 1.0, y: 2.0 }], 0.5), [0]);
    }
}
