//! A site folder: `site.toml`, `wells.csv`, `measuring-points.csv`, `rounds/`.

use std::path::Path;
use std::sync::Arc;

use crate::diag::{Code, Diagnostic};
use crate::read::files::input::{self, Text};
use crate::read::files::input_file::InputFile;
use crate::read::files::names::{MEASURING_POINTS, REGISTERS, SITE_TOML, WELLS, WORKBOOKS};
use crate::read::register::coordinates::Systems;
use crate::read::register::measuring_points;
use crate::read::register::wells::Register;
use crate::read::rounds::elevations;
use crate::read::rounds::list::RoundTables;
use crate::read::rounds::open;
use crate::read::rounds::round_files;
use crate::read::settings::declared;
use crate::read::settings::overrides::Overrides;
use crate::read::settings::units;
use crate::read::table::columns::{self, Column};
use crate::read::table::layout::{self, Layout};
use crate::read::table::rows::Table;
use crate::read::table::rules::How;
use crate::read::table::unread_columns;

use super::finish::Parts;
use super::source;
use super::undeclared::{self, Undeclared};
use super::unread;

/// Opens a site folder, all but its rounds. Nothing when a refusal was said that leaves nothing to
/// give.
pub(in crate::read) fn open(
    folder: &Path,
    overrides: &Overrides,
    said: &mut Vec<Diagnostic>,
) -> Option<(Parts, Arc<RoundTables>)> {
    let (settings, undeclared) = begin(folder, said)?;
    tables(folder, settings, undeclared, overrides, said)
}

/// Opens a workbook that has one sheet of wells and one of readings, with the `site.toml` beside it
/// where there is one, all but its rounds. Outer nothing where it is no such workbook.
#[cfg(feature = "formats")]
#[expect(clippy::option_option, reason = "what is no such workbook is read as one table")]
pub(in crate::read) fn open_workbook(
    path: &Path,
    overrides: &Overrides,
    said: &mut Vec<Diagnostic>,
) -> Option<Option<(Parts, Arc<RoundTables>)>> {
    let sheets = undeclared::of_workbook(path)?;
    let folder = input::or_here(path.parent()?);
    let settings = match input::load_if_there(&folder.join(SITE_TOML), SITE_TOML) {
        Ok(settings) => settings,
        Err(fault) => {
            said.push(*fault);
            return Some(None);
        }
    };
    said.push(undeclared::told(&sheets));
    Some(tables(folder, settings, Some(sheets), overrides, said))
}

fn tables(
    folder: &Path,
    settings: Option<Text>,
    undeclared: Option<Undeclared>,
    overrides: &Overrides,
    said: &mut Vec<Diagnostic>,
) -> Option<(Parts, Arc<RoundTables>)> {
    let mut declared = declared::declared(settings.as_ref(), overrides, said)
        .map_err(|fault| said.push(*fault))
        .ok()?;
    let register_file = match (&undeclared, &declared.register) {
        (Some(tables), _) => tables.register.clone(),
        (None, Some(declared)) => declared.file.clone(),
        (None, None) => open::present(folder, WELLS, &REGISTERS),
    };
    if let Some(tables) = &undeclared {
        declared.how.rules.worksheet = tables.sheets.as_ref().map(|(wells, _)| wells.clone());
    }
    let among = columns::REGISTER;
    let register_text = source::text(folder, &register_file, among, &mut declared, said);
    if let Some(tables) = &undeclared {
        let name = || tables.name(folder);
        declared.name.get_or_insert_with(name);
        units::crs_required(&declared, &tables.register, said);
    } else {
        unread::tell(folder, Some(&declared), said);
        units::required(&declared, said);
    }
    let points_file = open::present(folder, MEASURING_POINTS, &[&WORKBOOKS]);
    let systems = Systems::look_up(folder, &declared, said);
    let inputs: Vec<InputFile> = settings.into_iter().flat_map(|s| s.inputs).collect();
    let mut files = Files { folder, inputs, tables: Vec::new(), stated: Vec::new() };

    let surveyed = undeclared.is_none() && input::there(&folder.join(&points_file));
    let mut register = Register::default();
    let mut no_points: Option<Diagnostic> = None;
    let opened = register_text
        .and_then(|text| open::of_text(text, among, &mut declared.how, said))
        .map(|opened| files.keep(&register_file, opened));
    if let Some((table, layout)) = opened {
        layout.bare_elevation(&table, &declared.how.columns, said);
        let named = layout.require(&table, &[Column::Id], said);
        let axes = systems.axes(&table, &layout, &declared, said);
        if let (true, Some(axes)) = (named, axes) {
            register = Register::read(&table, &layout, axes, &declared.how.rules, said);
        }
        if !layout.has(Column::MeasuringPointElevation) && !surveyed {
            let more = "; later surveys go into measuring-points.csv";
            no_points = Some(layout.missing(&table, &[Column::MeasuringPointElevation], more));
        }
        unread_columns::tell(&table, &layout, columns::REGISTER, &declared.how.columns, said);
    }
    // Without any well, every name would be unknown: that is not worth saying.
    let names_known = !register.index.is_empty();

    if surveyed
        && let Some((table, layout)) =
            files.open(&points_file, columns::MEASURING_POINTS, &mut declared.how, said)
        && layout.require(&table, columns::MEASURING_POINTS, said)
    {
        if names_known {
            let register = (&mut register, register_file.as_str());
            measuring_points::read(&table, &layout, &declared.how.rules, register, said);
        }
        let among = columns::MEASURING_POINTS;
        unread_columns::tell(&table, &layout, among, &declared.how.columns, said);
    }

    let faulty = said.iter().any(|d| d.code == Code::ColumnAmbiguous);
    let may_assume_unit = undeclared.is_some();
    let mut how = declared.how.clone();
    if let Some((_, readings)) = undeclared.as_ref().and_then(|u| u.sheets.as_ref()) {
        how.rules.worksheet = Some(readings.clone());
    }
    let tables = RoundTables {
        files: undeclared.map_or_else(
            || round_files::list(folder, overrides.before_first_round, said).unwrap_or_default(),
            |undeclared| undeclared.rounds,
        ),
        how,
        // Nobody looks a well up in the register any more.
        names: std::mem::take(&mut register.index),
        elevations: register.points.iter().map(|(well, p)| (*well, p.elevation)).collect(),
        unit: declared.elevation_unit.or_else(|| elevations::headed(&files.stated)),
        window_h: declared.round_window_h,
        no_points: no_points.filter(|_| !faulty),
        tables: files.tables,
    };
    let parts = Parts {
        folder: folder.to_owned(),
        declared,
        systems,
        register,
        register_file,
        stated: files.stated,
        inputs: files.inputs,
        may_assume_unit,
    };
    Some((parts, Arc::new(tables)))
}

/// The settings of the folder, or the tables of one without any.
fn begin(folder: &Path, said: &mut Vec<Diagnostic>) -> Option<(Option<Text>, Option<Undeclared>)> {
    let fault = match input::load(&folder.join(SITE_TOML), SITE_TOML) {
        Ok(source) => return Some((Some(source), None)),
        Err(fault) => *fault,
    };
    let found = if input::there(&folder.join(SITE_TOML)) {
        said.push(fault);
        None
    } else {
        match undeclared::tables(folder) {
            Ok(Some(tables)) => {
                said.push(undeclared::told(&tables));
                return Some((None, Some(tables)));
            }
            Ok(None) => Some(fault.advice(
                "a site folder has site.toml, wells.csv and rounds/; docs/site-folder.md \
                 describes them",
            )),
            Err(unclear) => Some(*unclear),
        }
    };
    said.extend(found);
    unread::tell(folder, None, said);
    None
}

/// Opens the folder's tables and keeps account of them.
struct Files<'a> {
    folder: &'a Path,
    inputs: Vec<InputFile>,
    /// The tables, by name.
    tables: Vec<String>,
    stated: Vec<layout::Stated>,
}

impl Files<'_> {
    fn open(
        &mut self,
        file: &str,
        among: &[Column],
        how: &mut How,
        said: &mut Vec<Diagnostic>,
    ) -> Option<(Table, Layout)> {
        let opened = open::open(&self.folder.join(file), file, among, how, said)?;
        Some(self.keep(file, opened))
    }

    /// Puts a table on record.
    fn keep(&mut self, file: &str, (table, layout): (Table, Layout)) -> (Table, Layout) {
        self.inputs.extend_from_slice(&table.inputs);
        self.tables.push(file.to_owned());
        self.stated.extend(layout.stated.iter().cloned());
        (table, layout)
    }
}
