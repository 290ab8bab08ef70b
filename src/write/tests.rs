//! The files, opened again by others: the geojson and csv crates, GDAL, a JSON schema validator.
#![expect(clippy::disallowed_methods, reason = "a test looks at what was written")]
#![expect(clippy::unwrap_used, reason = "a test may panic")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use gdal::Dataset;
use gdal::Metadata;
use gdal::vector::LayerAccess;
use geo::{Area, Coord, Geometry, LineString, Point, Polygon, Validation};
use geojson::{FeatureCollection, GeoJson};
use serde_json::Value;
use tempfile::TempDir;

use super::fixture::{Fixture, lattice};
use super::write;
use crate::diag::Origin;
use crate::error::Error;
use crate::read::{Barrier, Features, Place, Stream, VectorFormat};

const LAYERS: [&str; 4] =
    ["contours.geojson", "flow.geojson", "triangles.geojson", "wells.geojson"];

/// Four wells, two triangles, a grid of 5 by 5 nodes in UTM zone 15 north.
fn small() -> Fixture {
    lattice("EPSG:26915", Coord { x: 480_000.0, y: 4_980_000.0 }, 100.0, 2, 4)
}

fn written(fixture: &Fixture) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let written = write(&fixture.results(), &out).unwrap();
    let mut found: Vec<_> = fs::read_dir(&out).unwrap().map(|e| e.unwrap().path()).collect();
    found.sort();
    assert_eq!(found, written.files, "each file that is there is told, and nothing else is there");
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "no staging folder is left");
    folder
}

fn text(folder: &TempDir, name: &str) -> String {
    fs::read_to_string(folder.path().join("out").join(name)).unwrap()
}

fn features(folder: &TempDir, name: &str) -> FeatureCollection {
    match text(folder, name).parse::<GeoJson>().unwrap() {
        GeoJson::FeatureCollection(collection) => collection,
        other => panic!("{other}"),
    }
}

fn properties(folder: &TempDir, name: &str) -> Vec<Value> {
    features(folder, name).features.into_iter().map(|f| f.properties.unwrap().into()).collect()
}

fn geometries(folder: &TempDir, name: &str) -> Vec<Geometry> {
    let features = features(folder, name).features;
    features.into_iter().map(|f| f.geometry.unwrap().try_into().unwrap()).collect()
}

/// The decimals of every coordinate of a layer, as written.
fn decimals_as_written(text: &str) -> Vec<usize> {
    text.split("\"coordinates\":")
        .skip(1)
        .flat_map(|rest| rest.split('}').next().unwrap().split(['[', ']', ',']))
        .filter(|t| t.parse::<f64>().is_ok())
        .map(|t| t.split_once('.').map_or(0, |(_, d)| d.len()))
        .collect()
}

#[test]
fn every_layer_keeps_the_rules_of_rfc_7946() {
    let folder = written(&small());
    for (name, count) in LAYERS.into_iter().zip([2, 2, 2, 5]) {
        let text = text(&folder, name);
        assert_eq!(features(&folder, name).features.len(), count, "{name}");
        // One feature a line, between a head and a foot line.
        assert_eq!(text.lines().count(), count + 2, "{name}");
        // RFC 7946, section 4: no crs member. RFC 8259: no NaN.
        let top: Value = serde_json::from_str(&text).unwrap();
        let members: Vec<_> = top.as_object().unwrap().keys().collect();
        let rule = (name == "contours.geojson").then_some("inferred_rule");
        let basis = (name == "triangles.geojson").then_some("direction_interval");
        let known: Vec<_> =
            basis.into_iter().chain(["features"]).chain(rule).chain(["type"]).collect();
        assert_eq!(members, known, "{name}");
        let words = text.split(|c: char| !c.is_alphanumeric());
        assert!(words.clone().all(|w| w != "NaN" && w != "inf"), "{name}");
        let decimals = decimals_as_written(&text);
        assert!(decimals.iter().all(|d| *d <= 8), "{name}");
        // Section 3.1.1: longitude and latitude and no third number. Four positions to a triangle.
        let positions = match name {
            "contours.geojson" => 2 + 4,
            "triangles.geojson" => 4 * count,
            _ => count,
        };
        assert_eq!(decimals.len(), 2 * positions, "{name}");
        for geometry in geometries(&folder, name) {
            assert!(geometry.is_valid(), "{name}");
            if let Geometry::Polygon(p) = geometry {
                // Section 3.1.6: counter-clockwise, closed, four positions or more.
                assert!(p.signed_area() > 0.0, "{name}");
                assert!(p.exterior().0.len() >= 4 && p.exterior().is_closed(), "{name}");
            }
        }
        for feature in top["features"].as_array().unwrap() {
            let members: Vec<_> = feature.as_object().unwrap().keys().collect();
            assert_eq!(members, ["geometry", "properties", "type"], "{name}");
        }
    }
}

#[test]
fn a_well_stands_at_its_published_longitude_and_latitude() {
    // GDA Technical Manual v2.3: Flinders Peak, GDA94 37 57 03.7203 S, 144 25 29.5244 E, MGA zone
    // 55 273741.297, 5796489.777. GDA94 and WGS 84 are one for PROJ (EPSG:1150, all zero).
    let origin = Coord { x: 273_741.297, y: 5_796_489.777 };
    let folder = written(&lattice("EPSG:28355", origin, 50.0, 2, 1));
    let Geometry::Point(p) = geometries(&folder, "wells.geojson")[0] else { panic!("a point") };
    assert!((p.x() - (144.0 + 25.0 / 60.0 + 29.5244 / 3600.0)).abs() < 1.5e-8, "{p:?}");
    assert!((p.y() + (37.0 + 57.0 / 60.0 + 3.7203 / 3600.0)).abs() < 1.5e-8, "{p:?}");
}

#[test]
fn wells_carry_heads_in_both_units_and_those_not_used_say_why() {
    let wells = properties(&written(&small()), "wells.geojson");
    // 900 ft is 274.32 m by definition of the foot; the second well stands 100 m east, 1 ft higher.
    assert_eq!(wells[0]["id"], "=W", "names are changed in tables only");
    assert_eq!((&wells[0]["head_ft"], &wells[0]["head_m"]), (&900.0.into(), &274.32.into()));
    assert_eq!((&wells[1]["head_ft"], &wells[1]["head_m"]), (&901.0.into(), &274.6248.into()));
    assert_eq!((&wells[1]["kind"], &wells[1]["used"]), (&"gauge".into(), &true.into()));
    assert_eq!(wells[0]["depth_to_water_m"], 3.048);
    assert_eq!(wells[0]["measuring_point_elevation_ft"], 910.0);
    assert_eq!(wells[0]["leave_one_out_residual_m"], 0.1524);
    assert_eq!(wells[0]["plane_residual_m"], 0.0);
    assert_eq!(wells[0]["read_at"], "2026-04-14T09:00:00");
    assert_eq!((&wells[4]["id"], &wells[4]["used"]), (&"P-1".into(), &false.into()));
    assert_eq!(wells[4]["reason"], "pumping: not a static level");
    assert_eq!(wells[4]["head_m"], Value::Null);
}

#[test]
fn triangles_and_flow_carry_gradient_and_direction_and_a_flat_one_has_none() {
    let fixture = small();
    let folder = written(&fixture);
    let convergence = fixture.map.control.factors().convergence_deg;
    for (name, id) in [("triangles.geojson", "id"), ("flow.geojson", "triangle")] {
        let found = properties(&folder, name);
        assert_eq!((&found[0][id], &found[1][id]), (&1.into(), &2.into()));
        assert_eq!(found[0]["gradient"], 0.0);
        assert_eq!(found[0]["flow_azimuth_true_deg"], Value::Null);
        assert_eq!(found[0]["flow_azimuth_grid_deg"], Value::Null);
        assert_eq!(found[0]["marks"], serde_json::json!(["sliver", "long-hull-edge"]));
        // 0.01 ft in a metre, rising east: 0.003048, flow due west on the grid.
        assert_eq!(found[1]["gradient"], 0.003_048);
        assert_eq!(found[1]["flow_azimuth_grid_deg"], 270.0);
        let true_azimuth = found[1]["flow_azimuth_true_deg"].as_f64().unwrap();
        assert!((true_azimuth - 270.0 - convergence).abs() <= 0.005, "{true_azimuth}");
    }
    let triangle = &properties(&folder, "triangles.geojson")[1];
    assert_eq!(triangle["wells"], serde_json::json!(["=W", "W-3", "W-2"]));
    assert_eq!(triangle["heads_ft"], serde_json::json!([900.0, 901.0, 900.0]));
    assert_eq!(triangle["area_m2"], 5000.0);
}

#[test]
fn contours_carry_their_level_in_the_sites_unit_and_in_both() {
    let mut contours = properties(&written(&small()), "contours.geojson");
    // Both lie in the triangle that the fixture calls a sliver, at least in part.
    for (contour, line) in contours.iter_mut().zip([1, 2]) {
        let contour = contour.as_object_mut().unwrap();
        assert_eq!(contour.remove("line"), Some(line.into()));
        assert_eq!(contour.remove("inferred"), Some(true.into()));
        assert_eq!(contour.remove("band_capped"), Some(false.into()));
        // The default parts of a head's error at a depth of 10 ft, m, in squares; at a place in a
        // triangle between 1/3 (its middle) and all of it (a corner) counts. Gradient 0.003048.
        let depth: f64 = 10.0 * 0.3048;
        let lean = depth.hypot(0.01 * depth) - depth;
        let sd = (0.003_048_f64.powi(2) + (1e-4 * depth).powi(2) + 1e-4 + lean * lean).sqrt();
        let corner = 1.96 * sd / 0.003_048;
        for belonging in ["site", "round", "read_from", "read_to", "vertical_datum", "mapped_unit"]
        {
            assert!(contour.remove(belonging).is_some_and(|v| v.is_string()), "{belonging}");
        }
        let band = contour.remove("band_half_width_m").unwrap().as_f64().unwrap();
        assert!(band <= corner && band >= corner / 3f64.sqrt(), "{band} {corner}");
    }
    let expected = serde_json::json!([
        {"level": 900.25, "unit": "ft", "level_m": 274.3962, "level_ft": 900.25, "closed": false,
         "sign": "contour-inferred", "elevation_unit": "ft"},
        {"level": 900.5, "unit": "ft", "level_m": 274.4724, "level_ft": 900.5, "closed": true,
         "sign": "contour-inferred", "elevation_unit": "ft"},
    ]);
    assert_eq!(Value::from(contours), expected);
}

#[test]
fn gdal_opens_every_layer_where_the_wells_stand() {
    let fixture = small();
    let folder = written(&fixture);
    for (name, count) in LAYERS.into_iter().zip([2, 2, 2, 5]) {
        let dataset = Dataset::open(folder.path().join("out").join(name)).unwrap();
        let layer = dataset.layer(0).unwrap();
        assert_eq!(layer.feature_count(), count, "{name}");
        assert_eq!(layer.spatial_ref().unwrap().auth_code().unwrap(), 4326, "{name}");
        let extent = layer.get_extent().unwrap();
        // Zone 15 is central at 93 W; 480 000 m lies 20 km west of it, near 45 N.
        assert!(extent.MinX > -93.26 && extent.MaxX < -93.24, "{name} {extent:?}");
        assert!(extent.MinY > 44.96 && extent.MaxY < 44.99, "{name} {extent:?}");
    }
    let dataset = Dataset::open(folder.path().join("out/wells.geojson")).unwrap();
    let layer = dataset.layer(0).unwrap();
    let second = layer.feature(1).unwrap();
    let head = second.field_index("head_m").unwrap();
    assert_eq!(second.field_as_double(head).unwrap(), Some(274.6248));
}

#[test]
fn gdal_reads_the_surface_with_crs_nodes_unit_and_nodata() {
    let folder = written(&small());
    let dataset = Dataset::open(folder.path().join("out/surface.tif")).unwrap();
    assert_eq!(dataset.raster_size(), (5, 5));
    assert_eq!(dataset.spatial_ref().unwrap().auth_code().unwrap(), 26_915);
    // Nodes every 25 m from (480 000, 4 980 000); GDAL counts from the corner, 12.5 m out.
    let corner = [479_987.5, 25.0, 0.0, 4_980_112.5, 0.0, -25.0];
    for (found, expected) in dataset.geo_transform().unwrap().into_iter().zip(corner) {
        assert!((found - expected).abs() < 1e-6, "{found} is not {expected}");
    }
    for (key, value) in [
        ("AREA_OR_POINT", "Point"),
        ("HEAD_UNIT", "ft"),
        ("VERTICAL_DATUM", "NAVD 88"),
        ("AQUIFER_UNIT", "upper sand"),
        ("SITE", "Test Meadow (invented)"),
        ("ROUND", "spring"),
        ("METHOD", "linear"),
    ] {
        assert_eq!(dataset.metadata_item(key, "").as_deref(), Some(value), "{key}");
    }
    let band = dataset.rasterband(1).unwrap();
    assert_eq!(band.unit(), "ft");
    assert_eq!(band.description().unwrap(), "head");
    assert!(band.no_data_value().unwrap().is_nan());
    let pixels = band.read_as::<f64>((0, 0), (5, 5), (5, 5), None).unwrap();
    for (k, pixel) in pixels.data().iter().enumerate() {
        if k == 20 {
            assert!(pixel.is_nan(), "the south-western node has no support");
        } else {
            // 25 m east is 0.25 ft up; quarters are exact in 32 bits.
            #[expect(clippy::cast_precision_loss, reason = "0 to 4")]
            let expected = 900.0 + 0.25 * (k % 5) as f64;
            assert!((pixel - expected).abs() < 1e-9, "pixel {k}: {pixel}, not {expected}");
        }
    }
}

/// Every file in a folder and below, by its name from there.
fn below(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let of = |entry: std::io::Result<fs::DirEntry>| {
        let (path, name) =
            (entry.as_ref().unwrap().path(), PathBuf::from(entry.unwrap().file_name()));
        if path.is_dir() {
            return below(&path).into_iter().map(|(file, b)| (name.join(file), b)).collect();
        }
        BTreeMap::from([(name, fs::read(path).unwrap())])
    };
    fs::read_dir(folder).unwrap().flat_map(of).collect()
}

#[test]
fn all_bytes_are_the_same_on_any_number_of_threads() {
    // Several tiles and several batches of rows.
    let fixture = lattice("EPSG:26915", Coord { x: 480_000.0, y: 4_980_000.0 }, 50.0, 40, 700);
    let bytes = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let folder = pool.install(|| written(&fixture));
        below(&folder.path().join("out"))
    };
    let one = bytes(1);
    for threads in [2, 3, 8] {
        let several = bytes(threads);
        assert!(one.keys().eq(several.keys()));
        for (name, bytes) in &one {
            assert!(*bytes == several[name], "{name:?} differs on {threads} threads");
        }
    }
}

/// Position sequences that RFC 7946, section 3.1.9, wants on one side of the antimeridian.
fn sequences(geometry: Geometry) -> Vec<Vec<Coord>> {
    match geometry {
        Geometry::Point(p) => vec![vec![p.0]],
        Geometry::LineString(l) => vec![l.0],
        Geometry::MultiLineString(m) => m.0.into_iter().map(|l| l.0).collect(),
        Geometry::Polygon(p) => vec![p.exterior().0.clone()],
        Geometry::MultiPolygon(m) => m.0.into_iter().map(|p| p.exterior().0.clone()).collect(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_site_on_the_antimeridian_is_cut_at_it() {
    // PDC Mercator, central at 150 E: 180 degrees lie pi/6 times 6 378 137 m east of that.
    // UTM zone 1 south, central at 177 W: 166 021.44 m at the equator (computed from the
    // defining constants of UTM; from memory).
    let mercator = 6_378_137.0 * std::f64::consts::PI / 6.0;
    for (crs, x, y) in [("EPSG:3832", mercator, -2e6), ("EPSG:32701", 166_021.4, 9_999_000.0)] {
        let fixture = lattice(crs, Coord { x: x - 100.0, y }, 200.0, 2, 4);
        let folder = written(&fixture);
        for name in LAYERS {
            let cut: Vec<_> = geometries(&folder, name).into_iter().map(sequences).collect();
            for part in cut.iter().flatten() {
                let west = part.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
                let east = part.iter().map(|p| p.x).fold(f64::NEG_INFINITY, f64::max);
                assert!(east - west < 0.01 && west >= -180.0 && east <= 180.0, "{crs} {name}");
            }
            match name {
                "triangles.geojson" => assert!(cut.iter().all(|parts| parts.len() == 2)),
                // The ring crosses twice and has two parts; the straight line lies west of 180.
                "contours.geojson" => assert_eq!((cut[0].len(), cut[1].len()), (1, 2)),
                _ => {}
            }
        }
        // The cut loses no area: two triangles of 200 m by 200 m, in degrees.
        let area: f64 =
            geometries(&folder, "triangles.geojson").iter().map(Area::unsigned_area).sum();
        let wells = geometries(&folder, "wells.geojson");
        let Geometry::Point(a) = wells[0] else { panic!("a point") };
        let Geometry::Point(d) = wells[3] else { panic!("a point") };
        let whole = (d.x() + 360.0 - a.x()) * (d.y() - a.y());
        assert!((area / whole - 1.0).abs() < 1e-4, "{crs}: {area} is not {whole}");
        let dataset = Dataset::open(folder.path().join("out/triangles.geojson")).unwrap();
        for feature in dataset.layer(0).unwrap().features() {
            assert_eq!(feature.geometry().unwrap().geometry_count(), 2);
        }
    }
}

fn rows(folder: &TempDir, name: &str) -> Vec<std::collections::BTreeMap<String, String>> {
    let text = text(folder, name);
    csv::Reader::from_reader(text.as_bytes()).deserialize().map(|r| r.unwrap()).collect()
}

#[test]
fn heads_csv_accounts_for_every_reading_in_file_order() {
    let rows = rows(&written(&small()), "heads.csv");
    assert_eq!(rows.len(), 5);
    let lines: Vec<_> = rows.iter().map(|r| r["line"].as_str()).collect();
    assert_eq!(lines, ["2", "3", "4", "5", "6"]);
    // A spreadsheet runs neither the name nor the remark, and leaves the numbers alone.
    assert_eq!((rows[0]["well"].as_str(), rows[0]["remark"].as_str()), ("'=W", "'@cap, \"loose\""));
    // No number has a 0 at its end: all have the decimals of the longest.
    assert_eq!(rows[3]["stage_ft"], "-0.25");
    assert_eq!(
        (rows[0]["depth_to_water_ft"].as_str(), rows[0]["corrected_depth_ft"].as_str()),
        ("9.98", "10.00")
    );
    assert_eq!((rows[1]["hold_ft"].as_str(), rows[1]["cut_ft"].as_str()), ("12.50", "2.52"));
    assert_eq!(rows[2]["depth_to_product_ft"], "9.00");
    assert_eq!((rows[0]["head_m"].as_str(), rows[0]["head_ft"].as_str()), ("274.32", "900.00"));
    assert_eq!((rows[0]["used_for_contouring"].as_str(), rows[0]["reason"].as_str()), ("yes", ""));
    let pumped = &rows[4];
    assert_eq!((pumped["well"].as_str(), pumped["status"].as_str()), ("P-1", "pumping"));
    assert_eq!(
        (pumped["used_for_contouring"].as_str(), pumped["finding"].as_str()),
        ("no", "D210")
    );
    assert_eq!(pumped["reason"], "pumping: not a static level");
    assert_eq!((pumped["easting"].as_str(), pumped["northing"].as_str()), ("480050", "4980050"));
    assert_eq!((pumped["head_m"].as_str(), pumped["file"].as_str()), ("", "rounds/spring.csv"));
}

#[test]
fn triangles_csv_says_what_triangles_geojson_says() {
    let folder = written(&small());
    let rows = rows(&folder, "triangles.csv");
    assert_eq!(rows.len(), 2);
    assert_eq!(rows[0]["well_1"], "'=W");
    assert_eq!(rows[0]["marks"], "sliver long-hull-edge");
    assert_eq!(rows[0]["flow_azimuth_true_deg"], "");
    for (row, feature) in rows.iter().zip(properties(&folder, "triangles.geojson")) {
        for column in ["id", "gradient", "flow_azimuth_grid_deg", "area_m2", "base_to_height"] {
            let number: Value = serde_json::from_str(&row[column]).unwrap_or(Value::Null);
            assert_eq!(number, feature[column], "{column}");
        }
    }
    // The centroid of the second triangle: corners (0, 0), (100, 100), (0, 100) m.
    assert_eq!(rows[1]["centroid_easting"], "480033.3333");
    assert_eq!(rows[1]["centroid_northing"], "4980066.6667");
}

#[test]
fn a_not_used_well_without_a_place_on_earth_is_in_the_table_but_not_on_the_map() {
    let mut fixture = small();
    fixture.map.control.forget_position(4);
    let folder = written(&fixture);
    assert_eq!(properties(&folder, "wells.geojson").len(), 4);
    let rows = rows(&folder, "heads.csv");
    assert_eq!((rows[4]["well"].as_str(), rows[4]["easting"].as_str()), ("P-1", ""));
}

#[test]
fn the_summary_keeps_its_schema_and_gives_every_input() {
    let fixture = small();
    let folder = written(&fixture);
    let summary: Value = serde_json::from_str(&text(&folder, "summary.json")).unwrap();
    let schema: Value =
        serde_json::from_str(include_str!("../../docs/summary.schema.json")).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let errors: Vec<String> =
        validator.iter_errors(&summary).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    // The schema is no sieve without a bottom: a member more or less does not pass.
    for member in ["site", "cautions", "flow", "tolerances"] {
        let mut less = summary.clone();
        less.as_object_mut().unwrap().remove(member);
        assert!(!validator.is_valid(&less), "{member} may be missing");
    }
    let mut more = summary.clone();
    more["counts"]["ghosts"] = 1.into();
    assert!(!validator.is_valid(&more), "a member more");

    assert_eq!(summary["headfall"], env!("CARGO_PKG_VERSION"));
    assert_eq!(summary["from"], "2026-04-14T09:00:00");
    assert_eq!(summary["crs"]["name"], "NAD83 / UTM zone 15N");
    assert_eq!(summary["inputs"][0]["sha256"], "0".repeat(64));
    assert_eq!(summary["foot"], serde_json::json!({"unit": "ft", "metres": 0.3048}));
    let counts = serde_json::json!({
        "readings": 5, "readings_used": 4, "readings_not_used": 1, "control_points": 4,
        "judged_points": 0,
        "triangles": 2,
        "marks": {"sliver": 2, "long-hull-edge": 2, "one-stream": 0, "outside-boundary": 0, "one-line": 0,
            "judged": 0},
        "flat_triangles": 1,
        "contours": 2, "nodes": 25, "nodes_supported": 24
    });
    assert_eq!(summary["counts"], counts);
    assert_eq!(summary["flow"]["plane"]["gradient"], 0.003_048);
    assert_eq!(summary["flow"]["plane"]["flow_azimuth_grid_deg"], 270.0);
    assert_eq!(summary["findings"][0]["code"], "D210");
    let files: Vec<_> = fs::read_dir(folder.path().join("out")).unwrap().collect();
    assert_eq!(summary["files"].as_array().unwrap().len(), files.len());
    assert!(!summary.to_string().contains(folder.path().to_str().unwrap()));
    let record = super::record::Record::read(&folder.path().join("out")).unwrap().unwrap();
    let mut sha256 = record.into_files();
    assert!(sha256.remove("summary.json").is_some(), "it cannot have its own");
    assert_eq!(sha256.len() + 2, below(&folder.path().join("out")).len());
    let told = super::summary(&fixture.results(), &sha256);
    assert_eq!(summary, serde_json::to_value(told).unwrap());
}

#[test]
fn a_result_that_cannot_be_written_is_named_and_leaves_earlier_ones_alone() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let mut fixture = small();
    write(&fixture.results(), &out).unwrap();
    let before = below(&out);
    Arc::make_mut(&mut fixture.map.round).name = "autumn".to_owned();
    fixture.map.contours.lines[1].points[1].x = f64::INFINITY;
    let error = write(&fixture.results(), &out).unwrap_err();
    assert!(matches!(&error, Error::Write { path, .. } if *path == out), "{error}");
    assert!(before == below(&out));
    let names = super::file_names(&fixture.results());
    assert_eq!(fs::read_dir(&out).unwrap().count(), names.len(), "no staging folder is left");
    // And with the fault mended, the new results take their place.
    fixture.map.contours.lines[1].points[1].x = 480_090.0;
    write(&fixture.results(), &out).unwrap();
    assert!(fs::read_to_string(out.join("summary.json")).unwrap().contains("autumn"));
}

#[test]
fn a_file_in_place_of_the_folder_is_an_error_that_names_it() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    fs::write(&out, "mine").unwrap();
    let error = write(&small().results(), &out).unwrap_err();
    assert!(matches!(&error, Error::Write { path, .. } if *path == out), "{error}");
    assert_eq!(fs::read_to_string(&out).unwrap(), "mine");
}

#[test]
fn every_file_property_and_column_is_documented() {
    let document = include_str!("../../docs/outputs.md");
    let folder = written(&small());
    let mut names: Vec<String> =
        super::file_names(&small().results()).into_iter().map(str::to_owned).collect();
    for layer in LAYERS {
        names.extend(properties(&folder, layer)[0].as_object().unwrap().keys().cloned());
    }
    for table in ["heads.csv", "triangles.csv", "wells.csv", "water-levels.csv"] {
        // The unit in a heading is the site's, in the document any.
        let any = |name: &String| match (table, name.strip_suffix("_ft")) {
            ("wells.csv", None) => name.replace("ing_m", "ing_UNIT"),
            ("heads.csv" | "wells.csv", Some(bare)) => format!("{bare}_UNIT"),
            _ => name.replace("(ft, NAVD 88)", "(UNIT, DATUM)").replace("(ft)", "(UNIT)"),
        };
        names.extend(rows(&folder, table)[0].keys().map(any));
    }
    let summary: Value = serde_json::from_str(&text(&folder, "summary.json")).unwrap();
    names.extend(summary.as_object().unwrap().keys().cloned());
    let missing: Vec<_> =
        names.iter().filter(|name| !document.contains(&format!("`{name}`"))).collect();
    assert!(missing.is_empty(), "docs/outputs.md does not name {missing:?}");
}

#[test]
fn what_stands_beside_the_wells_has_layers_of_its_own() {
    let mut fixture = small();
    let at = |x: f64, y: f64| Coord { x: 480_000.0 + x, y: 4_980_000.0 + y };
    let line = LineString(vec![at(0.0, 0.0), at(50.0, 70.0)]);
    let area = Polygon::new(
        LineString(vec![at(0.0, 0.0), at(100.0, 0.0), at(0.0, 100.0), at(0.0, 0.0)]),
        Vec::new(),
    );
    let origin = Origin::file("site.gpkg");
    let name = "<creek>".to_owned();
    let place = |geometry: Geometry| Place {
        name: name.clone(),
        geometry,
        aquifer_unit: None,
        origin: origin.clone(),
    };
    Arc::make_mut(&mut fixture.map.site).features = Features {
        stream_points: Vec::new(),
        control_lines: Vec::new(),
        judged_points: Vec::new(),
        picture: None,
        base: Vec::new(),
        boundary: vec![area.clone()],
        barriers: vec![Barrier { name: name.clone(), line: line.clone(), origin: origin.clone() }],
        streams: vec![Stream {
            aquifer_unit: None,
            name: name.clone(),
            line: line.clone(),
            stages: vec![901.0, 900.0],
            origin: origin.clone(),
        }],
        sources: vec![place(Point(at(20.0, 20.0)).into())],
        receptors: vec![place(line.into()), place(area.into())],
    };
    Arc::make_mut(&mut fixture.map.site).settings.formats = VectorFormat::ALL.to_vec();
    let folder = written(&fixture);
    let out = folder.path().join("out");
    let layers =
        ["boundary", "barriers", "streams", "source_points", "receptor_lines", "receptor_areas"];
    let package = Dataset::open(out.join("layers.gpkg")).unwrap();
    // Four that are always there, the well that was found pumping, and the table of styles.
    assert_eq!(package.layer_count(), 6 + layers.len());
    assert_eq!(package.layer_by_name("pumped_wells").unwrap().feature_count(), 1);
    for name in layers {
        let mut layer = package.layer_by_name(name).unwrap();
        assert_eq!(layer.feature_count(), 1, "{name}");
        let feature = layer.features().next().unwrap();
        if name != "boundary" {
            let field = feature.field_index("name").unwrap();
            assert_eq!(feature.field_as_string(field).unwrap().as_deref(), Some("<creek>"));
        }
        for file in ["layers-shapefile/NAME.shp", "layers-flatgeobuf/NAME.fgb"] {
            let data = Dataset::open(out.join(file.replace("NAME", name))).unwrap();
            assert_eq!(data.layer(0).unwrap().feature_count(), 1, "{file} {name}");
        }
    }
    let mut streams = package.layer_by_name("streams").unwrap();
    let reach = streams.features().next().unwrap();
    let number =
        |name: &str| reach.field_as_double(reach.field_index(name).unwrap()).unwrap().unwrap();
    // 900 ft and 901 ft, at 0.3048 m each.
    assert!((number("stage_low_m") - 274.32).abs() < 1e-9);
    assert!((number("stage_high_m") - 274.6248).abs() < 1e-9);
    assert!((number("stage_high_ft") - 901.0).abs() < 1e-9);
    // And a run without them takes their folders away again.
    Arc::make_mut(&mut fixture.map.site).settings.formats.clear();
    write(&fixture.results(), &out).unwrap();
    assert!(VectorFormat::ALL.iter().all(|f| !out.join(super::vector::target(*f)).exists()));
}
