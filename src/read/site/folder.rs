//! A site folder: `site.toml`, `wells.csv`, `measuring-points.csv`, `rounds/`.

use std::path::Path;
use std::sync::Arc;

use crate::diag::{Code, Diagnostic};
use crate::read::files::input;
use crate::read::files::input_file::InputFile;
use crate::read::files::names::{MEASURING_POINTS, SITE_TOML, WELLS};
use crate::read::register::coordinates::Systems;
use crate::read::register::measuring_points;
use crate::read::register::wells::Register;
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
use super::unread;

/// Opens a site folder, all but its rounds. Nothing when a refusal was said that leaves nothing to
/// give.
pub(in crate::read) fn open(
    folder: &Path,
    overrides: &Overrides,
    said: &mut Vec<Diagnostic>,
) -> Option<(Parts, Arc<RoundTables>)> {
    let source = input::load(&folder.join(SITE_TOML), SITE_TOML)
        .map_err(|fault| {
            let whole = fault.clone().advice(
                "a site folder has site.toml, wells.csv and rounds/; docs/site-folder.md \
                 describes them",
            );
            said.push(if input::there(&folder.join(SITE_TOML)) { *fault } else { whole });
            unread::tell(folder, None, said);
        })
        .ok()?;
    let mut declared = declared::declared(Some(&source), overrides, said)
        .map_err(|fault| said.push(*fault))
        .ok()?;
    unread::tell(folder, Some(&declared), said);
    units::required(&declared, said);
    let systems = Systems::look_up(folder, &declared, said);
    let mut files = Files { folder, inputs: vec![source.input], stated: Vec::new() };

    let surveyed = input::there(&folder.join(MEASURING_POINTS));
    let mut register = Register::default();
    let mut no_points: Option<Diagnostic> = None;
    if let Some((table, layout)) = files.open(WELLS, columns::REGISTER, &mut declared.how, said) {
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
            files.open(MEASURING_POINTS, columns::MEASURING_POINTS, &mut declared.how, said)
        && layout.require(&table, columns::MEASURING_POINTS, said)
    {
        if names_known {
            measuring_points::read(&table, &layout, &declared.how.rules, &mut register, said);
        }
        let among = columns::MEASURING_POINTS;
        unread_columns::tell(&table, &layout, among, &declared.how.columns, said);
    }

    let faulty = said.iter().any(|d| d.code == Code::ColumnAmbiguous);
    let tables = RoundTables {
        folder: folder.to_owned(),
        files: round_files::list(folder, said).unwrap_or_default(),
        how: declared.how.clone(),
        names: register.index.keys().cloned().collect(),
        wells: register.wells.iter().map(|w| w.id.clone()).collect(),
        no_points: no_points.filter(|_| !faulty),
        tables: files.inputs.iter().skip(1).map(|i| i.file.clone()).collect(),
    };
    let parts = Parts {
        folder: folder.to_owned(),
        declared,
        systems,
        register,
        register_file: WELLS.to_owned(),
        stated: files.stated,
        inputs: files.inputs,
        may_assume_unit: false,
    };
    Some((parts, Arc::new(tables)))
}

/// Opens the folder's tables and keeps account of them.
struct Files<'a> {
    folder: &'a Path,
    inputs: Vec<InputFile>,
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
        let path = self.folder.join(file);
        let (table, layout) = open::open(&path, file, among, how, said)?;
        self.inputs.push(table.input.clone());
        self.stated.extend(layout.stated.iter().cloned());
        Some((table, layout))
    }
}
