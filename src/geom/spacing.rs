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
pub fn mean_spacing(wells: &[Coord]) -> f64 {
    let outline = MultiPoint::from(wells.to_vec()).convex_hull();
    (outline.unsigned_area() / wells.len().max(1) as f64).sqrt()
}

const ITSELF_AND_NEXT: NonZero<usize> = NonZero::new(2).expect("two is not zero");

/// The usual spacing of wells: the median of the distances from each well to the nearest other;
/// 0 for fewer than two wells.
///
/// # Units
/// - any one length, in and out
#[must_use]
pub fn usual_spacing(wells: &[Coord]) -> f64 {
    if wells.len() < 2 {
        return 0.0;
    }
    let places: Vec<[f64; 2]> = wells.iter().map(|p| [p.x, p.y]).collect();
    let tree: ImmutableKdTree<f64, 2> = ImmutableKdTree::new_from_slice(&places);
    let of_one = |place: &[f64; 2]| tree.nearest_n::<SquaredEuclidean>(place, ITSELF_AND_NEXT);
    let nearest: Vec<f64> =
        places.par_iter().map(|place| of_one(place)[1].distance.sqrt()).collect();
    median(nearest).unwrap_or(0.0)
}
