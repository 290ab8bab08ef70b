//! `headfall compare`: what changed between two rounds.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use gdal::{Dataset, Metadata as _};
use serde_json::Value;

use crate::batch::{AUTUMN, OfRound, SPRING, site};
use crate::support::{Folder, ends, headfall, json, keeps_schema, near, runs, stderr, table};

/// The change from [`SPRING`] to [`AUTUMN`] at a place, m from the first well: both rounds have the same bumps at the
/// wells, so that what is left is the difference of two planes.
fn change(x: f64, y: f64) -> f64 {
    -AUTUMN.fall - (AUTUMN.steep - SPRING.steep) * (0.004 * x + 0.002 * y)
}

fn number(cell: &str) -> f64 {
    cell.parse().expect("a number")
}

#[test]
fn changes_of_wells_and_their_surface_are_those_of_the_heads() {
    let folder = Folder::new();
    site(folder.path(), "Yard", &[SPRING, AUTUMN]);
    // Which is the earlier the days say, not the order in which they are named.
    runs(&["compare", "--quiet"], &[folder.path(), Path::new("2025-10"), Path::new("2025-04")]);
    let out = folder.path().join("out/changes/2025-04 to 2025-10");
    let rows = table(out.join("changes.csv"));
    assert_eq!(rows.len(), 12);
    for row in &rows {
        let w: usize = row["well"].trim_start_matches("W-").parse().expect("a number");
        let (x, y) = (40.0 * (w % 4) as f64, 40.0 * (w / 4) as f64);
        if AUTUMN.missing.contains(&w) {
            assert_eq!((row["change"].as_str(), row["on_map"].as_str()), ("", "false"));
            assert_eq!(row["why_none"], "no head in 2025-10");
            continue;
        }
        // Depths are written to a millimetre.
        near(number(&row["change"]), change(x, y), 0.0011);
        near(number(&row["later"]) - number(&row["earlier"]), number(&row["change"]), 1e-9);
        assert_eq!((row["way"].as_str(), row["unit"].as_str()), ("fell", "m"));
        assert!(number(&row["change_low"]) < change(x, y) && number(&row["change_high"]) < 0.0);
    }
    // The surface at every node: linear between wells whose changes are on a plane, to a millimetre of the depths.
    let raster = Dataset::open(out.join("change.tif")).expect("GDAL opens it");
    let [west, cell, _, north, _, _] = raster.geo_transform().expect("a place");
    let band = raster.rasterband(1).expect("a band");
    assert_eq!(band.description().expect("words"), "change of head");
    let (columns, lines) = raster.raster_size();
    let none = band.no_data_value().expect("a value");
    let nodes = band.read_as::<f64>((0, 0), (columns, lines), (columns, lines), None);
    let nodes = nodes.expect("nodes");
    let mut seen = 0;
    for (i, value) in nodes.data().iter().enumerate() {
        #[expect(clippy::float_cmp, reason = "the very value that says there is none")]
        if *value == none {
            continue;
        }
        let x = west + cell * ((i % columns) as f64 + 0.5) - 440_000.0;
        let y = north - cell * ((i / columns) as f64 + 0.5) - 4_650_000.0;
        near(*value, change(x, y), 0.0012);
        assert!((39.9..120.1).contains(&x), "the western wells were not read in autumn");
        seen += 1;
    }
    assert!(seen > 10_000, "{seen}");
    // Lines of equal change.
    let lines = json(out.join("change-contours.geojson"));
    let lines = lines["features"].as_array().expect("features");
    assert!(lines.len() > 3);
    for line in lines {
        let level = line["properties"]["change"].as_f64().expect("a number");
        assert!((-2.0..-1.0).contains(&level), "{level}");
    }
    let account = json(out.join("changes.json"));
    keeps_schema("changes", &account);
    assert_eq!(account["rounds"], serde_json::json!(["2025-04", "2025-10"]));
    assert_eq!(account["in_words"], "0 wells rose, 9 fell, of 0 neither is shown");
    // What is written can be made again from its record.
    let verified = runs(&["verify", "--redraw", "--json"], &[&out]);
    let verified: Value = serde_json::from_slice(&verified.stdout).expect("JSON");
    assert_eq!(verified["again"], "same");
}

#[test]
fn two_rounds_that_share_too_few_wells_have_changes_and_no_surface() {
    const FEW: OfRound = OfRound {
        name: "2025-07",
        fall: 0.1,
        steep: 1.0,
        missing: &[2, 3, 4, 5, 6, 7, 8, 9, 10, 11],
    };
    let folder = Folder::new();
    site(folder.path(), "Yard", &[SPRING, FEW]);
    runs(&["compare", "--quiet"], &[folder.path(), Path::new("2025-04"), Path::new("2025-07")]);
    let out = folder.path().join("out/changes/2025-04 to 2025-07");
    let rows = table(out.join("changes.csv"));
    assert_eq!(rows.iter().filter(|row| !row["change"].is_empty()).count(), 2);
    assert!(!out.join("change.tif").exists());
    let account = json(out.join("changes.json"));
    keeps_schema("changes", &account);
    assert!(
        account["why_no_surface"].as_str().is_some_and(|why| why.starts_with("C3")),
        "{account}"
    );
    // One round is none too many to compare.
    let same = [folder.path(), Path::new("2025-04"), Path::new("2025-04-12")];
    let output = headfall(&["compare"], &same);
    ends(&output, 2);
    assert!(stderr(&output).contains("are one round"), "{}", stderr(&output));
    assert!(fs::read_dir(folder.path().join("out/changes")).expect("a folder").count() == 1);
}

/// Volume and sheet of the changes between [`SPRING`] and [`AUTUMN`]: they are a plane over the 80 m by 80 m of the nine wells
/// that both rounds have.
#[test]
fn a_declared_specific_yield_gives_the_volume_of_water() {
    let folder = Folder::new();
    site(folder.path(), "Yard", &[SPRING, AUTUMN]);
    let toml = folder.path().join("site.toml");
    let settings = fs::read_to_string(&toml).expect("text");
    fs::write(&toml, settings + "\n[aquifer]\nspecific_yield = [0.1, 0.2]\n").expect("written");
    runs(&["compare", "--quiet"], &[folder.path(), Path::new("2025-04"), Path::new("2025-10")]);
    let out = folder.path().join("out/changes/2025-04 to 2025-10");
    let volume = &json(out.join("changes.json"))["volume"];
    let of = |name: &str| volume[name].as_f64().expect("a number");
    // UTM is 0.9996 true to scale or nearly so there: 80.03 m on the ground.
    near(of("area_m2"), 6400.0, 64.0);
    let mean = change(80.0, 40.0);
    near(of("mean_change_m"), mean, 0.003);
    assert_eq!(volume["risen_m3"], 0.0, "no node is above the plane of the fall");
    near(of("fallen_m3"), -mean * 6400.0, 96.0);
    let (low, high) = (of("mean_change_low_m"), of("mean_change_high_m"));
    // A reading is good to some millimetres, and all wells may be wrong the same way.
    assert!(low < mean - 0.003 && high > mean + 0.003 && high - low < 0.1, "{low} {high}");
    near(of("water_low_m3"), 0.2 * low * of("area_m2"), 0.1);
    near(of("water_high_m3"), 0.1 * high * of("area_m2"), 0.1);
    let sheet = fs::read_to_string(out.join("change.svg")).expect("text");
    let document = roxmltree::Document::parse(&sheet).expect("XML");
    let words: Vec<&str> = document.descendants().filter_map(|n| n.text()).collect();
    let has = |part: &str| words.iter().any(|words| words.contains(part));
    for part in ["Change of head", "Volume", "m³", "2025-04 to 2025-10", "±"] {
        assert!(has(part), "{part}: {words:?}");
    }
    // No direction of flow is in a change of head.
    assert!(!has("flow direction") && !has("hydraulic gradient"), "{words:?}");
    // The well that one round alone has is shown with the reason.
    assert!(has("not on the map of 2025-10"), "{words:?}");
}

/// Ten years of a real network: the changes of 76 wells, and the surface through them at every node, as SciPy has it.
///
/// Data: US Geological Survey, CC0; `data/record/change.py` made the fixture with SciPy's `LinearNDInterpolator`.
#[test]
fn the_surface_of_changes_is_that_of_scipy_at_every_node() {
    let fixture: Value =
        serde_json::from_str(include_str!("data/record/change.json")).expect("JSON");
    let wells = fixture["wells"].as_object().expect("wells");
    let (mut register, mut rounds) = ("id,easting,northing\n".to_owned(), Vec::new());
    for (well, of) in wells {
        writeln!(register, "{well},{},{}", of["easting"], of["northing"]).expect("text");
    }
    for (round, name) in [("from", "1995"), ("to", "2005")] {
        let mut text = "id,date,elevation\n".to_owned();
        for (well, of) in wells {
            let day = &of[round][0].as_str().expect("a time")[..10];
            writeln!(text, "{well},{day},{}", of[round][1]).expect("text");
        }
        rounds.push((name, text));
    }
    let folder = Folder::new().with("wells.csv", register).with(
        "site.toml",
        "[site]\nname = \"Plain\"\ncrs = \"EPSG:26912\"\nelevation_unit = \"ft\"\n\
         vertical_datum = \"NAVD 88\"\n[round]\nwindow_hours = 1500\n",
    );
    for (name, text) in rounds {
        folder.file(&format!("rounds/{name}.csv"), text);
    }
    runs(
        &["compare", "--quiet", "--cell", "4000"],
        &[folder.path(), Path::new("1995"), Path::new("2005")],
    );
    let out = folder.path().join("out/changes/1995 to 2005");
    let rows = table(out.join("changes.csv"));
    assert_eq!(rows.len(), 76);
    for row in &rows {
        near(
            number(&row["change"]),
            wells[&row["well"]]["change"].as_f64().expect("a number"),
            1e-9,
        );
    }
    let raster = Dataset::open(out.join("change.tif")).expect("GDAL opens it");
    let [west, cell, _, north, _, _] = raster.geo_transform().expect("a place");
    let size = raster.raster_size();
    let band = raster.rasterband(1).expect("a band");
    let heads = band.read_as::<f64>((0, 0), size, size, None).expect("nodes");
    let mut found = Vec::new();
    for (i, value) in heads.data().iter().enumerate().filter(|(_, value)| value.is_finite()) {
        let x = west + cell * ((i % size.0) as f64 + 0.5);
        let y = north - cell * ((i / size.0) as f64 + 0.5);
        found.push((y.round(), x.round(), *value));
    }
    found.sort_by(|a, b| a.partial_cmp(b).expect("numbers"));
    let nodes = fixture["nodes"].as_array().expect("nodes");
    assert_eq!((found.len(), nodes.len()), (174, 174));
    let node = |node: &Value, i: usize| node[i].as_f64().expect("a number");
    for ((y, x, value), expected) in found.iter().zip(nodes) {
        near(*x, node(expected, 0), 1e-6);
        near(*y, node(expected, 1), 1e-6);
        // The raster has single precision.
        near(*value, node(expected, 2), 2e-6);
    }
}
