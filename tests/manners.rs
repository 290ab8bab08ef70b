//! What habit expects of a command: short options, help that is true, names that are likely, pages for shells.

use std::path::Path;
use std::process::Output;

use headfall::diag::Code;

use crate::support::{
    Folder, PROGRAM, contents, ends, headfall, json, program, runs, sample, stderr, stdout, text,
};

/// What is said where a site or an option has this mistake; it ends with 2.
fn refused(arguments: &[&str], site: &Path) -> String {
    let output = headfall(arguments, &[site]);
    ends(&output, 2);
    stderr(&output)
}

/// Lays a copy of a sample site into a folder.
fn copied(folder: &Folder, site: &str) {
    for (name, bytes) in
        contents(&sample(site)).into_iter().filter(|(name, _)| !name.starts_with("out/"))
    {
        folder.file(&format!("sample-sites/{site}/{name}"), bytes);
    }
}

/// The same with a part of `site.toml` changed.
fn changed(folder: &Folder, site: &str, from: &str, to: &str) -> std::path::PathBuf {
    copied(folder, site);
    let before = text(sample(site).join("site.toml"));
    assert!(before.contains(from), "it has {from}");
    folder.file(&format!("sample-sites/{site}/site.toml"), before.replacen(from, to, 1));
    folder.path().join("sample-sites").join(site)
}

#[test]
fn short_options_are_the_long_ones() {
    let folder = Folder::new();
    let [short, long] = ["short", "long"].map(|name| folder.path().join(name));
    let site = sample("fuel-depot");
    let a = runs(&["draw", "-q", "-j", "1", "-r", "2025-10", "-o"], &[&short, &site]);
    let b = runs(
        &["draw", "--quiet", "--threads", "1", "--round", "2025-10", "--out"],
        &[&long, &site],
    );
    assert_eq!((stdout(&a), stderr(&a)), (stdout(&b), stderr(&b)));
    assert!(contents(&short) == contents(&long), "the same files");
}

#[test]
fn the_long_version_names_what_is_built_in() {
    let short = stdout(&runs(&["-V"], &[]));
    assert_eq!(short, format!("headfall {}\n", env!("CARGO_PKG_VERSION")));
    let long = stdout(&runs(&["--version"], &[]));
    let lines: Vec<&str> = long.lines().collect();
    assert_eq!(lines[0], short.trim_end());
    for name in ["GDAL ", "PROJ "] {
        let version = lines.iter().find_map(|line| line.strip_prefix(name)).expect(name);
        let numbers: Vec<&str> = version.split('.').collect();
        assert!(numbers.len() == 3 && numbers[0].parse::<u32>().is_ok(), "{name} {version}");
    }
}

#[test]
fn codes_are_explained_by_the_documentation() {
    let document = text(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/findings.md"));
    let told = stdout(&runs(&["explain", "c308"], &[]));
    let (heading, section) = told.split_once("\n\n").expect("a heading and a section");
    assert!(document.contains(&format!("## {heading}\n\n{}", section.trim_end())), "{told}");
    let both = stdout(&runs(&["explain", "C308", "T501"], &[]));
    assert!(both.starts_with(&told) && both.contains("\nT501 "), "{both}");
    let all = stdout(&runs(&["explain"], &[]));
    assert_eq!(all.lines().count(), Code::ALL.len());
    for (line, code) in all.lines().zip(Code::ALL) {
        assert!(line.starts_with(code.id()) && line.ends_with(code.title()), "{line}");
    }
    let unknown = headfall(&["explain", "C38"], &[]);
    ends(&unknown, 4);
    assert!(stderr(&unknown).contains("C308"), "{}", stderr(&unknown));
    ends(&headfall(&["explain", "heads"], &[]), 4);
}

#[test]
fn a_misspelt_name_gets_the_likely_one() {
    let site = "fuel-depot";
    let key = "elevation_unit";
    let folder = Folder::new();
    let copy = changed(&folder, site, key, "elevaton_unit");
    let said = refused(&["check"], &copy);
    assert!(said.contains("R102") && said.contains(&format!("did you mean {key}?")), "{said}");
    let said = refused(&["check", "--round", "2025_01"], &sample(site));
    assert!(said.contains("R111") && !said.contains("did you mean"), "another month: {said}");
    let folder = Folder::new();
    let copy = changed(&folder, site, "[round]", "[ruond]");
    let said = refused(&["check"], &copy);
    assert!(said.contains("did you mean round?"), "{said}");
}

#[test]
fn a_misspelt_round_and_a_misspelt_well_get_the_likely_one() {
    let folder = Folder::new();
    let wells = "Well,Easting,Northing,Measuring point elevation,Aquifer unit\n\
                 Pump house,480000,4980000,100,upper sand\nNorth ditch,480100,4980000,100,upper sand\n\
                 Old barn,480000,4980100,100,upper sand\nMW-4,480100,4980100,100,upper sand\n";
    let settings = "[site]\nname = \"Invented\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"m\"\n\
                    vertical_datum = \"NAVD 88\"\naquifer_unit = \"uper sand\"\n";
    let round = "Well,Date,Depth to water\nPump hose,2026-04-14,3.0\nNorth ditch,2026-04-14,3.1\n\
                 Old barn,2026-04-14,3.3\nMW-5,2026-04-14,3.2\n";
    folder.file("wells.csv", wells);
    folder.file("site.toml", settings);
    folder.file("rounds/spring.csv", round);
    let said = refused(&["check"], folder.path());
    assert!(said.contains("the register has Pump house"), "{said}");
    assert!(!said.contains("the register has MW-4"), "no digit is guessed: {said}");
    let said = refused(&["check", "--round", "sprnig"], folder.path());
    assert!(said.contains("did you mean spring?"), "{said}");
    folder.file("rounds/spring.csv", round.replace("hose", "house").replace("MW-5", "MW-4"));
    let output = headfall(&["draw"], &[folder.path()]);
    ends(&output, 2);
    assert!(stderr(&output).contains("did you mean upper sand?"), "{}", stderr(&output));
}

#[test]
fn what_start_makes_is_accepted_as_it_is() {
    let folder = Folder::new();
    let site = folder.path().join("site");
    runs(&["start"], &[&site]);
    assert!(text(site.join("site.toml")).to_lowercase().contains("invented"), "it says so");
    for command in ["check", "draw", "toward", "record", "form", "cross-validate"] {
        let output = runs(&[command], &[&site]);
        assert_eq!(stderr(&output), "", "{command} finds nothing");
    }
    runs(&["compare"], &[&site, Path::new("2025-10"), Path::new("2026-04")]);
    let answers: serde_json::Value =
        serde_json::from_str(&text(site.join("out/2026-04-14/toward/summary.json"))).expect("JSON");
    assert!(answers["toward"].is_object(), "paths were followed");
    runs(&["verify"], &[&site.join("out")]);
}

/// The commands that the help lists.
fn commands() -> Vec<String> {
    let help = stdout(&runs(&["--help"], &[]));
    let (_, listed) = help.split_once("\nCommands:\n").expect("commands");
    let listed = listed.split("\n\n").next().unwrap_or_default();
    let name = |line: &str| line.strip_prefix("  ")?.split(' ').next().map(str::to_owned);
    listed.lines().filter_map(name).filter(|name| !name.is_empty() && name != "help").collect()
}

#[test]
fn every_example_of_the_help_runs() {
    let folder = Folder::new();
    for site in ["closed-landfill", "fuel-depot", "river-valley"] {
        copied(&folder, site);
    }
    let run = |line: &str| -> Output {
        let arguments = line.split_whitespace().skip(1);
        program().args(arguments).current_dir(folder.path()).output().expect("the program runs")
    };
    let mut seen = 0;
    let mut helps = vec![stdout(&runs(&["--help"], &[]))];
    for command in commands() {
        let help = stdout(&runs(&[command.as_str(), "--help"], &[]));
        let has = help.contains("\nExamples:\n");
        assert!(has || command == "licences", "{command} has examples");
        helps.push(help);
    }
    for help in helps {
        let Some((_, examples)) = help.split_once("\nExamples:\n") else { continue };
        for line in examples.lines().filter_map(|line| line.strip_prefix("  headfall ")) {
            ends(&run(&format!("headfall {line}")), 0);
            seen += 1;
        }
    }
    assert!(seen >= commands().len(), "{seen} examples");
}

#[test]
fn completions_and_man_pages_know_every_command() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let made = stdout(&runs(&["completions", shell], &[]));
        for command in commands() {
            assert!(made.contains(&command), "{shell}: {command}");
        }
        assert!(made.contains("fail-on"), "{shell}: options");
    }
    let folder = Folder::new();
    let pages = folder.path().join("man");
    runs(&["man"], &[&pages]);
    let made = contents(&pages);
    let names: Vec<String> = made.keys().cloned().collect();
    let mut expected: Vec<String> =
        commands().iter().map(|command| format!("headfall-{command}.1")).collect();
    expected.push("headfall.1".to_owned());
    expected.sort();
    assert_eq!(names, expected);
    for (name, page) in &made {
        let page = String::from_utf8_lossy(page);
        assert!(page.contains(".TH ") && page.contains(".SH SYNOPSIS"), "{name}");
    }
    ends(&headfall(&["man"], &[&pages]), 3);
    assert!(contents(&pages) == made, "nothing is overwritten");
}

/// One table of two rounds, with what tables have: a date, a time, a status, a remark, floating product, a dry well.
const TABLE: &str = "\
Well,Easting,Northing,Unit,TOC Elevation,Ground Elevation,Total Depth,Date,Time,DTW,DTP,SG,Status,Remarks
MW-1,480000,4980000,sand,100.00,99.1,9,2025-10-14,09:05,3.10,,,,invented
MW-2,480120,4980000,sand,100.50,99.7,9,2025-10-14,09:15,3.75,,,,\"lid loose, mended\"
MW-3,480120,4980090,sand,100.25,99.4,9,2025-10-14,09:25,3.60,3.40,0.8,,
MW-4,480000,4980090,sand,100.75,99.9,9,2025-10-14,09:35,,,,dry,
MW-10,480060,4980160,sand,100.80,99.9,9,2025-10-14,09:45,4.00,,,,
MW-1,480000,4980000,sand,100.00,99.1,9,2026-04-14,09:05,2.90,,,,
MW-2,480120,4980000,sand,100.50,99.7,9,2026-04-14,09:15,3.55,,,,
MW-3,480120,4980090,sand,100.25,99.4,9,2026-04-14,09:25,3.42,3.30,0.8,,
MW-4,480000,4980090,sand,100.75,99.9,9,2026-04-14,09:35,3.50,,,,
MW-10,480060,4980160,sand,100.80,99.9,9,2026-04-14,09:45,3.82,,,,
";

/// The readings that `check --json` prints, without the file and line they are from.
fn readings(arguments: &[&str], site: &Path) -> serde_json::Value {
    let mut printed: serde_json::Value =
        serde_json::from_slice(&headfall(arguments, &[site]).stdout).expect("JSON");
    let mut readings = printed["readings"].take();
    for reading in readings.as_array_mut().expect("readings") {
        let reading = reading.as_object_mut().expect("a reading");
        reading.remove("file");
        reading.remove("line");
    }
    readings
}

#[test]
fn a_folder_made_from_a_table_gives_the_same_heads() {
    let folder = Folder::new();
    let table = folder.file("gauging.csv", TABLE);
    let site = folder.path().join("site");
    let asked = ["--crs", "EPSG:26915", "--unit", "m"];
    let arguments =
        [&["start", "--from"], [table.to_str().expect("text")].as_slice(), &asked].concat();
    runs(&arguments, &[&site]);
    let made: Vec<String> = contents(&site).into_keys().collect();
    let expected = ["rounds/2025-10-14.csv", "rounds/2026-04-14.csv", "site.toml", "wells.csv"];
    assert_eq!(made, expected);
    for round in ["2025-10", "2026-04"] {
        let check = ["check", "--json", "--round", round];
        let before = readings(&[&check[..], &asked].concat(), &table);
        let after = readings(&check, &site);
        assert_eq!(before.as_array().map(Vec::len), Some(5));
        assert_eq!(before, after, "{round}");
    }
    let settings = text(site.join("site.toml"));
    assert!(settings.contains("\nelevation_unit = \"m\"\n") && settings.contains("EPSG:26915"));
    assert!(
        settings.contains("\nvertical_datum = \"not stated\"\n"),
        "what the table does not say is asked for"
    );
    runs(&["draw"], &[&site]);
    let summary = json(site.join("out/2026-04-14/summary.json"));
    assert!(summary["vertical_datum"].is_null(), "it is no datum: {}", summary["vertical_datum"]);
    runs(&["record"], &[&site]);
    let before = contents(&site);
    ends(&headfall(&arguments, &[&site]), 3);
    assert!(contents(&site) == before, "nothing is overwritten");
}

#[test]
fn what_cannot_become_a_folder_leaves_none() {
    let folder = Folder::new();
    let site = folder.path().join("site");
    let start = |from: &Path| {
        let from = from.to_str().expect("text");
        let output =
            headfall(&["start", "--crs", "EPSG:26915", "--unit", "m", "--from", from], &[&site]);
        ends(&output, 2);
        assert!(!site.exists(), "no folder");
        stderr(&output)
    };
    let moved = TABLE.replacen("100.25,99.4", "100.35,99.4", 1);
    let said = start(&folder.file("gauging.csv", moved));
    assert!(said.contains("R108") && said.contains("MW-3"), "{said}");
    assert!(start(&sample("fuel-depot")).contains("R101"));
    assert!(start(&folder.path().join("none.csv")).contains("R101"));
    ends(&headfall(&["start", "--crs", "EPSG:26915"], &[&site]), 4);
}

#[test]
fn tables_are_no_wider_than_the_terminal_and_whole_without_one() {
    let site = sample("fuel-depot");
    let check = format!("{PROGRAM} check {}", site.display());
    let on_terminal = |columns: usize| {
        let command = format!("stty rows 40 cols {columns}; {check}");
        let output = std::process::Command::new("script")
            .args(["-qec", &command, "/dev/null"])
            .env("SHELL", "/bin/sh")
            .stdin(std::process::Stdio::null())
            .output()
            .expect("script, of util-linux");
        ends(&output, 0);
        let shown = stdout(&output).replace('\r', "");
        let (_, table) = shown.split_once(", round ").expect("the table's heading");
        let (table, _) = table.split_once(" readings used").expect("what is below the table");
        let lines: Vec<String> = table.lines().skip(1).map(str::to_owned).collect();
        lines[..lines.len() - 1].to_vec()
    };
    let (narrow, wide) = (on_terminal(80), on_terminal(400));
    let widest = |lines: &[String]| lines.iter().map(|line| line.chars().count()).max();
    assert!(widest(&narrow) <= Some(80) && widest(&wide) > Some(80), "{narrow:?} {wide:?}");
    assert!(narrow.len() > wide.len(), "long cells take several lines");
    let piped = stdout(&runs(&["check"], &[&site]));
    for line in wide {
        assert!(piped.contains(line.trim_end()), "{line}");
    }
}
