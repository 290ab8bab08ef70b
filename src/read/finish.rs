//! The last step of reading: units agreed, positions in CRS units, settings complete.

use std::path::{Path, PathBuf};

use crate::diag::{Code, Diagnostic, Origin};
use crate::geom::tolerance;
use crate::units::{LengthUnit, as_given};

use super::columns::Quantity;
use super::contradictions;
use super::coordinates::{self, Systems};
use super::features::{self, Features, Surroundings};
use super::head_errors::HeadErrors;
use super::layout::Stated;
use super::measuring_points;
use super::order;
use super::register::Register;
use super::settings::{Declared, SITE_TOML};
use super::twice;
use super::types::{InputFile, Reading, Settings, SiteFile};
use super::units;

/// Everything that was read, before units are agreed.
#[derive(Debug)]
pub(super) struct Parts {
    /// The folder that names of files count from.
    pub(super) folder: PathBuf,
    pub(super) declared: Declared,
    pub(super) systems: Systems,
    pub(super) register: Register,
    /// The file the register was read from.
    pub(super) register_file: String,
    pub(super) round: String,
    pub(super) readings: Vec<Reading>,
    pub(super) stated: Vec<Stated>,
    pub(super) inputs: Vec<InputFile>,
    /// Whether the elevation unit may be taken from the CRS.
    pub(super) may_assume_unit: bool,
}

/// Puts the site together. Nothing when a unit is not known, which is said.
pub(super) fn site(parts: Parts, said: &mut Vec<Diagnostic>) -> Option<SiteFile> {
    let Parts { declared, systems, mut register, register_file, round, mut readings, .. } = parts;
    let (stated, mut inputs) = (parts.stated, parts.inputs);
    let (depths_from, sounded_from) = units::depths_from(&declared, &stated, said);
    units::datums(&declared, &stated, said);
    units::zones(systems.of_positions().unwrap_or_default(), &stated, said);
    let lengths = units::agree(
        "length_unit",
        declared.length_unit,
        units::of(&stated, &[Quantity::Coordinate]),
        said,
    );
    let elevations = units::agree(
        "elevation_unit",
        declared.elevation_unit,
        units::of(&stated, &[Quantity::Elevation])
            .chain(units::of(&stated, &[Quantity::WellDepth])),
        said,
    );
    let depths = units::agree(
        "depth_unit",
        declared.depth_unit,
        units::of(&stated, &[Quantity::ReadingDepth]),
        said,
    );
    let (length_unit, to_crs) = coordinates::to_crs_unit(
        &systems,
        &declared,
        &lengths,
        &mut register,
        &register_file,
        said,
    );
    inputs.extend_from_slice(systems.inputs());
    twice::tell(&register, &systems, systems.distance_unit(length_unit), said);
    let assumed = elevations.unit.is_none() && parts.may_assume_unit;
    let elevation_unit = match elevations.unit {
        Some(unit) => unit,
        None if assumed => assume(&systems, depths.unit, &declared, &register_file, said)?,
        None => return None,
    };
    let depth_unit = match depths.unit {
        None => elevation_unit,
        // A heading's "ft" is the site's own foot.
        Some(headed)
            if declared.depth_unit.is_none() && units::loosely_same(headed, elevation_unit) =>
        {
            elevation_unit
        }
        Some(unit) => unit,
    };
    let usual = if depth_unit.is_foot() { tolerance::REPEAT_FT } else { tolerance::REPEAT_M };
    let head_errors = head_errors(&declared, depth_unit, elevation_unit, said);
    let measuring_points = measuring_points::by_well(&mut register, said);
    order::canonical(&mut register.wells, &mut readings);
    let apart = depths_from != sounded_from;
    contradictions::tell(&register.wells, &measuring_points, elevation_unit, apart, said);
    contradictions::forget_impossible(&mut register.wells);
    let features = Beside { declared: &declared, systems: &systems, folder: &parts.folder };
    let features =
        features.read(length_unit, elevation_unit, &mut register, &mut readings, &mut inputs, said);
    let distance_unit = systems.distance_unit(length_unit);
    Some(SiteFile {
        settings: Settings {
            name: declared.name?,
            crs: declared.crs?,
            coordinates_crs: declared.coordinates_crs,
            grids: systems.grids().cloned(),
            length_unit,
            elevation_unit,
            elevation_unit_assumed: assumed,
            depth_unit,
            vertical_datum: declared.vertical_datum,
            aquifer_unit: declared.aquifer_unit,
            depths_from,
            sounded_from,
            round_window_h: declared.round_window_h,
            repeat_tolerance: declared.repeat_tolerance.unwrap_or(usual),
            measuring_point_age_years: declared.measuring_point_age_years,
            cell: declared.cell.map(|c| c * to_crs),
            interval: declared.interval,
            base_level: declared.base_level,
            specific_gravity: declared.specific_gravity,
            stream_spacing: declared.features.spacing(distance_unit),
            stream_reach: declared.features.reach(distance_unit),
            receptors: declared.receptors.in_crs_units(to_crs),
            formats: declared.formats,
            sheet: declared.sheet,
            surface: declared.surface.in_crs_units(to_crs),
            uncertainty: declared.errors.with(head_errors),
        },
        wells: register.wells,
        measuring_points,
        instruments: declared.instruments,
        round,
        readings,
        features,
        inputs,
    })
}

/// What the lines and areas beside the wells are read from.
struct Beside<'a> {
    declared: &'a Declared,
    systems: &'a Systems,
    folder: &'a Path,
}

impl Beside<'_> {
    /// Reads them, and adds the points of streams to the register and to the round.
    fn read(
        &self,
        length_unit: Option<LengthUnit>,
        elevation_unit: LengthUnit,
        register: &mut Register,
        readings: &mut Vec<Reading>,
        inputs: &mut Vec<InputFile>,
        said: &mut Vec<Diagnostic>,
    ) -> Features {
        let declared = &self.declared.features;
        let Some((project, own)) = self.systems.both().filter(|_| declared.any()) else {
            return Features::default();
        };
        let around = Surroundings {
            folder: self.folder,
            project,
            register: own,
            per_length_unit: self.systems.per_length_unit(length_unit),
            distance_unit: self.systems.distance_unit(length_unit),
            elevation_unit,
            wells: &register.wells,
        };
        let mut features = features::read(declared, &around, inputs, said);
        features::tell_far(&features, &around, said);
        let unit = self.declared.aquifer_unit.as_deref().or_else(|| only_unit(register));
        let rows = features::add_stream_points(&mut features, declared, &around, unit, said);
        register.wells.extend(rows.wells);
        readings.extend(rows.readings);
        features
    }
}

/// The aquifer unit of a register that names one alone.
fn only_unit(register: &Register) -> Option<&str> {
    let mut units = register.wells.iter().filter_map(|w| w.aquifer_unit.as_deref());
    let first = units.next()?;
    units.all(|u| u == first).then_some(first)
}

/// The parts of a head's error in metres; R102 when no head would have any.
fn head_errors(
    declared: &Declared,
    depth_unit: LengthUnit,
    elevation_unit: LengthUnit,
    said: &mut Vec<Diagnostic>,
) -> HeadErrors {
    declared.errors.heads.in_metres(depth_unit, elevation_unit).unwrap_or_else(|bad| {
        let names: Vec<String> =
            bad.iter().map(|(name, value)| format!("{name} = {}", as_given(*value))).collect();
        said.push(
            Diagnostic::new(
                Code::SiteSetting,
                format!("[uncertainty] leaves heads without an error: {}", names.join(", ")),
            )
            .at(&Origin::file(SITE_TOML))
            .advice("give at least one of them a value above 0, or take the lines out"),
        );
        HeadErrors::default()
    })
}

/// The elevation unit of a table that states none: the CRS's (R113), unless depths say otherwise
/// (R112).
fn assume(
    systems: &Systems,
    depth_unit: Option<LengthUnit>,
    declared: &Declared,
    file: &str,
    said: &mut Vec<Diagnostic>,
) -> Option<LengthUnit> {
    const ADVICE: &str = "give the elevation unit with --unit, in site.toml, or in the heading, \
                          such as \"elevation (ft)\"";
    let crs = declared.crs.as_deref().unwrap_or("the CRS");
    let Some(unit) = systems.project_unit() else {
        // When the CRS itself is not known, that was said.
        if systems.has_project() {
            said.push(
                Diagnostic::new(
                    Code::SiteSetting,
                    format!("the elevation unit is not given, and {crs} is not in m, ft or ft-us"),
                )
                .at(&Origin::file(file))
                .advice(ADVICE),
            );
        }
        return None;
    };
    if let Some(depths) = depth_unit
        && depths.is_foot() != unit.is_foot()
    {
        said.push(
            Diagnostic::new(
                Code::UnitConflict,
                format!(
                    "the elevation unit is not given: depths are in {depths}, but {crs} is in \
                     {unit}"
                ),
            )
            .at(&Origin::file(file))
            .advice(ADVICE),
        );
        return None;
    }
    said.push(
        Diagnostic::new(
            Code::UnitAssumed,
            format!("elevations were taken to be in {unit}, the unit of {crs}"),
        )
        .at(&Origin::file(if declared.from_file { SITE_TOML } else { file }))
        .advice(ADVICE),
    );
    Some(unit)
}
