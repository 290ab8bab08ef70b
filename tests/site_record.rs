//! `headfall record`: all rounds of a site side by side.

use std::fmt::Write as _;
use std::fs;

use headfall::read::Overrides;
use headfall::run;

use crate::support::{Folder, ends, headfall, json, near, runs, stderr, table};
use crate::toward_site::{plane, site};

/// A site of thirty wells with eight rounds, spring and autumn of four years: all wells fall by 0.05 m a year, autumn is
/// 0.3 m lower, each head has scatter of some millimetres; in the last round W-7 is 0.30 m too high.
fn four_years() -> Folder {
    let folder = site("", plane);
    fs::remove_file(folder.path().join("rounds/spring.csv")).expect("removed");
    for k in 0..8_u32 {
        let (year, autumn) = (2022 + k / 2, k % 2 == 1);
        let day = format!("{year}-{}-12", if autumn { "10" } else { "04" });
        let mut text = "id,date,elevation\n".to_owned();
        for w in 0..30_u32 {
            let (x, y) = (100.0 * f64::from(w % 6), 100.0 * f64::from(w / 6));
            let scatter = 0.004 * (f64::from(w * 7 + k * 13)).sin();
            let off = if k == 7 && w == 7 { 0.30 } else { 0.0 };
            let season = if autumn { -0.3 } else { 0.0 };
            let head = plane(x, y) - 0.025 * f64::from(k) + season + scatter + off;
            writeln!(text, "W-{w},{day},{head:.4}").expect("text");
        }
        folder.file(&format!("rounds/{year}-{}.csv", if autumn { "b" } else { "a" }), text);
    }
    folder
}

#[test]
fn levels_changes_trends_and_gradients_are_those_of_the_heads() {
    let folder = four_years();
    let out = folder.path().join("record");
    runs(&["record", "--quiet", "--out"], &[&out, folder.path()]);
    let levels = table(out.join("record-levels.csv"));
    assert_eq!(levels.len(), 240);
    let of = |well: &str, round: &str| {
        let is = |r: &&std::collections::BTreeMap<String, String>| {
            r["well"] == well && r["round"] == round
        };
        levels.iter().find(is).expect("a row")
    };
    let number = |cell: &str| -> f64 { cell.parse().expect("a number") };
    // From spring to autumn 0.3 m and half a year's 0.025 m down; in a year 0.05 m.
    let row = of("W-0", "2023-b");
    assert_eq!((row["since"].as_str(), row["year_before"].as_str()), ("2023-a", "2022-b"));
    near(number(&row["change"]), -0.325, 0.009);
    near(number(&row["change_in_year"]), -0.05, 0.009);
    assert!(number(&row["change_low"]) < -0.325 && number(&row["change_high"]) > -0.325);
    assert_eq!(of("W-0", "2022-a")["since"], "", "the first has none before");
    // By seasons the fall is seen in every well but the one that is off.
    let wells = table(out.join("record-wells.csv"));
    for well in wells.iter().filter(|w| w["well"] != "W-7") {
        assert_eq!(well["heads"], "8");
        near(number(&well["seasonal_per_year"]), -0.05, 0.006);
        near(number(&well["highest"]) - number(&well["lowest"]), 0.475, 0.009);
    }
    let rounds = table(out.join("record-rounds.csv"));
    assert_eq!(rounds.len(), 8);
    for round in &rounds {
        near(number(&round["gradient"]), 0.005, 1e-4);
        near(number(&round["flow_azimuth_grid_deg"]), 90.0, 2.0);
        assert_ne!(round["turned"], "turned");
    }
    let doubtful = table(out.join("record-doubtful.csv"));
    assert_eq!(doubtful.len(), 1, "{doubtful:?}");
    assert_eq!((doubtful[0]["well"].as_str(), doubtful[0]["round"].as_str()), ("W-7", "2025-b"));
    near(number(&doubtful[0]["off"]), 0.30, 0.02);
    let account = json(out.join("record.json"));
    assert_eq!(account["rounds"].as_array().map(Vec::len), Some(8));
    assert!(account["inputs"].to_string().contains("rounds/2025-b.csv"));
}

/// The same bytes on one thread and on two, and from files in another order of rows.
#[test]
fn the_record_has_the_same_bytes_whatever_the_order_of_rows() {
    let read = |folder: &Folder, threads: &str| {
        let out = folder.path().join("record");
        runs(&["record", "--quiet", "--threads", threads, "--out"], &[&out, folder.path()]);
        let file = |name: &str| fs::read(out.join(name)).expect("a file");
        [
            "record-levels.csv",
            "record-wells.csv",
            "record-rounds.csv",
            "record-doubtful.csv",
            "record-nests.csv",
            "record-visit.csv",
            "record.xlsx",
            "record.gpkg",
            "record.pdf",
        ]
        .map(file)
    };
    let folder = four_years();
    let first = read(&folder, "1");
    let again = four_years();
    for entry in fs::read_dir(again.path().join("rounds")).expect("a folder") {
        let path = entry.expect("an entry").path();
        let text = fs::read_to_string(&path).expect("text");
        let (heading, rows) = text.split_once('\n').expect("rows");
        let turned: Vec<&str> = rows.lines().rev().collect();
        fs::write(&path, format!("{heading}\n{}\n", turned.join("\n"))).expect("written");
    }
    assert!(first == read(&again, "2"));
}

#[test]
fn a_round_that_cannot_be_read_is_named_and_one_without_a_map_keeps_its_heads() {
    let folder = four_years();
    folder.file("rounds/few.csv", "id,date,elevation\nW-1,2026-04-12,49.3\nW-2,2026-04-12,48.8\n");
    folder.file("rounds/broken.csv", "id,date,elevation\nW-1,2026-10-12,high\n");
    let mut findings = Vec::new();
    let record =
        run::record(folder.path(), &Overrides::default(), &mut findings).expect("a record");
    let names: Vec<&str> = record.not_read.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["broken"]);
    let rounds = record.rounds();
    assert_eq!((rounds[8].round.as_str(), rounds[8].heads), ("few", 2));
    assert!(rounds[8].gradient.is_none());
    // Without any round there is no record, and nothing is written.
    let empty = four_years();
    fs::remove_dir_all(empty.path().join("rounds")).expect("removed");
    let ended = headfall(&["record"], &[empty.path()]);
    ends(&ended, 2);
    assert!(!stderr(&ended).is_empty() && !empty.path().join("out").exists());
}
