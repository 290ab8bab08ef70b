//! `headfall compare`: what changed between two rounds.

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
