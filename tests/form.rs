//! `headfall form`: the field sheet for the next round, printed and as the table that is filled in.
//!
//! The site is invented. Expected ranges are worked out here by the formula of `docs/form.md`.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use headfall::diag::{Code, Diagnostic};
use headfall::read::{Overrides, Status};
use headfall::run::{self, Map};
use serde_json::Value;

use crate::support::{
    EAST, Folder, NORTH, contents, ends, headfall, json, keeps_schema, map, near, of, runs, sample,
    scatter, table, told,
};

/// Days of the rounds: three in spring, one in autumn.
const DAYS: [&str; 4] = ["2024-04-10", "2024-10-09", "2025-04-16", "2026-04-08"];

/// Depth to water in a round, m, to a centimetre: a plane that falls by 0.002 to the east below measuring points at 60 m,
/// half a metre deeper in autumn. In the newest round W-3 is half a metre off.
fn depth(well: usize, round: usize) -> f64 {
    let x = scatter()[well].0;
    let season = if round == 1 { 0.5 } else { 0.0 };
    let off = if (well, round) == (3, 3) { 0.5 } else { 0.0 };
    let own = 0.01 * ((well * 7 + round * 5) % 4) as f64;
    ((10.0 + 0.002 * x + season + off + own) * 100.0).round() / 100.0
}

/// 25 wells and four rounds; W-9 was dry in the newest. `rows` puts the rows of every table in order.
fn site(rows: impl Fn(Vec<String>) -> Vec<String>) -> Folder {
    let toml = "[site]\nname = \"Low Ings (invented)\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"m\"\n\
                vertical_datum = \"NAVD 88\"\n";
    let written =
        |headings: &str, all: Vec<String>| format!("{headings}\n{}\n", rows(all).join("\n"));
    let register = scatter().into_iter().enumerate();
    let register =
        register.map(|(i, (x, y))| format!("W-{i},{},{},60.00,20.5", EAST + x, NORTH + y));
    let headings = "id,easting,northing,measuring_point_elevation,total_depth";
    let folder = Folder::new()
        .with("site.toml", toml)
        .with("wells.csv", written(headings, register.collect()));
    for (round, day) in DAYS.iter().enumerate() {
        let row = |well: usize| match (well, round) {
            (9, 3) => format!("W-9,{day},,dry"),
            _ => format!("W-{well},{day},{:.2},", depth(well, round)),
        };
        let readings = (0..25).map(row).collect();
        folder.file(
            &format!("rounds/{}.csv", &day[..7]),
            written("id,date,depth_to_water,status", readings),
        );
    }
    folder
}

fn form(folder: &Path, more: &[&str]) -> (Value, Vec<BTreeMap<String, String>>) {
    runs(&[&["form", "--quiet"], more].concat(), &[folder]);
    let account = json(folder.join("out/form/form.json"));
    keeps_schema("form", &account);
    (account, table(folder.join("out/form/form.csv")))
}

fn of_well<'a>(account: &'a Value, well: &str) -> &'a Value {
    let wells = account["wells"].as_array().expect("wells");
    wells.iter().find(|w| w["well"] == well).expect("the well")
}

/// Puts a field sheet into `rounds/`, its cells filled in by `fill`.
fn filled(folder: &Folder, fill: impl Fn(usize, usize) -> Option<(String, String)>) {
    let form = folder.at("out/form/form.csv");
    let text = fs::read_to_string(&form).expect("the sheet");
    let mut lines = text.lines();
    let headings: Vec<&str> = lines.next().expect("headings").split(',').collect();
    let at = |name: &str| headings.iter().position(|h| *h == name).expect("a column");
    let (id, date, depth) = (at("id"), at("date"), at("depth_to_water_m"));
    let mut written = headings.join(",");
    for (row, line) in lines.enumerate() {
        let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
        let well: usize = cells[id].trim_start_matches("W-").parse().expect("a number");
        if let Some((day, value)) = fill(row, well) {
            (cells[date], cells[depth]) = (day, value);
        }
        write!(written, "\n{}", cells.join(",")).expect("text");
    }
    folder.file("rounds/2026-10.csv", written + "\n");
}

fn drawn(folder: &Folder) -> (Option<Map>, Vec<Diagnostic>) {
    let (map, findings) = map(folder.path(), &Overrides::default());
    (map.ok(), findings)
}

#[test]
fn each_well_has_its_last_depth_what_is_expected_and_what_to_know() {
    let folder = site(|rows| rows);
    let (account, rows) = form(folder.path(), &[]);
    let order: Vec<&str> = rows.iter().map(|row| row["walking_order"].as_str()).collect();
    let expected: Vec<String> = (1..=25).map(|i: usize| i.to_string()).collect();
    assert_eq!(order, expected);
    assert_eq!(rows[0]["id"], "W-0", "the westernmost, of two the southern one");
    assert_eq!(
        (account["season_of"].as_str(), account["day"].as_str()),
        (Some("2026-04-08"), None)
    );
    // W-8: three readings in spring; t(0.975, 2) = 4.303 (NIST/SEMATECH e-Handbook, section 1.3.6.7.2).
    let spring = [0, 2, 3].map(|round| depth(8, round));
    let mean = spring.iter().sum::<f64>() / 3.0;
    let sd = (spring.iter().map(|d| (d - mean).powi(2)).sum::<f64>() / 2.0).sqrt();
    let half = 4.303 * sd * (4.0_f64 / 3.0).sqrt();
    let w8 = of_well(&account, "W-8");
    assert_eq!(w8["expected"]["by"], "season");
    near(w8["expected"]["low"].as_f64().expect("a number"), mean - half, 0.0101);
    near(w8["expected"]["high"].as_f64().expect("a number"), mean + half, 0.0101);
    assert_eq!(
        (w8["last"].as_f64(), w8["last_read"].as_str()),
        (Some(depth(8, 3)), Some("2026-04-08"))
    );
    assert_eq!((w8["bottom"].as_f64(), w8["take_again"].as_bool()), (Some(20.5), Some(false)));
    let row = rows.iter().find(|row| row["id"] == "W-8").expect("the well");
    assert_eq!(
        (row["last_value"].as_str(), row["date"].as_str()),
        (&*format!("{:.2}", depth(8, 3)), "")
    );
    // What was dry has the reading before; what did not fit is read twice.
    let w9 = of_well(&account, "W-9");
    assert_eq!(
        (w9["last"].as_f64(), w9["last_read"].as_str()),
        (Some(depth(9, 2)), Some("2025-04-16"))
    );
    assert!(w9["remarks"].to_string().contains("dry in 2026-04"), "{w9}");
    assert_eq!(w9["expected"]["by"], "all-readings", "two in spring are too few");
    assert_eq!(of_well(&account, "W-3")["take_again"], true);
    // Autumn has one reading of each well: all four count.
    let (account, rows) = form(folder.path(), &["--date", "2026-10-14"]);
    let w8 = of_well(&account, "W-8");
    let all = [0, 1, 2, 3].map(|round| depth(8, round));
    assert_eq!(
        (w8["expected"]["by"].as_str(), w8["expected"]["readings"].as_u64()),
        (Some("all-readings"), Some(4))
    );
    near(
        w8["expected"]["low"].as_f64().expect("a number"),
        all.into_iter().fold(f64::MAX, f64::min),
        1e-9,
    );
    near(
        w8["expected"]["high"].as_f64().expect("a number"),
        all.into_iter().fold(0.0, f64::max),
        1e-9,
    );
    assert!(rows.iter().all(|row| row["date"] == "2026-10-14"));
    // The page is one file that loads nothing.
    let page = fs::read_to_string(folder.at("out/form/form.html")).expect("the page");
    assert!(
        page.contains("default-src 'none'")
            && !page.contains("http://")
            && !page.contains("https://")
    );
    assert_eq!(page.matches("<th scope=\"row\">").count(), 25);
    assert_eq!(page.matches("data-take-again").count(), 1);
    // What is written can be made again from its record.
    let verified = runs(&["verify", "--redraw", "--json"], &[&folder.at("out/form")]);
    let verified: Value = serde_json::from_slice(&verified.stdout).expect("JSON");
    assert_eq!(verified["again"], "same");
    ends(&headfall(&["form", "--date", "in spring"], &[folder.path()]), 4);
}

#[test]
fn an_empty_sheet_gives_findings_and_no_failure() {
    let folder = site(|rows| rows);
    form(folder.path(), &["--date", "2026-10-14"]);
    filled(&folder, |_, _| None);
    let mut findings = Vec::new();
    let heads = run::heads(folder.path(), &Overrides::default(), &mut findings)
        .expect("readings without a level");
    assert_eq!((heads.round.name.as_str(), heads.reduced.heads.len()), ("2026-10", 0));
    let readings = &heads.round.readings;
    assert!(readings.len() == 25 && readings.iter().all(|r| r.status == Status::NotMeasured));
    told(&findings, Code::NoStaticLevel).about("W-0").at("rounds/2026-10.csv", 2);
    assert!(of(Code::MeasurementUnclear, &findings).is_empty());
    // Columns that help to fill it in are named in a note, and none is taken for one that decides a map.
    let unread = of(Code::ColumnNotRead, &findings);
    assert!(unread.iter().all(|d| d.severity == headfall::Severity::Note), "{unread:#?}");
    let checked = headfall(&["check", "--json"], &[folder.path()]);
    ends(&checked, 2);
    let said: Value = serde_json::from_slice(&checked.stdout).expect("JSON");
    assert_eq!(said["mappable"], false);
    // In a table that is no field sheet such a row may have lost its number.
    folder.change("rounds/2026-10.csv", |text| text.replacen("walking_order", "row of the log", 1));
    let mut findings = Vec::new();
    let error =
        run::heads(folder.path(), &Overrides::default(), &mut findings).expect_err("a refusal");
    told(error.diagnostics(), Code::MeasurementUnclear).about("W-0");
}

#[test]
fn a_site_without_any_round_has_a_sheet_for_its_first() {
    for is_there in [false, true] {
        let folder = site(|rows| rows);
        fs::remove_dir_all(folder.at("rounds")).expect("removed");
        if is_there {
            fs::create_dir(folder.at("rounds")).expect("a folder");
        }
        let (account, rows) = form(folder.path(), &["--date", "2026-10-14"]);
        assert_eq!(rows.len(), 25);
        let w8 = of_well(&account, "W-8");
        assert_eq!((w8["bottom"].as_f64(), w8["last"].as_f64()), (Some(20.5), None));
        assert!(w8["expected"].is_null(), "{w8}");
        filled(&folder, |_, well| {
            Some(("2026-10-14".to_owned(), format!("{:.2}", depth(well, 0))))
        });
        let (map, findings) = drawn(&folder);
        let map = map.unwrap_or_else(|| panic!("{findings:#?}"));
        assert_eq!(map.control.points().len(), 25);
        // Any other command wants a round.
        fs::remove_dir_all(folder.at("rounds")).expect("removed");
        ends(&headfall(&["draw"], &[folder.path()]), 2);
        ends(&headfall(&["record"], &[folder.path()]), 2);
    }
}

#[test]
fn a_sheet_that_is_half_filled_draws_the_wells_that_were_read() {
    let folder = site(|rows| rows);
    form(folder.path(), &[]);
    let read = |row: usize| row < 14;
    filled(&folder, |row, well| {
        read(row).then(|| ("2026-10-14".to_owned(), format!("{:.2}", depth(well, 1))))
    });
    let (map, findings) = drawn(&folder);
    let map = map.expect("a map");
    assert_eq!((map.round.name.as_str(), map.control.points().len()), ("2026-10", 14));
    let of_wells = of(Code::NoStaticLevel, &findings);
    assert!(!of_wells.is_empty());
    // Filled in to the end.
    filled(&folder, |_, well| Some(("2026-10-14".to_owned(), format!("{:.2}", depth(well, 1)))));
    let (map, _) = drawn(&folder);
    assert_eq!(map.expect("a map").control.points().len(), 25);
    runs(&["draw", "--quiet", "--data-only"], &[folder.path()]);
}

#[test]
fn check_says_at_the_well_which_reading_to_take_again() {
    let folder = site(|rows| rows);
    form(folder.path(), &[]);
    filled(&folder, |_, well| {
        let off = if well == 12 { 0.6 } else { 0.0 };
        Some(("2026-10-14".to_owned(), format!("{:.2}", depth(well, 1) + off)))
    });
    let checked = headfall(&["check", "--json", "--fail-on", "warning"], &[folder.path()]);
    ends(&checked, 1);
    let said: Value = serde_json::from_slice(&checked.stdout).expect("JSON");
    let findings = said["findings"].as_array().expect("findings");
    let off: Vec<&Value> = findings.iter().filter(|f| f["code"] == "C308").collect();
    assert_eq!(off.len(), 1, "{findings:#?}");
    assert!(off[0]["wells"].to_string().contains("W-12"), "{}", off[0]);
}

#[test]
fn the_bytes_depend_on_neither_threads_nor_the_order_of_rows() {
    let written = |folder: &Folder, threads: &str| {
        form(folder.path(), &["--threads", threads]);
        let mut files = contents(&folder.at("out/form"));
        // Hashes of what was read are those of the files as they are.
        files.remove("files.sha256");
        let account = files.remove("form.json").expect("the account");
        let mut account: Value = serde_json::from_slice(&account).expect("JSON");
        let members = account.as_object_mut().expect("members");
        members.remove("inputs");
        for found in members["findings"].as_array_mut().expect("findings") {
            found.as_object_mut().expect("a finding").remove("at");
        }
        (files, account)
    };
    let plain = written(&site(|rows| rows), "1");
    assert_eq!(plain, written(&site(|rows| rows), "2"));
    assert_eq!(plain.0, written(&site(|rows| rows.into_iter().rev().collect()), "2").0);
}

#[test]
fn product_and_feet_have_their_columns_and_the_sheet_goes_back_as_it_is() {
    let depot = sample("fuel-depot");
    let (account, rows) = form(&depot, &["--date", "2026-10-20"]);
    assert_eq!(account["depth_unit"], "ft-us");
    for column in ["depth_to_water_ft_us", "depth_to_product_ft_us"] {
        assert!(rows[0].contains_key(column), "{:?}", rows[0].keys());
    }
    let sheet = depot.join("out/form/form.csv");
    fs::copy(sheet, depot.join("rounds/2026-10.csv")).expect("a round");
    let mut findings = Vec::new();
    let heads =
        run::heads(&depot, &Overrides::default(), &mut findings).expect("readings without a level");
    assert_eq!((heads.round.name.as_str(), heads.round.readings.len()), ("2026-10", rows.len()));
    assert_eq!(heads.round.depth_unit, headfall::LengthUnit::UsSurveyFoot);
}
