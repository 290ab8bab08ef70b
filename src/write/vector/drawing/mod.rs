//! All layers in one drawing (DXF), for drawing offices: `layers.dxf`.
//!
//! What is drawn and how is described in `docs/layers.md`.

mod arrows;
mod dxf;
mod entities;
mod frame;
mod labels;
mod notes;

use std::io;
use std::path::Path;

use geo::Geometry;

use self::entities::{Entity, Shape, shapes};
use self::frame::Frame;
use super::layer::Layer;
use super::layers::layers;
use super::row::Value;
use crate::contour::is_index;
use crate::report::Height;
use crate::write::context::Context;

/// Layers that are not drawn as they are: triangles would bury the map, and arrows are lines here.
const NOT_DRAWN: [&str; 3] = ["triangles", "flow", "arrows"];

/// Columns of the elevation that a feature is drawn at, in both units.
const HEADS: [[&str; 2]; 3] =
    [["head_m", "head_ft"], ["stage_m", "stage_ft"], ["level_m", "level_ft"]];

/// Writes `layers.dxf`.
pub(super) fn drawing(context: &Context, path: &Path) -> io::Result<()> {
    let frame = Frame::of(context.results);
    let mut entities = Vec::new();
    for layer in layers(context).iter().filter(|layer| !NOT_DRAWN.contains(&layer.name)) {
        of_layer(context, &frame, layer, &mut entities);
    }
    entities.extend(arrows::arrows(context.results));
    entities.extend(labels::wells(context.results, &frame));
    entities.extend(labels::contours(context.results, &frame));
    let notes = notes::notes(context.results, &frame, &entities);
    entities.push(notes);
    dxf::file(&frame, &entities, path)
}

/// The features of a layer, and their names where they have one.
fn of_layer(context: &Context, frame: &Frame, layer: &Layer, into: &mut Vec<Entity>) {
    let column = |name: &str| layer.fields.iter().position(|field| field.name == name);
    let heads = HEADS.iter().find_map(|[m, ft]| Some([column(m)?, column(ft)?]));
    let [level, inferred, used, role] = ["level", "inferred", "used", "role"].map(column);
    // Those of pumped wells are beside the heads.
    let name = column("name").filter(|_| layer.name != "pumped_wells");
    let (contours, base) = (&context.results.contours, context.results.site.settings.base_level);
    for i in 0..layer.count {
        let (geometry, values) = (layer.feature)(i);
        let is = |column: Option<usize>| column.map(|c| values[c] == Value::Flag(true));
        let number = |column: usize| match values[column] {
            Value::Real(value) => Some(value),
            _ => None,
        };
        let mut on = layer.name.to_owned();
        if level.and_then(number).is_some_and(|level| is_index(contours.steps(level, base))) {
            on += "_index";
        }
        if is(inferred) == Some(true) {
            on += "_inferred";
        }
        if is(used) == Some(false) {
            on += "_not_used";
        }
        // Paths from a source, a receptor and a pumped well.
        if let Some(Value::Text(role)) = role.map(|c| &values[c]) {
            on += "_";
            on += &role.replace(' ', "_");
        }
        // A head that is not used must not bend a surface that somebody makes from the drawing.
        let heads = heads.filter(|_| is(used) != Some(false));
        let z = heads.and_then(|[m, ft]| Some(Height { m: number(m)?, ft: number(ft)? }));
        let z = z.map(|height| frame.elevation(height));
        if let Some(Value::Text(name)) = name.map(|c| &values[c]) {
            into.extend(labels::name(&geometry, name, layer.name, frame));
        }
        into.extend(drawn(geometry, &on, z));
    }
}

fn drawn(geometry: Geometry, on: &str, z: Option<f64>) -> impl Iterator<Item = Entity> + '_ {
    let entity = move |shape: Shape| Entity { layer: on.to_owned(), shape, z };
    shapes(geometry).into_iter().map(entity)
}
