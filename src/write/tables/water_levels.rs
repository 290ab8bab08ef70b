//! `water-levels.csv` and `water-levels.xlsx`: the table of water levels as it goes into a report.

use std::io;
use std::path::Path;

use crate::report::{self, WaterLevel, day_and_time};
use crate::write::context::Context;
use crate::write::tables::columns::Columns;
use crate::write::tables::grid::Grid;
use crate::write::tables::workbook;

/// A row for each well, by name, and what it belongs to.
pub(in crate::write) fn water_levels<'a>(context: &'a Context<'a>) -> Grid<'a> {
    let rows = report::water_levels(context.results, &context.levels);
    let of = &context.of;
    // Its headings name datum and unit.
    let columns = columns(context)
        .with("Site", |_| of.site.as_str())
        .with("Round", |_| of.round.as_str())
        .with("Mapped unit", |_| of.mapped_unit.as_deref())
        .with("Measured from", |_| of.read_from.as_deref())
        .with("Measured to", |_| of.read_to.as_deref());
    columns.grid(rows.len(), move |i| rows[i].clone())
}

/// Writes the same as a workbook, without what it belongs to.
pub(in crate::write) fn xlsx(context: &Context, path: &Path) -> io::Result<()> {
    let rows = report::water_levels(context.results, &context.levels);
    let columns = columns(context);
    let sheet = workbook::Sheet::of("Water levels", &columns, &rows);
    workbook::write(path, &context.of.in_words(), vec![sheet])
}

/// Whether the workbook has room for the wells.
pub(in crate::write) fn fit_a_workbook(wells: usize) -> bool {
    wells < workbook::MOST_ROWS
}

fn columns<'a>(context: &'a Context<'a>) -> Columns<'a, WaterLevel<'a>> {
    let depth = context.units.depth.in_words();
    let datum = context.results.site.settings.vertical_datum.as_deref();
    let elevation = match datum {
        Some(datum) => format!("{}, {datum}", context.units.elevation.in_words()),
        None => context.units.elevation.in_words().to_owned(),
    };
    Columns::new()
        .with("Well", |w: &WaterLevel<'a>| w.well.id.as_str())
        .with("Date", |w| day_and_time(w.moment).0)
        .with("Time", |w| day_and_time(w.moment).1)
        .with(format!("Measuring point elevation ({elevation})"), |w| w.measuring_point)
        .with(format!("Depth to product ({depth})"), |w| w.to_product)
        .with(format!("Depth to water ({depth})"), |w| w.to_water)
        .with(format!("Product thickness ({depth})"), |w| w.product_thickness)
        .with(format!("Corrected head ({elevation})"), |w| w.head)
        .with("Note", |w| w.note.clone())
}
