//! What the map should show.

use geo::Coord;

use super::features;
use super::scene::at;
use super::view::Turn;
use crate::geom::bounds;
use crate::read::SheetExtent;
use crate::report::{Posted, Results};

/// The box about all that the map should show, local m, turned: the control points, and other wells and
/// features that stand no farther from them than they spread.
/// Or what is asked for: of a site without a boundary its wells are taken in its place.
pub(super) fn extent(results: &Results, posted: &[Posted]) -> (Coord, Coord) {
    let (ground, turn) = (results.control.frame(), Turn::of(results));
    let of_crs = |p: Coord| turn.turned(ground.to_local(p));
    let (low, high) = bounds(results.control.points().iter().map(|p| turn.turned(p.local)));
    match results.site.settings.sheet.extent {
        Some(SheetExtent::Box([west, south, east, north])) => {
            let corners = [at(west, south), at(west, north), at(east, south), at(east, north)];
            return bounds(corners.map(of_crs));
        }
        Some(SheetExtent::Wells) => return (low, high),
        Some(SheetExtent::Boundary) => {
            let areas = &results.site.features.boundary;
            let outline = areas.iter().flat_map(|area| &area.exterior().0);
            let mut outline = outline.map(|p| of_crs(*p)).peekable();
            return if outline.peek().is_some() { bounds(outline) } else { (low, high) };
        }
        None => {}
    }
    let reach = (high.x - low.x).max(high.y - low.y) * 0.5;
    let near = |p: &Coord| {
        p.x > low.x - reach && p.x < high.x + reach && p.y > low.y - reach && p.y < high.y + reach
    };
    let wells = posted.iter().filter_map(|w| w.crs).map(of_crs);
    let others = wells.chain(features::extent(results).into_iter().map(|p| turn.turned(p)));
    bounds([low, high].into_iter().chain(others.filter(near)))
}
