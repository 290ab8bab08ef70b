//! The tables: comma-separated text, and a workbook for a report.

mod cell;
mod columns;
mod grid;
mod heads;
mod marks;
mod rows;
mod site_record;
mod table;
mod triangles;
mod water_levels;
mod wells;
mod workbook;

pub(super) use cell::{safe, text};
pub(super) use columns::of_round;
pub(super) use grid::Grid;
pub(super) use heads::heads;
pub(super) use marks::{whole, writer};
pub(super) use site_record::{fits as record_fits, xlsx as record_workbook};
pub(super) use table::{grid, table};
pub(super) use triangles::triangles;
pub(super) use water_levels::{fit_a_workbook, water_levels, xlsx as workbook};
pub(super) use wells::wells;
pub(super) use workbook::sheets;
