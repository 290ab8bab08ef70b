//! Few open files, little memory, tables without end: a refusal in words, nothing left behind. And
//! what is told of a great many faults: no more than a person reads.

use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

use headfall::diag::{Code, LONGEST_TEXT, MOST_TOLD};
use headfall::read::Overrides;
use headfall::run;
use serde_json::Value;

use crate::support::{
    Folder, PROGRAM, ends, json, limited, of, of_wells, sample, scatter, stderr, text,
};

fn is_empty(folder: &Path) -> bool {
    std::fs::read_dir(folder).expect("a folder").next().is_none()
}

/// The driver of shapefiles ends the program where a file of its own cannot be
/// opened.
#[test]
fn few_open_files_are_a_refusal_that_leaves_nothing() {
    let (depot, landfill) = (sample("fuel-depot"), sample("closed-landfill"));
    let place = Folder::new();
    let out = place.path().join("q").to_string_lossy().into_owned();
    let text = |path: &Path| path.to_string_lossy().into_owned();
    let (depot, landfill) = (text(&depot), text(&landfill));
    let draw = ["draw", &depot, "--out", &out, "--threads", "1", "--format", "shapefile"];
    let all = ["shapefile", "flatgeobuf", "csv", "dxf"];
    let mut toward = vec!["toward", &landfill, "--out", &out, "--rasters", "--threads", "8"];
    toward.extend(all.iter().flat_map(|f| ["--format", f]));
    let compare = ["cross-validate", &depot, "--out", &out];
    let commands: [&[&str]; 3] = [&draw, &toward, &compare];
    // With fewer than these not even the site can be read.
    for most in [5, 6, 7] {
        for args in commands {
            let ran = limited(&format!("-n {most}"), args);
            let told = stderr(&ran);
            let is_refused = matches!(ran.status.code(), Some(2 | 3));
            assert!(is_refused && told.contains("nothing was written"), "{most}, {args:?}: {told}");
            assert!(is_empty(place.path()), "{most}, {args:?}");
        }
    }
    for most in [8, 10, 14, 18, 20, 24, 32, 60] {
        for args in commands {
            let ran = limited(&format!("-n {most}"), args);
            let told = stderr(&ran);
            assert_eq!(ran.status.code(), Some(3), "{most}, {args:?}: {:?}\n{told}", ran.status);
            assert!(told.contains("64 files must be open at once"), "{most}, {args:?}: {told}");
            assert!(told.contains("ulimit -n") && told.contains("nothing was written"), "{told}");
            assert!(is_empty(place.path()), "{most}, {args:?}");
        }
    }
    // As many as it asks for are enough for everything at once.
    let ran = limited("-n 72", &toward);
    ends(&ran, 0);
    // Reading takes few.
    let ran = limited("-n 10", &["check", &landfill]);
    ends(&ran, 0);
}

/// Many systems begin with a few files and allow more: the program takes what it may have.
#[test]
fn the_number_of_open_files_is_raised_to_what_is_allowed() {
    let depot = sample("fuel-depot");
    let place = Folder::new();
    let out = place.path().join("q").to_string_lossy().into_owned();
    let ran = limited("-Sn 10", &["draw", &depot.to_string_lossy(), "--out", &out]);
    ends(&ran, 0);
}

/// A disk that is full, as far as a program sees: a file that may not grow.
#[test]
fn a_file_that_cannot_be_written_is_named_once_and_nothing_else_is_said() {
    let landfill = sample("closed-landfill");
    let place = Folder::new();
    let out = place.path().join("q").to_string_lossy().into_owned();
    let landfill = landfill.to_string_lossy().into_owned();
    for (blocks, more) in [(1, &[][..]), (8, &[]), (40, &[]), (8, &["--data-only"]), (300, &[])] {
        let limit = format!("trap '' XFSZ && ulimit -f {blocks} && exec \"$0\" \"$@\"");
        let mut run = Command::new("sh");
        run.args(["-c", &limit, PROGRAM, "draw", &landfill, "--out", &out, "--quiet"]);
        let ran = run.args(more).output().expect("a shell");
        let told = stderr(&ran);
        assert_eq!(ran.status.code(), Some(3), "{blocks}: {told}");
        assert!(!told.contains("_tiff") && !told.contains("TIFF"), "{blocks}: {told}");
        let last = told.lines().last().expect("a refusal");
        assert!(last.starts_with("a result cannot be written: ") && last.contains("/q/"), "{last}");
        let sheets = ["map.pdf", "map.png", "map.svg"].iter().filter(|file| last.contains(**file));
        assert!(sheets.count() <= 1, "{last}");
        assert!(last.ends_with("; nothing was written"), "{last}");
        let aside = |line: &&str| {
            ["note ", "warning ", "    "].iter().all(|begin| !line.starts_with(begin))
        };
        assert_eq!(told.lines().filter(aside).count(), 1, "{told}");
        assert!(is_empty(place.path()), "{blocks}");
    }
}

#[test]
fn a_round_may_have_as_long_a_name_as_a_file() {
    let depot = sample("fuel-depot");
    for name in ["r".repeat(240), "\u{4e95}".repeat(80)] {
        let round = depot.join("rounds").join(format!("{name}.csv"));
        std::fs::copy(depot.join("rounds/2026-04.csv"), &round).expect("copied");
        for _ in 0..2 {
            let place = depot.to_string_lossy();
            let ran = limited("-n 100", &["draw", &*place, "--round", &name, "--data-only"]);
            ends(&ran, 0);
            let folders = std::fs::read_dir(depot.join("out")).expect("a folder");
            let names: Vec<_> = folders.map(|e| e.expect("an entry").file_name()).collect();
            assert_eq!(names, [std::ffi::OsString::from(&name)]);
        }
        std::fs::remove_dir_all(depot.join("out")).expect("removed");
        std::fs::remove_file(round).expect("removed");
    }
}

#[test]
fn memory_for_a_table_follows_its_rows_and_not_its_lines() {
    let folder = Folder::new();
    let lines = |line: &str| {
        "id,easting,northing,elevation\n".to_owned() + &line.repeat(20_000_000 / line.len())
    };
    // Rows that hold nothing, rows of one cell, rows of empty cells, rows that cannot be read.
    for (line, words_told) in [
        ("\n", "has headings but no rows"),
        (" \r\n", "has headings but no rows"),
        ("a\n", "the same in 9999999 more rows"),
        (",,,\n", "has headings but no rows"),
        ("1,,,x\n", "more rows"),
    ] {
        let table = folder.file("t.csv", lines(line));
        let table = table.to_string_lossy();
        let args = ["check", &*table, "--crs", "EPSG:32633", "--unit", "m", "--threads", "1"];
        let ran = limited("-v 300000", &args);
        let told = stderr(&ran);
        assert_eq!(ran.status.code(), Some(2), "{line:?}: {:?}\n{told}", ran.status);
        assert!(told.contains(words_told), "{line:?}: {told}");
    }
}

#[test]
fn memory_that_is_not_there_is_a_refusal() {
    let mut table = "id,easting,northing,elevation\n".to_owned();
    for i in 0..200_000 {
        let _ = writeln!(table, "W{i},{},{},{}", 500_000 + i % 500, 5_600_000 + i / 500, i % 7);
    }
    let folder = Folder::new();
    let table = folder.file("t.csv", table);
    let table = table.to_string_lossy();
    let args = ["check", &*table, "--crs", "EPSG:32633", "--unit", "m", "--threads", "1"];
    // Room for the program, its thread and a small site (150 MB do); the table needs over 300 MB.
    let ran = limited("-v 220000", &args);
    let told = stderr(&ran);
    assert_eq!(ran.status.code(), Some(2), "{:?}\n{told}", ran.status);
    assert!(told.contains("not enough memory: the system refused "), "{told}");
    assert!(told.contains("MB more; earlier results are unchanged\n    help: "), "{told}");
}

#[test]
fn very_many_faults_of_one_cause_are_one_message_and_a_count() {
    let mut table = "id,easting,northing,elevation\n".to_owned();
    for i in 0..30_000 {
        let _ = writeln!(table, "W{i},{},{},1x{i}", 500_000 + i % 500, 5_600_000 + i / 500);
    }
    let folder = Folder::new();
    let path = folder.file("t.csv", &table);
    let path = path.to_string_lossy();
    let args = ["check", &*path, "--crs", "EPSG:32633", "--unit", "m"];
    let told = stderr(&limited("-n 1000", &args));
    assert!(told.contains("line 7, column") && !told.contains("line 8, column"), "{told}");
    assert!(told.contains("the same in 29999 more rows\n"), "{told}");
    assert!(told.contains("and 29994 more places\n"), "{told}");
    assert!(told.ends_with("the site could not be read (1 reason); nothing was written\n"));
    assert!(told.len() < 10_000, "{} bytes", told.len());
}

#[test]
fn options_out_of_this_world_are_told_in_few_digits() {
    let depot = sample("fuel-depot");
    for (option, words_told) in [
        ("--cell=1e300", "--cell 1e300 is not a number from 0.001"),
        ("--cell=-1e-300", "--cell -1e-300 is not"),
        ("--interval=1e300", "--interval 1e300 is not a number from"),
        ("--interval=nan", "--interval NaN is not"),
    ] {
        let ran = limited("-n 100", &["draw", &depot.to_string_lossy(), option]);
        let told = stderr(&ran);
        assert_eq!(ran.status.code(), Some(2), "{told}");
        assert!(told.contains(words_told) && told.len() < 1000, "{told}");
    }
}

#[test]
fn very_many_wells_of_one_finding_are_named_by_twenty_and_a_count() {
    // The mean of 0.1 and itself is another number than 0.1 in places: not one spread of 0 only.
    for (count, place) in [(3, 500_000.0), (3000, 500_000.1)] {
        let wells = vec![(place - crate::support::EAST, 0.1); count];
        let site = of_wells(&wells, "", |_, _| 100.0);
        let (map, findings) = crate::support::map(site.path(), &Overrides::default());
        assert!(map.is_err());
        let told = of(Code::SharedPosition, &findings);
        let [told] = told[..] else { panic!("{findings:?}") };
        assert_eq!(told.wells.len() + told.more_wells, count);
        assert_eq!(told.origins.len() + told.more_places, count);
        assert!(told.wells.len() <= MOST_TOLD && told.message.chars().count() < LONGEST_TEXT);
        assert_eq!(told.message.contains("and 2980 more share one position"), count > 3);
        assert!(of(Code::Collinear, &findings).is_empty(), "{findings:?}");
    }
}

/// Thirty wells read twice, of which the readings do not agree: a warning for each, and the others
/// of the scatter carry the map.
#[test]
fn the_summary_the_page_and_the_terminal_tell_the_same_count() {
    let mut wells = scatter();
    let sound = wells.len();
    wells.extend((0..30).map(|i| (37.0 + 11.0 * f64::from(i % 6), 29.0 + 13.0 * f64::from(i / 6))));
    let site = of_wells(&wells, "", |x, y| 100.0 - 0.002 * x - 0.001 * y);
    let mut round = text(site.path().join("rounds/spring.csv"));
    for i in sound..wells.len() {
        let _ = writeln!(round, "W-{i},2026-05-04,90");
    }
    let rows: Vec<String> = round.lines().skip(1).map(|line| format!("{line},")).collect();
    let mut seen = std::collections::BTreeMap::<&str, usize>::new();
    let mut numbered = "id,date,elevation,reading\n".to_owned();
    for row in &rows {
        let id = row.split(',').next().expect("an id");
        let number = seen.entry(id).or_default();
        *number += 1;
        let _ = writeln!(numbered, "{row}{number}");
    }
    site.file("rounds/spring.csv", numbered);
    let out = site.path().join("out");
    let mut findings = Vec::new();
    let drawn = run::draw(site.path(), &Overrides::default(), Some(&out), &mut findings);
    let drawn = drawn.unwrap_or_else(|e| panic!("{e:?}"));
    let told = of(Code::RepeatsDisagree, &findings);
    assert_eq!((told.len(), told[20].more), (21, 10), "{findings:?}");
    assert_eq!(told[20].message, "and 10 more of this kind");
    let summary = json(out.join("summary.json"));
    let schema: Value =
        serde_json::from_str(include_str!("../docs/summary.schema.json")).expect("a schema");
    let validator = jsonschema::draft202012::new(&schema).expect("a schema");
    assert!(validator.is_valid(&summary), "{:?}", validator.iter_errors(&summary).next());
    let all = summary["findings"].as_array().expect("findings");
    let of_code: Vec<_> = all.iter().filter(|f| f["code"] == "D203").collect();
    assert_eq!((of_code.len(), &of_code[20]["more"]), (21, &Value::from(10)));
    assert!(of_code[..20].iter().all(|f| f.get("more").is_none()));
    let results = drawn.results(&findings);
    let counts = results.finding_counts();
    assert!(counts.words("").starts_with(&format!("{} warnings, ", counts.warnings)));
    assert!(counts.warnings >= 30);
    let page = text(out.join("report.html"));
    assert!(page.contains("and 10 more of this kind"));
}
