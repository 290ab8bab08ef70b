//! GeoParquet, read again by the reader of the parquet crate: the schema, the values of the GeoJSON, the places of the GeoPackage.

use std::fs::File;
use std::path::Path;

use gdal::Dataset;
use gdal::vector::{Geometry, LayerAccess as _};
use parquet::file::reader::{FileReader as _, SerializedFileReader};
use parquet::record::{Field, Row};
use serde_json::Value;

use crate::support::{Folder, headfall, json, near, runs, sample};

/// The rows of a file, and what it says of its geometry.
fn read(path: &Path) -> (Vec<Row>, Value) {
    let reader = SerializedFileReader::new(File::open(path).expect("a file")).expect("Parquet");
    let about = reader.metadata().file_metadata().key_value_metadata().expect("metadata").clone();
    let geo = about.iter().find(|pair| pair.key == "geo").and_then(|pair| pair.value.as_ref());
    let geo = serde_json::from_str(geo.expect("the key geo")).expect("JSON");
    let rows = reader.get_row_iter(None).expect("rows").map(|row| row.expect("a row")).collect();
    (rows, geo)
}

fn cell<'a>(row: &'a Row, column: &str) -> &'a Field {
    row.get_column_iter().find(|(name, _)| *name == column).expect(column).1
}

fn place(row: &Row) -> Geometry {
    let Field::Bytes(bytes) = cell(row, "geometry") else { panic!("no bytes") };
    Geometry::from_wkb(bytes.data()).expect("well-known binary")
}

#[test]
fn every_layer_has_the_values_of_the_geojson_where_the_geopackage_has_it() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    runs(
        &["toward", "--quiet", "--format", "geoparquet", "--out"],
        &[&out, &sample("closed-landfill")],
    );
    let package = Dataset::open(out.join("layers.gpkg")).expect("GDAL opens it");
    for mut layer in package.layers().filter(|layer| layer.name() != "layer_styles") {
        let name = layer.name();
        let file = out.join("layers-geoparquet").join(format!("{name}.parquet"));
        let (rows, geo) = read(&file);
        assert_eq!(rows.len() as u64, layer.feature_count(), "{name}");
        assert_eq!(
            (&geo["version"], &geo["primary_column"]),
            (&"1.1.0".into(), &"geometry".into())
        );
        let column = &geo["columns"]["geometry"];
        assert_eq!(column["encoding"], "WKB");
        // The CRS of the site, as its own definition in the EPSG dataset has it.
        assert_eq!(column["crs"]["id"], serde_json::json!({"authority": "EPSG", "code": 26912}));
        let kinds = column["geometry_types"].as_array().expect("a list");
        assert_eq!(kinds.len(), 1, "{name}: {kinds:?}");
        for (row, feature) in rows.iter().zip(layer.features()) {
            let here = place(row);
            let there = feature.geometry().expect("a place");
            assert_eq!(here.wkt().expect("text"), there.wkt().expect("text"), "{name}");
            assert_eq!(
                here.geometry_name().to_uppercase(),
                kinds[0].as_str().expect("a word").to_uppercase()
            );
        }
        let geojson = out.join(format!("{name}.geojson"));
        // Other layers have their columns in the GeoPackage alone, or lists and words that are spread.
        if !["wells", "contours", "paths"].contains(&name.as_str()) {
            continue;
        }
        let features = json(&geojson)["features"].as_array().expect("a list").clone();
        for (row, feature) in rows.iter().zip(&features) {
            for (property, value) in feature["properties"].as_object().expect("an object") {
                let renamed = if property == "from" { "from_place" } else { property };
                let same = match cell(row, renamed) {
                    Field::Null => value.is_null(),
                    Field::Str(text) => value == text,
                    Field::Bool(flag) => value == flag,
                    Field::Long(number) => value.as_i64() == Some(*number),
                    Field::Double(number) => value.as_f64() == Some(*number),
                    other => panic!("{other:?}"),
                };
                assert!(same, "{name} {property}: {value} is not {:?}", cell(row, renamed));
            }
        }
    }
    // Same inputs, same bytes.
    let again = folder.path().join("again");
    runs(
        &["toward", "--quiet", "--threads", "1", "--format", "geoparquet", "--out"],
        &[&again, &sample("closed-landfill")],
    );
    for name in ["wells", "contours", "triangles"] {
        let bytes = |out: &Path| {
            std::fs::read(out.join(format!("layers-geoparquet/{name}.parquet"))).expect("a file")
        };
        assert!(bytes(&out) == bytes(&again), "{name}");
    }
}

#[test]
fn what_is_gathered_is_in_a_file_of_each_layer_and_an_earlier_one_goes() {
    let folder = Folder::new();
    let at = |name: &str| folder.path().join(name);
    runs(&["toward", "--quiet", "--out"], &[&at("landfill"), &sample("closed-landfill")]);
    runs(&["draw", "--quiet", "--out"], &[&at("depot"), &sample("fuel-depot")]);
    let all = at("all.gpkg");
    let gather = |more: &[&str], folders: &[&Path]| {
        headfall(&[&["gather", "--out", all.to_str().expect("text")], more].concat(), folders)
    };
    let (landfill, depot) = (at("landfill"), at("depot"));
    assert!(gather(&["--geoparquet"], &[&landfill, &depot]).status.success());
    let (wells, geo) = read(&at("all-wells.parquet"));
    assert_eq!(geo["columns"]["geometry"]["crs"]["id"]["code"], 4326);
    let wells_of = |name: &str| {
        let is = |row: &&Row| matches!(cell(row, "site"), Field::Str(site) if site == name);
        wells.iter().filter(is).count()
    };
    let names = ["landfill", "depot"].map(|f| json(at(f).join("summary.json"))["site"].clone());
    for (folder, name) in ["landfill", "depot"].iter().zip(&names) {
        let there = json(at(folder).join("wells.geojson"));
        let count = there["features"].as_array().expect("a list").len();
        assert_eq!(wells_of(name.as_str().expect("a name")), count);
    }
    for row in &wells {
        let place = place(row).get_point(0);
        assert!((-130.0..-60.0).contains(&place.0) && (20.0..60.0).contains(&place.1), "{place:?}");
    }
    assert!(at("all-paths.parquet").is_file() && at("all-rounds.parquet").is_file());
    let (rounds, _) = read(&at("all-rounds.parquet"));
    assert_eq!(rounds.len(), 2);
    for row in &rounds {
        let Field::Double(gradient) = cell(row, "gradient") else { panic!("no number") };
        let Field::Str(site) = cell(row, "site") else { panic!("no text") };
        let at_home = if site == names[0].as_str().expect("a name") { &landfill } else { &depot };
        let summary = json(at_home.join("summary.json"));
        near(*gradient, summary["flow"]["plane"]["gradient"].as_f64().expect("a number"), 1e-12);
    }
    // What a run left that was killed goes with the next one; what one has that lives stays.
    let left = at(".all.gpkg-headfall-aB3dE5");
    let living = at(".all.gpkg-headfall-fG7hI9");
    for folder in [&left, &living] {
        std::fs::create_dir(folder).expect("a folder");
        std::fs::write(folder.join("lock"), "").expect("a file");
        std::fs::write(folder.join("all.gpkg"), "half").expect("a file");
    }
    let lock = File::open(living.join("lock")).expect("a file");
    lock.lock().expect("locked");
    // The depot has no paths: the file of the earlier run goes.
    assert!(gather(&["--geoparquet"], &[&depot]).status.success());
    assert!(!at("all-paths.parquet").exists() && at("all-wells.parquet").is_file());
    assert!(!left.exists() && living.exists());
    // A file that somebody has changed stays, and is named.
    std::fs::write(at("all-flow.parquet"), "mine").expect("written");
    let refused = gather(&[], &[&depot]);
    assert_eq!(refused.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("all-flow.parquet"));
    assert_eq!(std::fs::read_to_string(at("all-flow.parquet")).expect("text"), "mine");
}
