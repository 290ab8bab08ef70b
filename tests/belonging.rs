//! What every row of every file says that it belongs to.

use std::collections::BTreeMap;
use std::path::Path;

use gdal::vector::LayerAccess;
use gdal::{Dataset, Metadata as _};

use serde_json::Value;

use crate::batch::{AUTUMN, SPRING, site};
use crate::support::{Folder, contents, json, runs, sample, table};

type Row = BTreeMap<String, String>;

/// Rows of every layer and table in a folder of results, by file; of layers in a GeoPackage by file and layer.
fn rows(out: &Path) -> BTreeMap<String, Vec<Row>> {
    let mut rows = BTreeMap::new();
    for name in contents(out).into_keys() {
        let path = out.join(&name);
        let ending = path.extension().map(|e| e.to_string_lossy().into_owned());
        match ending.as_deref() {
            Some("csv") => {
                rows.insert(name, table(&path));
            }
            // GDAL takes texts of GeoJSON that look like a time for one.
            Some("geojson") => {
                let features = json(&path)["features"].as_array().expect("a list").clone();
                let text = |value: &Value| value.as_str().map(str::to_owned).unwrap_or_default();
                let of = |feature: &Value| -> Row {
                    let properties = feature["properties"].as_object().expect("an object");
                    properties.iter().map(|(name, value)| (name.clone(), text(value))).collect()
                };
                rows.insert(name, features.iter().map(of).collect());
            }
            Some("gpkg") => {
                let file = Dataset::open(&path).expect("GDAL opens it");
                for mut layer in file.layers() {
                    let of = |(column, value): (String, Option<gdal::vector::FieldValue>)| {
                        let text = value.and_then(gdal::vector::FieldValue::into_string);
                        (column, text.unwrap_or_default())
                    };
                    let all = layer.features().map(|f| f.fields().map(of).collect()).collect();
                    let layer_name = layer.name();
                    rows.insert(format!("{name} {layer_name}"), all);
                }
            }
            _ => {}
        }
    }
    rows
}

/// Every row has these cells.
#[track_caller]
fn all_have(out: &Path, cells: &[(&str, &str)], but: &[&str]) {
    let rows = rows(out);
    assert!(rows.values().any(|rows| !rows.is_empty()), "{} has rows", out.display());
    for (file, rows) in &rows {
        if but.contains(&file.as_str()) {
            continue;
        }
        for row in rows {
            for (column, value) in cells {
                let found = row.get(*column).map(String::as_str);
                assert_eq!(found, Some(*value), "{column} in {file}: {row:?}");
            }
        }
    }
}

#[test]
fn rows_of_a_map_say_site_round_readings_datum_and_unit() {
    let folder = Folder::new();
    let out = folder.path().join("out");
    runs(&["toward", "--quiet", "--rasters", "--out"], &[&out, &sample("closed-landfill")]);
    // What they should say is in the files of the site.
    let cells = [
        ("site", "Closed landfill"),
        ("round", "2026-05"),
        ("mapped_unit", "upper sand"),
        ("vertical_datum", "CGVD2013"),
        ("elevation_unit", "m"),
    ];
    let summary = json(out.join("summary.json"));
    let member = |name: &str| summary[name].as_str().expect("a text").to_owned();
    let (from, to) = (member("from"), member("to"));
    assert!(from < to && from.starts_with("20"), "{from} {to}");
    let cells = [&cells[..], &[("read_from", from.as_str()), ("read_to", to.as_str())]].concat();
    all_have(&out, &cells, &["water-levels.csv", "layers.gpkg layer_styles"]);
    for row in table(out.join("water-levels.csv")) {
        for (column, i) in [
            ("Site", 0),
            ("Round", 1),
            ("Mapped unit", 2),
            ("Measured from", 5),
            ("Measured to", 6),
        ] {
            assert_eq!(row[column], cells[i].1);
        }
    }
    for name in ["surface.tif", "direction-spread.tif"] {
        let raster = Dataset::open(out.join(name)).expect("GDAL opens it");
        for (column, value) in &cells[..4] {
            let key = column.to_uppercase().replace("MAPPED", "AQUIFER");
            assert_eq!(raster.metadata_item(&key, "").as_deref(), Some(*value), "{key}");
        }
        assert_eq!(raster.metadata_item("READ_FROM", "").as_ref(), Some(&from));
        assert_eq!(raster.metadata_item("READ_TO", "").as_ref(), Some(&to));
    }
}

#[test]
fn rows_of_changes_name_both_rounds_and_those_of_a_record_the_site() {
    let folder = Folder::new();
    site(folder.path(), "Yard", &[SPRING, AUTUMN]);
    runs(&["compare", "--quiet"], &[folder.path(), Path::new("2025-04"), Path::new("2025-10")]);
    let out = folder.path().join("out/changes/2025-04 to 2025-10");
    let days = [("read_from", "2025-04"), ("read_to", "2025-10")];
    let of_site = [("site", "Yard"), ("vertical_datum", "NAVD 88")];
    all_have(&out, &[("round", "2025-04 to 2025-10"), ("elevation_unit", "m")], &[]);
    all_have(&out, &of_site, &[]);
    let raster = Dataset::open(out.join("change.tif")).expect("GDAL opens it");
    assert_eq!(raster.metadata_item("ROUND", "").as_deref(), Some("2025-04 to 2025-10"));
    for (column, month) in days {
        let read = raster.metadata_item(&column.to_uppercase(), "").expect("a day");
        assert!(read.starts_with(month), "{read}");
    }
    runs(&["record", "--quiet", "--out"], &[&folder.path().join("record"), folder.path()]);
    all_have(&folder.path().join("record"), &of_site, &[]);
}
