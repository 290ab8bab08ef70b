//! How far wells stand from each other.

use geo::Coord;
use rstar::RTree;

/// The usual spacing of wells: the median of the distances from each well to the nearest other;
/// 0 for fewer than two wells.
///
/// # Units
/// - any one length, in and out
#[must_use]
pub fn usual_spacing(wells: &[Coord]) -> f64 {
    let tree = RTree::bulk_load(wells.iter().map(|p| [p.x, p.y]).collect());
    let mut nearest: Vec<f64> = wells
        .iter()
        .filter_map(|p| tree.nearest_neighbor_iter(&[p.x, p.y]).nth(1))
        .zip(wells)
        .map(|(q, p)| libm::hypot(q[0] - p.x, q[1] - p.y))
        .collect();
    if nearest.is_empty() {
        return 0.0;
    }
    let middle = nearest.len() / 2;
    *nearest.select_nth_unstable_by(middle, f64::total_cmp).1
}
