//! Sites in the local coordinates of a plan, as they are and tied to a CRS.
//!
//! Expected values are numpy's (`tests/data/local/local.py`) or worked by hand beside the test.

use std::fmt::Write as _;

use std::path::Path;

use gdal::Dataset;
use gdal::vector::LayerAccess;
use gdal::vector::sql::Dialect;
use headfall::diag::{Code, Diagnostic, Severity};
use headfall::read::Overrides;
use headfall::report::Results;
use headfall::run::Map;
use headfall::{draw, page};
use serde_json::Value;

use crate::support::{self, Folder, contents, json, near, runs, text, told, words};

const TABLE: &str = include_str!("data/local/site-plan.csv");
const EXPECTED: &str = include_str!("data/local/expected.json");

fn expected() -> Value {
    serde_json::from_str(EXPECTED).expect("JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// The plan as one table, with lines of `[site]` and tables behind them.
fn plan(site: &str) -> Folder {
    Folder::new().with("plan.csv", TABLE).with("site.toml", format!("[site]\n{site}"))
}

const LOCAL: &str = "crs = \"local\"\nelevation_unit = \"ft\"\n";

fn map(folder: &Folder) -> (Option<Map>, Vec<Diagnostic>) {
    let (map, findings) = support::map(&folder.at("plan.csv"), &Overrides::default());
    (map.ok(), findings)
}

#[track_caller]
fn mapped(site: &str) -> (Map, Vec<Diagnostic>) {
    let (map, findings) = self::map(&plan(site));
    (map.unwrap_or_else(|| panic!("{findings:#?}")), findings)
}

#[track_caller]
fn refused(folder: &Folder) -> Vec<Diagnostic> {
    let (map, findings) = self::map(folder);
    assert!(map.is_none(), "{findings:#?}");
    findings
}

/// The ties of `expected.json`, those at these places among them.
fn ties(which: &[usize]) -> String {
    let expected = expected();
    let mut text =
        "crs = \"EPSG:26915\"\ncoordinates_crs = \"local\"\nelevation_unit = \"ft\"\n".to_owned();
    for k in which {
        let tie = &expected["ties"][k];
        let (well, e, n) = (&tie["well"], &tie["easting"], &tie["northing"]);
        let _ = write!(text, "[[tie]]\nwell = {well}\neasting = {e}\nnorthing = {n}\n");
    }
    text
}

#[test]
fn a_plan_without_a_crs_is_drawn_from_site_north() {
    let folder = Folder::new();
    let (table, out) = (folder.file("plan.csv", TABLE), folder.at("out"));
    runs(&["draw", "--crs", "Local", "--unit", "ft", "--format", "csv", "--out"], &[&out, &table]);
    let files = contents(&out);
    let names: Vec<&str> = files.keys().map(String::as_str).collect();
    assert!(!names.iter().any(|n| n.ends_with(".geojson")), "{names:?}");
    for name in ["layers.gpkg", "surface.tif", "map.svg", "report.html", "layers-csv/wells.csv"] {
        assert!(names.contains(&name), "{name} of {names:?}");
    }
    let summary = json(out.join("summary.json"));
    assert_eq!(summary["crs"]["definition"], "local");
    near(number(&summary["crs"]["metres_per_unit"]), 0.3048, 0.0);
    let plane = &summary["flow"]["plane"];
    let expected = &expected()["plane"];
    // As the file rounds them: six digits, two decimals.
    near(number(&plane["gradient"]), number(&expected["gradient"]), 1e-8);
    near(number(&plane["flow_azimuth_grid_deg"]), number(&expected["azimuth"]), 0.005);
    for none in ["flow_azimuth_true_deg", "flow_azimuth_true_from_deg"] {
        assert_eq!(plane[none], Value::Null, "{none}");
    }
    assert!(plane["flow_azimuth_grid_from_deg"].is_number());
    assert_eq!(summary["flow"]["convergence_deg"], Value::Null);
    assert_eq!(summary["flow"]["scale"], 1.0);
    let told = summary["findings"].as_array().expect("findings");
    assert!(told.iter().any(|f| f["code"] == "C337"), "{told:#?}");
    let schema: Value =
        serde_json::from_str(include_str!("../docs/summary.schema.json")).expect("JSON");
    let validator = jsonschema::draft202012::new(&schema).expect("a schema");
    let wrong: Vec<String> = validator.iter_errors(&summary).map(|e| e.to_string()).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    // Positions in the tables are those of the plan.
    let wells = text(out.join("layers-csv/wells.csv"));
    assert!(wells.contains("POINT (12.5 188.0)"), "{wells}");
}

#[test]
fn sheet_and_page_of_a_plan_say_site_north_and_nothing_of_the_earth() {
    let (map, findings) = mapped(LOCAL);
    told(&findings, Code::LocalCoordinates).giving(&["site_north_azimuth", "[[tie]]"]).once();
    let results = Results::of(&map, &findings);
    let svg = draw::sheet(&results).expect("a sheet").svg();
    let panel = words(&svg, "panel").join(" ");
    for word in
        ["Site N", "true north not known", "local coordinates, foot", "144° (SE), site north"]
    {
        assert!(panel.contains(word), "{word}: {panel}");
    }
    let page = page::report(&results);
    for word in
        ["<span>site north</span>", "site north up", "Up is site north; true north is not known"]
    {
        assert!(page.contains(word), "{word}");
    }
    for word in ["longitude", "latitude", "grid north", "° true", ".geojson"] {
        assert!(!svg.contains(word) && !page.contains(word), "{word}");
    }
}

#[test]
fn the_azimuth_of_site_north_turns_directions_to_true_north() {
    // By hand (docs/methods.md): site north 30 degrees east of true north, so that what flows to 144.40 from
    // site north flows to 174.40 from true north.
    let site_north = expected()["plane"]["azimuth"].as_f64().expect("a number");
    for (given, turn, words_of_it) in [
        ("30", 30.0, "site north 30.00° east of N"),
        ("-12.5", -12.5, "site north 12.50° west of N"),
        ("350", -10.0, "site north 10.00° west of N"),
    ] {
        let (map, findings) = mapped(&format!("{LOCAL}site_north_azimuth = {given}\n"));
        told(&findings, Code::LocalCoordinates).giving(&["[[tie]]"]).once();
        let [truly, plan] = [map.flow.plane_azimuth_true, map.flow.plane_azimuth_grid];
        near(plan.expect("it slopes").degrees(), site_north, 1e-9);
        near(truly.expect("true north is known").degrees(), site_north + turn, 1e-9);
        for t in &map.flow.triangles {
            let (plan, truly) = t.azimuth_grid.zip(t.azimuth_true).expect("it slopes");
            near((truly.degrees() - plan.degrees() - turn).rem_euclid(360.0) % 360.0, 0.0, 1e-9);
        }
        assert!(map.control.points().iter().all(|p| p.lon_lat.is_none()));
        let svg = draw::sheet(&Results::of(&map, &findings)).expect("a sheet").svg();
        let panel = words(&svg, "panel").join(" ");
        assert!(panel.contains(words_of_it) && !panel.contains("Site N"), "{panel}");
        assert!(panel.contains(", true north"), "{panel}");
    }
}

#[test]
fn true_north_is_up_only_where_the_azimuth_of_site_north_is_known() {
    let with = |site: &str| plan(&format!("{site}[sheet]\nnorth = \"true\"\n"));
    let findings = refused(&with(LOCAL));
    told(&findings, Code::SiteSetting).giving(&["site_north_azimuth", "[sheet]"]).once();
    let (map, findings) = self::map(&with(&format!("{LOCAL}site_north_azimuth = 30\n")));
    let map = map.expect("a map");
    let svg = draw::sheet(&Results::of(&map, &findings)).expect("a sheet").svg();
    let panel = words(&svg, "panel").join(" ");
    assert!(panel.contains("site north 30.00° east of N"), "{panel}");
}

#[test]
fn gis_files_of_a_plan_have_an_undefined_crs() {
    let folder = plan(LOCAL);
    let out = folder.at("out");
    runs(
        &["draw", "--data-only", "--format", "shapefile", "--format", "flatgeobuf", "--out"],
        &[&out, &folder.at("plan.csv")],
    );
    let package = Dataset::open(out.join("layers.gpkg")).expect("a GeoPackage");
    let sql = "SELECT DISTINCT srs_id FROM gpkg_geometry_columns";
    let mut found = package.execute_sql(sql, None, Dialect::DEFAULT).expect("SQL").expect("rows");
    let ids: Vec<i64> = found
        .features()
        .map(|f| f.field_as_integer64(0).expect("a number").expect("a value"))
        .collect();
    assert_eq!(ids, [-1]);
    drop(found);
    let layer = package.layer_by_name("wells").expect("a layer");
    let crs = layer.spatial_ref().expect("undefined, not absent");
    assert!(crs.is_local() && crs.name().as_deref() == Some("Undefined Cartesian SRS"), "{crs:?}");
    assert!(!out.join("layers-shapefile/wells.prj").exists());
    let flat = Dataset::open(out.join("layers-flatgeobuf/wells.fgb")).expect("FlatGeobuf");
    assert!(flat.layer(0).expect("a layer").spatial_ref().is_none());
    let raster = Dataset::open(out.join("surface.tif")).expect("a raster");
    let crs = raster.spatial_ref().expect("a plan");
    assert!(crs.is_local() && !crs.is_projected() && !crs.is_geographic(), "{crs:?}");
    near(crs.linear_units(), 0.3048, 1e-12);
}

#[test]
fn a_plan_without_a_unit_is_refused_with_the_line_to_write() {
    let folder = plan(LOCAL);
    folder.change("plan.csv", |t| t.replace("X (ft)", "X").replace("Y (ft)", "Y"));
    told(&refused(&folder), Code::LocalUnit).giving(&["length_unit = \"ft\"", "\"X (ft)\""]).once();
    // Said in site.toml, it is drawn; in metres every gradient is 0.3048 of that in feet.
    for (unit, factor) in [("ft", 1.0), ("m", 0.3048)] {
        folder.file("site.toml", format!("[site]\n{LOCAL}length_unit = \"{unit}\"\n"));
        let (map, findings) = self::map(&folder);
        let gradient = map.unwrap_or_else(|| panic!("{findings:#?}")).flow.plane_gradient;
        near(gradient, number(&expected()["plane"]["gradient"]) * factor, 1e-12);
    }
    // Elevations of a plan in feet are taken for feet, which is said.
    let folder = plan("crs = \"local\"\n");
    folder
        .change("plan.csv", |t| t.replace("TOC Elev (ft)", "TOC Elev").replace("DTW (ft)", "DTW"));
    let (map, findings) = self::map(&folder);
    assert!(map.is_some(), "{findings:#?}");
    told(&findings, Code::UnitAssumed).once();
}

/// A wall across the plan, which leaves three wells on either side.
const WALL: &str = "WKT\n\"LINESTRING (-20 120, 105 120, 105 60, 180 60)\"\n";

#[test]
fn lines_of_the_plan_are_taken_as_they_are_and_others_are_refused() {
    let site = |line: &str| {
        plan(&format!("{LOCAL}[features]\nbarriers = {line}\n")).with("wall.csv", WALL).with(
            "wall.geojson",
            "{\"type\":\"LineString\",\"coordinates\":[[-20,120],[105,120],[105,60],[180,60]]}",
        )
    };
    let mut lines = Vec::new();
    for line in [
        "\"wall.csv\"",
        "{ file = \"wall.csv\", crs = \"local\" }",
        "{ file = \"wall.geojson\", crs = \"local\" }",
    ] {
        let (map, findings) = self::map(&site(line));
        let map = map.unwrap_or_else(|| panic!("{line}: {findings:#?}"));
        lines.push(map.site.features.barriers[0].line.clone());
    }
    assert_eq!(lines[0].0[1], (105.0, 120.0).into());
    assert!(lines[1] == lines[0] && lines[2] == lines[0]);
    for line in ["\"wall.geojson\"", "{ file = \"wall.csv\", crs = \"EPSG:26915\" }"] {
        let findings = refused(&site(line));
        told(&findings, Code::LocalMeetsCrs)
            .giving(&["crs = \"local\"", "[[tie]]"])
            .at("site.toml", 5)
            .once();
    }
}

#[test]
fn what_was_written_in_local_coordinates_is_read_again() {
    // The boundary is the outline of the wells, as a layer of another run in local coordinates.
    let folder = plan(&format!("{LOCAL}[features]\nboundary = \"area.csv\"\n"))
        .with("area.csv", "WKT\n\"POLYGON ((0 0, 160 0, 160 200, 0 200, 0 0))\"\n");
    let out = folder.at("out");
    runs(&["draw", "--format", "shapefile", "--out"], &[&out, &folder.at("plan.csv")]);
    for file in [
        "{ file = \"out/layers.gpkg\", layer = \"boundary\" }",
        "\"out/layers-shapefile/boundary.shp\"",
        "{ file = \"out/layers.dxf\", layer = \"boundary\" }",
    ] {
        folder.file("site.toml", format!("[site]\n{LOCAL}[features]\nboundary = {file}\n"));
        let (map, findings) = self::map(&folder);
        let map = map.unwrap_or_else(|| panic!("{file}: {findings:#?}"));
        assert_eq!(map.site.features.boundary.len(), 1, "{file}");
    }
}

#[test]
fn the_land_surface_of_a_plan_has_no_crs() {
    let raster = "ncols 2\nnrows 2\nxllcorner -50\nyllcorner -50\ncellsize 300\n101 101\n101 101\n";
    let folder = plan(&format!("{LOCAL}[ground]\nraster = \"land.asc\"\nunit = \"ft\"\n"));
    folder.file("land.asc", raster);
    let map = self::map(&folder).0.expect("a map");
    let toward = headfall::run::follow(&map, &mut Vec::new()).expect("the ground alone");
    let depth = toward.ground.expect("a ground").depth.at((70.0, 96.3).into()).expect("inside");
    // Ground at 101 ft, the head of MW-4 at 92.82 ft: 8.18 ft, as near as the grid has it.
    near(depth, 101.0 - 92.82, 0.1);
    let wkt =
        gdal::spatial_ref::SpatialRef::from_epsg(26915).expect("a CRS").to_wkt().expect("WKT");
    folder.file("land.prj", wkt);
    let map = self::map(&folder).0.expect("a map");
    let Err(error) = headfall::run::follow(&map, &mut Vec::new()) else { panic!("followed") };
    told(error.diagnostics(), Code::LocalMeetsCrs).giving(&["land.asc"]).once();
}

#[test]
fn paths_on_a_plan_have_bearings_from_site_north() {
    let places = "[[sources]]\nwell = \"MW-1\"\n[[receptors]]\nwell = \"MW-6\"\n";
    let folder = plan(&format!("{LOCAL}{places}"));
    let out = folder.at("out");
    let said = runs(&["toward", "--out"], &[&out, &folder.at("plan.csv")]);
    let said = support::stdout(&said);
    assert!(
        said.contains("degrees clockwise from site north") && !said.contains("true north"),
        "{said}"
    );
    let verdict = &json(out.join("summary.json"))["toward"]["verdicts"][0];
    // From (12.5, 188.0) to (130.6, 8.2), by hand: 180 - atan(118.1 / 179.8) = 146.70.
    near(number(&verdict["bearing_grid_deg"]), 146.70, 0.005);
    assert_eq!(verdict["bearing_true_deg"], Value::Null);
    assert!(verdict["flow_azimuth_grid_deg"].is_number());
    assert!(out.join("receptors.csv").exists() && !out.join("receptors.geojson").exists());
    // With the azimuth of site north both are there.
    folder.file("site.toml", format!("[site]\n{LOCAL}site_north_azimuth = 10\n{places}"));
    runs(&["toward", "--out"], &[&out, &folder.at("plan.csv")]);
    let verdict = &json(out.join("summary.json"))["toward"]["verdicts"][0];
    near(number(&verdict["bearing_true_deg"]), 156.70, 0.005);
}

#[test]
fn wells_known_in_a_crs_tie_the_plan_to_it() {
    for (which, name) in [(vec![0, 1, 2, 3], "four"), (vec![0, 3], "two")] {
        let expected = &expected()[name];
        let (map, findings) = mapped(&ties(&which));
        let tie = map.site.settings.tie.as_ref().expect("a tie");
        near(tie.scale, number(&expected["scale"]), 1e-8);
        near(tie.site_north_azimuth_grid_deg, number(&expected["north"]), 1e-6);
        for point in &tie.points {
            near(point.residual_m, number(&expected["residuals"][&point.well]), 5.1e-5);
        }
        for point in map.control.points() {
            let [e, n] = [0, 1].map(|k| number(&expected["positions"][&point.id][k]));
            near(point.crs.x, e, 1e-6);
            near(point.crs.y, n, 1e-6);
            assert!(point.lon_lat.is_some());
        }
        // The plan is turned as a whole.
        let turned = number(&self::expected()["plane"]["azimuth"]) + number(&expected["north"]);
        near(map.flow.plane_azimuth_grid.expect("it slopes").degrees(), turned, 1e-6);
        let told = told(&findings, Code::Tied).about("MW-1").once();
        assert_eq!(told.severity, Severity::Note, "{told:?}");
        let svg = draw::sheet(&Results::of(&map, &findings)).expect("a sheet").svg();
        let wells = format!("tied at {} wells", which.len());
        assert!(words(&svg, "panel").join(" ").contains(&wells));
    }
}

#[test]
fn ties_that_disagree_are_a_warning_and_a_wrong_unit_is_refused() {
    // MW-6 5 m off.
    let site = ties(&[0, 1, 2, 3]).replace("480039.394", "480044.394");
    let (_, findings) = mapped(&site);
    let found = told(&findings, Code::Tied).once();
    assert_eq!(found.severity, Severity::Warning, "{found:?}");
    // Eastings and northings in feet, said to be metres: off by 0.3048.
    let folder = plan(&ties(&[0, 1, 2]).replacen("elevation", "length_unit = \"m\"\nelevation", 1));
    folder.change("plan.csv", |t| t.replace("X (ft)", "X").replace("Y (ft)", "Y"));
    told(&refused(&folder), Code::TieUnusable).giving(&["length_unit", "EPSG:26915"]).once();
    // Two ties 93 ft apart, a well some 1900 ft away.
    let folder = plan(&ties(&[2, 3]));
    folder.change("plan.csv", |t| t + "MW-7,1500,1500,100.00,8.00,2025-11-03\n");
    let findings = self::map(&folder).1;
    let found = told(&findings, Code::Tied).once();
    assert_eq!(found.severity, Severity::Warning, "{found:?}");
}

#[test]
fn places_and_lines_of_a_tied_plan_are_moved_with_it() {
    let more = "[features]\nbarriers = { file = \"wall.csv\", crs = \"local\" }\n[[receptors]]\nname = \
                \"corner\"\neasting = 130.6\nnorthing = 8.2\n";
    let folder = plan(&format!("{}{more}", ties(&[0, 3]))).with("wall.csv", WALL);
    let (map, findings) = self::map(&folder);
    let map = map.unwrap_or_else(|| panic!("{findings:#?}"));
    // The place of MW-6, which is a tie.
    let headfall::geo::Geometry::Point(corner) = map.site.features.receptors[0].geometry else {
        panic!("a point")
    };
    near(corner.x(), 480_039.394, 1e-6);
    near(corner.y(), 4_979_993.784, 1e-6);
    let wall = &map.site.features.barriers[0].line.0;
    // 125 ft of it, as the two ties scale them.
    let long = ((wall[1].x - wall[0].x).powi(2) + (wall[1].y - wall[0].y).powi(2)).sqrt();
    near(long, 125.0 * 0.3048 * number(&expected()["two"]["scale"]), 1e-6);
    // Without a CRS, and not said to be local, it is asked for.
    folder.change("site.toml", |t| {
        t.replace("{ file = \"wall.csv\", crs = \"local\" }", "\"wall.csv\"")
    });
    told(&refused(&folder), Code::CrsUnknown).giving(&["\"local\""]).once();
}

#[test]
fn what_the_site_says_of_local_coordinates_has_to_fit_together() {
    let tie = ties(&[0, 1]);
    let tied = tie.find("[[tie]]").expect("a tie");
    let alone = &tie[tied..];
    let crs = "crs = \"EPSG:26915\"\nelevation_unit = \"ft\"\n";
    for (site, code) in [
        (ties(&[]), Code::TieUnusable),
        (ties(&[0]), Code::TieUnusable),
        (ties(&[0, 0]), Code::TieUnusable),
        (tie.replace("MW-3", "MW-33"), Code::TieUnusable),
        (format!("{LOCAL}{alone}"), Code::TieUnusable),
        (format!("{crs}{alone}"), Code::TieUnusable),
        (
            tie.replace("480050.978", "480016.152").replace("4980020.45", "4980055.099"),
            Code::TieUnusable,
        ),
        (format!("{LOCAL}coordinates_crs = \"EPSG:4326\"\n"), Code::LocalMeetsCrs),
        (format!("{LOCAL}coordinates_crs = \"EPSG:26915\"\n"), Code::LocalMeetsCrs),
        (format!("{crs}site_north_azimuth = 3\n"), Code::SiteSetting),
        (format!("{LOCAL}site_north_azimuth = 1000\n"), Code::SiteSetting),
        (tie.replacen("elevation", "site_north_azimuth = 3\nelevation", 1), Code::SiteSetting),
        (
            format!("{crs}[features]\nbarriers = {{ file = \"wall.csv\", crs = \"local\" }}\n"),
            Code::LocalMeetsCrs,
        ),
    ] {
        let findings = refused(&plan(&site).with("wall.csv", WALL));
        let refusals = findings.iter().filter(|f| f.is_refusal());
        let codes: Vec<Code> = refusals.map(|f| f.code).collect();
        assert!(!codes.is_empty() && codes.iter().all(|c| *c == code), "{site}: {findings:#?}");
        told(&findings, code).once();
    }
}

#[test]
fn the_row_order_changes_nothing_of_a_tied_plan() {
    let draw = |table: String| {
        let folder = plan(&ties(&[0, 1, 2])).with("plan.csv", table);
        let out = folder.at("out");
        runs(&["draw", "--data-only", "--out"], &[&out, &folder.at("plan.csv")]);
        bytes(&out)
    };
    let mut rows: Vec<&str> = TABLE.lines().collect();
    rows[1..].reverse();
    assert!(draw(TABLE.to_owned()) == draw(rows.join("\n") + "\n"));
}

/// The layers, which name no place of a table.
fn bytes(out: &Path) -> (Vec<u8>, String) {
    let files = contents(out);
    (files["surface.tif"].clone(), text(out.join("wells.geojson")))
}
