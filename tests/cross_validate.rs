//! Wells left out, against libraries that build every system anew without the well.
//!
//! `tests/data/compare` has the wells, the values and the script that made them with SciPy,
//! PyKrige and NumPy.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use geo::Coord;
use headfall::check::ControlSet;
use headfall::cross_validate::{Comparison, LeftOut, cross_validate};
use headfall::flow::SiteFlow;
use headfall::interpolate::natural::{NaturalNeighbour, Variant};
use headfall::interpolate::scattered;
use headfall::read::{Method, Overrides};
use headfall::triangulate::Mesh;
use headfall::{check, flow, run, triangulate};
use serde_json::Value;

use crate::features::{ring, site, wkt};
use crate::support::{Folder, ends, headfall, json, near, runs, stdout, text};

fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/compare").join(name)
}

struct Compared {
    control: ControlSet,
    mesh: Mesh,
    flow: SiteFlow,
    comparison: Comparison,
    reference: Value,
}

/// Every well of the fixture left out, with the covariance of the reference.
fn fixture(base: Option<f64>) -> Compared {
    let reference: Value =
        serde_json::from_slice(&std::fs::read(data("left_out.json")).expect("values"))
            .expect("JSON");
    let overrides = Overrides { crs: Some("EPSG:26915".to_owned()), ..Overrides::default() };
    let mut heads =
        run::heads(&data("wells.csv"), &overrides, &mut Vec::new()).expect("heads of the table");
    let surface = &mut Arc::make_mut(&mut heads.site).settings.surface;
    surface.kriging.partial_sill = reference["sill"].as_f64();
    surface.kriging.range = reference["range"].as_f64();
    surface.unconfined_base = base;
    surface.method = Method::ThinPlate;
    let control = check::control(&heads.site, &heads.round, &heads.reduced).expect("a map").value;
    let mesh = triangulate::mesh(&control).value;
    let flow = flow::site(&control, &mesh).expect("a flow").value;
    // PyKrige takes heads without error; so small a one is none.
    let sds = vec![1e-9; mesh.heads().len()];
    let comparison =
        cross_validate(&heads.site, &control, &mesh, &flow, &sds).expect("a comparison");
    Compared { control, mesh, flow, comparison, reference }
}

impl Compared {
    fn method(&self, name: &str) -> &LeftOut {
        let found = self.comparison.methods.iter().find(|m| m.candidate.name() == name);
        found.expect("a method").outcome.as_ref().expect("usable")
    }

    /// The reference's row of a control point.
    fn row(&self, i: usize) -> &Value {
        let id = &self.control.points()[i].id;
        let rows = self.reference["wells"].as_array().expect("wells");
        rows.iter().find(|r| r["well"] == id.as_str()).expect("the well")
    }
}

#[test]
fn each_method_says_what_it_says_when_built_anew_without_the_well() {
    let found = fixture(None);
    for (name, tolerance) in [
        ("linear", 1e-9),
        ("natural-neighbour", 1e-8),
        ("kriging", 1e-8),
        ("kriging-with-drift", 1e-7),
        ("thin-plate", 1e-8),
        ("inverse-distance", 1e-9),
    ] {
        let mut inside = 0;
        for (i, prediction) in found.method(name).predictions.iter().enumerate() {
            let (row, point) = (found.row(i), &found.control.points()[i]);
            let expected = row[name].as_f64();
            assert_eq!(prediction.map(|_| ()), expected.map(|_| ()), "{name} at {}", point.id);
            let (Some(prediction), Some(expected)) = (prediction, expected) else { continue };
            inside += 1;
            near(prediction.head, expected, tolerance);
            near(prediction.residual, point.head - expected, tolerance);
            if let Some(sd) = row[format!("{name}-sd")].as_f64() {
                near(prediction.standardised.expect("known"), (point.head - expected) / sd, 1e-5);
            }
        }
        assert!(inside >= 25, "{name}: {inside} of 40 wells");
    }
}

#[test]
fn scores_are_those_of_the_references_residuals() {
    let found = fixture(None);
    for name in ["linear", "kriging", "thin-plate", "inverse-distance"] {
        let scores = |common: bool| {
            let residuals: Vec<f64> = (0..40)
                .filter(|i| !common || found.row(*i)["linear"].is_number())
                .filter_map(|i| Some(found.control.points()[i].head - found.row(i)[name].as_f64()?))
                .collect();
            let n = residuals.len() as f64;
            let mean = |of: fn(f64) -> f64| residuals.iter().map(|r| of(*r)).sum::<f64>() / n;
            (residuals.len(), mean(|r| r), mean(f64::abs), mean(|r| r * r).sqrt())
        };
        let method = found.method(name);
        for (ours, theirs) in [(method.all, scores(false)), (method.common, scores(true))] {
            let ours = ours.expect("scores");
            assert_eq!(ours.wells, theirs.0, "{name}");
            near(ours.mean_error, theirs.1, 1e-8);
            near(ours.mean_absolute_error, theirs.2, 1e-8);
            near(ours.root_mean_square_error, theirs.3, 1e-8);
        }
    }
}

#[test]
fn the_plane_and_the_mean_of_the_triangles_are_those_of_the_other_wells() {
    let found = fixture(None);
    let convergence = found.control.factors().convergence_deg;
    let turned = |a: &Value, before: (f64, f64)| {
        let (east, north) = (a[0].as_f64().expect("east"), a[1].as_f64().expect("north"));
        let azimuth = |e: f64, n: f64| (-e).atan2(-n).to_degrees();
        let turn = azimuth(east, north) - azimuth(before.0, before.1);
        (
            east.hypot(north),
            azimuth(east, north).rem_euclid(360.0),
            (turn + 540.0).rem_euclid(360.0) - 180.0,
        )
    };
    let slope = found.flow.plane.slope;
    let plane = (slope.east, slope.north);
    let mean = found.flow.mean;
    let grid = mean.azimuth_grid.expect("a direction").degrees().to_radians();
    let mean = (-mean.gradient * grid.sin(), -mean.gradient * grid.cos());
    let mut most = ("", 0.0_f64);
    for (i, without) in found.comparison.without.iter().enumerate() {
        let row = found.row(i);
        for (ours, theirs) in [
            (without.plane, turned(&row["plane"], plane)),
            (without.mean, turned(&row["mean"], mean)),
        ] {
            let ours = ours.expect("39 wells carry a plane");
            near(ours.gradient, theirs.0, 1e-12);
            near(ours.azimuth_grid.expect("a direction").degrees(), theirs.1, 1e-7);
            near(ours.turn_deg.expect("a turn"), theirs.2, 1e-7);
            let truly = ours.azimuth_true.expect("a direction").degrees();
            near(truly, (theirs.1 + convergence).rem_euclid(360.0), 1e-7);
        }
        let turn = turned(&row["plane"], plane).2.abs();
        if turn > most.1 {
            most = (&found.control.points()[i].id, turn);
        }
    }
    let ours = found.comparison.most_turning().expect("a well");
    assert_eq!(found.control.points()[ours].id, most.0);
}

/// The smooth surface has no reference library: it is held against itself through the others.
#[test]
fn smooth_natural_neighbours_are_those_of_a_surface_through_the_others() {
    let found = fixture(None);
    let smooth = found.method("smooth-natural-neighbour");
    let mut inside = 0;
    for (i, prediction) in smooth.predictions.iter().enumerate() {
        let others = |k: &usize| *k != i;
        let local: Vec<Coord> = (0..40).filter(others).map(|k| found.mesh.local()[k]).collect();
        let heads: Vec<f64> = (0..40).filter(others).map(|k| found.mesh.heads()[k]).collect();
        let mesh = scattered::mesh(&local, &heads).expect("39 wells");
        let anew = NaturalNeighbour::new(&mesh, Variant::Smooth).at(found.mesh.local()[i]);
        if let Some(prediction) = prediction {
            inside += 1;
            near(prediction.head, anew.expect("inside"), 1e-8);
        }
    }
    assert!(inside >= 25, "{inside}");
}

#[test]
fn above_a_flat_base_the_squares_are_foretold_and_told_as_heads() {
    // In one column of water the others' squares are averaged: the head of the inverse squared
    // distance is the base plus the root of the mean square (Dupuit; Cole and Silliman 1996).
    let base = 230.0;
    let (plain, squared) = (fixture(None), fixture(Some(base)));
    let method = squared.method("inverse-distance");
    let local = plain.mesh.local();
    for (i, prediction) in method.predictions.iter().enumerate() {
        let (mut sum, mut weights) = (0.0, 0.0);
        for (k, p) in local.iter().enumerate().filter(|(k, _)| *k != i) {
            let d = *p - local[i];
            let weight = 1.0 / (d.x * d.x + d.y * d.y);
            sum += weight * (plain.mesh.heads()[k] - base).powi(2);
            weights += weight;
        }
        let expected = base + (sum / weights).sqrt();
        near(prediction.expect("predicted").head, expected, 1e-9);
    }
    let kriged = |c: &Compared| c.method("kriging").predictions[7].expect("kriged").head;
    assert!((kriged(&plain) - kriged(&squared)).abs() > 1e-6, "the squares change the surface");
}

#[test]
fn the_command_writes_its_files_and_tells_what_they_hold() {
    let folder = Folder::new();
    let out = folder.path().join("told");
    let told = ["cross-validate", "--crs", "EPSG:26915", "--json", "--out"];
    let output = headfall(&told, &[&out, &data("wells.csv")]);
    ends(&output, 0);
    let told: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let kept = json(out.join("cross-validation.json"));
    assert_eq!(told, kept, "--json prints what the file holds");
    let schema = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/cross-validation.schema.json");
    let schema: Value = serde_json::from_str(&text(schema)).expect("a schema");
    let validator = jsonschema::draft202012::new(&schema).expect("a schema");
    let wrong: Vec<String> =
        validator.iter_errors(&kept).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    let mut worse = kept.clone();
    worse["methods"][0]["all"]["wells"] = Value::from("many");
    assert!(!validator.is_valid(&worse), "the schema refuses what is not described");
    // The table holds the residuals of the account.
    let mut table = csv::Reader::from_path(out.join("cross-validation.csv")).expect("a table");
    let headings = table.headers().expect("headings").clone();
    let column = |name: &str| headings.iter().position(|h| h == name).expect("a column");
    let rows: Vec<csv::StringRecord> = table.records().map(|r| r.expect("a row")).collect();
    assert_eq!(rows.len(), 40);
    for method in kept["methods"].as_array().expect("methods") {
        let name = method["method"].as_str().expect("a name").replace('-', "_");
        for prediction in method["predictions"].as_array().expect("predictions") {
            let row = rows.iter().find(|r| prediction["well"] == r[0]).expect("the well");
            let kriged = name.starts_with("kriging");
            assert_eq!(prediction["standardised"].is_number(), kriged, "{name}");
            assert_eq!(headings.iter().any(|h| h == format!("{name}_standardised")), kriged);
            for part in ["residual_m", "residual_ft", "standardised"] {
                if part == "standardised" && !kriged {
                    continue;
                }
                let cell = &row[column(&format!("{name}_{part}"))];
                assert_eq!(cell.parse::<f64>().ok(), prediction[part].as_f64(), "{name} {part}");
            }
        }
    }
    let figure = text(out.join("cross-validation.svg"));
    let worst = kept["methods"][0]["worst_wells"][0].as_str().expect("a well");
    assert!(figure.contains(&format!(">{worst}</text>")), "the worst well is named");
}

#[test]
fn the_same_bytes_whatever_the_threads_and_the_order_of_rows() {
    let folder = Folder::new();
    let wells = text(data("wells.csv"));
    let (heading, rows) = wells.split_once('\n').expect("rows");
    let mut rows: Vec<&str> = rows.lines().collect();
    rows.reverse();
    let reversed = folder.file("reversed/wells.csv", format!("{heading}\n{}\n", rows.join("\n")));
    let mut found = Vec::new();
    for (k, (site, threads)) in
        [(data("wells.csv"), "1"), (data("wells.csv"), "7"), (reversed, "2")].iter().enumerate()
    {
        let out = folder.path().join(k.to_string());
        let arguments =
            ["cross-validate", "--crs", "EPSG:26915", "--quiet", "--threads", threads, "--out"];
        runs(&arguments, &[&out, site]);
        let mut json = json(out.join("cross-validation.json"));
        // The hash of the table and the lines that findings name differ with its rows.
        json["inputs"] = Value::Null;
        for finding in json["findings"].as_array_mut().expect("findings") {
            finding["at"] = Value::Null;
        }
        found.push([
            text(out.join("cross-validation.csv")),
            text(out.join("cross-validation.svg")),
            json.to_string(),
        ]);
    }
    for (k, file) in ["csv", "svg", "json"].iter().enumerate() {
        assert!(found[0][k] == found[1][k], "threads change compare.{file}");
        assert!(found[0][k] == found[2][k], "the order of rows changes compare.{file}");
    }
}

#[test]
fn methods_that_cannot_be_used_are_listed_with_the_reason() {
    let folder = Folder::new();
    let wells = "Well,Easting,Northing,Elevation\nA,480000,4980000,100.0\nB,480100,4980000,99.8\n\
                 C,480100,4980100,99.9\nD,480000,4980100,100.1\nE,480040,4980060,99.97\n";
    let site = folder.file("wells.csv", wells);
    let out = folder.path().join("out");
    let output = runs(&["cross-validate", "--crs", "EPSG:26915", "--out"], &[&out, &site]);
    let told = stdout(&output);
    assert!(told.contains("kriging cannot be used: kriging: 5 wells are too few"), "{told}");
    let kept = json(out.join("cross-validation.json"));
    let kriging = &kept["methods"][3];
    assert_eq!(kriging["method"], "kriging");
    assert!(kriging["refused"].as_str().is_some_and(|r| r.contains("too few")), "{kriging}");
    assert_eq!(kept["wells_in_common"], 1, "only E is surrounded");
    // The four corners lie on one plane: 100 - 0.002 * 40 + 0.001 * 60.
    near(kept["methods"][0]["predictions"][0]["predicted_m"].as_f64().expect("E"), 99.98, 1e-9);
}

#[test]
fn earlier_files_stand_when_no_comparison_can_be_made() {
    let folder = Folder::new();
    let wells = "Well,Easting,Northing,Elevation\nA,480000,4980000,100.0\nB,480100,4980000,99.8\n";
    let site = folder.file("wells.csv", wells);
    folder.file("out/cross-validation.csv", "earlier");
    let out = folder.path().join("out");
    let output = headfall(&["cross-validate", "--crs", "EPSG:26915", "--out"], &[&out, &site]);
    assert_eq!(output.status.code(), Some(2), "two wells");
    assert_eq!(text(out.join("cross-validation.csv")), "earlier");
    assert_eq!(std::fs::read_dir(&out).expect("the folder").count(), 1, "nothing beside it");
}

/// A comparison of a site folder, with its findings.
fn compared(folder: &Folder) -> run::Compared {
    let mut findings = Vec::new();
    run::cross_validate(folder.path(), &Overrides::default(), &mut findings)
        .unwrap_or_else(|e| panic!("{e:?}\n{findings:#?}"))
}

const COVARIANCE: &str = "[kriging]\npartial_sill = 4.0\nrange = 300.0\n";

#[test]
fn too_few_wells_for_the_drift_are_refused_as_the_map_refuses_them() {
    let wells = [(0.0, 0.0, 100.0), (100.0, 0.0, 99.8), (0.0, 100.0, 99.9)];
    let found = compared(&site(&wells, COVARIANCE)).comparison.methods;
    let drifting = found.iter().find(|m| m.candidate.drift).expect("kriging with a drift");
    let refused = drifting.outcome.as_ref().expect_err("three wells and three terms");
    assert!(refused.reason.contains("3 wells are too few"), "{}", refused.reason);
}

#[test]
fn across_a_wall_no_well_foretells_another() {
    // A plane of heads on each side, 5 m apart: methods that are exact on planes leave no residual
    // when each side is foretold by itself, and metres of it when they are not.
    let wells: Vec<(f64, f64, f64)> = (0..36)
        .map(|k| {
            let x = 7.0 + f64::from(k % 6) * 75.0 + f64::from(k * k % 13);
            let y = 5.0 + f64::from(k / 6) * 70.0 + f64::from(k * 7 % 11);
            let head = if x < 215.0 {
                100.0 + 0.004 * x - 0.002 * y
            } else {
                105.0 - 0.003 * x + 0.005 * y
            };
            (x, y, head)
        })
        .collect();
    let line = format!("LINESTRING ({})", ring(&[(215.0, -90.0), (215.0, 480.0)]));
    for wall in [true, false] {
        let features = "[features]\nbarriers = { file = \"wall.csv\", crs = \"EPSG:26915\" }\n";
        let toml = format!("{COVARIANCE}{}", if wall { features } else { "" });
        let folder = site(&wells, &toml);
        folder.file("wall.csv", wkt(&[&line]));
        let found = compared(&folder).comparison;
        for name in [
            "linear",
            "natural-neighbour",
            "smooth-natural-neighbour",
            "kriging-with-drift",
            "thin-plate",
        ] {
            let method = found.methods.iter().find(|m| m.candidate.name() == name);
            let method = method.expect("a method").outcome.as_ref().expect("usable");
            let residuals: Vec<f64> =
                method.predictions.iter().flatten().map(|p| p.residual.abs()).collect();
            let largest = residuals.iter().copied().fold(0.0, f64::max);
            assert!(residuals.len() >= 8, "{name}: {} wells", residuals.len());
            if wall {
                assert!(largest < 1e-6, "{name} past the wall: {largest}");
            } else {
                assert!(largest > 0.5, "{name} without a wall: {largest}");
            }
        }
    }
}

#[test]
fn points_of_a_stream_carry_the_surfaces_and_are_never_left_out() {
    let wells: Vec<(f64, f64, f64)> = (0..20)
        .map(|k| {
            let x = f64::from(k % 5) * 100.0 + f64::from(k * k % 13);
            let y = 60.0 + f64::from(k / 5) * 100.0 + f64::from(k * 7 % 11);
            (x, y, 50.0 - 0.001 * x + 0.006 * y + 0.05 * f64::from(k * 5 % 7))
        })
        .collect();
    let said = ", stage_start = \"up\", stage_end = \"down\"";
    let toml = format!(
        "{COVARIANCE}[features]\nstream_spacing = 50\nstream_reach = 1000\n\
         streams = {{ file = \"creek.csv\", crs = \"EPSG:26915\"{said} }}"
    );
    let folder = site(&wells, &toml);
    let creek = ring(&[(-50.0, 0.0), (500.0, 0.0)]);
    folder.file("creek.csv", format!("WKT,name,up,down\n\"LINESTRING ({creek})\",A,50.2,49.4\n"));
    let with = compared(&folder);
    let plain = compared(&site(&wells, COVARIANCE));
    let points = with.control.points();
    assert!(points.len() > 28, "points along the creek: {}", points.len());
    assert_eq!(with.comparison.wells.len(), 20, "wells are left out");
    let by_name = |c: &run::Compared, name: &str| {
        let well = c.control.points().iter().position(|p| p.id == name).expect("the well");
        let method = c.comparison.methods[0].outcome.as_ref().expect("linear");
        (well, method.predictions[well], c.comparison.without[well].plane.expect("a plane"))
    };
    for k in 0..20 {
        let (i, _, effect) = by_name(&with, &format!("W{k}"));
        assert!(with.comparison.wells.contains(&i));
        // The plane rests on the wells alone, with the creek or without it.
        let (_, _, alone) = by_name(&plain, &format!("W{k}"));
        near(effect.gradient, alone.gradient, 1e-9);
    }
    // A southern well on the outline of the wells is surrounded once the creek is there.
    assert!(by_name(&plain, "W2").1.is_none() && by_name(&with, "W2").1.is_some());
}
