//! `[features]`, `[[sources]]` and `[[receptors]]` of `site.toml`.

use std::fmt;

use geo::Coord;
use serde::Deserialize;
use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{Deserializer, MapAccess, SeqAccess, Visitor};
use toml::Spanned;

use super::base_style::{BaseStyle, DeclaredBase};
use super::bounds::Bound;
use super::role::Role;
use crate::diag::{Code, Diagnostic, Origin};
use crate::read::files::input::line_of;
use crate::read::files::names::SITE_TOML;
use crate::units::{LengthUnit, as_given};

/// `[features]`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(in crate::read) struct FeatureKeys {
    boundary: Option<Spanned<Files>>,
    barriers: Option<Spanned<Files>>,
    streams: Option<Spanned<Files>>,
    sources: Option<Spanned<Files>>,
    receptors: Option<Spanned<Files>>,
    control_lines: Option<Spanned<Files>>,
    control_line_spacing: Option<Spanned<f64>>,
    stream_spacing: Option<Spanned<f64>>,
    stream_reach: Option<Spanned<f64>>,
}

/// `[[sources]]` and `[[receptors]]`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::read) struct PlaceKeys {
    name: Option<String>,
    well: Option<String>,
    #[serde(alias = "longitude")]
    easting: Option<f64>,
    #[serde(alias = "latitude")]
    northing: Option<f64>,
    line: Option<Vec<(f64, f64)>>,
    aquifer_unit: Option<String>,
}

/// Files of one role.
#[derive(Debug)]
struct Files(Vec<FileTable>);

/// What is said about one file.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::read) struct FileTable {
    pub(in crate::read) file: String,
    pub(in crate::read) layer: Option<String>,
    pub(in crate::read) name: Option<String>,
    pub(in crate::read) stage: Option<Stage>,
    pub(in crate::read) stage_start: Option<Stage>,
    pub(in crate::read) stage_end: Option<Stage>,
    pub(in crate::read) crs: Option<String>,
    pub(in crate::read) unit: Option<LengthUnit>,
    pub(in crate::read) aquifer_unit: Option<String>,
    pub(in crate::read) head: Option<Stage>,
    pub(in crate::read) reason: Option<String>,
    pub(in crate::read) by: Option<String>,
    pub(in crate::read) round: Option<String>,
}

/// A field's name, or the stage or head itself.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(untagged)]
pub(in crate::read) enum Stage {
    Number(f64),
    Field(String),
}

/// A file to read.
#[derive(Debug, Clone)]
pub(in crate::read) struct DeclaredFile {
    pub(in crate::read) role: Role,
    pub(in crate::read) table: FileTable,
    /// How a layer of the site plan is drawn.
    pub(in crate::read) base: Option<DeclaredBase>,
    pub(in crate::read) origin: Origin,
}

impl DeclaredFile {
    /// Whether it is a raster below the site plan.
    pub(in crate::read) fn is_picture(&self) -> bool {
        self.base.as_ref().is_some_and(|base| base.style == BaseStyle::Picture)
    }
}

/// A source or receptor written into `site.toml` itself.
#[derive(Debug, Clone)]
pub(in crate::read) struct DeclaredPlace {
    pub(in crate::read) role: Role,
    pub(in crate::read) name: String,
    pub(in crate::read) at: At,
    /// The aquifer unit it is in; that of its well where none is declared.
    pub(in crate::read) aquifer_unit: Option<String>,
    pub(in crate::read) origin: Origin,
}

/// Where it is; coordinates as in the register.
#[derive(Debug, Clone)]
pub(in crate::read) enum At {
    Well(String),
    Point(Coord),
    Line(Vec<Coord>),
}

/// All that `site.toml` says about features.
#[derive(Debug, Clone, Default)]
pub(in crate::read) struct DeclaredFeatures {
    pub(in crate::read) files: Vec<DeclaredFile>,
    pub(in crate::read) places: Vec<DeclaredPlace>,
    /// Length unit.
    stream_spacing: Option<f64>,
    /// Length unit.
    stream_reach: Option<f64>,
    /// Length unit.
    control_line_spacing: Option<f64>,
}

impl DeclaredFeatures {
    /// Distance of control points along streams, in units of which the length unit has `per`.
    pub(in crate::read) fn spacing(&self, per: f64) -> Option<f64> {
        self.stream_spacing.map(|s| s * per)
    }

    /// How far streams carry the map, in units of which the length unit has `per`.
    pub(in crate::read) fn reach(&self, per: f64) -> Option<f64> {
        self.stream_reach.map(|r| r * per)
    }

    /// Distance of control points along control lines, in units of which the length unit has `per`.
    pub(in crate::read) fn line_spacing(&self, per: f64) -> Option<f64> {
        self.control_line_spacing.map(|s| s * per)
    }

    /// The names of all files.
    pub(in crate::read) fn names(&self) -> impl Iterator<Item = &str> {
        self.files.iter().map(|f| f.table.file.as_str())
    }

    /// Whether anything is declared.
    pub(in crate::read) const fn any(&self) -> bool {
        !self.files.is_empty() || !self.places.is_empty()
    }

    /// Holds the keys against each other; R102 for what does not fit.
    pub(in crate::read) fn of(
        text: &str,
        keys: FeatureKeys,
        sources: Vec<Spanned<PlaceKeys>>,
        receptors: Vec<Spanned<PlaceKeys>>,
        said: &mut Vec<Diagnostic>,
    ) -> Self {
        let origin = |start: usize| Origin::line(SITE_TOML, line_of(text.as_bytes(), start));
        let mut declared = Self::default();
        let roles = [
            (Role::Boundary, keys.boundary),
            (Role::Barrier, keys.barriers),
            (Role::Stream, keys.streams),
            (Role::ControlLine, keys.control_lines),
            (Role::Source, keys.sources),
            (Role::Receptor, keys.receptors),
        ];
        for (role, files) in roles {
            let Some(files) = files else { continue };
            let origin = origin(files.span().start);
            for table in files.into_inner().0 {
                if sound(role, &table, &origin, said) {
                    let origin = origin.clone();
                    declared.files.push(DeclaredFile { role, table, base: None, origin });
                }
            }
        }
        for (role, places) in [(Role::Source, sources), (Role::Receptor, receptors)] {
            for place in places {
                let origin = origin(place.span().start);
                declared.places.extend(self::place(role, place.into_inner(), origin, said));
            }
        }
        let mut length = |key: &str, given: Option<Spanned<f64>>| {
            let given = given?;
            let value = *given.get_ref();
            if Bound::DISTANCE.holds(value) {
                return Some(value);
            }
            said.push(refused(
                &origin(given.span().start),
                format!("{key} = {} is not {}", as_given(value), Bound::DISTANCE.words()),
                format!("correct {key} or remove the line"),
            ));
            None
        };
        declared.stream_spacing = length("stream_spacing", keys.stream_spacing);
        declared.stream_reach = length("stream_reach", keys.stream_reach);
        declared.control_line_spacing = length("control_line_spacing", keys.control_line_spacing);
        declared
    }
}

fn refused(origin: &Origin, message: String, advice: impl Into<String>) -> Diagnostic {
    Diagnostic::new(Code::SiteSetting, message).at(origin).advice(advice)
}

/// Whether what is said about a file makes sense for its role.
fn sound(role: Role, table: &FileTable, origin: &Origin, said: &mut Vec<Diagnostic>) -> bool {
    let before = said.len();
    let FileTable { file, stage, stage_start, stage_end, unit, aquifer_unit, .. } = table;
    let FileTable { head, reason, by, round, .. } = table;
    let mut refuse = |message: String, advice: &str| said.push(refused(origin, message, advice));
    let key = role.key();
    if file.trim().is_empty() {
        refuse(
            format!("{key} under [features] names no file"),
            "write the file name between the quotes, or remove the line",
        );
    }
    let set = [stage.is_some(), stage_start.is_some(), stage_end.is_some()];
    if role == Role::ControlLine {
        for (name, given) in [("reason", reason), ("by", by)] {
            if given.as_deref().is_none_or(|g| g.trim().is_empty()) {
                refuse(
                    format!("{key} under [features] has no {name} for {file}"),
                    "give head (a field or a number), reason and by: nobody measured these heads",
                );
            }
        }
        if head.is_none() {
            refuse(
                format!("{key} under [features] has no head for {file}"),
                "give the field that holds each line's head as head = \"FIELD\", or the head itself",
            );
        }
    } else if head.is_some() || reason.is_some() || by.is_some() || round.is_some() {
        refuse(
            format!("{key} under [features] has a head, reason, by or round"),
            "only control_lines have these; remove them",
        );
    }
    if role != Role::Stream {
        let line = role == Role::ControlLine;
        let in_unit = line || matches!(role, Role::Source | Role::Receptor);
        let odd = (!line && unit.is_some()) || (!in_unit && aquifer_unit.is_some());
        if odd || set.contains(&true) {
            refuse(
                format!("{key} under [features] has a stage, unit or aquifer_unit"),
                "only streams have a stage, only streams and control_lines a unit, and boundary and barriers have no \
                 aquifer_unit; remove them",
            );
        }
    } else if !matches!(set, [false | true, false, false] | [false, true, true]) {
        refuse(
            format!("the stage of {file} is ambiguous"),
            "give `stage` alone, or `stage_start` and `stage_end`, or none of them if the \
             vertices have the stage as their height",
        );
    }
    for (word, number) in
        [("stage", stage), ("stage", stage_start), ("stage", stage_end), ("head", head)]
    {
        if let Some(Stage::Number(value)) = number
            && !value.is_finite()
        {
            let value = as_given(*value);
            refuse(format!("the {word} {value} of {file} is not finite"), "correct the number");
        }
    }
    said.len() == before
}

fn place(
    role: Role,
    keys: PlaceKeys,
    origin: Origin,
    said: &mut Vec<Diagnostic>,
) -> Option<DeclaredPlace> {
    let PlaceKeys { name, well, easting, northing, line, aquifer_unit } = keys;
    let mut refuse = |message: String, advice: &str| {
        said.push(refused(&origin, format!("[[{}]]: {message}", role.key()), advice));
        None
    };
    let within = |p: &Coord| Bound::POSITION.holds(p.x) && Bound::POSITION.holds(p.y);
    let at = match (well, easting.zip(northing), line) {
        (Some(well), None, None) if easting.is_none() && northing.is_none() => {
            At::Well(well.trim().to_owned())
        }
        (None, Some((x, y)), None) => At::Point(Coord { x, y }),
        (None, None, Some(line)) if easting.is_none() && northing.is_none() => {
            At::Line(line.into_iter().map(|(x, y)| Coord { x, y }).collect())
        }
        _ => {
            return refuse(
                "its position is not clear".to_owned(),
                "give one of: well = \"MW-3\"; easting and northing; line = [[e, n], [e, n]]",
            );
        }
    };
    match &at {
        At::Point(p) if !within(p) => {
            return refuse(
                format!(
                    "a coordinate of the position ({}, {}) is not {}",
                    as_given(p.x),
                    as_given(p.y),
                    Bound::POSITION.words()
                ),
                "correct the numbers",
            );
        }
        At::Line(line) if line.len() < 2 || !line.iter().all(within) => {
            return refuse(
                format!("its line has {} points", line.len()),
                "give at least two points, each an easting and a northing in the CRS of the \
                 register",
            );
        }
        _ => {}
    }
    let words =
        |given: Option<String>| given.map(|w| w.trim().to_owned()).filter(|w| !w.is_empty());
    let (name, aquifer_unit) = (words(name), words(aquifer_unit));
    let name = match (name, &at) {
        (Some(name), _) => name,
        (None, At::Well(well)) => well.clone(),
        (None, _) => {
            return refuse(
                "it has no name".to_owned(),
                "write name = \"...\" as it is to appear \
                                                        on the map",
            );
        }
    };
    Some(DeclaredPlace { role, name, at, aquifer_unit, origin })
}

impl FileTable {
    fn named(file: &str) -> Self {
        Self { file: file.to_owned(), ..Self::default() }
    }
}

impl<'de> Deserialize<'de> for Files {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Any;
        impl<'de> Visitor<'de> for Any {
            type Value = Files;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(
                    "a file's name in quotes, a table such as { file = \"walls.shp\" }, or a \
                     list of these in brackets",
                )
            }

            fn visit_str<E>(self, file: &str) -> Result<Files, E> {
                Ok(Files(vec![FileTable::named(file)]))
            }

            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Files, A::Error> {
                let table = FileTable::deserialize(MapAccessDeserializer::new(map))?;
                Ok(Files(vec![table]))
            }

            fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<Files, A::Error> {
                let list: Vec<Files> = Vec::deserialize(SeqAccessDeserializer::new(list))?;
                Ok(Files(list.into_iter().flat_map(|f| f.0).collect()))
            }
        }
        deserializer.deserialize_any(Any)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DOCS: &str = include_str!("../../../docs/site-folder.md");

    /// The keys that a refusal lists as expected.
    fn listed(message: &str) -> Vec<String> {
        let expected = message.split("expected").nth(1).expect("the keys are listed");
        expected.split('`').skip(1).step_by(2).map(str::to_owned).collect()
    }

    #[test]
    fn the_docs_have_a_row_for_every_key() {
        let features = toml::from_str::<FeatureKeys>("no_such_key = 1").expect_err("refused");
        let table = toml::from_str::<FeatureKeys>("boundary = { no_such_key = 1 }");
        let place = toml::from_str::<PlaceKeys>("no_such_key = 1").expect_err("refused");
        let mut keys = listed(features.message());
        keys.extend(listed(table.expect_err("refused").message()));
        keys.extend(listed(place.message()));
        assert!(keys.len() > 15, "{keys:?}");
        for key in keys.iter().filter(|k| !DOCS.contains(&format!("| `{k}` |"))) {
            let beside =
                DOCS.lines().any(|l| l.starts_with("| `") && l.contains(&format!("`{key}`")));
            assert!(beside || key == "name", "docs/site-folder.md has no row for {key}");
        }
    }

    #[derive(Deserialize)]
    struct Example {
        features: FeatureKeys,
        sources: Vec<Spanned<PlaceKeys>>,
        receptors: Vec<Spanned<PlaceKeys>>,
    }

    #[test]
    fn the_example_of_the_docs_is_understood() {
        let example = DOCS.split("```text\n[features]").nth(1).and_then(|t| t.split("```").next());
        let text = format!("[features]{}", example.expect("the docs have an example"));
        let Example { features, sources, receptors } = toml::from_str(&text).expect("TOML");
        let mut said = Vec::new();
        let declared = DeclaredFeatures::of(&text, features, sources, receptors, &mut said);
        assert!(said.is_empty(), "{said:?}");
        assert_eq!((declared.files.len(), declared.places.len()), (4, 2));
    }
}
