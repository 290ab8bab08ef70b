//! One table for everything: a row is a well and its reading.

#![expect(clippy::disallowed_methods, reason = "a table may stand beside a folder of its own kind")]

use std::path::Path;

use crate::diag::{Code, Diagnostic, Origin};
use crate::read::files::input;
use crate::read::files::names::{ROUNDS, SITE_TOML};
use crate::read::register::coordinates::Systems;
use crate::read::register::wells::{Axes, FAULTY, Register, WellRow};
use crate::read::rounds::elevations;
use crate::read::rounds::one_of::{self, Asked};
use crate::read::rounds::open;
use crate::read::rounds::part::{Part, Readings, not_read};
use crate::read::rounds::readings;
use crate::read::rounds::settle::Rows;
use crate::read::rounds::times;
use crate::read::settings::declared;
use crate::read::settings::overrides::Overrides;
use crate::read::settings::units;
use crate::read::table::cells::Cells;
use crate::read::table::columns::{self, Column, Quantity};
use crate::read::table::layout::{self, Stated};
use crate::read::table::rows::{Row, Table, shown};
use crate::read::table::rules::Rules;
use crate::read::table::unread_columns;
use crate::read::wells::well::MeasuringPoint;
use crate::units::brief;

use super::finish::Parts;
use super::source;
use super::unread;

/// Opens a single table, with the `site.toml` beside it where there is one: the site, the round that is asked
/// for, and the names of all rounds of the table where it holds several.
pub(in crate::read) fn open(
    path: &Path,
    overrides: &Overrides,
    said: &mut Vec<Diagnostic>,
) -> Option<(Parts, Rows, Vec<String>)> {
    let file = path.file_name()?.to_string_lossy().into_owned();
    let stem = path.file_stem()?.to_string_lossy().into_owned();
    let beside = path.with_file_name(SITE_TOML);
    let settings =
        input::load_if_there(&beside, SITE_TOML).map_err(|fault| said.push(*fault)).ok()?;
    let folder = input::or_here(path.parent().unwrap_or(Path::new("")));
    unread::tell_settings(folder, said);
    let mut declared = declared::declared(settings.as_ref(), overrides, said)
        .map_err(|fault| said.push(*fault))
        .ok()?;
    if declared.name.is_none() {
        declared.name = Some(stem.clone());
    }
    let text = source::text(folder, &file, columns::SINGLE, &mut declared, said);
    units::crs_required(&declared, &file, said);
    let systems = Systems::look_up(folder, &declared, said);
    let (table, layout) = open::of_text(text?, columns::SINGLE, &mut declared.how, said)?;
    layout::unused(&declared.how.columns, &[&file], said);

    let before = said.len();
    layout.require(&table, &[Column::Id], said);
    let axes = systems.axes(&table, &layout, &declared, said);
    if open::has_measurements(&table, &layout, said)
        && readings::MEASUREMENTS.iter().any(|c| *c != Column::Elevation && layout.has(*c))
    {
        layout.bare_elevation(&table, &declared.how.columns, said);
    }
    layout.bare_product(&table, said);
    times::timeless(&table, &layout, said);
    if said.len() > before
        && let Some(hint) = part_of_folder(path)
    {
        said.push(hint);
    }
    let rules = declared.how.rules.clone();
    let point = layout.place(Column::MeasuringPointElevation);
    let elevation = |row: &Row<'_>| row.number(point?).ok();
    let unit = declared.elevation_unit.or_else(|| elevations::headed(&layout.stated));
    let clear = elevations::depths_are_clear(&table, &layout, unit, elevation, said);
    let wanted = overrides.round.as_deref().filter(|r| *r != stem && *r != file);
    let mut unread = Vec::new();
    if clear && said.len() == before {
        unread_columns::tell(&table, &layout, columns::SINGLE, &declared.how.columns, &mut unread);
    }
    let (mut register, mut readings) = (Register::default(), Vec::new());
    let (mut name, mut among, mut stated) = (stem, Vec::new(), layout.stated.clone());
    if let Some(axes) = axes.filter(|_| clear && said.len() == before) {
        let no_points = (!layout.has(Column::MeasuringPointElevation))
            .then(|| layout.missing(&table, &[Column::MeasuringPointElevation], ""));
        let asked = Asked { wanted, window_h: declared.round_window_h };
        let round = one_of::read(&table, layout, asked, said, |part, said| {
            rows(&table, part, axes, &rules, said)
        })?;
        said.extend(no_points.filter(|_| readings::from_measuring_points(&round.readings)));
        stated = round.part.stated();
        (register, readings, among) = (round.more, round.readings, round.among);
        name = round.name.unwrap_or(name);
    }
    said.extend(unread);
    let mut inputs: Vec<_> = settings.into_iter().flat_map(|s| s.inputs).collect();
    inputs.extend_from_slice(&table.inputs);
    let of_depths = |s: &&Stated| s.column.quantity() == Quantity::ReadingDepth;
    let of_depths = stated.iter().filter(of_depths).cloned().collect();
    let parts = Parts {
        folder: folder.to_owned(),
        declared,
        systems,
        register,
        register_file: file,
        stated,
        inputs,
        may_assume_unit: true,
    };
    // The table is on record with the site.
    let rows = Rows { name, readings, stated: of_depths, inputs: Vec::new() };
    Some((parts, rows, among))
}

/// R103 when the table is a part of a site folder.
fn part_of_folder(path: &Path) -> Option<Diagnostic> {
    let parent = path.parent()?;
    let folder = [Some(parent), parent.parent()]
        .into_iter()
        .flatten()
        .find(|f| f.join(SITE_TOML).is_file() && f.join("wells.csv").is_file())?;
    let of_rounds = parent.file_name().is_some_and(|name| name == ROUNDS);
    let round = path.file_stem().filter(|_| of_rounds).map(std::ffi::OsStr::to_string_lossy);
    let round = round.map_or(String::new(), |r| format!("; choose this round with --round {r}"));
    let table = path.file_name()?.to_string_lossy();
    Some(
        Diagnostic::new(
            Code::ColumnMissing,
            format!("{table} belongs to a site folder; it is not a table of wells and readings"),
        )
        .at(&Origin::file(&table))
        .advice(format!("give the folder {} instead{round}", folder.display())),
    )
}

fn rows(
    table: &Table,
    part: &Part,
    axes: Axes,
    rules: &Rules,
    said: &mut Vec<Diagnostic>,
) -> (Register, Readings) {
    let room = table.rows_ahead();
    let (mut register, mut found) = (Register::for_rows(room), Readings::with_room(room));
    // The measuring point of each well of the register, for comparison.
    let mut elevations: Vec<Option<f64>> = Vec::new();
    part.each_row(table, rules, said, |cells, said| {
        let before = said.len();
        let Ok(id) = cells.id(said) else { return };
        let well = WellRow::read(cells, axes, said);
        match register.index.get(id).copied() {
            None => {
                let elevation = well.as_ref().ok().and_then(|w| w.point_elevation);
                register.add(cells, id, axes, well, said);
                elevations.resize(register.wells.len(), elevation);
            }
            Some(FAULTY) => {}
            Some(first) => {
                if let Ok(well) = well {
                    let elevation = &mut elevations[first];
                    merge(&mut register, first, elevation, cells, axes, &well, said);
                }
            }
        }
        if !not_read(cells) {
            found.add(cells, readings::reading(cells, id, said));
        }
        // The specific gravity belongs to the well and to the reading: said once is enough.
        let mut seen = before;
        while seen < said.len() {
            if said[before..seen].contains(&said[seen]) {
                said.remove(seen);
            } else {
                seen += 1;
            }
        }
    });
    (register, found)
}

/// Holds a further row of a well against the first: what both say must agree (R108), what only
/// one says counts.
fn merge(
    register: &mut Register,
    first: usize,
    elevation: &mut Option<f64>,
    cells: &Cells<'_>,
    axes: Axes,
    row: &WellRow<'_>,
    said: &mut Vec<Diagnostic>,
) {
    if let (None, Some(elevation)) = (&elevation, row.point_elevation) {
        let origin = cells.row.origin();
        register
            .points
            .push((first, MeasuringPoint { valid_from: row.point_date, elevation, origin }));
    }
    let well = &mut register.wells[first];
    let (mut easting, mut northing) = (Some(well.easting), Some(well.northing));
    let mut differ: Vec<(Column, f64, f64)> = Vec::new();
    for (column, slot, value) in [
        (axes.0, &mut easting, row.easting),
        (axes.1, &mut northing, row.northing),
        (Column::MeasuringPointElevation, elevation, row.point_elevation),
        (Column::PositionSd, &mut well.position_sd, row.position_sd),
        (Column::GroundElevation, &mut well.ground_elevation, row.ground_elevation),
        (Column::TotalDepth, &mut well.total_depth, row.total_depth),
        (Column::SoundedDepth, &mut well.sounded_depth, row.sounded_depth),
        (Column::ScreenTop, &mut well.screen_top, row.screen_top),
        (Column::ScreenBottom, &mut well.screen_bottom, row.screen_bottom),
        (Column::SpecificGravity, &mut well.specific_gravity, row.specific_gravity),
    ] {
        let Some(value) = value else { continue };
        let kept = *slot.get_or_insert(value);
        if kept.to_bits() != value.to_bits() {
            differ.push((column, kept, value));
        }
    }
    for (column, kept, value) in differ {
        let message = format!(
            "well {} has {} {} here and {} in an earlier row",
            shown(&well.id),
            column.words(),
            brief(value),
            brief(kept)
        );
        said.push(cells.about(column, Code::WellTwice, message).at(&well.origin).advice(
            "rows of one well must agree on everything about the well; correct one, or give the \
             wells different names",
        ));
    }
    let unit = row.aquifer_unit;
    if let (Some(kept), Some(unit)) = (&well.aquifer_unit, unit)
        && kept != unit
    {
        let message = format!(
            "well {} has aquifer unit \"{}\" here and \"{}\" in an earlier row",
            shown(&well.id),
            shown(unit),
            shown(kept)
        );
        said.push(
            cells
                .about(Column::AquiferUnit, Code::WellTwice, message)
                .at(&well.origin)
                .advice("rows of one well must agree; correct one of them"),
        );
    } else if well.aquifer_unit.is_none() {
        well.aquifer_unit = unit.map(str::to_owned);
    }
}
