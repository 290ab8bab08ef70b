//! A layer of features.

#![expect(clippy::disallowed_methods, reason = "results are written here")]

use std::fs::File;
use std::io;
use std::io::Write;
use std::path::Path;

use geo::{Geometry, Point};
use serde::Serialize;

use crate::check::Place;
use crate::report::digits;
use crate::write::stream;

/// One feature.
#[derive(Serialize)]
struct Feature<'a, P, O> {
    r#type: &'static str,
    #[serde(serialize_with = "geojson::ser::serialize_geometry")]
    geometry: Geometry,
    properties: Properties<'a, P, O>,
}

/// The properties are a struct of each layer's own, so that their order in the file is the order they are documented in;
/// behind them is what the feature belongs to.
#[derive(Serialize)]
struct Properties<'a, P, O> {
    #[serde(flatten)]
    own: P,
    #[serde(flatten)]
    of: &'a O,
}

/// Writes a layer: `feature` gives the geometry and the properties of each of `count` features,
/// or `None` for one that has no extent; `of` is what all of them belong to.
///
/// RFC 7946 allows no coordinate system but WGS 84 and no member that says so (section 4); heads
/// stay in properties, because a third coordinate would mean metres above the ellipsoid
/// (section 3.1.1).
pub(in crate::write) fn layer<P: Serialize, O: Serialize + Sync>(
    path: &Path,
    of: &O,
    count: usize,
    feature: impl Fn(usize) -> Option<(Geometry, P)> + Sync,
) -> io::Result<()> {
    layer_with(path, of, &[], (count, feature))
}

/// Writes a layer of points: `row` gives the place and the properties of each.
pub(super) fn points<P: Serialize, O: Serialize + Sync>(
    path: &Path,
    of: &O,
    (count, row): (usize, impl Fn(usize) -> (Place, P) + Sync),
) -> io::Result<()> {
    layer(path, of, count, |i| {
        let (place, properties) = row(i);
        Some((Point(digits::lon_lat(place.lon_lat?)).into(), properties))
    })
}

/// As [`layer`], with further members of the collection (RFC 7946, section 6.1).
pub(super) fn layer_with<P: Serialize, O: Serialize + Sync>(
    path: &Path,
    of: &O,
    members: &[(&str, String)],
    (count, feature): (usize, impl Fn(usize) -> Option<(Geometry, P)> + Sync),
) -> io::Result<()> {
    let mut file = File::create_new(path)?;
    file.write_all(br#"{"type":"FeatureCollection","#)?;
    for (name, text) in members {
        write!(file, "{}:{},", serde_json::to_string(name)?, serde_json::to_string(text)?)?;
    }
    file.write_all(br#""features":["#)?;
    let mut first = true;
    stream::rows(
        count,
        |range| {
            let mut text = Vec::with_capacity(stream::TEXT);
            for (geometry, own) in range.filter_map(&feature) {
                text.extend_from_slice(b",\n");
                let properties = Properties { own, of };
                let feature = Feature { r#type: "Feature", geometry, properties };
                serde_json::to_writer(&mut text, &feature)?;
            }
            Ok(text)
        },
        |text| {
            if text.is_empty() {
                return Ok(());
            }
            // Every feature brings the comma before it; the very first has none.
            let from = usize::from(std::mem::take(&mut first));
            file.write_all(&text[from..])
        },
    )?;
    file.write_all(b"\n]}\n")
}
