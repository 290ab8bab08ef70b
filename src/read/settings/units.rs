//! What headings say about units and references, against each other and against `site.toml`.

use crate::diag::{Code, Diagnostic, Origin};
use crate::read::files::names::SITE_TOML;
use crate::read::table::columns::{Column, Quantity};
use crate::read::table::layout::Stated;
use crate::read::table::rows::shown;
use crate::read::table::vocabulary::SEA_LEVEL;
use crate::read::wells::well::DepthDatum;
use crate::units::LengthUnit;

use super::declared::Declared;

/// Families of vertical datums that are not each other.
const DATUMS: [&str; 10] = ["NAVD", "NGVD", "AHD", "NHN", "NN", "NAP", "OD", "NGF", "TAW", "TP"];

/// The unit that all headings of one quantity state.
#[derive(Debug, Clone, Default)]
pub(in crate::read) struct Agreed {
    /// The unit, where any heading states one.
    pub(in crate::read) unit: Option<LengthUnit>,
    /// The heading that states it.
    pub(in crate::read) origin: Option<Origin>,
}

/// Whether a heading's unit can stand for another: "ft" is said of both feet.
pub(in crate::read) fn loosely_same(headed: LengthUnit, other: LengthUnit) -> bool {
    headed == other || (headed == LengthUnit::Foot && other == LengthUnit::UsSurveyFoot)
}

/// The unit stated by the headings of some quantities. R112 for a heading that disagrees with
/// the declared unit, or else with the headings before it.
pub(in crate::read) fn agree<'a>(
    key: &str,
    declared: Option<LengthUnit>,
    stated: impl IntoIterator<Item = &'a Stated>,
    said: &mut Vec<Diagnostic>,
) -> Agreed {
    let mut agreed = Agreed { unit: declared, origin: None };
    for s in stated {
        let Some(unit) = s.marks.unit else { continue };
        let Some(before) = agreed.unit else {
            agreed = Agreed { unit: Some(unit), origin: Some(s.origin.clone()) };
            continue;
        };
        if loosely_same(unit, before) {
            continue;
        }
        if declared.is_none() && loosely_same(before, unit) {
            agreed.unit = Some(unit);
            continue;
        }
        let against = match &agreed.origin {
            Some(origin) => format!("another heading says {before} ({origin})"),
            None => format!("{key} is {before}"),
        };
        said.push(
            Diagnostic::new(
                Code::UnitConflict,
                format!("heading \"{}\" says {unit}, but {against}", shown(&s.heading)),
            )
            .at(&s.origin)
            .advice(format!(
                "correct the heading, or {key} under [site] in site.toml; the numbers are not \
                 converted"
            )),
        );
    }
    agreed
}

/// The headings of some quantities.
pub(in crate::read) fn of<'a>(
    stated: &'a [Stated],
    quantities: &'a [Quantity],
) -> impl Iterator<Item = &'a Stated> {
    stated.iter().filter(|s| quantities.contains(&s.column.quantity()))
}

/// From where depths of wells and screens are counted: declared, or headed, or the measuring
/// point; and from where soundings are, which may be headed as from the measuring point beside logs
/// from the ground. R112 when two statements disagree.
pub(in crate::read) fn depths_from(
    declared: &Declared,
    stated: &[Stated],
    said: &mut Vec<Diagnostic>,
) -> (DepthDatum, DepthDatum) {
    let mut from = declared.depths_from;
    let from_point = |s: &Stated| {
        s.column == Column::SoundedDepth && s.marks.below == Some(DepthDatum::MeasuringPoint)
    };
    for s in of(stated, &[Quantity::WellDepth]).filter(|s| !from_point(s)) {
        let Some(headed) = s.marks.below else { continue };
        let before = *from.get_or_insert(headed);
        if headed != before {
            said.push(
                Diagnostic::new(
                    Code::UnitConflict,
                    format!(
                        "heading \"{}\" has depths from {}, but {} {}",
                        shown(&s.heading),
                        reference(headed),
                        if declared.depths_from.is_some() {
                            "depths_from says"
                        } else {
                            "another heading says"
                        },
                        reference(before)
                    ),
                )
                .at(&s.origin)
                .advice(
                    "give all depths of wells and screens from one reference, and correct the \
                     heading or depths_from under [site] in site.toml",
                ),
            );
        }
    }
    let from = from.unwrap_or(DepthDatum::MeasuringPoint);
    (from, if stated.iter().any(from_point) { DepthDatum::MeasuringPoint } else { from })
}

/// R112 when depths to water are headed as below ground.
pub(in crate::read) fn below_ground(stated: &[Stated], said: &mut Vec<Diagnostic>) {
    for s in of(stated, &[Quantity::ReadingDepth]) {
        if s.marks.below == Some(DepthDatum::Ground) {
            said.push(
                Diagnostic::new(
                    Code::UnitConflict,
                    format!(
                        "heading \"{}\" has {} from the ground surface, but readings must be from \
                         the measuring point",
                        shown(&s.heading),
                        s.column.words()
                    ),
                )
                .at(&s.origin)
                .advice(
                    "give depths below the measuring point, as read; correct the heading if it is \
                     wrong",
                ),
            );
        }
    }
}

fn reference(from: DepthDatum) -> &'static str {
    match from {
        DepthDatum::MeasuringPoint => "the measuring point",
        DepthDatum::Ground => "the ground surface",
    }
}

/// The family of a vertical datum that a heading names, where two such are not each other.
fn family(name: &str) -> Option<&'static str> {
    let first = name.split(' ').next()?;
    DATUMS.into_iter().find(|d| *d == first)
}

/// The vertical datum of a site of which nobody knows it, in words.
pub(crate) const NO_DATUM: &str = "not stated";

/// The vertical datum: the one declared, else the one that headings name, sea level only where they name
/// no other. R112 when a heading names another one.
pub(in crate::read) fn datum(
    declared: Option<&str>,
    stated: &[Stated],
    said: &mut Vec<Diagnostic>,
) -> Option<String> {
    let headed = || stated.iter().filter(|s| s.marks.above.is_some_and(|name| !name.is_empty()));
    // The longest name says most: NAVD 88 more than NAVD.
    let told =
        |s: &&Stated| s.marks.above.map_or((false, 0), |name| (name != SEA_LEVEL, name.len()));
    let Some(datum) = declared.filter(|name| !name.eq_ignore_ascii_case(NO_DATUM)) else {
        let first = headed().find(|s| s.marks.above.and_then(family).is_some());
        let same = |s: &&Stated| {
            first.is_none_or(|f| f.marks.above.and_then(family) == s.marks.above.and_then(family))
        };
        let chosen = headed().filter(same).max_by_key(told)?.marks.above?;
        datums(Some(chosen), stated, said);
        return Some(chosen.to_owned());
    };
    datums(Some(datum), stated, said);
    Some(datum.to_owned())
}

/// R112 when a heading names another vertical datum than the site has.
pub(in crate::read) fn datums(datum: Option<&str>, stated: &[Stated], said: &mut Vec<Diagnostic>) {
    let Some(datum) = datum else { return };
    let site: Vec<String> = crate::read::table::heading::words(datum);
    let is = |family: &str| {
        let family = family.to_lowercase();
        site.iter().any(|w| w.trim_end_matches(|c: char| c.is_ascii_digit()) == family)
    };
    let Some(declared_family) = DATUMS.into_iter().find(|d| is(d)) else { return };
    for s in stated {
        let name = s.marks.above.unwrap_or_default();
        if family(name).is_none_or(|f| f == declared_family) {
            continue;
        }
        said.push(
            Diagnostic::new(
                Code::UnitConflict,
                format!(
                    "heading \"{}\" says {name}, but the vertical datum is {datum}",
                    shown(&s.heading)
                ),
            )
            .at(&s.origin)
            .advice(
                "convert all elevations to one vertical datum; if only the heading or \
                 vertical_datum is wrong, correct it",
            ),
        );
    }
}

/// R112 when a heading names another UTM zone than the CRS of the positions.
pub(in crate::read) fn zones(crs: &str, stated: &[Stated], said: &mut Vec<Diagnostic>) {
    let Some((_, after)) = crs.split_once("UTM zone ") else { return };
    let digits: String = after.chars().take_while(char::is_ascii_digit).collect();
    let Ok(own) = digits.parse::<u8>() else { return };
    for s in of(stated, &[Quantity::Coordinate]) {
        let Some(zone) = s.marks.zone.filter(|z| *z != own) else { continue };
        said.push(
            Diagnostic::new(
                Code::UnitConflict,
                format!(
                    "heading \"{}\" says UTM zone {zone}, but the CRS of the positions is {crs}",
                    shown(&s.heading)
                ),
            )
            .at(&s.origin)
            .advice("correct the heading, or the CRS: crs or coordinates_crs in site.toml"),
        );
    }
}

/// R112 when longitudes or latitudes are headed with another datum than their CRS has.
pub(in crate::read) fn globes(crs: &str, stated: &[Stated], said: &mut Vec<Diagnostic>) {
    for s in of(stated, &[Quantity::Angle]) {
        let Some(datum) = s.marks.globe.filter(|datum| !crs.starts_with(datum)) else { continue };
        said.push(
            Diagnostic::new(
                Code::UnitConflict,
                format!(
                    "heading \"{}\" says {datum}, but the CRS of the positions is {crs}",
                    shown(&s.heading)
                ),
            )
            .at(&s.origin)
            .advice("correct the heading, or coordinates_crs under [site] in site.toml"),
        );
    }
}

/// R102 when tables without settings are given and no CRS.
pub(in crate::read) fn crs_required(declared: &Declared, file: &str, said: &mut Vec<Diagnostic>) {
    if declared.crs.is_none() {
        said.push(
            Diagnostic::new(Code::SiteSetting, format!("no CRS is given for {file}"))
                .at(&Origin::file(file))
                .advice(
                    "give the projected CRS of the coordinates, such as --crs EPSG:26915, or --crs local \
                     for the local coordinates of a site plan",
                ),
        );
    }
}

/// R102 for a key that a site folder must have.
pub(in crate::read) fn required(declared: &Declared, said: &mut Vec<Diagnostic>) {
    for (key, there, example) in [
        ("name", declared.name.is_some(), "name = \"the site's name\""),
        (
            "crs",
            declared.crs.is_some(),
            "crs = \"EPSG:26915\", the projected CRS; or crs = \"local\" for the local coordinates of a \
             site plan",
        ),
        (
            "elevation_unit",
            declared.elevation_unit.is_some(),
            "elevation_unit = \"ft\" (or m, ft-us)",
        ),
        ("vertical_datum", declared.vertical_datum.is_some(), "vertical_datum = \"NAVD 88\""),
    ] {
        if !there {
            said.push(
                Diagnostic::new(Code::SiteSetting, format!("{SITE_TOML} does not give {key}"))
                    .at(&Origin::file(SITE_TOML))
                    .advice(format!("write under [site]: {example}")),
            );
        }
    }
}
