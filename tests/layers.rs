//! Every layer in every format, opened again by GDAL and held against the GeoJSON.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Output;

use gdal::Dataset;
use gdal::spatial_ref::{AxisMappingStrategy, CoordTransform, SpatialRef};
use gdal::vector::{Feature, FieldValue, LayerAccess};
use serde_json::Value;

use crate::support::{Folder, contents, ends, headfall, near, sample, text};

const FORMATS: &[&str] = &["shapefile", "flatgeobuf", "csv"];
const LAYERS: &[&str] = &["wells", "contours", "triangles", "flow"];
/// Those that the way of the water adds.
const ANSWERED: &[&str] = &["paths", "reaches"];

fn draw(site: &Path, out: &Path, more: &[&str]) -> Output {
    run("draw", site, out, more)
}

fn run(command: &str, site: &Path, out: &Path, more: &[&str]) -> Output {
    headfall(&[&[command, "--quiet"], more, &["--out"]].concat(), &[out, site])
}

fn all_formats() -> Vec<&'static str> {
    FORMATS.iter().flat_map(|f| ["--format", f]).collect()
}

/// Where a format keeps a layer.
fn file(out: &Path, format: &str, layer: &str) -> PathBuf {
    match format {
        "geopackage" => out.join("layers.gpkg"),
        "shapefile" => out.join(format!("layers-shapefile/{layer}.shp")),
        "flatgeobuf" => out.join(format!("layers-flatgeobuf/{layer}.fgb")),
        "csv" => out.join(format!("layers-csv/{layer}.csv")),
        other => panic!("{other}"),
    }
}

/// Long and short names of a layer's columns, as `docs/layers.md` lists them.
fn columns(layer: &str) -> Vec<(String, String)> {
    let document = text(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/layers.md"));
    let own = format!("### `{layer}`");
    let sections = [own.as_str(), "### Behind the columns of each layer"].map(|heading| {
        let section = document.split(heading).nth(1).expect("a section");
        section.lines().take_while(|l| !l.starts_with("### "))
    });
    sections
        .into_iter()
        .flatten()
        .filter_map(|l| l.strip_prefix("| `"))
        .map(|l| {
            let mut parts = l.split('`');
            let long = parts.next().expect("a name").to_owned();
            (long, parts.nth(1).expect("a short name").to_owned())
        })
        .collect()
}

/// The GeoJSON's value of a column: lists are spread, words of a list joined.
fn expected(properties: &Value, column: &str) -> Value {
    if let Some(value) = properties.get(column) {
        return match value {
            Value::Array(words) => {
                let words: Vec<&str> = words.iter().filter_map(Value::as_str).collect();
                words.join(" ").into()
            }
            value => value.clone(),
        };
    }
    // A word that some formats keep for themselves.
    if column == "from_place" {
        return properties["from"].clone();
    }
    // well_2 of wells, head_2_m of heads_m.
    let (before, rest) = column
        .split_at(column.find("_1").or(column.find("_2")).or(column.find("_3")).expect("a number"));
    let number: usize = rest[1..2].parse().expect("a number");
    properties[format!("{before}s{}", &rest[2..])][number - 1].clone()
}

fn same(found: Option<&FieldValue>, expected: &Value) -> bool {
    match (found, expected) {
        (None, Value::Null) => true,
        // Empty texts come back as none from some formats, and none as an empty text.
        (Some(FieldValue::StringValue(text)), Value::Null) | (None, Value::String(text)) => {
            text.is_empty()
        }
        (Some(FieldValue::StringValue(text)), Value::String(expected)) => text == expected,
        (Some(FieldValue::StringValue(text)), Value::Number(n)) => {
            text.parse::<f64>().ok() == n.as_f64()
        }
        (Some(FieldValue::StringValue(text)), Value::Bool(b)) => text == if *b { "1" } else { "0" },
        (Some(FieldValue::IntegerValue(v)), Value::Bool(b)) => *v == i32::from(*b),
        (Some(FieldValue::IntegerValue(v)), Value::Number(n)) => Some(f64::from(*v)) == n.as_f64(),
        (Some(FieldValue::Integer64Value(v)), Value::Number(n)) => Some(*v) == n.as_i64(),
        (Some(FieldValue::RealValue(v)), Value::Number(n)) => {
            // A shapefile's numbers are text of 15 decimals.
            n.as_f64().is_some_and(|n| (n - v).abs() <= 1e-15 * n.abs().max(1.0))
        }
        _ => false,
    }
}

/// Whether a feature has nothing in a field: the crate tells null from a value, but not unset.
fn is_empty(feature: &Feature, index: usize) -> bool {
    let index = i32::try_from(index).expect("a small number");
    #[expect(unsafe_code, reason = "the feature lives and has this field")]
    let set = unsafe { gdal_sys::OGR_F_IsFieldSetAndNotNull(feature.c_feature(), index) };
    set == 0
}

#[test]
fn every_value_of_every_format_is_that_of_the_geojson() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    let output = draw(&sample("fuel-depot"), &out, &all_formats());
    ends(&output, 0);
    same_as_geojson(&out, LAYERS);
    let out = folder.path().join("toward");
    let output = run("toward", &sample("closed-landfill"), &out, &all_formats());
    ends(&output, 0);
    same_as_geojson(&out, ANSWERED);
    // One well of this site was found pumping.
    let data = Dataset::open(out.join("layers.gpkg")).expect("GDAL opens it");
    let mut pumped = data.layer_by_name("pumped_wells").expect("the layer");
    let name =
        |f: Feature| f.field_as_string(f.field_index("name").expect("a column")).expect("a name");
    let names: Vec<_> = pumped.features().map(name).collect();
    assert_eq!(names, [Some("L1".to_owned())]);
}

fn same_as_geojson(out: &Path, layers: &[&str]) {
    for layer in layers.iter().copied() {
        let text = std::fs::read(out.join(format!("{layer}.geojson"))).expect("a layer");
        let json: Value = serde_json::from_slice(&text).expect("JSON");
        let features = json["features"].as_array().expect("features");
        let columns = columns(layer);
        assert!(columns.len() >= 5, "{layer} has columns");
        for format in FORMATS.iter().copied().chain(["geopackage"]) {
            let data = Dataset::open(file(out, format, layer)).expect("GDAL opens it");
            let mut found = data.layer_by_name(layer).expect("the layer");
            assert_eq!(found.feature_count(), features.len() as u64, "{format} {layer}");
            for (i, feature) in found.features().enumerate() {
                let value = |long: &str, short: &str| {
                    let name = if format == "shapefile" { short } else { long };
                    let index = feature.field_index(name);
                    let index = index.unwrap_or_else(|_| panic!("{format} {layer} lacks {name}"));
                    if is_empty(&feature, index) {
                        None
                    } else {
                        feature.field(index).expect("a value")
                    }
                };
                let properties = &features[i]["properties"];
                for (long, short) in &columns {
                    let expected = expected(properties, long);
                    let found = value(long, short);
                    assert!(
                        same(found.as_ref(), &expected),
                        "{format} {layer} {i} {long}: {found:?} is not {expected}"
                    );
                }
            }
        }
    }
}

#[test]
fn every_format_stands_in_the_project_crs_where_the_geojson_stands() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    assert!(draw(&sample("closed-landfill"), &out, &all_formats()).status.success(), "drawn");
    let text = std::fs::read(out.join("wells.geojson")).expect("wells");
    let json: Value = serde_json::from_slice(&text).expect("JSON");
    let mut wgs84 = SpatialRef::from_epsg(4326).expect("WGS 84");
    wgs84.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
    for format in ["geopackage", "shapefile", "flatgeobuf"] {
        let data = Dataset::open(file(&out, format, "wells")).expect("GDAL opens it");
        let mut layer = data.layer_by_name("wells").expect("wells");
        let crs = layer.spatial_ref().expect("a CRS");
        let code = crs.auth_code();
        assert_eq!(code.expect("a code"), 26912, "{format} names the project CRS");
        let to_lon_lat = CoordTransform::new(&crs, &wgs84).expect("a transformation");
        for (feature, json) in layer.features().zip(json["features"].as_array().expect("wells")) {
            let (x, y, _) = feature.geometry().expect("a place").get_point(0);
            let (mut x, mut y) = ([x], [y]);
            to_lon_lat.transform_coords(&mut x, &mut y, &mut []).expect("inside");
            let at = |k: usize| json["geometry"]["coordinates"][k].as_f64().expect("a number");
            near(x[0], at(0), 2e-8);
            near(y[0], at(1), 2e-8);
        }
    }
}

#[test]
fn stretches_of_a_contour_join_to_the_line_and_say_which_are_inferred() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    assert!(draw(&sample("fuel-depot"), &out, &[]).status.success(), "drawn");
    let data = Dataset::open(out.join("layers.gpkg")).expect("GDAL opens it");
    let mut layer = data.layer_by_name("contours").expect("contours");
    let mut ends: BTreeMap<i64, (f64, f64)> = BTreeMap::new();
    let mut inferred = [0, 0];
    for feature in layer.features() {
        let number = |name: &str| {
            let index = feature.field_index(name).expect("a field");
            feature.field_as_integer64(index).expect("a number").expect("a value")
        };
        let flag = usize::try_from(number("inferred")).expect("0 or 1");
        inferred[flag] += 1;
        let mut points = Vec::new();
        feature.geometry().expect("a course").get_points(&mut points);
        let (first, last) = (points[0], points[points.len() - 1]);
        if let Some(end) = ends.get(&number("line")) {
            near(first.0, end.0, 1e-9);
            near(first.1, end.1, 1e-9);
        }
        ends.insert(number("line"), (last.0, last.1));
    }
    assert!(inferred[0] > 0 && inferred[1] > 0, "supported and inferred: {inferred:?}");
    let text = std::fs::read(out.join("summary.json")).expect("a summary");
    let summary: Value = serde_json::from_slice(&text).expect("JSON");
    assert_eq!(Some(ends.len() as u64), summary["counts"]["contours"].as_u64(), "every line");
}

#[test]
fn the_geopackage_describes_its_layers_and_columns() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    assert!(draw(&sample("fuel-depot"), &out, &[]).status.success(), "drawn");
    let data = Dataset::open(out.join("layers.gpkg")).expect("GDAL opens it");
    let query = "SELECT table_name, column_name, description FROM gpkg_data_columns";
    let mut told = data
        .execute_sql(query, None, gdal::vector::sql::Dialect::DEFAULT)
        .expect("SQL")
        .expect("rows");
    let mut described: BTreeMap<(String, String), String> = BTreeMap::new();
    for row in told.features() {
        let cell = |k| row.field_as_string(k).expect("text").expect("a value");
        described.insert((cell(0), cell(1)), cell(2));
    }
    for &layer in LAYERS {
        for (column, _) in columns(layer) {
            let about = described.get(&(layer.to_owned(), column.clone()));
            let about = about.unwrap_or_else(|| panic!("{layer}.{column} is not described"));
            for (ending, unit) in [("_m", ", m"), ("_ft", ", ft"), ("_m2", ", m2")] {
                assert!(!column.ends_with(ending) || about.ends_with(unit), "{column}: {about}");
            }
        }
    }
}

#[test]
fn every_format_has_the_same_bytes_whatever_the_threads_and_the_order_of_rows() {
    let folder = Folder::new();
    let site = sample("fuel-depot");
    for (name, text) in contents(&site) {
        let text = String::from_utf8(text).expect("text");
        let text = if name.to_ascii_lowercase().ends_with(".csv") && !name.contains("measuring") {
            let (heading, rows) = text.split_once('\n').expect("rows");
            let mut rows: Vec<&str> = rows.lines().collect();
            rows.reverse();
            format!("{heading}\n{}\n", rows.join("\n"))
        } else {
            text
        };
        folder.file(&format!("reversed/{name}"), text);
    }
    let mut runs = Vec::new();
    for (k, (site, threads)) in
        [(&*site, "1"), (&site, "2"), (&site, "7"), (&folder.path().join("reversed"), "2")]
            .into_iter()
            .enumerate()
    {
        let out = folder.path().join(format!("map {k}"));
        let formats = all_formats();
        let more = [&formats[..], &["--format", "dxf", "--threads", threads]].concat();
        assert!(draw(site, &out, &more).status.success(), "drawn");
        runs.push(contents(&out));
    }
    let names: Vec<&String> = runs[0].keys().collect();
    assert!(names.len() > 40, "files of all formats: {names:?}");
    for (k, run) in runs.iter().enumerate() {
        assert_eq!(run.keys().collect::<Vec<_>>(), names, "run {k}");
        for (name, bytes) in run {
            // The account names lines of the files and their hashes; heads stand in their order.
            let account = ["summary.json", "heads.csv", "report.html", "files.sha256"];
            let told = k == 3 && account.contains(&name.as_str());
            assert!(told || *bytes == runs[0][name], "run {k} changes {name}");
        }
    }
}

#[test]
fn formats_of_the_site_and_of_the_command_line_are_written_once_each() {
    let folder = Folder::new();
    let toml = "[site]\nname = \"A\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"m\"\n\
                vertical_datum = \"local\"\n\n[output]\nformats = [\"csv\", \"shapefile\"]\n";
    folder.file("site.toml", toml);
    folder.file("wells.csv", "id,x,y\nA,480000,4980000\nB,480100,4980000\nC,480000,4980100\n");
    folder.file("rounds/a.csv", "id,head\nA,10\nB,9\nC,9.5\n");
    let out = folder.path().join("map");
    let output = draw(folder.path(), &out, &["--format", "shapefile", "--format", "flatgeobuf"]);
    ends(&output, 0);
    let text = std::fs::read(out.join("summary.json")).expect("a summary");
    let summary: Value = serde_json::from_slice(&text).expect("JSON");
    let formats = &summary["options"]["formats"];
    assert_eq!(*formats, serde_json::json!(["shapefile", "flatgeobuf", "csv"]));
    let files: Vec<&str> =
        summary["files"].as_array().expect("files").iter().filter_map(Value::as_str).collect();
    for folder in ["layers-csv", "layers-shapefile", "layers-flatgeobuf"] {
        assert!(files.contains(&folder) && out.join(folder).is_dir(), "{folder}");
    }
    // A second run replaces its own files in these folders and leaves the user's alone.
    let again = || draw(folder.path(), &out, &[]);
    assert!(again().status.success(), "drawn again");
    std::fs::write(out.join("layers-csv/notes.txt"), "mine").expect("a file");
    let before = contents(&out);
    assert!(again().status.success(), "drawn a third time");
    assert!(contents(&out) == before, "the same map, and the notes");
}

#[test]
fn a_format_that_does_not_exist_is_refused_with_those_that_do() {
    let folder = Folder::new();
    let (site, out) = (sample("fuel-depot"), folder.path().join("map"));
    // Such formats are read as features; none is written.
    for name in ["paper", "mapinfo", "file-geodatabase"] {
        let output = draw(&site, &out, &["--format", name]);
        assert_eq!(output.status.code(), Some(4));
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(said.contains(name) && FORMATS.iter().all(|f| said.contains(f)), "{said}");
        let settings = std::fs::read_to_string(site.join("site.toml")).expect("settings");
        folder
            .file("site.toml", format!("{settings}\n[output]\nformats = [\"csv\", \"{name}\"]\n"));
        let output = draw(folder.path(), &out, &[]);
        assert_eq!(output.status.code(), Some(2));
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(said.contains(&format!("\"{name}\"")), "{said}");
        assert!(FORMATS.iter().all(|f| said.contains(f)), "{said}");
        assert!(!out.exists(), "nothing is written");
    }
}
