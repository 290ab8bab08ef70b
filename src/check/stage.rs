//! Stages of streams against the heads of the wells beside them.

use std::collections::BTreeMap;

use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::beside::Beside;
use super::types::ControlPoint;
use crate::diag::{Code, Diagnostic};
use crate::geom::tolerance;
use crate::read::Site;
use crate::units::{GroundUnit, brief, brief_to};

/// So many of the nearest wells are asked whether a barrier hides them.
const NEAR: usize = 40;

/// A stage and the nearest well.
#[derive(Debug, Clone, Copy)]
struct Against<'a> {
    /// The stage, elevation unit.
    stage: f64,
    well: &'a ControlPoint,
    distance_m: f64,
    /// Stage less head over distance, without its sign, m/m.
    gradient: f64,
}

/// C323 for each stream whose stage lies more than [`tolerance::STAGE_OFF_M`] off the head of the
/// nearest well, and more steeply than [`tolerance::STEEP_GRADIENT`]; D218 for each whose stage no
/// level can have.
pub(super) fn beside_wells(
    streams: &[ControlPoint],
    wells: &[ControlPoint],
    beside: &Beside,
    site: &Site,
    findings: &mut Vec<Diagnostic>,
) {
    if streams.is_empty() {
        return;
    }
    let unit = site.settings.elevation_unit;
    let metres = unit.metres();
    let places = (0..wells.len()).map(|i| {
        let at = wells[i].local;
        GeomWithData::new([at.x, at.y], i)
    });
    let tree = RTree::bulk_load(places.collect());
    let mut worst: BTreeMap<usize, Against> = BTreeMap::new();
    let mut impossible: BTreeMap<usize, f64> = BTreeMap::new();
    for p in streams {
        let Some(stream) = p.stream() else { continue };
        let level_m = p.head * metres;
        if !(-tolerance::DEEPEST_LEVEL_M..=tolerance::HIGHEST_ELEVATION_M).contains(&level_m) {
            impossible.entry(stream).or_insert(p.head);
            continue;
        }
        // A well behind a barrier says nothing of the stream.
        let seen = |i: usize| !beside.barriers().part(p.local, wells[i].local);
        let Some(near) =
            tree.nearest_neighbor_iter(&[p.local.x, p.local.y]).take(NEAR).find(|n| seen(n.data))
        else {
            continue;
        };
        let well = &wells[near.data];
        let off = p.local - well.local;
        let distance_m = libm::hypot(off.x, off.y);
        let off_m = (p.head - well.head).abs() * metres;
        let gradient = off_m / distance_m.max(tolerance::SAME_POSITION_M);
        if off_m > tolerance::STAGE_OFF_M
            && gradient > tolerance::STEEP_GRADIENT
            && worst.get(&stream).is_none_or(|w| gradient > w.gradient)
        {
            worst.insert(stream, Against { stage: p.head, well, distance_m, gradient });
        }
    }
    for (stream, stage) in impossible {
        let stream = &site.features.streams[stream];
        let (low, high) = (-tolerance::DEEPEST_LEVEL_M, tolerance::HIGHEST_ELEVATION_M);
        findings.push(
            Diagnostic::new(
                Code::Implausible,
                format!(
                    "stream {}: stage {} {unit} is not between {} and {} {unit}",
                    stream.name,
                    brief(stage),
                    brief_to(low / metres, 0),
                    brief_to(high / metres, 0)
                ),
            )
            .at(&stream.origin)
            .advice("correct the number or its unit, or take the stream out of site.toml"),
        );
    }
    for (stream, found) in worst {
        let stream = &site.features.streams[stream];
        let Against { stage, well, distance_m, gradient } = found;
        let off = stage - well.head;
        let side = if off < 0.0 { "below" } else { "above" };
        let mut text = format!(
            "stream {}: its stage {} {unit} is {} {unit} {side} the head {} {unit} of well {}, {} \
             away: {} m/m, bound {} m/m",
            stream.name,
            brief_to(stage, 2),
            brief_to(off.abs(), 2),
            brief_to(well.head, 2),
            well.id,
            GroundUnit::of(unit).away_to(distance_m, 1),
            brief_to(gradient, 2),
            tolerance::STEEP_GRADIENT
        );
        let exchanged = if unit.is_foot() { stage / 0.3048 } else { stage * 0.3048 };
        if (exchanged - well.head).abs() < 0.1 * off.abs() {
            let other = if unit.is_foot() { "metres" } else { "feet" };
            text = format!("{text}; it fits if the stage is in {other}");
        }
        findings.push(
            Diagnostic::new(Code::StageOffWells, text).well(&well.id).at(&stream.origin).advice(
                "check the unit of the stage (`unit` beside `file`), its datum, and whether the \
                 stream is in contact with the mapped aquifer unit",
            ),
        );
    }
}
