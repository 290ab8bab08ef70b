//! What is to be told of where paths end.

use std::collections::BTreeMap;

use geo::Coord;

use super::path::{End, Way};
use super::place::{Role, SitePlace, TracedPath};
use crate::diag::{Code, Diagnostic, listed};
use crate::geom::distance;
use crate::map::Map;
use crate::units::GroundUnit;

/// Lows that nothing explains, lows that were bridged, and what is taken of streams.
pub(super) fn told(
    map: &Map,
    places: &[SitePlace],
    paths: &[TracedPath],
    bridged: &[Coord],
) -> Vec<Diagnostic> {
    let mut said = Vec::new();
    let mut lows: BTreeMap<String, (Coord, Vec<&str>)> = BTreeMap::new();
    let mut streams: BTreeMap<usize, Vec<&str>> = BTreeMap::new();
    for TracedPath { place, path, .. } in paths {
        let source = &places[*place];
        if source.role != Role::Source || path.way != Way::Down {
            continue;
        }
        let Some(last) = path.points.last() else { continue };
        let from = match path.end {
            End::Low { .. } => &mut lows.entry(about(map, *last)).or_insert((*last, Vec::new())).1,
            End::Stream { stream } => streams.entry(stream).or_default(),
            _ => continue,
        };
        if !from.contains(&source.name.as_str()) {
            from.push(&source.name);
        }
    }
    for (at, (place, from)) in &lows {
        let text = format!(
            "paths from {} end in a low {at}: no pumped well, drain or stream there takes the water",
            listed(from)
        );
        let found = Diagnostic::new(Code::LowUnexplained, text).advice(
            "where the water goes is not known: check the reading of that well and its aquifer unit, declare \
             what takes the water ([[pumped_wells]], streams), or measure it again",
        );
        said.push(found.well(nearest(map, *place).0));
    }
    if !bridged.is_empty() {
        let wells: Vec<&str> = bridged.iter().map(|p| nearest(map, *p).0).collect();
        let text = format!(
            "the surface has lows at {} that are no deeper than the errors of the heads",
            listed(&wells)
        );
        let found = Diagnostic::new(Code::LowBridged, text)
            .advice("paths go over the lowest place of the rim, as if there were no low");
        said.push(wells.iter().fold(found, |found, well| found.well(well)));
    }
    for (stream, from) in &streams {
        let name = &map.site.features.streams[*stream].name;
        let text = format!(
            "paths from {} end at {name}: it is taken as in full contact with the groundwater, so that \
             nothing flows under it",
            listed(from)
        );
        let advice = "wells on its other bank would show whether water passes under it; what lies downstream is \
                      reached by the stream";
        said.push(Diagnostic::new(Code::StreamsTaken, text).advice(advice));
    }
    said
}

/// The control point nearest to a place, and how far it is, m.
fn nearest(map: &Map, p: Coord) -> (&str, f64) {
    let points = map.mesh.local().iter().zip(map.control.points());
    let off = points.map(|(at, point)| (point.id.as_str(), distance(*at, p)));
    off.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or(("", 0.0))
}

/// Where a place is: at a well or so far from the nearest.
fn about(map: &Map, p: Coord) -> String {
    let (well, off) = nearest(map, p);
    if off <= 0.01 * map.uncertainty.spacing_m {
        return format!("at {well}");
    }
    format!("{} from {well}", GroundUnit::of(map.control.elevation_unit()).away(off))
}
