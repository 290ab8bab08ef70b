//! The map of an aquifer unit that the command line names, and one of each.

use std::path::{Path, PathBuf};

use headfall::diag::Code;
use headfall::read::Overrides;
use serde_json::Value;

use crate::support::{
    contents, ends, headfall, json, keeps_schema, map, of, runs, sample, stderr, stdout, table,
    text,
};

fn of_unit(unit: &str) -> Overrides {
    Overrides { aquifer_unit: Some(unit.to_owned()), ..Overrides::default() }
}

/// The units of a run with `--json`: aquifer unit, state, and the whole line.
fn lines(output: &std::process::Output) -> Vec<(String, String, Value)> {
    let line = |line: &str| {
        let value: Value = serde_json::from_str(line).expect("a line of JSON");
        let text = |name: &str| value[name].as_str().unwrap_or_default().to_owned();
        (text("aquifer_unit"), text("state"), value.clone())
    };
    stdout(output).lines().map(line).collect()
}

fn ids(out: &Path, used: &str) -> Vec<String> {
    let rows = table(out.join("heads.csv"));
    rows.into_iter()
        .filter(|row| row["used_for_contouring"] == used)
        .map(|row| row["well"].clone())
        .collect()
}

/// Upper sand and lower gravel have enough wells; the only well in the waste was pumping.
#[test]
fn every_unit_with_three_wells_has_a_map_and_the_others_are_counted() {
    let site = sample("closed-landfill");
    let folder: &Path = &site;
    let output = headfall(&["draw", "--json", "--aquifer-unit", "all"], &[folder]);
    ends(&output, 2);
    let found = lines(&output);
    let states: Vec<(&str, &str)> =
        found.iter().map(|(u, s, _)| (u.as_str(), s.as_str())).collect();
    assert_eq!(states, [("lower gravel", "drawn"), ("upper sand", "drawn"), ("waste", "refused")]);
    for (_, _, line) in &found {
        keeps_schema("rounds", line);
    }
    let why = found[2].2["why"].as_str().expect("a reason");
    assert!(why.starts_with("C301: 0 usable wells") && why.contains("\"waste\""), "{why}");
    let units = folder.join("out/2026-05/units");
    assert!(!units.join("waste").exists() && !folder.join("out/2026-05/map.pdf").exists());
    // The six wells of the register that are screened in the gravel.
    let gravel = units.join("lower gravel");
    assert_eq!(ids(&gravel, "yes"), ["P02D", "P04D", "P05D", "P07D", "P09D", "P11D"]);
    assert!(ids(&units.join("upper sand"), "yes").contains(&"P02S".to_owned()));
    for (unit, out) in [("lower gravel", &gravel), ("upper sand", &units.join("upper sand"))] {
        let summary = json(out.join("summary.json"));
        assert_eq!(summary["aquifer_unit"], unit);
        let columns = ["wells.csv", "heads.csv", "triangles.csv"];
        for file in columns {
            assert!(table(out.join(file)).iter().all(|row| row["mapped_unit"] == unit), "{file}");
        }
        assert!(table(out.join("water-levels.csv")).iter().all(|r| r["Mapped unit"] == unit));
        for file in ["contours.geojson", "wells.geojson", "triangles.geojson", "flow.geojson"] {
            let features = json(out.join(file))["features"].as_array().expect("features").clone();
            assert!(features.iter().all(|f| f["properties"]["mapped_unit"] == unit), "{file}");
        }
        for file in ["map.svg", "report.html"] {
            assert!(text(out.join(file)).contains(unit), "{file}");
        }
    }
    // The creek is in contact with the upper sand alone.
    assert!(!gravel.join("stream-points.geojson").exists());
    // Once more nothing is drawn, and a unit that is named has the folder and the bytes that it has among all.
    let again = lines(&headfall(&["draw", "--json", "--aquifer-unit", "all"], &[folder]));
    assert_eq!(again.iter().filter(|(_, state, _)| state == "unchanged").count(), 2);
    let before = contents(&gravel);
    runs(&["draw", "--quiet", "--aquifer-unit", "Lower Gravel "], &[folder]);
    let after = contents(&gravel);
    assert_eq!(before.keys().collect::<Vec<_>>(), after.keys().collect::<Vec<_>>());
    assert_eq!(before["contours.geojson"], after["contours.geojson"]);
    // The map of the site's own unit goes where it always has, beside those.
    runs(&["draw", "--quiet"], &[folder]);
    assert!(folder.join("out/2026-05/map.pdf").exists() && gravel.join("map.pdf").exists());
    let redrawn = runs(&["verify", "--redraw", "--json"], &[&gravel]);
    assert!(stdout(&redrawn).contains("\"again\":\"same\""), "{}", stdout(&redrawn));
}

#[test]
fn results_of_a_unit_are_below_those_of_the_site_whatever_they_are() {
    let site = sample("closed-landfill");
    let folder: &Path = &site;
    let unit = ["--quiet", "--aquifer-unit", "lower gravel"];
    runs(&[&["record"], &unit[..]].concat(), &[folder]);
    let out = folder.join("out/record/units/lower gravel/record.json");
    assert!(out.exists(), "{:?}", contents(&folder.join("out")).keys());
    let chosen: PathBuf = folder.join("mine");
    let arguments = ["draw", "--quiet", "--data-only", "--aquifer-unit", "all", "--out"];
    ends(&headfall(&arguments, &[&chosen, folder]), 2);
    assert!(chosen.join("2026-05/units/lower gravel/summary.json").exists());
    // All units make many maps, which only draw does.
    for command in ["check", "toward", "cross-validate", "record", "form"] {
        let output = headfall(&[command, "--aquifer-unit", "all"], &[folder]);
        ends(&output, 4);
        assert!(stderr(&output).contains("name one unit"), "{}", stderr(&output));
    }
    ends(&headfall(&["check", "--quiet", "--aquifer-unit", "lower gravel"], &[folder]), 0);
}

#[test]
fn a_misspelt_unit_is_refused_with_the_units_of_the_register() {
    let path = sample("closed-landfill");
    let refused = |unit: &str| {
        let (map, findings) = map(&path, &of_unit(unit));
        assert!(map.is_err());
        let told = of(Code::UnitUnnamed, &findings);
        assert_eq!(told.len(), 1, "{findings:#?}");
        (told[0].message.clone(), told[0].advice.clone().expect("advice"))
    };
    let (message, advice) = refused("lower gravle");
    for unit in ["\"lower gravle\"", "\"lower gravel\"", "\"upper sand\"", "\"waste\""] {
        assert!(message.contains(unit), "{message}");
    }
    assert!(advice.contains("did you mean lower gravel?") && !advice.contains("sand"), "{advice}");
    // Nothing like it: no name is put forward.
    let (_, advice) = refused("bedrock");
    assert!(!advice.contains("gravel") && advice.contains("--aquifer-unit"), "{advice}");
}

#[test]
fn a_register_without_units_has_no_map_of_each() {
    let output = headfall(&["draw", "--aquifer-unit", "all"], &[&sample("fuel-depot")]);
    ends(&output, 2);
    assert!(stderr(&output).contains("C313"), "{}", stderr(&output));
}
