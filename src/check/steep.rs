//! Whether groundwater can stand as steep as the wells say.

use geo::Coord;

use super::types::ControlPoint;
use super::units;
use crate::diag::{Code, Diagnostic};
use crate::geom::{fit_plane, tolerance};
use crate::read::{Round, Site};
use crate::units::{brief_to, told_apart};

/// Up to this many wells, each is tried in the other unit.
const FEW: usize = 60;

/// C322 when the plane through the wells is steeper than [`tolerance::STEEP_GRADIENT`], with the
/// one well that explains it in the other unit, where there is one. It needs no spare well: three
/// and four wells have no other check. Nothing more is said where wells that are told already, the
/// `odd` ones, make it steep.
pub(super) fn plane(
    points: &[ControlPoint],
    odd: &[usize],
    (site, round): (&Site, &Round),
    findings: &mut Vec<Diagnostic>,
) {
    let (unit, depth_unit) = (site.settings.elevation_unit, round.depth_unit);
    let mut judged: Vec<Option<&ControlPoint>> = points.iter().map(Some).collect();
    for i in odd {
        judged[*i] = None;
    }
    let points: Vec<&ControlPoint> = judged.into_iter().flatten().collect();
    let places: Vec<Coord> = points.iter().map(|p| p.local).collect();
    let heads: Vec<f64> = points.iter().map(|p| p.head).collect();
    let gradient = |heads: &[f64]| {
        fit_plane(&places, heads).map_or(0.0, |plane| plane.slope.magnitude() * unit.metres())
    };
    let steep = gradient(&heads);
    if steep <= tolerance::STEEP_GRADIENT {
        return;
    }
    let mut best: Option<(f64, usize, &str)> = None;
    for (i, p) in points.iter().enumerate().filter(|_| points.len() <= FEW) {
        for (head, how) in units::exchanged(p, unit, depth_unit) {
            let mut tried = heads.clone();
            tried[i] = head;
            let now = gradient(&tried);
            if now < best.map_or(tolerance::STEEP_GRADIENT, |b| b.0) {
                best = Some((now, i, how));
            }
        }
    }
    let text = format!(
        "the plane through the {} wells has a gradient of {} m/m, bound {} m/m",
        points.len(),
        told_apart(steep, tolerance::STEEP_GRADIENT, 3).0,
        tolerance::STEEP_GRADIENT
    );
    findings.push(match best {
        Some((now, i, how)) => Diagnostic::new(
            Code::SteepPlane,
            format!("{text}; well {}: it is {} m/m if {how}", points[i].id, brief_to(now, 3)),
        )
        .well(&points[i].id)
        .at_each(points[i].row(site).map(|row| &row.origin))
        .advice("check the unit of this well's reading and measuring point"),
        None => between_ends(&text, &points, site),
    });
}

/// The finding for a steep plane that no unit explains, with the lowest and the highest head.
fn between_ends(text: &str, points: &[&ControlPoint], site: &Site) -> Diagnostic {
    let unit = site.settings.elevation_unit;
    let by_head = |a: &&&ControlPoint, b: &&&ControlPoint| a.head.total_cmp(&b.head);
    let ends = [points.iter().min_by(by_head), points.iter().max_by(by_head)];
    let words: Vec<String> =
        ends.iter().flatten().map(|p| format!("{} {} {unit}", p.id, brief_to(p.head, 2))).collect();
    let mut told =
        Diagnostic::new(Code::SteepPlane, format!("{text}; heads {}", words.join(" to ")));
    for p in ends.into_iter().flatten() {
        told = told.well(&p.id).at_each(p.row(site).map(|row| &row.origin));
    }
    told.advice(
        "such gradients are rare in groundwater: check the units of coordinates, measuring points \
         and depths, and whether the wells are in one aquifer unit",
    )
}
