//! Feet and metres taken for each other.

use super::types::ControlPoint;
use crate::units::LengthUnit;

const FEET_PER_M: f64 = 1.0 / 0.3048;

/// The heads that a well would have with its depth, itself or its measuring point in the other
/// unit, and how each is said.
///
/// # Units
/// - `unit`: of heads; returns: heads in it
pub(super) fn exchanged(
    p: &ControlPoint,
    unit: LengthUnit,
    depth_unit: LengthUnit,
) -> Vec<(f64, &'static str)> {
    let mut heads = Vec::new();
    if let (Some(mp), Some(depth)) = (p.measuring_point, p.depth) {
        let depth = depth_unit.convert(depth, unit);
        if depth_unit.is_foot() {
            heads.push((mp - depth * FEET_PER_M, "its depth is in metres"));
        } else {
            heads.push((mp - depth / FEET_PER_M, "its depth is in feet"));
        }
    }
    if unit.is_foot() {
        heads.push((p.head * FEET_PER_M, "its head is in metres"));
    } else {
        heads.push((p.head / FEET_PER_M, "its head is in feet"));
    }
    if let (Some(mp), Some(_)) = (p.measuring_point, p.depth) {
        let depth = mp - p.head;
        let other = if unit.is_foot() { mp * FEET_PER_M } else { mp / FEET_PER_M };
        heads.push((other - depth, "its measuring point is in the other unit"));
    }
    heads
}

/// Which mix-up of feet and metres would bring a head onto its neighbours' plane, if one would:
/// to within a tenth of its present distance.
pub(super) fn mixed_up(
    p: &ControlPoint,
    predicted: f64,
    unit: LengthUnit,
    depth_unit: LengthUnit,
) -> Option<&'static str> {
    let off = (p.head - predicted).abs();
    exchanged(p, unit, depth_unit)
        .into_iter()
        .filter(|(head, _)| (head - predicted).abs() < 0.1 * off)
        .min_by(|a, b| (a.0 - predicted).abs().total_cmp(&(b.0 - predicted).abs()))
        .map(|(_, how)| how)
}
