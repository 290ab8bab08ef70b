//! `headfall draw` of many rounds and sites in one call.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use gdal::Dataset;
use gdal::vector::LayerAccess as _;
use serde_json::Value;

use crate::support::{
    Folder, contents, ends, headfall, json, keeps_schema, near, program, runs, stderr, stdout, text,
};

/// Heads of one round: a plane that lies lower by `fall` in this round, times `steep`.
pub(crate) struct OfRound {
    pub(crate) name: &'static str,
    pub(crate) fall: f64,
    pub(crate) steep: f64,
    /// Wells without a reading.
    pub(crate) missing: &'static [usize],
}

pub(crate) const SPRING: OfRound = OfRound { name: "2025-04", fall: 0.0, steep: 1.0, missing: &[] };
/// Steeper, and without the three wells of the western side.
pub(crate) const AUTUMN: OfRound =
    OfRound { name: "2025-10", fall: 0.8, steep: 2.5, missing: &[0, 4, 8] };
const WINTER: OfRound = OfRound { name: "2026-01", fall: 0.3, steep: 1.2, missing: &[11] };

/// An invented site of twelve wells, 40 m apart.
pub(crate) fn site(folder: &Path, name: &str, rounds: &[OfRound]) {
    fs::create_dir_all(folder.join("rounds")).expect("a folder");
    let settings = format!(
        "[site]\nname = \"{name}\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"m\"\n\
         vertical_datum = \"NAVD 88\"\n"
    );
    fs::write(folder.join("site.toml"), settings).expect("written");
    let place = |w: usize| (40.0 * (w % 4) as f64, 40.0 * (w / 4) as f64);
    let mut wells = "id,easting,northing,measuring_point_elevation\n".to_owned();
    for w in 0..12 {
        let (x, y) = place(w);
        writeln!(wells, "W-{w},{},{},55", 440_000.0 + x, 4_650_000.0 + y).expect("text");
    }
    fs::write(folder.join("wells.csv"), wells).expect("written");
    for round in rounds {
        let mut readings = "id,date,depth_to_water\n".to_owned();
        for w in (0..12).filter(|w| !round.missing.contains(w)) {
            let (x, y) = place(w);
            let bump = 0.02 * (w as f64 * 1.7).sin();
            let head = 50.0 - round.fall - round.steep * (0.004 * x + 0.002 * y) + bump;
            writeln!(readings, "W-{w},{}-12,{:.3}", round.name, 55.0 - head).expect("text");
        }
        fs::write(folder.join(format!("rounds/{}.csv", round.name)), readings).expect("written");
    }
}

/// Where the map's frame is on a sheet, and its scale.
fn frame_and_scale(out: &Path) -> (String, String) {
    let sheet = text(out.join("map.svg"));
    let document = roxmltree::Document::parse(&sheet).expect("XML");
    let frame = document.descendants().find(|n| n.attribute("id") == Some("frame"));
    let first = frame.and_then(|frame| frame.descendants().find_map(|n| n.attribute("d")));
    let scale = sheet.split('<').find_map(|part| part.split_once("1:").map(|(_, rest)| rest));
    (first.expect("a frame").to_owned(), scale.expect("a scale").to_owned())
}

#[test]
fn maps_of_several_rounds_can_be_laid_over_each_other() {
    let folder = Folder::new();
    site(folder.path(), "Yard", &[SPRING, AUTUMN, WINTER]);
    runs(&["draw", "--quiet", "--round", "all"], &[folder.path()]);
    let out = |round: &str| folder.path().join("out").join(round);
    let rounds = ["2025-04", "2025-10", "2026-01"];
    let summaries = rounds.map(|round| json(out(round).join("summary.json")));
    let first = &summaries[0];
    // Autumn's heads span 2.5 (0.004 x 80 m + 0.002 x 80 m) = 1.2 m, for which ten levels are 0.1 m apart; spring's
    // 0.64 m alone would have 0.05 m.
    assert_eq!(first["contours"]["interval"], Value::from(0.1));
    for summary in &summaries {
        assert_eq!(summary["grid"], first["grid"]);
        assert_eq!(summary["contours"]["interval"], first["contours"]["interval"]);
    }
    let frame = frame_and_scale(&out("2025-04"));
    assert!(rounds.iter().all(|round| frame_and_scale(&out(round)) == frame));
    // Drawn by itself autumn has the box of its own wells.
    let alone = folder.path().join("alone");
    runs(&["draw", "--quiet", "--round", "2025-10", "--out"], &[&alone, folder.path()]);
    let alone = json(alone.join("summary.json"));
    let spring = folder.path().join("spring");
    runs(&["draw", "--quiet", "--round", "2025-04", "--out"], &[&spring, folder.path()]);
    assert_eq!(json(spring.join("summary.json"))["contours"]["interval"], Value::from(0.05));
    near(alone["grid"]["west"].as_f64().expect("a number"), 440_040.0, 1e-6);
    near(first["grid"]["west"].as_f64().expect("a number"), 440_000.0, 1e-6);
}

/// The units of a run with `--json`, by site and round.
fn units(output: &std::process::Output) -> BTreeMap<String, Value> {
    let unit = |line: &str| -> (String, Value) {
        let unit: Value = serde_json::from_str(line).expect("a line of JSON");
        let round = unit["round"].as_str().unwrap_or("-");
        (format!("{} {round}", unit["site"].as_str().unwrap_or("?")), unit)
    };
    stdout(output).lines().map(unit).collect()
}

#[test]
fn one_that_fails_stops_no_other_and_what_has_not_changed_is_left_alone() {
    let folder = Folder::new();
    let (yard, mill) = (folder.path().join("yard"), folder.path().join("mill"));
    site(&yard, "Yard", &[SPRING, AUTUMN]);
    site(&mill, "Mill", &[SPRING, WINTER]);
    folder.file("mill/rounds/2025-07.csv", "id,date,depth_to_water\nW-1,2025-07-12,deep\n");
    let out = folder.path().join("results");
    let draw = |more: &[&str]| {
        let arguments = [&["draw", "--json", "--round", "all"], more, &["--out"]].concat();
        headfall(&arguments, &[&out, &yard, &mill])
    };
    let first = draw(&[]);
    ends(&first, 2);
    let found = units(&first);
    let states: Vec<(&str, &str)> = found
        .iter()
        .map(|(name, unit)| (name.as_str(), unit["state"].as_str().expect("a state")))
        .collect();
    let expected = [
        ("Mill 2025-04", "drawn"),
        ("Mill 2025-07", "refused"),
        ("Mill 2026-01", "drawn"),
        ("Yard 2025-04", "drawn"),
        ("Yard 2025-10", "drawn"),
    ];
    assert_eq!(states, expected);
    let refused = &found["Mill 2025-07"];
    assert!(refused["why"].as_str().is_some_and(|why| why.starts_with("R1")), "{refused}");
    assert!(stderr(&first).contains("rounds/2025-07.csv, line 2"), "{}", stderr(&first));
    assert!(out.join("yard/2025-10/map.pdf").exists() && !out.join("mill/2025-07").exists());
    // Nothing has changed: nothing is touched.
    let before = contents(&out);
    let since = |name: &str| {
        let found = fs::metadata(out.join(name).join("files.sha256")).expect("a record");
        found.modified().expect("a time")
    };
    let names = ["mill/2025-04", "mill/2026-01", "yard/2025-04", "yard/2025-10"];
    let times = names.map(since);
    let again = units(&draw(&[]));
    assert_eq!(again.values().filter(|unit| unit["state"] == "unchanged").count(), 4);
    assert!(contents(&out) == before && names.map(since) == times);
    // One reading of one round: this round alone is drawn, as what they share is as it was.
    let file = yard.join("rounds/2025-04.csv");
    let readings = text(&file).replacen("W-5,2025-04-12,5.", "W-5,2025-04-12,5.0", 1);
    assert_ne!(readings, text(&file));
    fs::write(&file, readings).expect("written");
    let drawn = |units: &BTreeMap<String, Value>| -> Vec<String> {
        let is_drawn = |(_, unit): &(&String, &Value)| unit["state"] == "drawn";
        units.iter().filter(is_drawn).map(|(name, _)| name.clone()).collect()
    };
    assert_eq!(drawn(&units(&draw(&[]))), ["Yard 2025-04"]);
    // A result that somebody changed is drawn again, and what they wrote is kept.
    fs::write(out.join("mill/2025-04/wells.csv"), "mine").expect("written");
    assert_eq!(drawn(&units(&draw(&[]))), ["Mill 2025-04"]);
    assert_eq!(contents(&out.join("mill/2025-04")).values().filter(|b| **b == b"mine").count(), 1);
    // Other options, and everything by force.
    assert_eq!(drawn(&units(&draw(&["--shade"]))).len(), 4);
    assert_eq!(drawn(&units(&draw(&["--shade", "--force"]))).len(), 4);
    assert_eq!(drawn(&units(&draw(&["--shade"]))).len(), 0);
}

#[test]
fn results_have_the_same_bytes_on_any_number_of_threads_and_in_any_folder() {
    let drawn = |threads: &str| {
        let folder = Folder::new();
        let sites = ["yard", "mill"].map(|name| folder.path().join(name));
        site(&sites[0], "Yard", &[SPRING, AUTUMN]);
        site(&sites[1], "Mill", &[WINTER, AUTUMN]);
        let out = folder.path().join("results");
        let arguments = ["draw", "--quiet", "--round", "all", "--threads", threads, "--out"];
        runs(&arguments, &[&out, &sites[0], &sites[1]]);
        contents(&out)
    };
    let one = drawn("1");
    assert!(one.len() > 60 && one == drawn("2") && one == drawn("5"));
}

#[test]
fn sites_are_told_apart_by_their_folders() {
    let folder = Folder::new();
    let (here, there) = (folder.path().join("a/yard"), folder.path().join("b/yard"));
    site(&here, "Yard", &[SPRING]);
    site(&there, "Other yard", &[SPRING]);
    let out = folder.path().join("results");
    let output = headfall(&["draw", "--out"], &[&out, &here, &there]);
    ends(&output, 4);
    assert!(!out.exists() && stderr(&output).contains("a/yard"), "{}", stderr(&output));
    ends(&headfall(&["draw", "--round", "all", "--round", "2025-04"], &[&here]), 4);
    // Without --out each has its own.
    runs(&["draw", "--quiet"], &[&here, &there]);
    assert!(
        here.join("out/2025-04/map.pdf").exists() && there.join("out/2025-04/map.pdf").exists()
    );
}

/// Asked to end at any time, the program leaves whole results or none; killed, what it left goes with the next run.
#[cfg(unix)]
#[test]
fn a_run_that_is_stopped_leaves_nothing_half() {
    let folder = Folder::new();
    let sites: Vec<_> = (0..3).map(|i| folder.path().join(format!("site-{i}"))).collect();
    for path in &sites {
        site(path, "Yard", &[SPRING, AUTUMN, WINTER]);
    }
    let whole = || -> usize {
        let mut count = 0;
        for path in &sites {
            for (name, bytes) in contents(&path.join("out")) {
                assert!(!name.starts_with('.'), "{name} is left");
                if name.ends_with("files.sha256") {
                    let record = String::from_utf8(bytes).expect("text");
                    let out = path.join("out").join(name.trim_end_matches("/files.sha256"));
                    let listed = record.lines().filter(|line| !line.starts_with('#')).count();
                    assert_eq!(listed + 1, contents(&out).len(), "{name}");
                    count += 1;
                }
            }
        }
        count
    };
    let mut least = usize::MAX;
    for (signal, after_ms) in [("TERM", 20), ("TERM", 150), ("INT", 300), ("TERM", 450)] {
        let mut child = program();
        let child = child.args(["draw", "--quiet", "--force", "--round", "all"]).args(&sites);
        let mut child = child.spawn().expect("it runs");
        std::thread::sleep(std::time::Duration::from_millis(after_ms));
        let kill = format!("kill -{signal} {}", child.id());
        let _ = std::process::Command::new("sh").args(["-c", &kill]).status();
        child.wait().expect("it ends");
        least = least.min(whole());
    }
    assert!(least < 9, "stopped before all was drawn at least once");
    // Folders that were made go, and an empty one that was there stays.
    let mine = folder.path().join("mine");
    fs::create_dir(&mine).expect("a folder");
    let mut child = program();
    let child = child.args(["draw", "--quiet", "--round", "all", "--out"]);
    let mut child = child.arg(mine.join("a/b")).args(&sites).spawn().expect("it runs");
    std::thread::sleep(std::time::Duration::from_millis(60));
    let kill = format!("kill -TERM {}", child.id());
    let _ = std::process::Command::new("sh").args(["-c", &kill]).status();
    child.wait().expect("it ends");
    assert!(mine.is_dir());
    let mut child = program();
    let child = child.args(["draw", "--quiet", "--force", "--round", "all"]).args(&sites);
    let mut child = child.spawn().expect("it runs");
    std::thread::sleep(std::time::Duration::from_millis(200));
    child.kill().expect("killed");
    child.wait().expect("it ends");
    let output = runs(
        &["draw", "--json", "--round", "all"],
        &sites.iter().map(AsRef::as_ref).collect::<Vec<_>>(),
    );
    assert_eq!((units(&output).len(), whole()), (3, 9), "sites of one name count once here");
}

#[test]
fn results_hold_until_a_file_changes_and_the_same_run_gives_the_same_bytes() {
    let folder = Folder::new();
    site(folder.path(), "Yard", &[SPRING, AUTUMN]);
    runs(&["draw", "--quiet", "--round", "all", "--shade", "--cell", "3"], &[folder.path()]);
    runs(&["record", "--quiet"], &[folder.path()]);
    let out = folder.path().join("out");
    let verified = |arguments: &[&str], code: i32| -> Vec<Value> {
        let output = headfall(&[&["verify", "--json"], arguments].concat(), &[&out]);
        ends(&output, code);
        stdout(&output).lines().map(|line| serde_json::from_str(line).expect("JSON")).collect()
    };
    let all = verified(&["--redraw"], 0);
    assert_eq!(all.len(), 3);
    for one in &all {
        assert_eq!(one["again"], "same", "{one}");
        assert_eq!(one["site"], folder.path().to_str().expect("text"));
    }
    // A reading that was corrected: what moved, and how far. W-6 stood at 80, 40 m.
    let file = folder.path().join("rounds/2025-04.csv");
    let readings = text(&file);
    let line = readings.lines().find(|line| line.starts_with("W-6,")).expect("a reading");
    let depth: f64 = line.rsplit(',').next().expect("a depth").parse().expect("a number");
    let corrected = format!("W-6,2025-04-12,{:.3}", depth + 0.01);
    fs::write(&file, readings.replace(line, &corrected)).expect("written");
    let again = verified(&["--redraw"], 1);
    let of = |end: &str| {
        let is = |one: &&Value| one["folder"].as_str().is_some_and(|folder| folder.ends_with(end));
        again.iter().find(is).expect("a folder").clone()
    };
    assert_eq!(of("2025-04")["inputs_changed"][0], "rounds/2025-04.csv");
    let differs = of("2025-04")["again"]["differs"].clone();
    let heads = differs.as_array().expect("files").iter().find(|d| d["file"] == "heads.csv");
    let what = heads.expect("heads moved")["what"].as_str().expect("words").to_owned();
    assert!(what.contains("head_m: 1 moved by up to 0.0100"), "{what}");
    assert_eq!(of("2025-10")["again"], "same", "this round was not read from that file");
    // A result that was changed, one that is gone, and a folder without results.
    fs::write(out.join("2025-10/heads.csv"), "mine").expect("written");
    fs::remove_file(out.join("2025-10/map.png")).expect("removed");
    let changed = verified(&[], 1);
    let autumn = changed.iter().find(|one| one["missing"][0] == "map.png").expect("the folder");
    assert_eq!(autumn["changed"], serde_json::json!(["heads.csv"]));
    ends(&headfall(&["verify"], &[&folder.path().join("rounds")]), 5);
}

#[test]
fn a_drawing_says_which_other_results_no_longer_follow() {
    let folder = Folder::new();
    site(folder.path(), "Yard", &[SPRING, AUTUMN]);
    runs(&["draw", "--quiet", "--round", "2025-04"], &[folder.path()]);
    let output = runs(&["draw", "--quiet", "--round", "2025-10"], &[folder.path()]);
    assert!(!stderr(&output).contains("no longer follows"), "{}", stderr(&output));
    let wells = folder.path().join("wells.csv");
    fs::write(&wells, text(&wells).replace(",55\n", ",55.2\n")).expect("written");
    let output = runs(&["draw", "--quiet", "--round", "2025-10"], &[folder.path()]);
    let told = stderr(&output);
    assert!(told.contains("out/2025-04 no longer follows") && told.contains("wells.csv"), "{told}");
}

#[test]
fn results_of_many_sites_are_gathered_in_one_package() {
    let folder = Folder::new();
    let (yard, mill) = (folder.path().join("yard"), folder.path().join("mill"));
    site(&yard, "Yard", &[SPRING, AUTUMN]);
    site(&mill, "Mill", &[WINTER]);
    runs(&["draw", "--quiet", "--round", "all"], &[&yard, &mill]);
    let all = folder.path().join("all.gpkg");
    let gather = || headfall(&["gather", "--crs", "EPSG:26915", "--out"], &[&all, &yard, &mill]);
    ends(&gather(), 0);
    let data = Dataset::open(&all).expect("GDAL opens it");
    let mut wells = data.layer_by_name("wells").expect("the layer");
    let mut found: BTreeMap<(String, String), Vec<[f64; 3]>> = BTreeMap::new();
    for feature in wells.features() {
        let field = |name: &str| feature.field_index(name).expect("a column");
        let text = |name: &str| {
            let value = feature.field_as_string(field(name)).expect("a value");
            value.expect("text")
        };
        let head = feature.field_as_double(field("head_m")).expect("a value").expect("a head");
        let (x, y, _) = feature.geometry().expect("a place").get_point(0);
        found.entry((text("site"), text("round"))).or_default().push([x, y, head]);
    }
    let counts: Vec<((&str, &str), usize)> =
        found.iter().map(|((s, r), wells)| ((s.as_str(), r.as_str()), wells.len())).collect();
    let expected = [(("Mill", "2026-01"), 11), (("Yard", "2025-04"), 12), (("Yard", "2025-10"), 9)];
    assert_eq!(counts, expected);
    // By way of longitude and latitude with eight decimals, a millimetre.
    for [x, y, _] in found.values().flatten() {
        let (east, north) = ((x - 440_000.0) / 40.0, (y - 4_650_000.0) / 40.0);
        near(east, east.round(), 1e-3);
        near(north, north.round(), 1e-3);
    }
    let spring = &found[&("Yard".to_owned(), "2025-04".to_owned())];
    assert!(spring.iter().any(|[_, _, head]| (head - 50.0).abs() < 1e-9), "W-0 at the corner");
    let rounds = data.layer_by_name("rounds").expect("the layer").feature_count();
    assert_eq!(rounds, 3);
    assert!(data.layer_by_name("contours").expect("the layer").feature_count() > 10);
    let page = text(folder.path().join("all.html"));
    assert!(page.contains("3 maps of 2 sites") && !page.contains("<script"), "{page}");
    // The same again, and nothing of the user's is overwritten.
    let before = fs::read(&all).expect("a file");
    drop(data);
    ends(&gather(), 0);
    assert!(before == fs::read(&all).expect("a file"));
    fs::write(&all, "mine").expect("written");
    ends(&gather(), 3);
    assert_eq!(text(&all), "mine");
    ends(&headfall(&["gather", "--out"], &[&all, &yard.join("rounds")]), 3);
}

/// What is printed follows the schemas that the program prints.
#[test]
fn what_is_printed_as_json_follows_its_schema() {
    let folder = Folder::new();
    site(folder.path(), "Yard", &[SPRING]);
    folder.file(
        "rounds/2025-07.csv",
        "id,date,depth_to_water,status\nW-1,2025-07-12,,dry\nW-2,2025-07-12,4,\n",
    );
    folder.file("rounds/2025-08.csv", "id,date,depth_to_water\nW-1,2025-08-12,deep\n");
    let held = |schema: &str, lines: &str| {
        let values = serde_json::Deserializer::from_str(lines).into_iter::<Value>();
        let values: Vec<Value> = values.collect::<Result<_, _>>().expect("JSON");
        for value in &values {
            keeps_schema(schema, value);
        }
        values
    };
    let of = |arguments: &[&str]| stdout(&headfall(arguments, &[folder.path()]));
    let rounds = held("rounds", &of(&["draw", "--json", "--round", "all"]));
    assert_eq!(rounds.len(), 3);
    for round in ["2025-04", "2025-07"] {
        held("check", &of(&["check", "--json", "--round", round]));
    }
    for command in ["check", "draw", "toward", "cross-validate"] {
        let refused = held("refusal", &of(&[command, "--json", "--round", "2025-08"]));
        assert_eq!(refused[0]["findings"][0]["code"], "R105", "{command}");
    }
    held("summary", &of(&["draw", "--json", "--round", "2025-04"]));
}
