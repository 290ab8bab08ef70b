//! Pairs of water levels across every barrier.

use std::collections::BTreeSet;

use geo::Coord;

use super::pairs::{Difference, Levels, Line, STATIONS_BETWEEN_WELLS, Station, stations};
use crate::geom::distance;
use crate::map::Map;

/// A well farther from the barrier than this, in usual spacings of wells, is no partner.
const NEAR_SPACINGS: f64 = 1.5;

/// How far beside the barrier its own side begins, m.
const BESIDE_M: f64 = 0.05;

/// Two wells on the two sides of a barrier.
#[derive(Debug, Clone, PartialEq)]
pub struct AcrossBarrier {
    /// The barrier's name.
    pub barrier: String,
    /// The higher well, by its index among the control points.
    pub higher: usize,
    /// The lower one.
    pub lower: usize,
    /// Between them along the barrier, m from its beginning.
    pub along_m: f64,
    /// The higher head less the lower, elevation unit.
    pub difference: Difference,
}

/// For places along each barrier, a quarter of the usual spacing of wells apart, the nearest well on either side
/// that sees the barrier there; each pair once.
///
/// # References
/// After the pairs of water levels of US EPA (2008), EPA 600/R-08/003; taking the nearest wells on either side is
/// common practice, no source.
pub(super) fn across(map: &Map, levels: &Levels) -> Vec<AcrossBarrier> {
    let frame = map.control.frame();
    let spacing_m = map.uncertainty.spacing_m;
    let barriers = map.control.beside().barriers();
    let points = map.control.points();
    let measured = |i: usize| points[i].kind().is_some();
    let mut found = Vec::new();
    for barrier in &map.site.features.barriers {
        let course: Vec<Coord> = barrier.line.0.iter().map(|p| frame.to_local(*p)).collect();
        let line = Line { course: &course, stages: None, stage_sd: 0.0, bend_m: 0.0 };
        let mut taken = BTreeSet::new();
        for Station { along_m, at, left, .. } in stations(line, spacing_m / STATIONS_BETWEEN_WELLS)
        {
            let beside = [1.0, -1.0].map(|side| {
                let from = at + left * (side * BESIDE_M);
                let sees = |i: &usize| !barriers.part(from, levels.wells[*i]);
                let off = |i: &usize| distance(at, levels.wells[*i]);
                let near = |i: &usize| off(i) <= NEAR_SPACINGS * spacing_m;
                let wells = (0..points.len()).filter(|i| measured(*i) && near(i) && sees(i));
                wells.min_by(|a, b| off(a).total_cmp(&off(b)).then(a.cmp(b)))
            });
            if let [Some(one), Some(other)] = beside
                && taken.insert((one, other))
            {
                found.push(pair(&barrier.name, [one, other], along_m, levels));
            }
        }
    }
    found
}

fn pair(barrier: &str, [one, other]: [usize; 2], along_m: f64, levels: &Levels) -> AcrossBarrier {
    let (higher, lower) =
        if levels.heads[one] >= levels.heads[other] { (one, other) } else { (other, one) };
    let difference = Difference {
        value: levels.heads[higher] - levels.heads[lower],
        sd: libm::hypot(levels.sds[higher], levels.sds[lower]),
        distance_m: distance(levels.wells[higher], levels.wells[lower]),
    };
    AcrossBarrier { barrier: barrier.to_owned(), higher, lower, along_m, difference }
}
