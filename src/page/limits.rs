//! How much of a large site goes onto the page.

use geo::Coord;

/// Rows of any table of the page; the CSV files have all of them.
pub(super) const MOST_ROWS: usize = 2000;

/// Wells, wells not used, triangles and arrows of each kind that are drawn on the page's map.
pub(super) const MOST_MARKS: usize = 2000;

/// Vertices of all contours of the page's map together.
pub(super) const MOST_VERTICES: usize = 40_000;

/// Contours of the page's map.
pub(super) const MOST_LINES: usize = 2000;

/// Distance that a line may be moved by leaving vertices out, in drawing units: a tenth of a
/// pixel on a map 1000 pixels wide, 1.6 pixels when zoomed in as far as it goes.
pub(super) const FINEST: f64 = 0.1;

/// Which of these points are shown: all of them, or the first in each square of a lattice that
/// leaves at most `most`. The side of the square is given in the unit of the points.
pub(super) fn spread(points: &[Coord], most: usize) -> (Vec<usize>, Option<f64>) {
    if points.len() <= most {
        return ((0..points.len()).collect(), None);
    }
    let (mut low, mut high) = (points[0], points[0]);
    for p in points {
        low = Coord { x: low.x.min(p.x), y: low.y.min(p.y) };
        high = Coord { x: high.x.max(p.x), y: high.y.max(p.y) };
    }
    let (width, height) = (high.x - low.x, high.y - low.y);
    let longer = width.max(height).max(f64::MIN_POSITIVE);
    let mut side = (width * height / most as f64).sqrt().max(longer / most as f64);
    loop {
        let mut taken = std::collections::BTreeSet::new();
        let square = |p: &Coord| {
            let count = |d: f64| (d / side).floor().to_bits();
            (count(p.x - low.x), count(p.y - low.y))
        };
        let kept: Vec<usize> =
            (0..points.len()).filter(|i| taken.insert(square(&points[*i]))).collect();
        if kept.len() <= most {
            return (kept, Some(side));
        }
        side *= 1.1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_points_are_all_shown() {
        let points = [Coord { x: 0.0, y: 0.0 }; 5];
        assert_eq!(spread(&points, 5), (vec![0, 1, 2, 3, 4], None));
    }

    #[test]
    fn many_points_are_thinned_evenly_and_the_first_of_each_square_stays() {
        let points: Vec<Coord> =
            (0..10_000).map(|k| Coord { x: f64::from(k % 100), y: f64::from(k / 100) }).collect();
        let (kept, side) = spread(&points, 500);
        assert!((300..=500).contains(&kept.len()), "{}", kept.len());
        let side = side.expect("they are thinned");
        // Every point has a shown one in its own square.
        for p in &points {
            let near = kept
                .iter()
                .any(|k| (points[*k].x - p.x).abs() <= side && (points[*k].y - p.y).abs() <= side);
            assert!(near, "{p:?}");
        }
        assert_eq!(kept[0], 0);
    }

    #[test]
    fn points_at_one_place_are_one() {
        let points = [Coord { x: 3.0, y: 3.0 }; 9];
        assert_eq!(spread(&points, 2).0, [0]);
    }
}
