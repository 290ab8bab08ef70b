//! The table of styles in a GeoPackage, by the names of columns that general programs know.

use geo::{Geometry, GeometryCollection};
use serde::Serialize;

use super::fields;
use super::format::GEOMETRY;
use super::layer::{Layer, Shape};
use super::row::row;
use crate::report::Look;

/// A layer's name and its look.
pub(super) type Style = (&'static str, Look);

/// A row of the table.
#[derive(Serialize)]
struct Row<'a> {
    catalog: &'static str,
    schema: &'static str,
    table: &'static str,
    geometry: &'static str,
    name: &'static str,
    qml: &'a str,
    sld: &'a str,
    is_default: bool,
    description: &'static str,
    owner: &'static str,
    ui: Option<&'static str>,
    update_time: &'static str,
}

/// The table of these styles, each the default of its layer.
pub(super) fn table(styles: &[Style]) -> Layer<'_> {
    Layer {
        name: "layer_styles",
        about: "how to draw the layers, as on the map sheet",
        shape: Shape::Table,
        fields: fields::LAYER_STYLES,
        count: styles.len(),
        feature: Box::new(move |i| {
            let (table, look) = &styles[i];
            let style = Row {
                catalog: "",
                schema: "",
                table,
                geometry: GEOMETRY,
                name: table,
                qml: &look.qml,
                sld: &look.sld,
                is_default: true,
                description: "As on the map sheet",
                owner: "",
                ui: None,
                update_time: super::ogr::MOMENT,
            };
            (
                Geometry::GeometryCollection(GeometryCollection::default()),
                row(&style, fields::LAYER_STYLES),
            )
        }),
    }
}
