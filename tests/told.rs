//! What the program tells other programs and people: JSON that keeps its schema, streams that may
//! be closed or full, and nothing from the libraries below it.

use std::process::Stdio;

use headfall::diag::Code;
use serde_json::Value;

use crate::support::{Folder, SITES, headfall, program, sample, stderr};

const SCHEMAS: &[(&str, &str)] = &[
    ("draw", include_str!("../docs/summary.schema.json")),
    ("cross-validate", include_str!("../docs/cross-validation.schema.json")),
    ("record", include_str!("../docs/record.schema.json")),
    ("toward", include_str!("../docs/summary.schema.json")),
];

const TABLE: &str = "Well,Easting,Northing,Elevation (m)\n\
                     A,480000,4980000,100.0\nB,480100,4980000,99.8\n\
                     C,480100,4980100,99.9\nD,480000,4980100,100.1\n";

/// The patterns for codes in a schema.
fn patterns(schema: &Value, found: &mut Vec<String>) {
    match schema {
        Value::Object(members) => {
            if let Some(pattern) = members.get("pattern").and_then(Value::as_str)
                && pattern.contains("\\d{3}")
            {
                found.push(pattern.to_owned());
            }
            members.values().for_each(|v| patterns(v, found));
        }
        Value::Array(items) => items.iter().for_each(|v| patterns(v, found)),
        _ => {}
    }
}

#[test]
fn every_code_passes_every_schema() {
    for &(command, text) in SCHEMAS {
        let schema: Value = serde_json::from_str(text).expect("a schema");
        let mut found = Vec::new();
        patterns(&schema, &mut found);
        assert!(!found.is_empty(), "the schema of {command} describes no code");
        for pattern in found {
            let validator = jsonschema::draft202012::new(&serde_json::json!({"pattern": pattern}))
                .expect("a pattern");
            for code in Code::ALL {
                assert!(validator.is_valid(&Value::from(code.id())), "{command}: {code}");
            }
            assert!(!validator.is_valid(&Value::from("X101")));
        }
    }
}

#[test]
fn what_the_sample_sites_give_keeps_the_schemas() {
    let folder = Folder::new();
    for &(command, text) in SCHEMAS {
        let schema: Value = serde_json::from_str(text).expect("a schema");
        let validator = jsonschema::draft202012::new(&schema).expect("a schema");
        let mut codes = String::new();
        for site in SITES {
            let out = folder.path().join(command).join(site);
            let output = headfall(&[command, "--json", "--out"], &[&out, &sample(site)]);
            if command == "toward" && output.status.code() == Some(2) {
                assert!(stderr(&output).contains("T501"), "{site}: {}", stderr(&output));
                continue;
            }
            assert_eq!(output.status.code(), Some(0), "{site}: {}", stderr(&output));
            let told: Value = serde_json::from_slice(&output.stdout).expect("JSON alone");
            let wrong: Vec<String> = validator
                .iter_errors(&told)
                .map(|e| format!("{}: {e}", e.instance_path()))
                .collect();
            assert!(wrong.is_empty(), "{command} {site}: {wrong:#?}");
            codes += &told["findings"].to_string();
        }
        assert!(codes.contains("\"code\""), "no finding was held against the schema of {command}");
        assert!(command != "toward" || codes.contains("\"T5"), "no finding of toward: {codes}");
    }
}

#[test]
fn libraries_below_say_nothing_of_their_own() {
    let folder = Folder::new();
    let table = folder.file("readings.csv", TABLE);
    let swapped = folder.file(
        "swapped.csv",
        "Well,Longitude,Latitude,Elevation (m)\nA,44.97,-93.25,100.0\nB,44.97,-93.26,99.8\n\
         C,44.98,-93.26,99.9\nD,144.98,-93.25,100.1\n",
    );
    folder.file("site.toml", "[site]\ncoordinates_crs = \"EPSG:4326\"\n");
    let plain = Folder::new();
    let table_alone = plain.file("readings.csv", TABLE);
    let broken = Folder::new();
    broken.file("readings.csv", TABLE);
    let features = broken.file("readings.csv", TABLE);
    broken.file("site.toml", "[features]\nbarriers = \"wall.shp\"\n");
    // The header of a shapefile of lines without any: file code, length in words, version, type.
    let mut header = vec![0_u8; 100];
    header[2..4].copy_from_slice(&[0x27, 0x0a]);
    header[27] = 50;
    header[28..30].copy_from_slice(&[0xe8, 0x03]);
    header[32] = 3;
    broken.file("wall.shp", header);
    let out = folder.path().join("out");
    for (crs, table) in [
        ("EPSG:99999", &table_alone),
        ("what is that", &table_alone),
        ("EPSG:26915", &swapped),
        ("EPSG:26915", &features),
        ("EPSG:26915", &table),
    ] {
        let output = headfall(&["draw", "--unit", "m", "--crs", crs, "--out"], &[&out, table]);
        assert_eq!(output.status.code(), Some(2), "{crs} {}", table.display());
        let told = stderr(&output);
        for line in told.lines() {
            let ours = ["error ", "warning ", "note ", "    at ", "    help: ", "    and "];
            assert!(
                ours.iter().any(|start| line.starts_with(start))
                    || line.ends_with("nothing was written"),
                "{line}\nin\n{told}"
            );
        }
        assert!(!told.contains("config option"), "{told}");
    }
}

#[test]
fn a_full_standard_output_is_told_and_a_closed_one_ends_quietly() {
    let folder = Folder::new();
    let table = folder.file("readings.csv", TABLE);
    let out = folder.path().join("map");
    let command = |name: &str, json: bool, to: Stdio| {
        let mut command = program();
        command.arg(name).args(["--crs", "EPSG:26915"]).args(json.then_some("--json"));
        if name == "draw" {
            command.arg("--data-only");
        }
        if name != "check" {
            command.arg("--out").arg(&out);
        }
        command.arg(&table).stdout(to).stderr(Stdio::piped()).output().expect("the program runs")
    };
    for name in ["draw", "check", "cross-validate"] {
        for json in [true, false] {
            if let Ok(full) = std::fs::OpenOptions::new().write(true).open("/dev/full") {
                let output = command(name, json, full.into());
                assert_eq!(output.status.code(), Some(3), "{name}: {}", stderr(&output));
                assert!(name == "check" || out.join("files.sha256").exists(), "{name}");
                let told = stderr(&output);
                assert!(told.contains("standard output cannot be written"), "{name}: {told}");
                assert!(!told.contains("panicked"), "{name}: {told}");
            }
            let (reader, writer) = std::io::pipe().expect("a pipe");
            drop(reader);
            let output = command(name, json, writer.into());
            assert_eq!(output.status.code(), Some(0), "{name}: {}", stderr(&output));
            assert!(!stderr(&output).contains("standard output"), "{name}: {}", stderr(&output));
        }
    }
    // A standard error that cannot be written takes nothing else down.
    if let Ok(full) = std::fs::OpenOptions::new().write(true).open("/dev/full") {
        let status = program()
            .args(["check", "--crs", "EPSG:26915"])
            .arg(&table)
            .stdout(Stdio::null())
            .stderr(full)
            .status();
        assert_eq!(status.expect("the program runs").code(), Some(0));
    }
}

#[test]
fn each_command_says_what_it_cannot_do_and_takes_only_what_it_uses() {
    let folder = Folder::new();
    let table = folder.file("readings.csv", TABLE);
    let output = headfall(&["toward", "--crs", "EPSG:26915"], &[&table]);
    assert_eq!(output.status.code(), Some(2));
    let told = stderr(&output);
    assert!(told.contains("flow paths cannot be traced as asked"), "{told}");
    assert!(!told.contains("drawn as asked"), "{told}");
    let output = headfall(&["check", "--surface", "kriging", "--crs", "EPSG:26915"], &[&table]);
    assert_eq!(output.status.code(), Some(4), "check draws no surface");
    assert!(stderr(&output).contains("--surface"));
}
