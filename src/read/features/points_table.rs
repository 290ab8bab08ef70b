//! A layer of points as the text of a table: the positions of its points and its fields, one line a feature.

use std::path::Path;

use super::faults;
use super::layer::{Cell, Feature, Layer, Part};
use super::shape::{self, Problem};
use super::vector;
use crate::diag::{Code, Diagnostic, Origin, bound_from, listed};
use crate::geom::{Crs, CrsKind};
use crate::read::files::input::{Form, Text};
use crate::read::files::record::Named;
use crate::read::register::wells::{Axes, GLOBE, PLANE};
use crate::read::table::columns::Column;
use crate::read::table::heading;
use crate::read::table::lines;
use crate::read::table::rows::shown;
use crate::read::table::rules::How;
use crate::units::clean;

/// The vector file of a register or of a table for everything.
#[derive(Debug, Clone, Copy)]
pub(in crate::read) struct PointsFile<'a> {
    pub(in crate::read) folder: &'a Path,
    /// Its name, counted from the folder.
    pub(in crate::read) file: &'a str,
    /// Where it is named.
    pub(in crate::read) origin: &'a Origin,
    /// The columns that its table may have.
    pub(in crate::read) among: &'a [Column],
    pub(in crate::read) how: &'a How,
    /// The CRS of the positions, taken instead of the file's own.
    pub(in crate::read) crs: Option<&'a str>,
}

/// Such a file, read.
#[derive(Debug)]
pub(in crate::read) struct PointsTable {
    pub(in crate::read) text: Text,
    /// The CRS of its positions.
    pub(in crate::read) crs: Crs,
}

impl PointsFile<'_> {
    /// Reads a layer of points (R144): the one that is asked for, else the only one that has features. Nothing
    /// where a refusal was said: R101 for a file that cannot be read, R117 without a CRS, R119 for features
    /// that are no points.
    pub(in crate::read) fn read(&self, said: &mut Vec<Diagnostic>) -> Option<PointsTable> {
        self.opened(said).map_err(|told| said.push(*told)).ok().flatten()
    }

    fn opened(&self, said: &mut Vec<Diagnostic>) -> Result<Option<PointsTable>, Box<Diagnostic>> {
        let (folder, file) = (self.folder, self.file);
        let named = Named { file, folder, what: "the table of wells", origin: self.origin };
        let record = named.record()?;
        let name = record.name.clone();
        let path = folder.join(file);
        let wanted = self.how.rules.layer.as_deref();
        let refuse = |code, message: String, advice: String| {
            Box::new(Diagnostic::new(code, message).at(&Origin::file(&name)).advice(advice))
        };
        let layer = vector::read(&path, wanted).map_err(|fault| {
            let of = faults::Of { name: &name, path: &path, layer: wanted };
            let naming = "name one with --layer, or layer under [tables] in site.toml";
            let (message, advice) = of.told(&fault, naming);
            refuse(Code::FileUnreadable, message, advice)
        })?;
        let of_layer = format!("layer \"{}\" of {name}", shown(&layer.name));
        if layer.features.is_empty() {
            let message = format!("{of_layer} has no features");
            return Err(refuse(Code::TableEmpty, message, "add the wells as points".to_owned()));
        }
        let own = layer.crs_code.as_deref().filter(|_| !layer.geojson).or(layer.crs_definition());
        let Some(definition) = self.crs.or(own) else {
            let advice = "write coordinates_crs = \"EPSG:...\" with the CRS of its points, under [site] in \
                          site.toml";
            let message = format!("{name} does not state the CRS of its coordinates");
            return Err(refuse(Code::CrsUnknown, message, advice.to_owned()));
        };
        let crs = Crs::lookup(definition).map_err(|why| {
            let advice = "write coordinates_crs = \"EPSG:...\" with the CRS of its points, under [site] in \
                          site.toml";
            refuse(Code::CrsUnknown, format!("the CRS of {name}: {why}"), advice.to_owned())
        })?;
        let axes = if crs.kind() == CrsKind::Geographic { GLOBE } else { PLANE };
        let Some(places) = places(&layer, &of_layer, &name, said) else { return Ok(None) };
        let (fields, positions): (Vec<usize>, Vec<usize>) =
            (0..layer.fields.len()).partition(|at| !self.is_position(&layer.fields[*at], axes));
        let text = self.text(&layer, &places, axes, &fields);
        let positions = positions.iter().map(|at| format!("\"{}\"", shown(&layer.fields[*at])));
        let told = told(&layer, &name, &crs, &positions.collect::<Vec<_>>());
        let inputs = named.was(record, &layer.files)?;
        let text = Text { text, name, inputs, form: Form::Layer, told: vec![told] };
        Ok(Some(PointsTable { text, crs }))
    }

    /// Whether a field holds a coordinate of the same kind as the points: these count.
    fn is_position(&self, field: &str, axes: Axes) -> bool {
        let declared = self.how.columns.iter().find(|d| d.is(field));
        let column = match declared {
            Some(declared) => declared.column,
            None => heading::recognise(field, self.among).map(|(column, _)| column),
        };
        column.is_some_and(|column| column == axes.0 || column == axes.1)
    }

    /// The table: the positions first, so that no row is taken for a note.
    fn text(&self, layer: &Layer, places: &[(f64, f64)], axes: Axes, fields: &[usize]) -> String {
        let number = |value: f64| {
            let text = value.to_string();
            if self.how.rules.decimal_comma == Some(true) { text.replace('.', ",") } else { text }
        };
        let mut text = format!("{},{}", axes.0.name(), axes.1.name());
        for at in fields {
            text.push(',');
            lines::write_cell(&one_line(&layer.fields[*at]), &mut text);
        }
        for (feature, (x, y)) in layer.features.iter().zip(places) {
            text.push('\n');
            for (value, mark) in [(x, ","), (y, "")] {
                lines::write_cell(&number(*value), &mut text);
                text.push_str(mark);
            }
            for at in fields {
                text.push(',');
                match &feature.cells[*at] {
                    Cell::Empty => {}
                    Cell::Number(value) => lines::write_cell(&number(clean(*value)), &mut text),
                    Cell::Text(cell) => lines::write_cell(&one_line(cell), &mut text),
                }
            }
        }
        text.push('\n');
        text
    }
}

/// The positions of a layer's features; nothing where some of them are no points, which is said.
fn places(
    layer: &Layer,
    of_layer: &str,
    name: &str,
    said: &mut Vec<Diagnostic>,
) -> Option<Vec<(f64, f64)>> {
    let before = said.len();
    let mut places = Vec::with_capacity(layer.features.len());
    for feature in &layer.features {
        match place(feature) {
            Ok(place) => places.push(place),
            Err((text, advice)) => said.push(
                Diagnostic::new(
                    Code::FeatureUnusable,
                    format!("feature {} of {of_layer} {text}", feature.number),
                )
                .at(&Origin::feature(name, feature.number as u64))
                .advice(advice),
            ),
        }
    }
    let sound = said.len() == before;
    bound_from(said, before);
    sound.then_some(places)
}

/// Where a feature is.
fn place(feature: &Feature) -> Result<(f64, f64), Problem> {
    const ADVICE: &str = "give each well as one point; name another layer with --layer, or layer under \
                          [tables] in site.toml";
    shape::sound(feature)?;
    match feature.parts.as_slice() {
        [Part::Point((x, y, _))] => Ok((*x, *y)),
        [other] => Err((format!("is {}, but a well must be a point", other.word()), ADVICE)),
        parts => Err((format!("has {} parts, but a well must be one point", parts.len()), ADVICE)),
    }
}

/// R144: which layer is read, where its points are, and what of it is not read.
fn told(layer: &Layer, name: &str, crs: &Crs, positions: &[String]) -> Diagnostic {
    let points = match layer.features.len() {
        1 => "1 point".to_owned(),
        n => format!("{n} points"),
    };
    let fields = match positions.len() {
        0 => String::new(),
        1 => format!("; its field {} is not read", positions[0]),
        _ => format!("; its fields {} are not read", listed(positions)),
    };
    let heights = if layer.features.iter().any(|f| f.has_heights) {
        "; the heights of the points are not read"
    } else {
        ""
    };
    let text = format!(
        "{name} is a vector file: the positions are those of the {points} of its layer \"{}\", in \
         {}{fields}{heights}",
        shown(&layer.name),
        crs.name(),
    );
    Diagnostic::new(Code::LayerRead, text).at(&Origin::file(name)).advice(
        "name another layer with --layer, or layer under [tables] in site.toml; give coordinates_crs under \
         [site] if the CRS of the file is wrong",
    )
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
