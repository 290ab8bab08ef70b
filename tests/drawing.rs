//! `layers.dxf`, opened again by GDAL and held against the GeoPackage, the tables and sums by hand.
//!
//! Units of drawings are those of the DXF reference, `$INSUNITS`: 2 feet, 6 metres, 21 US survey feet.

use std::collections::BTreeSet;
use std::path::Path;

use gdal::Dataset;
use gdal::vector::{Feature, LayerAccess};

use crate::support::{Folder, contents, json, near, recorded, runs, sample, text};

const PLAN: &str = include_str!("data/local/site-plan.csv");

/// What is on a layer of a drawing.
#[derive(Debug)]
struct Drawn {
    layer: String,
    text: String,
    points: Vec<(f64, f64, f64)>,
}

fn word(feature: &Feature, column: &str) -> String {
    let index = feature.field_index(column).expect("a column");
    feature.field_as_string(index).expect("text").unwrap_or_default()
}

fn points(feature: &Feature) -> Vec<(f64, f64, f64)> {
    let mut points = Vec::new();
    feature.geometry().expect("a place").get_points(&mut points);
    points
}

fn drawing(out: &Path) -> Vec<Drawn> {
    let data = Dataset::open(out.join("layers.dxf")).expect("GDAL opens it");
    let mut layer = data.layer_by_name("entities").expect("entities");
    layer
        .features()
        .map(|f| Drawn { layer: word(&f, "Layer"), text: word(&f, "Text"), points: points(&f) })
        .collect()
}

/// The value of a variable in the header.
fn variable(out: &Path, name: &str) -> String {
    let text = text(out.join("layers.dxf"));
    let mut lines = text.lines().skip_while(|line| *line != name);
    lines.nth(2).expect("a value").to_owned()
}

/// Every contour of the GeoPackage is in the drawing, at its level, on the layer that says whether it is
/// inferred, and nothing else is.
///
/// # Units
/// - `per_unit`: units of the drawing in a metre
fn same_contours(out: &Path, drawn: &[Drawn], per_unit: f64, most: f64) {
    let data = Dataset::open(out.join("layers.gpkg")).expect("GDAL opens it");
    let mut layer = data.layer_by_name("contours").expect("contours");
    let contours = || drawn.iter().filter(|d| d.layer.starts_with("contours") && d.text.is_empty());
    assert_eq!(contours().count() as u64, layer.feature_count());
    let (mut inferred, mut heavy) = (0, 0);
    for (feature, drawn) in layer.features().zip(contours()) {
        let number = |name: &str| {
            let index = feature.field_index(name).expect("a column");
            feature.field_as_double(index).expect("a number").expect("a value")
        };
        let course = points(&feature);
        assert_eq!(drawn.points.len(), course.len());
        for (found, expected) in drawn.points.iter().zip(&course) {
            near(found.0, expected.0, 1e-9 * expected.0.abs());
            near(found.1, expected.1, 1e-9 * expected.1.abs());
            near(found.2, number("level_m") * per_unit, most);
        }
        assert_eq!(drawn.layer.ends_with("_inferred"), number("inferred") > 0.5, "{drawn:?}");
        inferred += usize::from(drawn.layer.ends_with("_inferred"));
        heavy += usize::from(drawn.layer.contains("_index"));
    }
    assert!(inferred > 0 && heavy > 0, "{inferred} inferred, {heavy} heavy");
}

#[test]
fn contours_and_wells_of_a_drawing_are_those_of_the_geopackage() {
    let folder = Folder::new();
    // NIST Special Publication 811, appendix B: 3937 US survey feet are 1200 m.
    for (name, per_metre, unit) in
        [("closed-landfill", 1.0, "6"), ("fuel-depot", 3937.0 / 1200.0, "21")]
    {
        let (site, out) = (sample(name), folder.at(name));
        runs(&["draw", "--format", "dxf", "--out"], &[&out, &site]);
        let drawn = drawing(&out);
        // Heads of the GeoPackage in metres have four decimals.
        same_contours(&out, &drawn, per_metre, 1e-4 * per_metre);
        assert_eq!(variable(&out, "$INSUNITS").trim(), unit);
        let data = Dataset::open(out.join("layers.gpkg")).expect("GDAL opens it");
        let mut layer = data.layer_by_name("wells").expect("wells");
        let on = |name: &'static str| drawn.iter().filter(move |d| d.layer == name);
        let (mut used, mut others) = (on("wells"), on("wells_not_used"));
        for feature in layer.features() {
            let number = |name: &str| {
                let index = feature.field_index(name).expect("a column");
                feature.field_as_double(index).expect("a number")
            };
            let is_used = number("used").expect("a value") > 0.5;
            let found = if is_used { used.next() } else { others.next() };
            let (x, y, z) = found.expect("a point").points[0];
            let place = points(&feature)[0];
            near(x, place.0, 1e-4);
            near(y, place.1, 1e-4);
            // A head that is not used bends no surface.
            let head = if is_used { number("head_m").expect("a head") * per_metre } else { 0.0 };
            near(z, head, 1e-4 * per_metre);
        }
        assert!(used.next().is_none() && others.next().is_none());
        assert!(on("wells_not_used").count() > 1, "{name}");
        // Arrows are where the GeoPackage has a direction that deserves trust.
        let flow = drawn.iter().filter(|d| d.layer.starts_with("arrows")).count();
        let triangles = json(out.join("summary.json"))["counts"]["triangles"].as_u64();
        assert!(flow > 5 && flow as u64 <= triangles.expect("a count"), "{flow}");
        // None has a text of GDAL's codes, and long ones are whole.
        let notes =
            drawn.iter().find(|d| d.layer == "notes").expect("notes").text.replace('\n', " ");
        let rule = &json(out.join("contours.geojson"))["inferred_rule"];
        assert!(notes.contains(rule.as_str().expect("a rule")), "{notes}");
        assert!(drawn.iter().all(|d| !d.text.contains('\\')), "{drawn:#?}");
    }
}

#[test]
fn a_plan_is_drawn_without_asking() {
    let folder = Folder::new();
    let (table, out, bare) = (folder.file("plan.csv", PLAN), folder.at("out"), folder.at("bare"));
    let local = ["draw", "--crs", "local", "--unit", "ft"];
    runs(&[&local[..], &["--out"]].concat(), &[&out, &table]);
    let drawn = drawing(&out);
    same_contours(&out, &drawn, 1.0 / 0.3048, 5e-4);
    assert_eq!(variable(&out, "$INSUNITS").trim(), "2");
    assert!(recorded(&out).contains_key("layers.dxf"));
    let options = &json(out.join("summary.json"))["options"];
    assert_eq!(options["formats"], serde_json::json!(["dxf"]));
    // By hand: 100.00 - 6.42 ft at (12.5, 188.0), and so on.
    let labels: BTreeSet<&str> =
        drawn.iter().filter(|d| d.layer == "wells_labels").map(|d| d.text.as_str()).collect();
    let expected =
        ["MW-1\n93.58", "MW-2\n93.10", "MW-3\n92.32", "MW-4\n92.82", "MW-5\n92.25", "MW-6\n91.49"];
    assert_eq!(labels, BTreeSet::from(expected));
    let first = drawn.iter().find(|d| d.layer == "wells").expect("a well");
    let places = [(12.5, 188.0, 93.58), (25.1, 15.8, 92.25)];
    assert!(places.contains(&first.points[0]), "{first:?}");
    let notes = drawn.iter().find(|d| d.layer == "notes").expect("notes");
    for words in
        ["Heads: ft, vertical datum not given", "every 0.2 ft", "site north is up", "inferred"]
    {
        assert!(notes.text.contains(words), "{words}: {}", notes.text);
    }
    // Where only programs look at the results, it is asked for.
    runs(&[&local[..], &["--data-only", "--out"]].concat(), &[&bare, &table]);
    assert!(!bare.join("layers.dxf").exists());
    let asked = [&local[..], &["--data-only", "--format", "dxf", "--out"]].concat();
    runs(&asked, &[&bare, &table]);
    assert!(contents(&bare)["layers.dxf"] == contents(&out)["layers.dxf"], "the same drawing");
    // On earth it is asked for too, and taken away by a run that does not ask.
    let (depot, out) = (sample("fuel-depot"), folder.at("depot"));
    runs(&["draw", "--format", "dxf", "--out"], &[&out, &depot]);
    assert!(out.join("layers.dxf").is_file());
    runs(&["draw", "--out"], &[&out, &depot]);
    assert!(!out.join("layers.dxf").exists());
}

#[test]
fn flow_paths_are_on_a_layer_for_each_role() {
    let folder = Folder::new();
    let (site, out) = (sample("closed-landfill"), folder.at("out"));
    runs(&["toward", "--format", "dxf", "--out"], &[&out, &site]);
    let drawn = drawing(&out);
    let data = Dataset::open(out.join("layers.gpkg")).expect("GDAL opens it");
    let mut layer = data.layer_by_name("paths").expect("paths");
    let mut roles = BTreeSet::new();
    for (feature, drawn) in
        layer.features().zip(drawn.iter().filter(|d| d.layer.starts_with("paths_")))
    {
        let role = word(&feature, "role");
        assert_eq!(drawn.layer, format!("paths_{}", role.replace(' ', "_")));
        assert_eq!(drawn.points.len(), points(&feature).len());
        roles.insert(role);
    }
    assert!(roles.len() > 1, "{roles:?}");
    // The notes are below all that is drawn.
    let lowest = |notes: bool| {
        let on = drawn.iter().filter(move |d| (d.layer == "notes") == notes);
        on.flat_map(|d| d.points.iter()).map(|p| p.1).fold(f64::INFINITY, f64::min)
    };
    assert!(lowest(true) < lowest(false));
}

#[test]
fn elevations_have_the_unit_of_the_drawing() {
    // Plan in metres, heads in feet.
    let table = PLAN.replace("X (ft),Y (ft)", "X (m),Y (m)");
    let folder = Folder::new();
    let (table, out) = (folder.file("plan.csv", table), folder.at("out"));
    runs(&["draw", "--crs", "local", "--out"], &[&out, &table]);
    let drawn = drawing(&out);
    assert_eq!(variable(&out, "$INSUNITS").trim(), "6");
    same_contours(&out, &drawn, 1.0, 1e-4);
    // By hand: (100.00 - 6.42) ft * 0.3048 m/ft.
    let well = drawn.iter().find(|d| d.layer == "wells" && (d.points[0].0 - 12.5).abs() < 1e-9);
    near(well.expect("MW-1").points[0].2, 28.5232, 5e-5);
    // And its label the feet that were read.
    assert!(drawn.iter().any(|d| d.text == "MW-1\n93.58"));
}

#[test]
fn names_are_words_and_no_commands() {
    let table = PLAN.replace("MW-1,", r"{\H9;MW}%%dé井,");
    let folder = Folder::new();
    let (table, out) = (folder.file("plan.csv", table), folder.at("out"));
    runs(&["draw", "--crs", "local", "--unit", "ft", "--out"], &[&out, &table]);
    let labels = drawing(&out).into_iter().filter(|d| d.layer == "wells_labels");
    let labels: Vec<String> = labels.map(|d| d.text).collect();
    assert!(labels.iter().any(|l| l == "(/H9;MW)% %dé井\n93.58"), "{labels:?}");
}
