//! Which of X and Y is north.

use geo::Coord;

use crate::diag::{Code, Diagnostic};
use crate::geom::{Crs, CrsKind, bounds};
use crate::read::settings::declared::Declared;
use crate::read::table::columns::Column;
use crate::read::table::heading;
use crate::read::table::layout::Stated;
use crate::read::table::rows::shown;
use crate::read::wells::order;
use crate::units::brief_to;

use super::coordinates::Systems;
use super::wells::Register;

/// Words that say which way a coordinate counts.
const SAYING: [&str; 6] = ["east", "easting", "eastings", "north", "northing", "northings"];

/// R127 when positions are headed X and Y alone, the CRS has X for its northings, and the wells lie in its
/// area of use either way: which of the two is north is then nowhere written.
pub(in crate::read) fn tell(
    systems: &Systems,
    declared: &Declared,
    stated: &[Stated],
    register: &Register,
    said: &mut Vec<Diagnostic>,
) {
    let own = systems.register_crs().filter(|_| systems.tied().is_none());
    let Some(crs) = own.filter(|c| c.kind() == CrsKind::Projected) else {
        return;
    };
    let bare = |column: Column| {
        let heading = stated.iter().find(|s| s.column == column)?;
        let words = heading::words(&heading.heading);
        let declared = declared.how.columns.iter().any(|d| d.column == Some(column) && d.found);
        let says = words.iter().any(|w| SAYING.contains(&w.as_str()));
        (!declared && !says).then_some(heading)
    };
    let (Some(x), Some(y)) = (bare(Column::Easting), bare(Column::Northing)) else { return };
    let first = register.wells.iter().min_by(|a, b| order::by_name(&a.id, &b.id));
    let Some(first) = first.filter(|_| crs.x_may_be_north() && !crs.is_turned()) else { return };
    // The corners of the wells' extent: no order of rows changes them.
    let (low, high) = bounds(register.wells.iter().map(|w| Coord { x: w.easting, y: w.northing }));
    let inside = |turn: &dyn Fn(Coord) -> Coord| {
        let mut corners = [turn(low), turn(high)];
        let outside = |p: &Coord| crs.area().map_or(0.0, |area| area.degrees_outside(*p));
        crs.to_lon_lat(&mut corners).is_ok() && corners.iter().all(|p| outside(p) == 0.0)
    };
    let swapped = |p: Coord| Coord { x: p.y, y: p.x };
    if !inside(&|p| p) || !inside(&swapped) {
        return;
    }
    let place = Coord { x: first.easting, y: first.northing };
    let (Some(as_east), Some(as_north)) = (lon_lat(crs, place), lon_lat(crs, swapped(place)))
    else {
        return;
    };
    let (x_heading, y_heading) = (shown(&x.heading), shown(&y.heading));
    let message = format!(
        "\"{x_heading}\" and \"{y_heading}\" do not say which is north, and {} \"{}\" has X for \
         northings: with {x_heading} to the east well {} is at {as_east}, with {x_heading} to the north at \
         {as_north}",
        crs.definition(),
        crs.name(),
        shown(&first.id),
    );
    said.push(
        Diagnostic::new(Code::AxesUnclear, message).well(&first.id).at(&x.origin).advice(format!(
            "write under [columns] in site.toml northing = \"{x_heading}\" and easting = \
             \"{y_heading}\" where {x_heading} is north, or easting = \"{x_heading}\" and northing = \
             \"{y_heading}\" where it is east; or change the headings to Northing and Easting"
        )),
    );
}

/// A position as longitude and latitude, in words.
fn lon_lat(crs: &Crs, place: Coord) -> Option<String> {
    let mut places = [place];
    crs.to_lon_lat(&mut places).ok()?;
    let [lon, lat] = [places[0].x, places[0].y].map(|v| brief_to(v, 4));
    Some(format!("longitude {lon}, latitude {lat}"))
}
