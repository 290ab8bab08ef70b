//! The last step of reading a site: units agreed, positions in CRS units, settings complete.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::diag::{Code, Diagnostic, Origin};
use crate::geom::{Crs, CrsKind};
use crate::read::features::around::Surroundings;
use crate::read::features::types::Features;
use crate::read::features::{files, judged, places, points};
use crate::read::files::input_file::InputFile;
use crate::read::files::names::SITE_TOML;
use crate::read::files::record::Named;
use crate::read::fonts::sheet_font::SheetFont;
use crate::read::raster::colours::PictureDots;
use crate::read::raster::land_surface::LandSurface;
use crate::read::raster::logo;
use crate::read::register::axes;
use crate::read::register::contradictions;
use crate::read::register::coordinates::{self, Systems};
use crate::read::register::measuring_points;
use crate::read::register::tie;
use crate::read::register::twice;
use crate::read::register::wells::Register;
use crate::read::settings::declared::Declared;
use crate::read::settings::formats::TableMarks;
use crate::read::settings::of_site::Settings;
use crate::read::settings::sheet_file::SheetFile;
use crate::read::settings::ties::Tie;
use crate::read::settings::units;
use crate::read::table::columns::Quantity;
use crate::read::table::layout::Stated;
use crate::read::wells::order;
use crate::read::wells::unit;
use crate::read::wells::well::Well;
use crate::units::LengthUnit;

use super::whole::Site;

/// Everything that was read, before units are agreed.
#[derive(Debug)]
pub(in crate::read) struct Parts {
    /// The folder that names of files count from.
    pub(in crate::read) folder: PathBuf,
    pub(in crate::read) declared: Declared,
    pub(in crate::read) systems: Systems,
    pub(in crate::read) register: Register,
    /// The file the register was read from.
    pub(in crate::read) register_file: String,
    /// What the headings of its tables say.
    pub(in crate::read) stated: Vec<Stated>,
    pub(in crate::read) inputs: Vec<InputFile>,
    /// Whether the elevation unit may be taken from the CRS.
    pub(in crate::read) may_assume_unit: bool,
}

/// Puts the site together. Nothing when a unit is not known, which is said.
pub(in crate::read) fn site(parts: Parts, said: &mut Vec<Diagnostic>) -> Option<Site> {
    let Parts { mut declared, mut systems, mut register, register_file, stated, .. } = parts;
    spell_unit(&mut declared, &register.wells);
    let mut inputs = parts.inputs;
    let (depths_from, sounded_from) = units::depths_from(&declared, &stated, said);
    let vertical_datum = units::datum(declared.vertical_datum.as_deref(), &stated, said);
    units::zones(systems.of_positions().unwrap_or_default(), &stated, said);
    let coordinates = units::of(&stated, &[Quantity::Coordinate]);
    let lengths = units::agree("length_unit", declared.length_unit, coordinates, said);
    let elevations = units::agree(
        "elevation_unit",
        declared.elevation_unit,
        units::of(&stated, &[Quantity::Elevation])
            .chain(units::of(&stated, &[Quantity::WellDepth])),
        said,
    );
    systems.settle_local(lengths.unit, &register_file, said)?;
    let (length_unit, to_crs) = coordinates::to_crs_unit(
        &systems,
        &declared,
        &lengths,
        &mut register,
        &register_file,
        said,
    );
    if let Some(globe) = systems.register_crs().filter(|crs| crs.kind() == CrsKind::Geographic) {
        units::globes(globe.name(), &stated, said);
    }
    let shown_unit = elevations.unit.unwrap_or(LengthUnit::Metre);
    let tie = tied(&mut systems, &declared, &mut register, shown_unit, said).ok()?;
    axes::tell(&systems, &declared, &stated, &register, said);
    inputs.extend_from_slice(systems.inputs());
    twice::tell(&register, &systems, systems.distance_unit(length_unit), shown_unit, said);
    let assumed = elevations.unit.is_none() && parts.may_assume_unit;
    let mut of_crs = || assume(&systems, &stated, &declared, &register_file, said);
    let elevation_unit = elevations.unit.or_else(|| assumed.then(&mut of_crs)?)?;
    let measuring_points = measuring_points::by_well(&mut register, said);
    order::of_wells(&mut register.wells);
    position_sds_in_crs_units(&mut register.wells, &systems, &stated, length_unit);
    let apart = depths_from != sounded_from;
    contradictions::tell(&register.wells, &measuring_points, elevation_unit, apart, said);
    contradictions::forget_impossible(&mut register.wells);
    let features = Beside { declared: &declared, systems: &systems, folder: &parts.folder };
    let features = features.read(length_unit, elevation_unit, &register, &mut inputs, said);
    let distance_unit = systems.distance_unit(length_unit);
    let land_surface = land_surface(&declared, &parts.folder);
    let (rules, mark) = (&declared.how.rules, declared.byte_order_mark);
    let tables = TableMarks::declared(rules.delimiter, rules.decimal_comma, mark);
    let pumped = declared.pumped_wells.into_iter().map(|p| p.in_crs_units(to_crs, systems.tied()));
    let settings = Settings {
        name: declared.name?,
        crs: declared.crs?,
        // Tied positions are in the project CRS.
        coordinates_crs: declared.coordinates_crs.filter(|crs| crs != Crs::LOCAL),
        site_north_azimuth: declared.site_north_azimuth,
        tie,
        grids: systems.grids().cloned(),
        length_unit,
        elevation_unit,
        elevation_unit_assumed: assumed,
        depth_unit: declared.depth_unit,
        vertical_datum,
        aquifer_unit: declared.aquifer_unit,
        aquifer: declared.aquifer,
        depths_from,
        sounded_from,
        round_window_h: declared.round_window_h,
        repeat_tolerance: declared.repeat_tolerance,
        measuring_point_age_years: declared.measuring_point_age_years,
        cell: declared.cell.map(|c| c * to_crs),
        interval: declared.contours.interval,
        base_level: declared.contours.base,
        levels: declared.contours.levels,
        contour_drawing: declared.contours.drawn,
        specific_gravity: declared.specific_gravity,
        stream_spacing: declared.features.spacing(distance_unit),
        stream_reach: declared.features.reach(distance_unit),
        control_line_spacing: declared.features.line_spacing(distance_unit),
        receptors: declared.receptors.in_crs_units(to_crs),
        formats: declared.formats,
        tables,
        sheet: declared.sheet,
        fonts: declared.fonts,
        title_block: declared.title_block,
        surface: declared.surface.in_crs_units(to_crs),
        uncertainty: declared.errors.settings(distance_unit),
    };
    Some(Site {
        measuring_points,
        instruments: declared.instruments,
        features,
        pumped_wells: pumped.collect(),
        left_out: declared.left_out,
        accepted: declared.accepted,
        land_surface,
        logo: logo(&settings, &parts.folder, &mut inputs, said),
        fonts: fonts(&settings, &parts.folder, &mut inputs, said),
        inputs,
        asked: declared.asked,
        ..Site::new(settings, register.wells)
    })
}

/// Standard deviations of positions are in the site's length unit, unless their heading has a unit of its own.
fn position_sds_in_crs_units(
    wells: &mut [Well],
    systems: &Systems,
    stated: &[Stated],
    length_unit: Option<LengthUnit>,
) {
    let headed = units::of(stated, &[Quantity::Distance]).find_map(|s| s.marks.unit);
    let per = systems.distance_unit(headed.or(length_unit));
    for well in wells {
        well.position_sd = well.position_sd.map(|sd| sd * per);
    }
}

fn land_surface(declared: &Declared, folder: &Path) -> Option<LandSurface> {
    let ground = declared.receptors.ground.clone();
    ground.map(|ground| LandSurface::new(folder, ground))
}

/// The logo of the title block; R101 for a file that is not readable, R119 for one that is no PNG or SVG.
fn logo(
    settings: &Settings,
    folder: &Path,
    inputs: &mut Vec<InputFile>,
    said: &mut Vec<Diagnostic>,
) -> Option<Arc<PictureDots>> {
    let logo = settings.title_block.as_ref()?.logo.as_ref()?;
    let what = ("the logo", "the logo of [sheet.title_block]");
    for_sheet(logo, what, folder, inputs, said, |bytes| logo::dots(&bytes)).map(Arc::new)
}

/// How local coordinates were tied to a CRS, where they were; an error where that is refused, as was said.
fn tied(
    systems: &mut Systems,
    declared: &Declared,
    register: &mut Register,
    shown_unit: LengthUnit,
    said: &mut Vec<Diagnostic>,
) -> Result<Option<Tie>, ()> {
    let before = said.len();
    let tie = tie::tied(systems, declared, register, shown_unit, said);
    if said[before..].iter().any(Diagnostic::is_refusal) { Err(()) } else { Ok(tie) }
}

/// Gives the aquifer unit that the command line asks for the register's spelling: its results are the same however it was
/// written.
fn spell_unit(declared: &mut Declared, wells: &[Well]) {
    let Some(asked) = &declared.asked.aquifer_unit else { return };
    let same = unit::of_wells(wells).into_iter().find(|unit| unit::key(unit) == unit::key(asked));
    if let Some(same) = same {
        declared.aquifer_unit = Some(same.to_owned());
    }
}

/// The fonts of the map sheet; R101 for a file that is not readable, R119 for one that a sheet cannot use.
fn fonts(
    settings: &Settings,
    folder: &Path,
    inputs: &mut Vec<InputFile>,
    said: &mut Vec<Diagnostic>,
) -> Arc<[SheetFont]> {
    let what = ("the font", "a font of [sheet]");
    let read = |file| for_sheet(file, what, folder, inputs, said, |b| SheetFont::read(Arc::new(b)));
    settings.fonts.iter().filter_map(read).collect()
}

/// What a file for the map sheet holds; it is an input as any other.
fn for_sheet<T>(
    SheetFile { file, origin }: &SheetFile,
    (noun, what): (&str, &str),
    folder: &Path,
    inputs: &mut Vec<InputFile>,
    said: &mut Vec<Diagnostic>,
    of: impl FnOnce(Vec<u8>) -> Result<T, (String, &'static str)>,
) -> Option<T> {
    let named = Named { file, folder, what, origin };
    let (bytes, input) = named.whole().map_err(|told| said.push(*told)).ok()?;
    let held = of(bytes).map_err(|(why, advice)| {
        let told = Diagnostic::new(Code::FeatureUnusable, format!("{noun} {} {why}", input.file));
        said.push(told.at(&Origin::file(&input.file)).at(origin).advice(advice));
    });
    inputs.push(input);
    held.ok()
}

/// What the lines and areas beside the wells are read from.
struct Beside<'a> {
    declared: &'a Declared,
    systems: &'a Systems,
    folder: &'a Path,
}

impl Beside<'_> {
    /// Reads them, and lays points along the streams.
    fn read(
        &self,
        length_unit: Option<LengthUnit>,
        elevation_unit: LengthUnit,
        register: &Register,
        inputs: &mut Vec<InputFile>,
        said: &mut Vec<Diagnostic>,
    ) -> Features {
        let declared = &self.declared.features;
        let points = &self.declared.judged_points;
        let any = declared.any() || !points.is_empty();
        let Some((project, own)) = self.systems.both().filter(|_| any) else {
            return Features::default();
        };
        let around = Surroundings {
            folder: self.folder,
            project,
            register: own,
            tie: self.systems.tied(),
            per_length_unit: self.systems.per_length_unit(length_unit),
            distance_unit: self.systems.distance_unit(length_unit),
            elevation_unit,
            wells: &register.wells,
        };
        let mut features = files::read(declared, &around, inputs, said);
        let unit = self.declared.aquifer_unit.as_deref().or_else(|| only_unit(register));
        features.stream_points = points::stream_points(
            &features.streams,
            &features.boundary,
            declared,
            &around,
            unit,
            said,
        );
        let spacing = declared.line_spacing(around.distance_unit);
        features.judged_points =
            judged::judged_points(points, &features.control_lines, spacing, &around, said);
        places::tell_far(&features, &around, said);
        features
    }
}

/// The aquifer unit of a register that names one alone.
fn only_unit(register: &Register) -> Option<&str> {
    let mut units = register.wells.iter().filter_map(|w| w.aquifer_unit.as_deref());
    let first = units.next()?;
    units.all(|u| u == first).then_some(first)
}

/// The elevation unit of a table that states none: the CRS's (R113), unless depths say otherwise
/// (R112).
fn assume(
    systems: &Systems,
    stated: &[Stated],
    declared: &Declared,
    file: &str,
    said: &mut Vec<Diagnostic>,
) -> Option<LengthUnit> {
    const ADVICE: &str = "give the elevation unit with --unit, in site.toml, or in the heading, \
                          such as \"elevation (ft)\"";
    let crs = match declared.crs.as_deref() {
        Some(Crs::LOCAL) => "the local coordinates",
        Some(other) => other,
        None => "the CRS",
    };
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
    // That they agree is held against each other where the round is read.
    let depths = units::of(stated, &[Quantity::ReadingDepth]);
    let depths = units::agree("depth_unit", declared.depth_unit, depths, &mut Vec::new());
    if let Some(depths) = depths.unit
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
            format!("elevations are assumed to be in {unit}, the unit of {crs}"),
        )
        .at(&Origin::file(if declared.from_file { SITE_TOML } else { file }))
        .advice(ADVICE),
    );
    Some(unit)
}
