//! `site.toml`: what may stand there, and what it declares.

use std::collections::BTreeMap;

use serde::Deserialize;
use toml::Spanned;

use super::contours::{ContourKeys, DeclaredContours};
use super::crs::{self, CrsKeys, DeclaredGrid};
use super::decisions::{AcceptedKeys, DeclaredPoint, JudgedPointKeys, LeftOutKeys};
use super::overrides::Overrides;
use crate::diag::{Accepted, Code, Diagnostic, Origin, did_you_mean};
use crate::geom::{Crs, tolerance};
use crate::read::files::input::{Text, line_of};
use crate::read::files::names::SITE_TOML;
use crate::read::table::rules::How;
use crate::read::wells::left_out::LeftOut;
use crate::read::wells::pumped::PumpedWell;
use crate::read::wells::well::{Calibration, DepthDatum};
use crate::units::{LengthUnit, as_given};

use super::aquifer::{AquiferKind, ReceptorSettings};
use super::aquifer_keys::{AquiferKeys, GroundKeys, TowardKeys};
use super::base::BaseKeys;
use super::bounds::Bound;
use super::features::{DeclaredFeatures, FeatureKeys, PlaceKeys};
use super::formats::{OutputKeys, VectorFormat};
use super::instruments::InstrumentKeys;
use super::method::Method;
use super::reader::{OneOrMore, Reader};
use super::sheet::{DeclaredSheet, SheetKeys, SheetSettings};
use super::sheet_file::SheetFile;
use super::surface::SurfaceSettings;
use super::surface_keys::{
    DeclaredErrors, InverseDistanceKeys, KrigingKeys, PumpedWellKeys, ThinPlateKeys,
    UncertaintyKeys,
};
use super::table_keys::{DeclaredRegister, TableKeys};
use super::ties::{DeclaredTie, TieKeys};
use super::title_block::TitleBlock;

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Schema {
    site: SiteKeys,
    crs: CrsKeys,
    round: RoundKeys,
    grid: GridKeys,
    contours: ContourKeys,
    tables: TableKeys,
    sheet: SheetKeys,
    output: OutputKeys,
    columns: BTreeMap<Spanned<String>, OneOrMore>,
    instruments: BTreeMap<Spanned<String>, InstrumentKeys>,
    features: FeatureKeys,
    base: Vec<BaseKeys>,
    sources: Vec<Spanned<PlaceKeys>>,
    receptors: Vec<Spanned<PlaceKeys>>,
    aquifer: AquiferKeys,
    toward: TowardKeys,
    ground: GroundKeys,
    kriging: KrigingKeys,
    pumped_wells: Vec<PumpedWellKeys>,
    left_out: Vec<LeftOutKeys>,
    accepted: Vec<AcceptedKeys>,
    tie: Vec<TieKeys>,
    judged_points: Vec<JudgedPointKeys>,
    thin_plate: ThinPlateKeys,
    inverse_distance: InverseDistanceKeys,
    uncertainty: UncertaintyKeys,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct SiteKeys {
    name: Option<Spanned<String>>,
    crs: Option<String>,
    coordinates_crs: Option<String>,
    site_north_azimuth: Option<Spanned<f64>>,
    length_unit: Option<LengthUnit>,
    elevation_unit: Option<LengthUnit>,
    depth_unit: Option<LengthUnit>,
    vertical_datum: Option<Spanned<String>>,
    aquifer_unit: Option<String>,
    depths_from: Option<DepthDatum>,
    aquifer: Option<AquiferKind>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct RoundKeys {
    window_hours: Option<Spanned<f64>>,
    repeat_tolerance: Option<Spanned<f64>>,
    measuring_point_age_years: Option<Spanned<f64>>,
    date_format: Option<Spanned<String>>,
    time_zone: Option<Spanned<String>>,
    specific_gravity: Option<Spanned<f64>>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct GridKeys {
    cell: Option<Spanned<f64>>,
    surface: Option<Method>,
    unconfined_base: Option<Spanned<f64>>,
}

/// What `site.toml` and the command line say, before the tables are read.
#[derive(Debug, Clone, Default)]
pub(in crate::read) struct Declared {
    pub(in crate::read) name: Option<String>,
    pub(in crate::read) crs: Option<String>,
    pub(in crate::read) coordinates_crs: Option<String>,
    pub(in crate::read) site_north_azimuth: Option<f64>,
    pub(in crate::read) ties: Vec<DeclaredTie>,
    pub(in crate::read) grids: Vec<DeclaredGrid>,
    pub(in crate::read) length_unit: Option<LengthUnit>,
    pub(in crate::read) elevation_unit: Option<LengthUnit>,
    pub(in crate::read) depth_unit: Option<LengthUnit>,
    pub(in crate::read) vertical_datum: Option<String>,
    pub(in crate::read) aquifer_unit: Option<String>,
    pub(in crate::read) depths_from: Option<DepthDatum>,
    pub(in crate::read) aquifer: Option<AquiferKind>,
    pub(in crate::read) round_window_h: f64,
    pub(in crate::read) repeat_tolerance: Option<f64>,
    pub(in crate::read) measuring_point_age_years: f64,
    /// In the length unit.
    pub(in crate::read) cell: Option<f64>,
    pub(in crate::read) contours: DeclaredContours,
    pub(in crate::read) specific_gravity: Option<f64>,
    pub(in crate::read) formats: Vec<VectorFormat>,
    pub(in crate::read) byte_order_mark: bool,
    pub(in crate::read) register: Option<DeclaredRegister>,
    /// Whether the positions are the points of a vector file, and so in the unit of their CRS.
    pub(in crate::read) of_points: bool,
    pub(in crate::read) how: How,
    pub(in crate::read) instruments: BTreeMap<String, Calibration>,
    pub(in crate::read) sheet: SheetSettings,
    pub(in crate::read) fonts: Vec<SheetFile>,
    pub(in crate::read) title_block: Option<TitleBlock>,
    pub(in crate::read) features: DeclaredFeatures,
    /// Lengths in the length unit.
    pub(in crate::read) receptors: ReceptorSettings,
    /// Lengths in the length unit.
    pub(in crate::read) surface: SurfaceSettings,
    /// Lengths in the length unit.
    pub(in crate::read) pumped_wells: Vec<PumpedWell>,
    pub(in crate::read) left_out: Vec<LeftOut>,
    pub(in crate::read) accepted: Vec<Accepted>,
    pub(in crate::read) judged_points: Vec<DeclaredPoint>,
    pub(in crate::read) errors: DeclaredErrors,
    /// Whether there is a `site.toml`.
    pub(in crate::read) from_file: bool,
    /// What the command line said.
    pub(in crate::read) asked: Overrides,
}

/// Reads the declarations, `site.toml` first and the command line over it.
///
/// # Errors
/// R102 when the text is not TOML, names a key that does not exist, or has a value of another
/// kind. Values out of bounds are said as R102 and left out.
pub(in crate::read) fn declared(
    source: Option<&Text>,
    overrides: &Overrides,
    said: &mut Vec<Diagnostic>,
) -> Result<Declared, Box<Diagnostic>> {
    let text = source.map_or("", |s| s.text.as_str());
    let schema: Schema = toml::from_str(text).map_err(|e| Box::new(not_toml(text, &e)))?;
    let mut reader = Reader { text, said };
    let receptor_settings =
        reader.receptors(schema.aquifer, schema.toward, schema.ground, &schema.pumped_wells);
    let Schema { site, round, grid, contours, mut tables, output, columns, instruments, .. } =
        schema;
    let (sources, receptors) = (schema.sources, schema.receptors);
    let mut features = DeclaredFeatures::of(text, schema.features, sources, receptors, reader.said);
    for keys in schema.base {
        features.files.extend(reader.base(keys, &features.files));
    }
    let surface = SurfaceSettings {
        method: grid.surface.unwrap_or_default(),
        method_chosen: grid.surface.is_some(),
        unconfined_base: reader.number("unconfined_base", grid.unconfined_base, Bound::LEVEL),
        kriging: reader.kriging(schema.kriging),
        thin_plate: reader.thin_plate(schema.thin_plate),
        inverse_distance: reader.inverse_distance(schema.inverse_distance),
    };
    let pumped = schema.pumped_wells.into_iter();
    let pumped_wells = pumped.map(|keys| reader.pumped_well(keys)).collect();
    let left_out = schema.left_out.into_iter().map(|keys| reader.left_out(keys)).collect();
    let accepted = schema.accepted.into_iter().filter_map(|keys| reader.accepted(keys)).collect();
    let ties = schema.tie.into_iter().filter_map(|keys| reader.tie(keys)).collect();
    let judged = schema.judged_points.into_iter();
    let judged_points = judged.filter_map(|keys| reader.judged_point(keys)).collect();
    let is_local = site.crs.as_deref().is_some_and(|crs| crs::definition(crs) == Crs::LOCAL);
    let north_known = !is_local || site.site_north_azimuth.is_some();
    let DeclaredSheet { settings: sheet, fonts, title_block } =
        schema.sheet.read(&mut reader, north_known);
    let years = tolerance::MEASURING_POINT_AGE_YEARS;
    let mut declared = Declared {
        register: reader.register(tables.register.take()),
        of_points: false,
        from_file: source.is_some(),
        name: reader.words("name", site.name),
        crs: site.crs.as_deref().map(crs::definition),
        coordinates_crs: site.coordinates_crs.as_deref().map(crs::definition),
        site_north_azimuth: reader.number(
            "site_north_azimuth",
            site.site_north_azimuth,
            Bound::AZIMUTH,
        ),
        ties,
        grids: reader.grids(schema.crs),
        length_unit: site.length_unit,
        elevation_unit: site.elevation_unit,
        depth_unit: site.depth_unit,
        vertical_datum: reader.words("vertical_datum", site.vertical_datum),
        aquifer_unit: site.aquifer_unit.map(trimmed).filter(|u| !u.is_empty()),
        depths_from: site.depths_from,
        aquifer: site.aquifer,
        round_window_h: reader
            .number("window_hours", round.window_hours, Bound::HOURS)
            .unwrap_or(tolerance::ROUND_WINDOW_H),
        repeat_tolerance: reader.number("repeat_tolerance", round.repeat_tolerance, Bound::DEPTHS),
        measuring_point_age_years: reader
            .number("measuring_point_age_years", round.measuring_point_age_years, Bound::YEARS)
            .unwrap_or(years),
        specific_gravity: reader.number(
            "specific_gravity",
            round.specific_gravity,
            Bound::FLOATING_PRODUCT,
        ),
        cell: reader.number("cell", grid.cell, Bound::DISTANCE),
        contours: reader.contours(contours),
        formats: output.formats,
        byte_order_mark: output.byte_order_mark,
        how: How {
            rules: reader.rules(tables, round.date_format, round.time_zone),
            columns: reader.columns(columns),
        },
        instruments: reader.instruments(instruments),
        sheet: sheet.under(overrides.sheet),
        fonts,
        title_block,
        features,
        receptors: receptor_settings,
        surface,
        pumped_wells,
        left_out,
        accepted,
        judged_points,
        errors: reader.errors(schema.uncertainty),
        asked: overrides.clone(),
    };
    overlay(&mut declared, overrides, reader.said);
    Ok(declared)
}

/// The command line's word over the file's.
fn overlay(declared: &mut Declared, overrides: &Overrides, said: &mut Vec<Diagnostic>) {
    if let Some(crs) = &overrides.crs {
        declared.crs = Some(crs::definition(crs));
    }
    if let Some(worksheet) = &overrides.worksheet {
        declared.how.rules.worksheet = Some(worksheet.clone());
    }
    if let Some(layer) = &overrides.layer {
        declared.how.rules.layer = Some(layer.clone());
    }
    declared.errors.rasters |= overrides.rasters;
    if let Some(method) = overrides.surface {
        declared.surface.method = method;
        declared.surface.method_chosen = true;
    }
    if let Some(unit) = overrides.elevation_unit {
        declared.elevation_unit = Some(unit);
    }
    if let Some(unit) = &overrides.aquifer_unit {
        declared.aquifer_unit = Some(trimmed(unit.clone()));
    }
    if overrides.interval.is_some() {
        declared.contours.levels = None;
    }
    declared.formats.extend(&overrides.formats);
    // No GIS lays the layers of a plan over others; where people look at the results, a plan is drawn on.
    let local = declared.crs.as_deref() == Some(Crs::LOCAL);
    declared.formats.extend((local && declared.sheet.drawn).then_some(VectorFormat::Dxf));
    if local && declared.formats.contains(&VectorFormat::Kml) {
        said.push(
            Diagnostic::new(
                Code::SiteSetting,
                "KML is asked for and the site is in local coordinates: KML has positions by longitude and \
                 latitude only"
                    .to_owned(),
            )
            .advice("leave out the format `kml`, or tie two or more wells to a CRS under [[tie]]"),
        );
    }
    declared.formats.sort_unstable();
    declared.formats.dedup();
    for (name, given, bound, slot) in [
        ("cell", overrides.cell, Bound::DISTANCE, &mut declared.cell),
        ("interval", overrides.interval, Bound::INTERVAL, &mut declared.contours.interval),
    ] {
        let Some(value) = given else { continue };
        if bound.holds(value) {
            *slot = Some(value);
        } else {
            said.push(
                Diagnostic::new(
                    Code::SiteSetting,
                    format!("--{name} {} is not {}", as_given(value), bound.words()),
                )
                .advice(format!("correct --{name}, or leave it out")),
            );
        }
    }
}

fn trimmed(text: String) -> String {
    if text.trim().len() == text.len() { text } else { text.trim().to_owned() }
}

fn not_toml(text: &str, error: &toml::de::Error) -> Diagnostic {
    let origin = error.span().map_or_else(
        || Origin::file(SITE_TOML),
        |s| Origin::line(SITE_TOML, line_of(text.as_bytes(), s.start)),
    );
    if let Some((message, advice)) = not_one_of(text, error) {
        return Diagnostic::new(Code::SiteSetting, message).at(&origin).advice(advice);
    }
    let message = error.message().lines().collect::<Vec<_>>().join("; ");
    Diagnostic::new(Code::SiteSetting, format!("{SITE_TOML} has an error: {message}"))
        .at(&origin)
        .advice(match not_known(error, "field") {
            Some((key, known)) => {
                did_you_mean(key, known, "correct the key; docs/site-folder.md describes every key")
            }
            None => "correct the line: text needs quotes, numbers need a decimal point; \
                     docs/site-folder.md lists every key"
                .to_owned(),
        })
}

/// A word that is not known where it is, and those that are.
fn not_known<'e>(error: &'e toml::de::Error, kind: &str) -> Option<(&'e str, Vec<&'e str>)> {
    let rest = error.message().strip_prefix("unknown ")?.strip_prefix(kind)?;
    let (word, known) = rest.strip_prefix(" `")?.split_once("`, expected ")?;
    Some((word, known.split('`').skip(1).step_by(2).collect()))
}

/// What to say of a word that its key does not know: the key as far as it precedes the word, and all words
/// that it knows; and what to do.
fn not_one_of(text: &str, error: &toml::de::Error) -> Option<(String, String)> {
    let (word, known) = not_known(error, "variant")?;
    let before = text.get(..error.span()?.start)?.trim_end().strip_suffix('=').unwrap_or_default();
    let is_part = |c: char| c.is_ascii_alphanumeric() || c == '_';
    let key = before.trim_end().rsplit(|c| !is_part(c)).next().filter(|key| !key.is_empty());
    let key = key.map(|key| format!("{key} = ")).unwrap_or_default();
    let message = format!("{key}\"{word}\" is not one of {}", known.join(", "));
    let otherwise = "write one of these; docs/site-folder.md describes every key";
    Some((message, did_you_mean(word, known, otherwise)))
}

#[cfg(test)]
mod tests {
    use crate::read::files::input::Form;

    use super::*;

    const DOCS: &str = include_str!("../../../docs/site-folder.md");

    fn read(text: &str) -> (Result<Declared, Box<Diagnostic>>, Vec<Diagnostic>) {
        let source = Text {
            text: text.to_owned(),
            name: SITE_TOML.to_owned(),
            inputs: Vec::new(),
            form: Form::Text,
            told: Vec::new(),
        };
        let mut said = Vec::new();
        let declared = declared(Some(&source), &Overrides::default(), &mut said);
        (declared, said)
    }

    #[test]
    fn the_example_of_the_docs_is_a_site_toml() {
        let example = DOCS.split("```toml\n").nth(1).and_then(|t| t.split("```").next());
        let (declared, said) = read(example.expect("the docs have an example"));
        assert!(said.is_empty(), "{said:?}");
        let declared = declared.expect("the example is understood");
        assert_eq!(declared.name.as_deref(), Some("Mill Field"));
        assert_eq!(declared.how.columns.len(), 1);
    }

    #[test]
    fn the_docs_have_a_row_for_every_key() {
        for table in [
            "site",
            "round",
            "grid",
            "contours",
            "tables",
            "sheet",
            "output",
            "instruments.t",
            "aquifer",
            "toward",
            "ground",
            "kriging",
            "thin_plate",
            "inverse_distance",
            "uncertainty",
        ] {
            let (refused, _) = read(&format!("[{table}]\nno_such_key = 1\n"));
            let message = refused.expect_err("refused").message;
            let expected = message.split("expected").nth(1).expect("the keys are listed");
            let keys: Vec<&str> = expected.split('`').skip(1).step_by(2).collect();
            assert!(!keys.is_empty(), "{message}");
            for key in keys {
                assert!(DOCS.contains(&format!("| `{key}` |")), "[{table}] {key}");
            }
        }
    }

    #[test]
    fn defaults_are_those_of_the_docs() {
        let (declared, said) = read("");
        let declared = declared.expect("an empty file is understood");
        assert!(said.is_empty());
        let years = declared.measuring_point_age_years;
        assert_eq!((declared.round_window_h, years, declared.contours.base), (24.0, 10.0, 0.0));
        assert_eq!((declared.cell, declared.contours.interval), (None, None));
    }
}
