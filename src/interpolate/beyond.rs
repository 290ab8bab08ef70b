//! Whether the surface goes beyond all heads.

use super::types::Surface;
use crate::check::{ControlPoint, ControlSet};
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance::INTERVAL_HEAD_SDS;
use crate::read::{Fact, Site};
use crate::units::{brief_to, place, told_apart};

/// Tells a surface that rises above the highest head, or falls below the lowest, by more than
/// [`INTERVAL_HEAD_SDS`] times `head_sd` (M420). Cones of pumped wells are meant to go beyond.
///
/// # Units
/// - `head_sd`: the usual standard deviation of a head, elevation unit
#[must_use]
pub fn beyond_heads(
    site: &Site,
    control: &ControlSet,
    surface: &Surface,
    head_sd: f64,
) -> Option<Diagnostic> {
    if !surface.method.has(Fact::BeyondHeads) || site.has_cones() {
        return None;
    }
    let (low, high) = surface.heads.range()?;
    let by_head = |a: &&ControlPoint, b: &&ControlPoint| a.head.total_cmp(&b.head);
    let (lowest, highest) =
        control.points().iter().min_by(by_head).zip(control.points().iter().max_by(by_head))?;
    let unit = control.elevation_unit();
    let bound = INTERVAL_HEAD_SDS * head_sd;
    let mut wells = Vec::new();
    let mut part = |by: f64, head: f64, point: &ControlPoint, [goes, beyond, most]: [&str; 3]| {
        let at = surface.heads.first_at(head).filter(|_| by > bound)?;
        wells.push(point.id.clone());
        let (by, _) = told_apart(by, bound, 2);
        Some(format!(
            "{goes} {by} {unit} {beyond} the {most} head ({} at {} {unit}), to {} {unit} at {}",
            point.id,
            brief_to(point.head, 2),
            brief_to(head, 2),
            place(at.x, at.y)
        ))
    };
    let parts = [
        part(high - highest.head, high, highest, ["rises", "above", "highest"]),
        part(lowest.head - low, low, lowest, ["falls", "below", "lowest"]),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.is_empty() {
        return None;
    }
    let text = format!("the surface {}", parts.join(", and "));
    let mut told = Diagnostic::new(Code::BeyondHeads, text).advice(
        "no well has such a head: contours there are drawn as inferred; compare with --surface \
         linear, which stays between the heads, or measure a well there",
    );
    told.wells = wells;
    Some(told)
}
