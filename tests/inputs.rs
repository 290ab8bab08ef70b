//! What is read of a site folder and what is not: names that are almost right, links without a
//! target, pipes and devices, code points that are no characters. All on the invented samples.

use std::ffi::OsString;
use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use headfall::diag::{Code, Diagnostic, bounded};
use headfall::read::{self, Overrides};

use crate::support::{Folder, SITES, Sample, ends, gives, of, program, sample, text};

/// Longer than any run of these tests takes.
const NO_END: Duration = Duration::from_mins(1);

/// Runs the program on small sites; fails where it has no end.
#[track_caller]
pub(crate) fn has_an_end(args: &[OsString]) -> Output {
    let mut run = program()
        .args(args)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let begun = Instant::now();
    while run.try_wait().expect("its state").is_none() {
        if begun.elapsed() > NO_END {
            run.kill().expect("stopped");
            panic!("no end: {args:?}");
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    run.wait_with_output().expect("its words")
}

/// Puts a pipe in the place of a file.
pub(crate) fn fifo(path: &Path) {
    if path.exists() {
        fs::remove_file(path).expect("removed");
    }
    assert!(Command::new("mkfifo").arg(path).status().expect("mkfifo runs").success());
}

/// What is said of a site folder, drawn or refused.
fn said(folder: &Path) -> Vec<Diagnostic> {
    match read::site_and_round(folder, &Overrides::default()) {
        Ok(site) => bounded(site.findings),
        Err(error) => error.diagnostics().to_vec(),
    }
}

/// The names that R124 tells, and its message.
fn unread(folder: &Path) -> (Vec<String>, String) {
    let said = said(folder);
    let told = of(Code::FileNotRead, &said);
    assert!(told.len() <= 1, "one warning: {told:?}");
    let Some(told) = told.first() else { return (Vec::new(), String::new()) };
    assert!(!told.is_refusal() && told.advice.is_some(), "{told:?}");
    let names = told.origins.iter().map(|o| o.file.to_string()).collect();
    (names, told.message.clone())
}

fn depot() -> Sample {
    sample("fuel-depot")
}

fn put(folder: &Path, name: &str, text: &str) {
    let path = folder.join(name);
    fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
    fs::write(path, text).expect("a file");
}

#[test]
fn r124_names_files_that_are_almost_named_right() {
    for (file, name) in [
        ("measuring-points.csv", "measuring_points.csv"),
        ("measuring-points.csv", "Measuring-Points.csv"),
        ("measuring-points.csv", "measuring-points.CSV"),
        ("measuring-points.csv", "measuring-points.csv.txt"),
        ("measuring-points.csv", "measuring-point.csv"),
        ("measuring-points.csv", "measuring points.xlsx"),
        ("measuring-points.csv", "MeasuringPoints.ods"),
        ("rounds/2026-04.csv", "rounds/2026-04.txt"),
        ("rounds/2026-04.csv", "rounds/2026-04.xls"),
        ("rounds/2026-04.csv", "rounds/2026-04.csv.gz"),
        ("rounds/2026-04.csv", "rounds/2026.04"),
        ("rounds/2026-04.csv", "2026-04.csv"),
        ("rounds/2026-04.csv", "rounds/spring.TSV"),
    ] {
        let site = depot();
        fs::rename(site.join(file), site.join(name)).expect("renamed");
        let (names, message) = unread(&site);
        assert_eq!(names, [name], "{message}");
        assert!(message.contains(name), "{message}");
    }
    // What is missing is refused, and beside it stands what may have been meant.
    for (file, name) in [
        ("wells.csv", "Wells.csv"),
        ("wells.csv", "well.xlsx"),
        ("site.toml", "Site.toml"),
        ("site.toml", "site.toml.txt"),
        ("rounds", "Rounds"),
    ] {
        let site = depot();
        fs::rename(site.join(file), site.join(name)).expect("renamed");
        assert_eq!(unread(&site).0, [name]);
        assert_eq!(of(Code::FileUnreadable, &said(&site)).len(), 1, "{name}");
    }
    let site = depot();
    put(&site, "rounds/2026/may.csv", "id,dtw\n");
    put(&site, "rounds/2027-01.xls", "");
    put(&site, "WELLS.CSV", "id\n");
    let (names, message) = unread(&site);
    assert_eq!(names, ["WELLS.CSV", "rounds/2026", "rounds/2027-01.xls"]);
    assert!(message.contains("3 files") && message.contains("wells.csv"), "{message}");
    // A link without a target is a file that is not there any more.
    symlink("/gone", site.join("rounds/2026-05.txt")).expect("a link");
    assert_eq!(unread(&site).0.len(), 4);
    for i in 0..200 {
        put(&site, &format!("rounds/{}.xls", 3000 + i), "");
    }
    let (names, message) = unread(&site);
    assert_eq!(names.len(), 20);
    assert!(message.ends_with("and 184 more") && message.len() < 2000, "{message}");
}

#[test]
fn r124_names_layers_that_the_settings_do_not_name() {
    let site = sample("closed-landfill");
    assert_eq!(unread(&site).0, [""; 0]);
    for name in ["creek-2026.geojson", "wall.SHP", "wall.dbf", "wall.prj", "plan.dxf", "site.qgz"] {
        put(&site, &format!("features/{name}"), "");
    }
    symlink("/gone", site.join("features/slurry.gpkg")).expect("a link");
    let (names, message) = unread(&site);
    let layers = ["creek-2026.geojson", "plan.dxf", "slurry.gpkg", "wall.SHP"];
    assert_eq!(names, layers.map(|name| format!("features/{name}")));
    assert!(message.contains("site.toml"), "{message}");
}

#[test]
fn r124_leaves_alone_what_is_no_input() {
    for &name in SITES {
        let site = sample(name);
        // Results of headfall where it puts them, and once more.
        for _ in 0..2 {
            let output = has_an_end(&["draw".into(), site.as_os_str().to_owned()]);
            ends(&output, 0);
            assert!(site.join("out").is_dir());
            assert_eq!(unread(&site).0, [""; 0], "{name}");
        }
    }
    let site = depot();
    for name in [
        "README.txt",
        "wells.qgz",
        "wells.pdf",
        "wells.geojson",
        "wells.gpkg",
        "map.csv",
        "wells.xlsx",
        "measuring-points.ods",
        "site.csv",
        "photos/2026-04-01.csv",
        ".wells.csv",
        "~$wells.xlsx",
        "rounds/~$2026-04.xlsx",
        "rounds/.2026-04.csv.swp",
        "rounds/2026-04.xlsx",
        "rounds/2026-04.csv.bak",
        "rounds/2026-04.csv~",
        "rounds/README.txt",
        "rounds/notes.txt",
        "rounds/field-sheet-2026-04.pdf",
        "rounds/2026-04.jpg",
        "wells.csv.bak",
        "wells.csv~",
    ] {
        put(&site, name, "x");
    }
    fs::create_dir(site.join("rounds/empty")).expect("a folder");
    assert_eq!(unread(&site), (Vec::new(), String::new()));
    // Earlier results in the folder itself say so.
    put(&site, "Wells.csv", "id\n");
    put(&site, "2026-04.csv", "id\n");
    assert_eq!(unread(&site).0, ["2026-04.csv", "Wells.csv"]);
    put(&site, "summary.json", "{\"files\": [\"Wells.csv\", \"2026-04.csv\"]}");
    assert_eq!(unread(&site).0, [""; 0]);
}

#[test]
fn settings_beside_a_single_table_are_read_or_told() {
    let overrides = Overrides { crs: Some("EPSG:26915".to_owned()), ..Overrides::default() };
    let folder = Folder::new();
    let table = folder.file(
        "levels.csv",
        "id,easting,northing,elevation (m),date\nA,480000,4980000,10,2026-04-14\n\
         B,480100,4980000,10.2,2026-04-14\nC,480000,4980100,10.1,2026-04-14\n",
    );
    folder.file("Site.toml", "[grid]\nsurface = \"kriging\"\n");
    folder.file("measuring_points.csv", "");
    let site = read::site_and_round(&table, &overrides).expect("read");
    let told = of(Code::FileNotRead, &site.findings);
    assert!(told.len() == 1 && told[0].message.contains("Site.toml"), "{told:?}");
    assert_eq!(told[0].origins.len(), 1, "{told:?}");
    symlink("/gone", folder.path().join("site.toml")).expect("a link");
    let error = read::site_and_round(&table, &overrides).expect_err("settings that cannot be read");
    gives(&error.diagnostics()[0], &["site.toml"]);
}

#[test]
fn r101_what_stands_there_and_cannot_be_read() {
    for file in ["site.toml", "wells.csv", "measuring-points.csv", "rounds/2026-04.csv", "rounds"] {
        for target in ["/gone", "loop", "folder", "pipe", "device"] {
            let site = depot();
            let path = site.join(file);
            if path.is_dir() {
                fs::remove_dir_all(&path).expect("removed");
            } else {
                fs::remove_file(&path).expect("removed");
            }
            match target {
                "loop" => symlink(&path, &path).expect("a link"),
                "folder" if file == "rounds" => fs::write(&path, "").expect("a file"),
                "folder" => fs::create_dir(&path).expect("a folder"),
                "pipe" => fifo(&path),
                "device" => symlink("/dev/zero", &path).expect("a link"),
                gone => symlink(gone, &path).expect("a link"),
            }
            let output = has_an_end(&["check".into(), site.as_os_str().to_owned()]);
            let words = String::from_utf8_lossy(&output.stderr);
            assert_eq!(output.status.code(), Some(2), "{file} {target}: {words}");
            assert!(words.contains(&format!("{file} cannot be read: ")), "{target}: {words}");
            assert!(!words.contains("R124"), "it is told once: {words}");
            let why = match target {
                _ if file == "rounds" => "",
                "folder" => "it is a folder",
                "pipe" | "device" => "it is a pipe, a socket or a device",
                _ => "it is a link to a missing file",
            };
            assert!(words.contains(why), "{file} {target}: {words}");
        }
    }
}

#[test]
fn r101_what_is_no_character() {
    for c in ['\u{fffe}', '\u{ffff}', '\u{fdd0}', '\u{1ffff}'] {
        for (file, line) in [("wells.csv", 2), ("rounds/2026-04.csv", 2), ("site.toml", 1)] {
            let site = depot();
            let text = text(site.join(file));
            let (first, rest) = text.split_once('\n').expect("lines");
            let spoilt = match line {
                1 => format!("# {c}\n{first}\n{rest}"),
                _ => format!("{first}\n{}", rest.replacen("MW-", &format!("MW-{c}"), 1)),
            };
            let at = 1 + spoilt.split(c).next().expect("text").matches('\n').count();
            put(&site, file, &spoilt);
            let said = said(&site);
            let told = of(Code::FileUnreadable, &said);
            assert_eq!(told.len(), 1, "{file}: {said:?}");
            let code_point = format!("U+{:04X}", u32::from(c));
            assert!(told[0].message.contains(&code_point), "{told:?}");
            assert_eq!(told[0].origins[0].line, Some(at as u64), "{told:?}");
            assert_eq!(&*told[0].origins[0].file, file);
        }
    }
    let site = depot();
    let name = "rounds/2026-04\u{ffff}.csv";
    fs::rename(site.join("rounds/2026-04.csv"), site.join(name)).expect("renamed");
    let said = said(&site);
    gives(of(Code::FileUnreadable, &said)[0], &["U+FFFF"]);
}

#[test]
fn a_table_without_rows_has_its_headings() {
    let site = sample("closed-landfill");
    let toml = text(site.join("site.toml"));
    let without: String = toml
        .split("[[receptors]]")
        .next()
        .expect("text")
        .lines()
        .filter(|l| !l.starts_with("receptors"))
        .map(|l| l.to_owned() + "\n")
        .collect();
    put(&site, "site.toml", &without);
    let headings = |out: &str| {
        let out = site.join(out);
        let output = has_an_end(&[
            "toward".into(),
            site.as_os_str().to_owned(),
            "--data-only".into(),
            "--out".into(),
            out.clone().into_os_string(),
            "--format".into(),
            "csv".into(),
        ]);
        ends(&output, 0);
        let tables = tables_below(&out);
        assert!(tables.len() > 5, "{tables:?}");
        for table in tables {
            let text = text(&table);
            let first = text.lines().next().unwrap_or_default();
            assert!(first.contains(','), "{} has headings: {first}", table.display());
        }
        text(out.join("receptors.csv"))
    };
    let bare = headings("out/bare");
    assert_eq!(bare.lines().count(), 1, "{bare}");
    put(&site, "site.toml", &toml);
    let full = headings("out/full");
    assert!(full.lines().count() > 1);
    assert_eq!(bare.lines().next(), full.lines().next());
}

fn tables_below(folder: &Path) -> Vec<std::path::PathBuf> {
    let mut tables = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            tables.extend(tables_below(&path));
        } else if path.extension().is_some_and(|e| e == "csv") {
            tables.push(path);
        }
    }
    tables
}
