//! What the map should show.

use geo::Coord;

use super::features;
use super::scene::at;
use crate::geom::bounds;
use crate::read::SheetExtent;
use crate::report::{Posted, Results};

/// The box about all that the map should show, local m: the control points, and other wells and
/// features that stand no farther from them than they spread.
/// Or what is asked for: of a site without a boundary its wells are taken in its place.
pub(super) fn extent(results: &Results, posted: &[Posted]) -> (Coord, Coord) {
    let local = results.control.points().iter().map(|p| p.local);
    let (low, high) = bounds(local);
    let to_local = |p: Coord| results.control.frame().to_local(p);
    match results.site.settings.sheet.extent {
        Some(SheetExtent::Box([west, south, east, north])) => {
            return (to_local(at(west, south)), to_local(at(east, north)));
        }
        Some(SheetExtent::Wells) => return (low, high),
        Some(SheetExtent::Boundary) => {
            let areas = &results.site.features.boundary;
            let outline = areas.iter().flat_map(|area| &area.exterior().0);
            let mut outline = outline.map(|p| to_local(*p)).peekable();
            return if outline.peek().is_some() { bounds(outline) } else { (low, high) };
        }
        None => {}
    }
    let reach = (high.x - low.x).max(high.y - low.y) * 0.5;
    let near = |p: &Coord| {
        p.x > low.x - reach && p.x < high.x + reach && p.y > low.y - reach && p.y < high.y + reach
    };
    let ground = results.control.frame();
    let wells = posted.iter().filter_map(|w| w.crs).map(|p| ground.to_local(p));
    let others = wells.chain(features::extent(results));
    bounds([low, high].into_iter().chain(others.filter(near)))
}
