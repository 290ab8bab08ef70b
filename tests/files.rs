//! Every file of a map, opened again by the libraries that a GIS is built on.

use std::path::Path;

use gdal::vector::LayerAccess;
use gdal::{Dataset, Metadata};

use crate::support::{Folder, SITES, json, runs, sample};

fn draw(site: &str, out: &Path) {
    runs(&["draw", "--quiet", "--out"], &[out, &sample(site)]);
}

#[test]
fn gdal_opens_every_layer_and_counts_what_the_summary_counts() {
    for &site in SITES {
        let folder = Folder::new();
        let out = folder.path().join("map");
        draw(site, &out);
        let counts = json(out.join("summary.json"))["counts"].clone();
        for (file, count) in [("triangles.geojson", "triangles"), ("flow.geojson", "triangles")] {
            let data = Dataset::open(out.join(file)).expect("GDAL opens it");
            let layer = data.layer(0).expect("a layer");
            assert_eq!(Some(layer.feature_count()), counts[count].as_u64(), "{site} {file}");
        }
        // A contour is written in stretches, each supported or inferred throughout.
        let contours = Dataset::open(out.join("contours.geojson")).expect("GDAL opens it");
        let mut layer = contours.layer(0).expect("a layer");
        let lines: std::collections::BTreeSet<i32> = layer
            .features()
            .filter_map(|f| f.field_index("line").and_then(|i| f.field_as_integer(i)).ok()?)
            .collect();
        assert_eq!(Some(lines.len() as u64), counts["contours"].as_u64(), "{site} contours");
        let wells = Dataset::open(out.join("wells.geojson")).expect("GDAL opens it");
        let mut layer = wells.layer(0).expect("a layer");
        let used = layer.features().filter(|f| {
            let used = f.field_index("used").and_then(|i| f.field_as_integer(i)).expect("used");
            used == Some(1)
        });
        let streams = out.join("stream-points.geojson");
        let along = if streams.exists() {
            let streams = Dataset::open(streams).expect("GDAL opens it");
            streams.layer(0).expect("a layer").feature_count()
        } else {
            0
        };
        let control = used.count() as u64 + along;
        assert_eq!(Some(control), counts["control_points"].as_u64(), "{site} used");
    }
}

#[test]
fn gdal_reads_the_surface_in_the_sites_crs_with_its_heads() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    draw("closed-landfill", &out);
    let data = Dataset::open(out.join("surface.tif")).expect("GDAL opens it");
    let summary = json(out.join("summary.json"));
    assert_eq!(
        data.spatial_ref().expect("a CRS").auth_code().expect("a code"),
        26912,
        "the project CRS"
    );
    let grid = &summary["grid"];
    let (columns, rows) = data.raster_size();
    assert_eq!(grid["columns"].as_u64(), Some(columns as u64), "columns");
    assert_eq!(grid["rows"].as_u64(), Some(rows as u64), "rows");
    let band = data.rasterband(1).expect("a band");
    assert_eq!(band.unit(), "m", "the unit of heads");
    assert!(band.no_data_value().is_some_and(f64::is_nan), "nodata is declared");
    assert!(data.metadata().count() > 0, "metadata");
    // The node nearest a well holds that well's head but for the slope over half a cell.
    let transform = data.geo_transform().expect("a transform");
    let values = band.read_band_as::<f32>().expect("values");
    let cell = grid["cell"].as_f64().expect("a cell");
    let steepest = 0.05;
    let mut reader = csv::Reader::from_path(out.join("heads.csv")).expect("heads");
    let mut looked = 0;
    for row in reader.deserialize::<std::collections::HashMap<String, String>>() {
        let row = row.expect("a row");
        if row["used_for_contouring"] != "yes" {
            continue;
        }
        let number = |name: &str| row[name].parse::<f64>().expect("a number");
        let column = (number("easting") - transform[0]) / transform[1];
        let line = (number("northing") - transform[3]) / transform[5];
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "wells stand inside the raster"
        )]
        let (line, column) = (line as usize, column as usize);
        let value = f64::from(values.data()[line * columns + column]);
        if value.is_finite() {
            looked += 1;
            let head = number("head_m");
            assert!((value - head).abs() < steepest * cell, "{value} at a well of {head}");
        }
    }
    assert!(looked >= 5, "wells with a node beside them: {looked}");
}

#[test]
fn rasters_that_a_later_run_does_not_have_are_taken_away() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    let site = sample("closed-landfill");
    let names = |options: &[&str]| {
        runs(&[&["draw", "--quiet"], options, &["--out"]].concat(), &[&out, &site]);
        let mut names: Vec<String> = std::fs::read_dir(&out)
            .expect("a folder")
            .map(|e| e.expect("an entry").file_name().into_string().expect("a name"))
            .filter(|n| n.rsplit_once('.').is_some_and(|(_, end)| end == "tif"))
            .collect();
        names.sort();
        names
    };
    assert_eq!(names(&["--rasters"]), ["direction-spread.tif", "head-sd.tif", "surface.tif"]);
    assert_eq!(names(&["--surface", "kriging"]), ["surface-sd.tif", "surface.tif"]);
    let sd = Dataset::open(out.join("surface-sd.tif")).expect("GDAL opens it");
    let band = sd.rasterband(1).expect("a band");
    assert_eq!(band.unit(), "m");
    assert_eq!(names(&[]), ["surface.tif"]);
}
