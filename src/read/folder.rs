//! A site folder: `site.toml`, `wells.csv`, `measuring-points.csv`, `rounds/`.

use std::path::Path;

use crate::diag::{Code, Diagnostic, Origin};

use super::columns::{self, Column};
use super::coordinates::Systems;
use super::finish::{self, Parts};
use super::heading;
use super::input;
use super::layout::{self, Layout};
use super::measuring_points;
use super::register::Register;
use super::round;
use super::rounds;
use super::settings::{self, Declared, Rules, SITE_TOML};
use super::table::Table;
use super::types::{InputFile, Overrides, SiteFile};
use super::units;
use super::unread;

pub(super) const WELLS: &str = "wells.csv";
pub(super) const MEASURING_POINTS: &str = "measuring-points.csv";

/// Reads a site folder. Nothing when a refusal was said that leaves nothing to give.
pub(super) fn read(
    folder: &Path,
    overrides: &Overrides,
    said: &mut Vec<Diagnostic>,
) -> Option<SiteFile> {
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
    let mut declared = settings::declared(Some(&source), overrides, said)
        .map_err(|fault| said.push(*fault))
        .ok()?;
    unread::tell(folder, Some(&declared), said);
    units::required(&declared, said);
    let systems = Systems::look_up(folder, &declared, said);
    let mut files = Files { folder, inputs: vec![source.input], stated: Vec::new() };

    let surveyed = input::there(&folder.join(MEASURING_POINTS));
    let mut register = Register::default();
    let mut no_points: Option<Diagnostic> = None;
    if let Some((table, layout)) = files.open(WELLS, columns::REGISTER, &mut declared, said) {
        layout.bare_elevation(&table, &declared.columns, said);
        let named = layout.require(&table, &[Column::Id], said);
        let axes = systems.axes(&table, &layout, &declared, said);
        if let (true, Some(axes)) = (named, axes) {
            register = Register::read(&table, &layout, axes, &declared.rules, said);
        }
        if !layout.has(Column::MeasuringPointElevation) && !surveyed {
            let more = "; later surveys go into measuring-points.csv";
            no_points = Some(layout.missing(&table, &[Column::MeasuringPointElevation], more));
        }
    }
    // Without any well, every name would be unknown: that is not worth saying.
    let names_known = !register.index.is_empty();

    if surveyed
        && let Some((table, layout)) =
            files.open(MEASURING_POINTS, columns::MEASURING_POINTS, &mut declared, said)
        && layout.require(&table, columns::MEASURING_POINTS, said)
        && names_known
    {
        measuring_points::read(&table, &layout, &declared.rules, &mut register, said);
    }

    let chosen = rounds::choose(folder, overrides.round.as_deref(), &declared, said);
    let mut readings = Vec::new();
    if let Some(chosen) = &chosen
        && let Some((table, layout)) = files.open(&chosen.file, columns::ROUND, &mut declared, said)
    {
        let named = layout.require(&table, &[Column::Id], said);
        let measured = has_measurements(&table, &layout, said);
        layout.bare_product(&table, &declared.rules, said);
        round::timeless(&table, &layout, said);
        if named && measured {
            readings = round::read(
                &table,
                &layout,
                &declared.rules,
                names_known.then_some(&register),
                said,
            );
        }
        if names_known && round::from_measuring_points(&readings) {
            // Where the register says something else about its elevations, that was said.
            let asked = said.iter().any(|d| d.code == Code::ColumnAmbiguous);
            said.extend(no_points.filter(|_| !asked));
        }
        let names: Vec<&str> = files.inputs.iter().skip(1).map(|i| i.file.as_str()).collect();
        layout::unused(&declared.columns, &names, said);
    }
    let parts = Parts {
        folder: folder.to_owned(),
        declared,
        systems,
        register,
        register_file: WELLS.to_owned(),
        round: chosen?.name,
        readings,
        stated: files.stated,
        inputs: files.inputs,
        may_assume_unit: false,
    };
    finish::site(parts, said)
}

/// R103 when a table has no column of measurements.
pub(super) fn has_measurements(table: &Table, layout: &Layout, said: &mut Vec<Diagnostic>) -> bool {
    let has = round::MEASUREMENTS.iter().any(|c| layout.has(*c));
    if !has {
        let columns = [Column::DepthToWater, Column::Elevation];
        let more = "; hold with cut, pressure_head and stage are measurements too";
        said.push(
            layout.bare_level(table).unwrap_or_else(|| layout.missing(table, &columns, more)),
        );
    }
    has
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
        declared: &mut Declared,
        said: &mut Vec<Diagnostic>,
    ) -> Option<(Table, Layout)> {
        let path = self.folder.join(file);
        let (table, layout) = open(&path, file, among, declared, said)?;
        self.inputs.push(table.input.clone());
        self.stated.extend(layout.stated.iter().cloned());
        Some((table, layout))
    }
}

/// Opens a table and finds its columns.
pub(super) fn open(
    path: &Path,
    file: &str,
    among: &[Column],
    declared: &mut Declared,
    said: &mut Vec<Diagnostic>,
) -> Option<(Table, Layout)> {
    let Rules { delimiter, decimal_comma, .. } = declared.rules;
    let names: Vec<String> = declared.columns.iter().map(|d| d.heading.clone()).collect();
    let known =
        |h: &str| heading::recognise(h, among).is_some() || names.iter().any(|n| n == h.trim());
    let table = input::load(path, file)
        .and_then(|text| Table::open(text, delimiter, decimal_comma, known))
        .map_err(|fault| said.push(*fault))
        .ok()?;
    if table.headings.iter().all(String::is_empty) {
        said.push(
            Diagnostic::new(Code::ColumnMissing, format!("{file} has no headings"))
                .at(&Origin::line(file, table.heading_line))
                .advice("write the columns' headings into the first line"),
        );
        return None;
    }
    let layout = Layout::of(&table, among, &mut declared.columns, said);
    Some((table, layout))
}
