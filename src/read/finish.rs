//! The last step of reading: units agreed, positions in CRS units, settings complete.

use crate::diag::{Code, Diagnostic, Origin};
use crate::geom::tolerance;
use crate::units::LengthUnit;

use super::columns::Quantity;
use super::coordinates::{self, Systems};
use super::features::Features;
use super::head_errors::UncertaintySettings;
use super::layout::Stated;
use super::measuring_points;
use super::register::Register;
use super::settings::{Declared, SITE_TOML};
use super::surface::SurfaceSettings;
use super::types::{InputFile, Reading, Settings, SiteFile};
use super::units;

/// Everything that was read, before units are agreed.
#[derive(Debug)]
pub(super) struct Parts {
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
    let Parts { declared, systems, mut register, register_file, round, readings, .. } = parts;
    let stated = parts.stated;
    let depths_from = units::depths_from(&declared, &stated, said);
    units::datums(&declared, &stated, said);
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
    let (length_unit, cell) = coordinates::to_crs_unit(
        &systems,
        &declared,
        &lengths,
        &mut register,
        &register_file,
        said,
    );
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
    let repeat_tolerance = declared.repeat_tolerance.unwrap_or(if depth_unit.is_foot() {
        tolerance::REPEAT_FT
    } else {
        tolerance::REPEAT_M
    });
    let measuring_points = measuring_points::by_well(&mut register, said);
    Some(SiteFile {
        settings: Settings {
            name: declared.name?,
            crs: declared.crs?,
            coordinates_crs: declared.coordinates_crs,
            length_unit,
            elevation_unit,
            elevation_unit_assumed: assumed,
            depth_unit,
            vertical_datum: declared.vertical_datum,
            aquifer_unit: declared.aquifer_unit,
            depths_from,
            round_window_h: declared.round_window_h,
            repeat_tolerance,
            measuring_point_age_years: declared.measuring_point_age_years,
            cell,
            interval: declared.interval,
            base_level: declared.base_level,
            specific_gravity: declared.specific_gravity,
            surface: SurfaceSettings::default(),
            uncertainty: UncertaintySettings::default(),
            sheet: declared.sheet,
        },
        wells: register.wells,
        measuring_points,
        instruments: declared.instruments,
        round,
        readings,
        features: Features::default(),
        inputs: parts.inputs,
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
