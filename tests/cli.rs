//! The program as a user runs it: exit codes, what is said, what is written, what is kept.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use crate::support::{
    Folder, SITES, contents, ends, headfall, json, recorded, sample, stderr, stdout, text,
};

const TABLE: &str = "Well,Easting,Northing,Elevation\n\
                     A,480000,4980000,100.0\nB,480100,4980000,99.8\n\
                     C,480100,4980100,99.9\nD,480000,4980100,100.1\n";

#[test]
fn every_sample_site_is_drawn_and_says_it_is_invented() {
    for &site in SITES {
        let folder = Folder::new();
        let out = folder.path().join("map");
        let output = headfall(&["draw", "--out"], &[&out, &sample(site)]);
        ends(&output, 0);
        let files = contents(&out);
        for file in [
            "contours.geojson",
            "flow.geojson",
            "heads.csv",
            "layers.gpkg",
            "summary.json",
            "surface.tif",
            "triangles.csv",
            "triangles.geojson",
            "wells.geojson",
        ] {
            assert!(files.get(file).is_some_and(|f| !f.is_empty()), "{site} has {file}");
        }
        let story = text(sample(site).join("README.md"));
        assert!(story.contains("invented"), "{site} says it is invented");
    }
}

#[test]
fn the_same_bytes_come_out_whatever_the_threads() {
    let folder = Folder::new();
    let drawn: Vec<_> = ["1", "2", "7"]
        .iter()
        .map(|threads| {
            let out = folder.path().join(threads);
            let arguments = ["draw", "--quiet", "--threads", threads, "--out"];
            ends(&headfall(&arguments, &[&out, &sample("river-valley")]), 0);
            contents(&out)
        })
        .collect();
    assert!(drawn[0].contains_key("map.svg"), "the sheet among them");
    for other in &drawn[1..] {
        for (name, bytes) in &drawn[0] {
            assert!(other.get(name) == Some(bytes), "{name} differs");
        }
    }
}

#[test]
fn the_row_order_of_register_and_round_does_not_move_the_map() {
    let folder = Folder::new();
    let from = sample("closed-landfill");
    for file in ["site.toml", "wells.csv", "rounds/2026-05.csv"] {
        let text = text(from.join(file));
        let turned = if file == "site.toml" {
            text
        } else {
            let mut lines: Vec<&str> = text.lines().collect();
            lines[1..].reverse();
            lines.join("\n")
        };
        folder.file(file, turned);
    }
    for file in std::fs::read_dir(from.join("features")).expect("lines and areas") {
        let file = file.expect("a file");
        let name = format!("features/{}", file.file_name().to_string_lossy());
        folder.file(&name, std::fs::read(file.path()).expect("a file of the sample"));
    }
    let (a, b) = (folder.path().join("a"), folder.path().join("b"));
    ends(&headfall(&["draw", "--quiet", "--out"], &[&a, &from]), 0);
    ends(&headfall(&["draw", "--quiet", "--out"], &[&b, folder.path()]), 0);
    let (a, b) = (contents(&a), contents(&b));
    for file in
        ["contours.geojson", "triangles.geojson", "flow.geojson", "triangles.csv", "surface.tif"]
    {
        assert!(a[file] == b[file], "{file} differs");
    }
    // The line of a row is the row's own; all else is the same, in the same order.
    let heads = |files: &BTreeMap<String, Vec<u8>>| -> Vec<Vec<String>> {
        let mut rows =
            csv::ReaderBuilder::new().has_headers(false).from_reader(files["heads.csv"].as_slice());
        let rows: Vec<csv::StringRecord> = rows.records().map(|r| r.expect("cells")).collect();
        let line = rows[0].iter().position(|heading| heading == "line").expect("a column");
        let cells = |row: &csv::StringRecord| -> Vec<String> {
            row.iter().enumerate().filter(|(i, _)| *i != line).map(|(_, c)| c.to_owned()).collect()
        };
        rows.iter().map(cells).collect()
    };
    assert_eq!(heads(&a), heads(&b));
    let marks = |files: &BTreeMap<String, Vec<u8>>| -> Vec<String> {
        let page = String::from_utf8_lossy(&files["report.html"]);
        page.lines().filter(|l| l.contains("class=\"mark ")).map(str::to_owned).collect()
    };
    assert!(!marks(&a).is_empty());
    assert!(marks(&a) == marks(&b), "report.html has its wells in another order");
}

#[test]
fn a_table_alone_is_enough_for_a_first_map() {
    let folder = Folder::new();
    let table = folder.file("readings.csv", TABLE);
    let out = folder.path().join("map");
    let output = headfall(&["draw", "--crs", "EPSG:26915", "--out"], &[&out, &table]);
    ends(&output, 0);
    let said = stderr(&output);
    assert!(said.contains("R113") && said.contains("--unit"), "the assumed unit is told: {said}");
    // 0.1 m over 100 m east and 0.1 m over 100 m north, both known by construction.
    let said = stdout(&output);
    assert!(said.contains("control: 4 wells;"), "{said}");
}

#[test]
fn json_is_the_only_thing_on_standard_output() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    let output = headfall(&["draw", "--json", "--out"], &[&out, &sample("fuel-depot")]);
    ends(&output, 0);
    let printed: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON alone");
    let written = json(out.join("summary.json"));
    assert_eq!(printed, written, "the summary that is written is the one that is printed");
    let checked = headfall(&["check", "--json"], &[&sample("fuel-depot")]);
    ends(&checked, 0);
    let checked: serde_json::Value = serde_json::from_slice(&checked.stdout).expect("JSON alone");
    assert_eq!(checked["mappable"], true);
}

#[test]
fn quiet_says_findings_only() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    let output = headfall(&["draw", "--quiet", "--out"], &[&out, &sample("fuel-depot")]);
    ends(&output, 0);
    assert!(output.stdout.is_empty(), "nothing on standard output");
    assert!(stderr(&output).contains("MW-13"), "the dry well is told");
}

#[test]
fn fail_on_makes_findings_count() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    for (weight, code) in [("never", 0), ("warning", 1), ("note", 1)] {
        let arguments = ["draw", "--quiet", "--fail-on", weight, "--out"];
        ends(&headfall(&arguments, &[&out, &sample("closed-landfill")]), code);
        let mut files: BTreeSet<_> = contents(&out).into_keys().collect();
        assert!(files.remove("files.sha256"), "the record of the results");
        assert_eq!(files, recorded(&out).into_keys().collect(), "the map is drawn all the same");
        std::fs::remove_dir_all(&out).expect("taken away");
    }
    // The fuel depot's round has notes but no warning.
    for (weight, code) in [("warning", 0), ("note", 1)] {
        ends(&headfall(&["check", "--fail-on", weight], &[&sample("fuel-depot")]), code);
    }
}

#[test]
fn check_prints_heads_and_writes_nothing() {
    let folder = Folder::new();
    let table = folder.file("readings.csv", TABLE);
    let output = headfall(&["check", "--crs", "EPSG:26915", "--unit", "m"], &[&table]);
    ends(&output, 0);
    let said = stdout(&output);
    assert!(said.contains("100.100") && said.contains("used"), "{said}");
    assert_eq!(contents(folder.path()).len(), 1, "nothing but the table");
}

#[test]
fn check_shows_the_heads_of_a_round_that_cannot_be_mapped() {
    let folder = Folder::new();
    let table = folder.file(
        "readings.csv",
        "Well,Easting,Northing,Elevation (m)\nA,480000,4980000,100.0\nB,480100,4980000,99.8\n",
    );
    let output = headfall(&["check", "--crs", "EPSG:26915"], &[&table]);
    ends(&output, 2);
    assert!(stdout(&output).contains("99.800"), "{}", stdout(&output));
    assert!(stderr(&output).contains("C301"), "{}", stderr(&output));
}

#[test]
fn start_makes_a_site_that_draws() {
    let folder = Folder::new();
    let site = folder.path().join("site");
    ends(&headfall(&["start"], &[&site]), 0);
    ends(&headfall(&["draw"], &[&site]), 0);
    let round = std::fs::read_dir(site.join("out")).expect("results").count();
    assert_eq!(round, 1, "one round was drawn");
    let before = contents(&site);
    ends(&headfall(&["start"], &[&site]), 3);
    assert_eq!(before.get("site.toml"), contents(&site).get("site.toml"), "nothing overwritten");
}

#[test]
fn a_refusal_writes_nothing_and_keeps_earlier_results() {
    let folder = Folder::new();
    let table = folder.file("readings.csv", TABLE);
    let out = folder.path().join("map");
    ends(&headfall(&["draw", "--crs", "EPSG:26915", "--out"], &[&out, &table]), 0);
    let before = contents(&out);
    folder.file("readings.csv", TABLE.replace("99.9", "5'7\""));
    let output = headfall(&["draw", "--crs", "EPSG:26915", "--out"], &[&out, &table]);
    ends(&output, 2);
    let said = stderr(&output);
    assert!(said.contains("R106") && said.contains("line 4"), "{said}");
    assert!(contents(&out) == before, "the earlier map stands as it was");
    let missing = folder.path().join("none");
    ends(&headfall(&["draw"], &[&missing]), 2);
    let fresh = folder.path().join("fresh");
    ends(&headfall(&["draw", "--crs", "EPSG:26915", "--out"], &[&fresh, &table]), 2);
    assert!(!fresh.exists(), "no folder for a map that is not there");
}

#[test]
fn what_does_not_fit_the_data_ends_with_two_and_what_there_is_not_with_four() {
    let site = sample("fuel-depot");
    for (arguments, code) in [
        (&["draw", "--cell", "0"][..], 2),
        (&["draw", "--cell", "-1"], 2),
        (&["draw", "--cell", "nan"], 2),
        (&["draw", "--cell", "1e-7"], 2),
        (&["draw", "--interval", "0"], 2),
        (&["draw", "--interval", "1e-9"], 2),
        (&["draw", "--round", "none"], 2),
        (&["draw", "--crs", "EPSG:0"], 2),
        (&["draw", "--unit", "furlong"], 4),
        (&["draw", "--threads", "0"], 4),
        (&["draw", "--fail-on", "always"], 4),
        (&["paint"], 4),
        (&[], 4),
    ] {
        let folder = Folder::new();
        let out = folder.path().join("map");
        let output = headfall(arguments, &[Path::new("--out"), &out, &site]);
        ends(&output, code);
        assert!(!out.exists(), "{arguments:?} writes nothing");
    }
}

#[test]
fn toward_follows_the_water_of_a_sample_site_and_says_what_it_leaves_out() {
    let folder = Folder::new();
    let out = folder.path().join("toward");
    let site = sample("closed-landfill");
    let output = headfall(&["toward", "--out"], &[&out, &site]);
    ends(&output, 0);
    let said = stdout(&output);
    for word in ["P02S", "Dispersion", "preferential pathways", "vertical flow", "decay"] {
        assert!(said.contains(word), "no {word} in {said}");
    }
    let files = contents(&out);
    // The files of the map, and those of the paths.
    for name in ["map.svg", "report.html", "summary.json", "paths.geojson", "receptors.csv"] {
        assert!(files.contains_key(name), "no {name} in {:?}", files.keys());
    }
    let output = headfall(&["toward", "--json", "--threads", "1", "--out"], &[&out, &site]);
    ends(&output, 0);
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON alone");
    assert_eq!(json["toward"]["vertical_gradients"].as_array().map(Vec::len), Some(6));
    assert!(files == contents(&out), "a second run writes other bytes");
}

#[test]
fn toward_without_a_question_is_refused_and_writes_nothing() {
    let folder = Folder::new();
    let table = folder.file("readings.csv", TABLE);
    let output = headfall(&["toward", "--crs", "EPSG:26915", "--unit", "m"], &[&table]);
    ends(&output, 2);
    assert!(stderr(&output).contains("T501"));
    assert!(!folder.path().join("out").exists());
}
