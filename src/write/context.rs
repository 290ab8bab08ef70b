//! What several files need, worked out once.

use std::collections::BTreeSet;

use geo::Coord;

use super::Results;
use super::heights::Units;
use crate::geom::Crs;
use crate::geom::CrsKind;
use crate::read::Well;

/// The results with the units and positions their files share.
#[derive(Debug)]
pub(super) struct Context<'a> {
    /// All that is to be written.
    pub(super) results: &'a Results<'a>,
    /// Units of heads and depths.
    pub(super) units: Units,
    /// Positions in the project CRS of the wells of the register that were read, in its order,
    /// CRS units. `None` for a well that was not read or whose position cannot be transformed.
    pub(super) positions: Vec<Option<Coord>>,
}

impl<'a> Context<'a> {
    pub(super) fn new(results: &'a Results<'a>) -> Self {
        let settings = &results.site.settings;
        let units = Units { elevation: settings.elevation_unit, depth: settings.depth_unit };
        Self { results, units, positions: positions(results) }
    }
}

/// Control points have their position already. Wells that were set aside before the checks get
/// theirs here, one at a time, because a wrong position may be why they were set aside.
fn positions(results: &Results) -> Vec<Option<Coord>> {
    let mut found = vec![None; results.site.wells.len()];
    for p in results.control.points() {
        found[p.well] = Some(p.crs);
    }
    let others: BTreeSet<usize> =
        results.control.accounts().iter().map(|a| a.well).filter(|&w| found[w].is_none()).collect();
    if others.is_empty() {
        return found;
    }
    let given = results.site.settings.coordinates_crs.as_deref().map(Crs::lookup);
    for w in others {
        let well = &results.site.wells[w];
        found[w] = match &given {
            None => as_given(results, results.control.crs(), well),
            Some(Ok(crs)) => as_given(results, crs, well).and_then(|p| {
                let mut p = [p];
                results.control.crs().convert_from(crs, &mut p).ok()?;
                Some(p[0])
            }),
            Some(Err(_)) => None,
        };
    }
    found
}

/// A register's coordinates in the units of the CRS they are given in.
fn as_given(results: &Results, crs: &Crs, well: &Well) -> Option<Coord> {
    let p = Coord { x: well.easting, y: well.northing };
    if !p.x.is_finite() || !p.y.is_finite() {
        return None;
    }
    let ratio = match (crs.kind(), results.site.settings.length_unit) {
        (CrsKind::Projected, Some(unit)) => unit.metres() / crs.metres_per_unit(),
        _ => 1.0,
    };
    // Sizes of one unit from two tables differ in the last digit.
    Some(if (ratio - 1.0).abs() < 1e-9 { p } else { p * ratio })
}
