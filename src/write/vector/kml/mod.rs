//! All layers in one file for a globe (KML): `layers.kml`.
//!
//! What is shown and how is described in `docs/layers.md`.
//!
//! # References
//! OGC 07-147r2 (KML 2.2), which KML 2.3 (OGC 12-007r2) takes in: elements and their order; positions by longitude and
//! latitude on WGS 84; the description of a feature is markup.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

mod look;
mod placemark;

use std::fs::File;
use std::io;
use std::io::{BufWriter, Write};
use std::path::Path;

use geo::{CoordsIter, Geometry};

use super::fields::{Field, Kind};
use super::layer::{Belonging, Layer};
use super::layers::layers;
use super::row::Value;
use crate::diag::printable;
use crate::report::{Facts, Results};
use crate::write::antimeridian;
use crate::write::context::Context;
use crate::write::stream;
use crate::xml::{Element, escaped};

/// Layers that are there and not shown until somebody ticks them: they would bury the map.
const NOT_SHOWN: [&str; 2] = ["triangles", "flow"];

const BEGIN: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
                     <kml xmlns=\"http://www.opengis.net/kml/2.2\">\n<Document>\n";
const END: &str = "</Document>\n</kml>\n";

/// Writes `layers.kml`.
///
/// # Errors
/// Those of writing, and of a position that has no longitude and latitude, as none has in local coordinates.
pub(super) fn globe(context: &Context, path: &Path) -> io::Result<()> {
    let (of, layers) = (Belonging::to_round(&context.of), layers(context));
    let mut file = BufWriter::new(File::create_new(path)?);
    file.write_all(BEGIN.as_bytes())?;
    let name = printable(&context.of.in_words()).into_owned();
    Element::text("name", name).line(&mut file)?;
    Element::text("open", "1").line(&mut file)?;
    Element::text("description", notes(context.results)).line(&mut file)?;
    for style in layers.iter().flat_map(look::styles) {
        style.line(&mut file)?;
    }
    for layer in &layers {
        columns(layer, &of).line(&mut file)?;
    }
    for layer in &layers {
        folder(context, layer, &of, &mut file)?;
    }
    file.write_all(END.as_bytes())?;
    file.flush()
}

/// What the layers must be read with, as the markup that a description is.
fn notes(results: &Results) -> String {
    let facts = Facts::of(results);
    let mut notes = vec![
        format!("Heads: {}. Contours {}; from {}.", facts.heads(), facts.contours, facts.control),
        "Everything lies on the ground; heads and depths are in the columns.".to_owned(),
        format!("Faint contours: {}.", results.uncertainty.inferred_rule),
        format!(
            "Arrows: direction of flow; hollow where it is not known to within {} degrees.",
            results.uncertainty.directions.within_deg
        ),
    ];
    notes.extend(results.short_cautions());
    notes.push(concat!("headfall ", env!("CARGO_PKG_VERSION")).to_owned());
    notes.iter().map(|note| escaped(&printable(note))).collect::<Vec<_>>().join("<br/>")
}

/// The columns of a layer, each with its name in words.
fn columns(layer: &Layer, of: &Belonging) -> Element {
    let column = |field: &Field| {
        let kind = match field.kind {
            Kind::Text | Kind::Moment => "string",
            Kind::Integer => "int",
            Kind::Real => "double",
            Kind::Flag => "bool",
        };
        Element::of("SimpleField", [Element::text("displayName", field.about)])
            .with("type", kind)
            .with("name", field.name)
    };
    Element::of("Schema", layer.fields.iter().chain(of.fields).map(column))
        .with("name", layer.name)
        .with("id", placemark::columns_id(layer))
}

/// A layer with its features.
fn folder(
    context: &Context,
    layer: &Layer,
    of: &Belonging,
    file: &mut impl Write,
) -> io::Result<()> {
    file.write_all(b"<Folder>\n")?;
    Element::text("name", layer.name.replace('_', " ")).line(file)?;
    if NOT_SHOWN.contains(&layer.name) {
        Element::text("visibility", "0").line(file)?;
    }
    Element::text("description", escaped(layer.about)).line(file)?;
    let crs = context.results.control.crs();
    let placemarks = |range: std::ops::Range<usize>| -> io::Result<Vec<u8>> {
        let first = range.start;
        let (mut shapes, rows): (Vec<Geometry>, Vec<Vec<Value>>) =
            range.map(&layer.feature).unzip();
        let mut places: Vec<_> = shapes.iter().flat_map(CoordsIter::coords_iter).collect();
        crs.to_lon_lat(&mut places).map_err(io::Error::other)?;
        antimeridian::place(&mut shapes, &places);
        let mut text = Vec::with_capacity(stream::TEXT);
        for (i, (shape, row)) in shapes.iter().zip(&rows).enumerate() {
            // A line below the last decimal is left out, as in GeoJSON.
            let Some(shape) = antimeridian::cut(shape) else { continue };
            placemark::placemark(layer, of, (first + i, row), &shape).line(&mut text)?;
        }
        Ok(text)
    };
    stream::rows(layer.count, placemarks, |text| file.write_all(text))?;
    file.write_all(b"</Folder>\n")
}
