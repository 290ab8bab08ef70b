//! How far places are from each other.

use std::num::NonZero;

use geo::{Area, ConvexHull, Coord, MultiPoint};
use kiddo::{ImmutableKdTree, SquaredEuclidean};
use rayon::prelude::*;

use crate::units::median;

/// The distance of two places.
///
/// The plain root: coordinates are nowhere near the ends of what numbers can hold, and its last
/// digit is the same on all processors.
///
/// # Units
/// - any one length, in and out
#[must_use]
pub fn distance(a: Coord, b: Coord) -> f64 {
    let (x, y) = (b.x - a.x, b.y - a.y);
    (x * x + y * y).sqrt()
}

/// The length of a line through places.
///
/// # Units
/// - any one length, in and out
pub fn length(places: impl IntoIterator<Item = Coord>) -> f64 {
    let mut places = places.into_iter();
    let Some(mut last) = places.next() else { return 0.0 };
    places.map(|p| distance(std::mem::replace(&mut last, p), p)).sum()
}

/// The south-western and the north-eastern corner of the box about places; of none the corners are
/// infinite, the first above the second.
///
/// # Units
/// - any one length, in and out
#[must_use]
pub fn bounds(places: impl IntoIterator<Item = Coord>) -> (Coord, Coord) {
    let (low, high) = (f64::INFINITY, f64::NEG_INFINITY);
    let none = (Coord { x: low, y: low }, Coord { x: high, y: high });
    places.into_iter().fold(none, |(low, high), p| {
        (
            Coord { x: low.x.min(p.x), y: low.y.min(p.y) },
            Coord { x: high.x.max(p.x), y: high.y.max(p.y) },
        )
    })
}

/// The mean spacing of wells: how far apart as many would stand if they were spread evenly, the root
/// of the area of their outline for each of them. No place is farther than 0.71 times as much from a
/// well that stands so; 0 for an outline without an area.
///
/// # Units
/// - any one length, in and out
#[must_use]
pub(crate) fn mean_spacing(wells: &[Coord]) -> f64 {
    let outline = MultiPoint::from(wells.to_vec()).convex_hull();
    (outline.unsigned_area() / wells.len().max(1) as f64).sqrt()
}

/// The usual spacing of wells: the median of the distances from each well to the nearest other;
/// 0 for fewer than two wells.
///
/// # Units
/// - any one length, in and out
#[must_use]
pub fn usual_spacing(wells: &[Coord]) -> f64 {
    median(nearest_others(wells).into_iter().map(|next| next.1)).unwrap_or(0.0)
}

/// The well nearest to each one, by its number and distance, in their order; none for fewer than two
/// wells.
///
/// # Units
/// - any one length, in and out
#[must_use]
pub(crate) fn nearest_others(wells: &[Coord]) -> Vec<(usize, f64)> {
    nearest::<1>(wells).into_iter().map(|[next]| next).collect()
}

/// The usual spacing of all others without each of the wells, in their order: two look-ups for each
/// well say what is nearest to it with any other gone.
///
/// # Units
/// - any one length, in and out
#[must_use]
pub(crate) fn usual_spacing_without_each(wells: &[Coord]) -> Vec<f64> {
    let nearest = nearest::<2>(wells);
    let without = |gone: usize| {
        let others = nearest.iter().enumerate().filter(|(i, _)| *i != gone);
        let next = others.map(|(_, [next, after])| if next.0 == gone { after.1 } else { next.1 });
        median(next).unwrap_or(0.0)
    };
    (0..wells.len()).into_par_iter().map(without).collect()
}

/// The `N` wells nearest to each one, by their number and distance, the nearest first; none when there
/// are not so many others.
fn nearest<const N: usize>(wells: &[Coord]) -> Vec<[(usize, f64); N]> {
    let Some(all) = NonZero::new(N + 1).filter(|all| all.get() <= wells.len()) else {
        return Vec::new();
    };
    let places: Vec<[f64; 2]> = wells.iter().map(|p| [p.x, p.y]).collect();
    let tree: ImmutableKdTree<f64, 2> = ImmutableKdTree::new_from_slice(&places);
    let of_one = |(itself, place): (usize, &[f64; 2])| {
        let found = tree.nearest_n::<SquaredEuclidean>(place, all);
        let found = |k: usize| {
            let number = usize::try_from(found[k].item).unwrap_or(usize::MAX);
            (number, found[k].distance.sqrt())
        };
        // Others at the same place may come before it.
        let own = (0..N).find(|k| found(*k).0 == itself).unwrap_or(N);
        std::array::from_fn(|k| found(if k < own { k } else { k + 1 }))
    };
    places.par_iter().enumerate().map(of_one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_each_well_the_spacing_is_that_of_the_others() {
        let wells = |count: i32| -> Vec<Coord> {
            let at = |k: i32| f64::from(k * k % 97) + f64::from(k) / 8.0;
            // Some twice at one place, some far from all.
            (0..count).map(|k| Coord { x: at(k / 3 * 2), y: at(7 * k / 2) }).collect()
        };
        for count in [0, 1, 2, 3, 4, 5, 40, 201] {
            let wells = wells(count);
            let found = usual_spacing_without_each(&wells);
            assert_eq!(found.len(), wells.len());
            for (i, found) in found.into_iter().enumerate() {
                let mut others = wells.clone();
                others.remove(i);
                assert_eq!(found.to_bits(), usual_spacing(&others).to_bits(), "{count}, {i}");
            }
        }
    }
}
