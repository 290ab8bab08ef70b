//! `wells.csv`: the wells of the register, where they stand and how they are built.

use crate::read::DepthDatum;
use crate::report::WellRow;
use crate::report::well_table;
use crate::units::LengthUnit;
use crate::write::context::Context;
use crate::write::tables::columns::Columns;
use crate::write::tables::grid::Grid;

/// The wells, by name.
pub(in crate::write) fn wells<'a>(context: &'a Context<'a>) -> Grid<'a> {
    let rows = well_table(context.results);
    columns(context).with_round(&context.of).grid(rows.len(), move |i| rows[i].clone())
}

fn columns<'a>(context: &'a Context<'a>) -> Columns<'a, WellRow<'a>> {
    let (settings, control) = (&context.results.site.settings, &context.results.control);
    let of_elevation = |name: &str| format!("{name}_{}", context.units.elevation.in_names());
    let unit = LengthUnit::from_metres(control.frame().metres_per_unit());
    let of_plan = |name: &str| match unit {
        Some(unit) => format!("{name}_{}", unit.in_names()),
        None => name.to_owned(),
    };
    let crs = control.crs().name();
    let register = settings.coordinates_crs.as_deref().unwrap_or(crs);
    let from = |datum| match datum {
        DepthDatum::MeasuringPoint => "measuring point",
        DepthDatum::Ground => "ground",
    };
    let (depths_from, sounded_from) = (from(settings.depths_from), from(settings.sounded_from));
    let deep = |w: &WellRow<'_>| {
        [w.total_depth, w.screen_top_depth, w.screen_bottom_depth].iter().any(Option::is_some)
    };
    Columns::new()
        .with("well", |w: &WellRow<'a>| w.well.id.as_str())
        .with("kind", |w| w.well.kind.word())
        .with("aquifer_unit", |w| w.well.aquifer_unit.as_deref())
        .with(of_plan("easting"), |w| w.project.map(|[easting, _]| easting))
        .with(of_plan("northing"), |w| w.project.map(|[_, northing]| northing))
        .with("crs", move |_| crs)
        .with("register_easting", |w| Some(w.register[0]))
        .with("register_northing", |w| Some(w.register[1]))
        .with("register_crs", move |_| register)
        .with(of_elevation("ground_elevation"), |w| w.ground)
        .with(of_elevation("measuring_point_elevation"), |w| w.measuring_point)
        .with("measuring_point_surveyed", |w| w.surveyed.map(|day| day.to_string()))
        .with(of_elevation("measuring_point_elevation_before"), |w| w.changed_from)
        .with("depths_from", move |w| deep(w).then_some(depths_from))
        .with(of_elevation("total_depth"), |w| w.total_depth)
        .with(of_elevation("screen_top_depth"), |w| w.screen_top_depth)
        .with(of_elevation("screen_bottom_depth"), |w| w.screen_bottom_depth)
        .with("sounded_from", move |w| w.sounded_depth.map(|_| sounded_from))
        .with(of_elevation("sounded_depth"), |w| w.sounded_depth)
        .with(of_elevation("bottom_elevation"), |w| w.bottom)
        .with(of_elevation("screen_top_elevation"), |w| w.screen_top)
        .with(of_elevation("screen_bottom_elevation"), |w| w.screen_bottom)
        .with(of_elevation("sounded_bottom_elevation"), |w| w.sounded_bottom)
        .with("specific_gravity", |w| w.specific_gravity)
}
