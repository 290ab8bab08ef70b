//! Why a vector file gives no layer, in words.

use std::path::Path;

use super::layer::{Fault, MOST_CELLS, MOST_VERTICES};
use crate::diag::{did_you_mean, listed};
use crate::read::table::rows::shown;

/// A vector file, as it is named and asked for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Of<'a> {
    /// As recorded.
    pub(super) name: &'a str,
    pub(super) path: &'a Path,
    /// The layer that is asked for.
    pub(super) layer: Option<&'a str>,
}

impl Of<'_> {
    /// What is wrong, and what to do about it. `naming` says how a layer is named.
    pub(super) fn told(&self, fault: &Fault, naming: &str) -> (String, String) {
        let name = self.name;
        match fault {
            Fault::Format(why) => (
                format!("{name} cannot be opened as a vector file: {}", self.words(why)),
                "give a GeoJSON, shapefile (with its .shx), GeoPackage, FlatGeobuf, file geodatabase, MapInfo \
                 TAB, DXF, or CSV with a WKT column"
                    .to_owned(),
            ),
            Fault::Layers(names) if names.is_empty() => {
                (format!("{name} has no layer"), "save it again from the GIS".to_owned())
            }
            Fault::Layers(names) => (
                match self.layer {
                    Some(layer) => format!("{name} has no layer \"{}\"", shown(layer)),
                    None => format!("{name} has {} layers", names.len()),
                },
                did_you_mean(
                    self.layer.unwrap_or_default(),
                    names.iter().map(String::as_str),
                    &format!("{naming}; the layers are {}", quoted(names)),
                ),
            ),
            Fault::Broken(why) => (
                format!("{name} is damaged: {}", self.words(why)),
                "save it again from the GIS".to_owned(),
            ),
            Fault::Closed(why, advice) => (format!("{name} {why}"), (*advice).to_owned()),
            Fault::Computed(table) => (
                format!("layer \"{}\" of {name} is a view or has computed columns", shown(table)),
                "export the layer in the GIS to an ordinary table in a new GeoPackage, and name that file"
                    .to_owned(),
            ),
            Fault::TooLarge => (
                format!(
                    "{name} has more than {MOST_VERTICES} vertices or features, or more than {MOST_CELLS} cells"
                ),
                "in a GIS, clip it to the site, simplify it and remove unused columns".to_owned(),
            ),
        }
    }

    /// GDAL's words without this machine's folders, on one line.
    fn words(&self, why: &str) -> String {
        let why = why.replace(&*self.path.to_string_lossy(), self.name);
        why.chars().take(200).map(|c| if c.is_control() { ' ' } else { c }).collect()
    }
}

/// Names in a message.
pub(super) fn quoted(names: &[String]) -> String {
    listed(names.iter().map(|n| format!("\"{}\"", shown(n))))
}
