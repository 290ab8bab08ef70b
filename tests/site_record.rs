//! `headfall record`: all rounds of a site side by side.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;

use gdal::vector::LayerAccess as _;
use gdal::{Dataset, Metadata as _};
use headfall::read::Overrides;
use headfall::run;

use crate::support::{EAST, Folder, ends, headfall, json, near, runs, stderr, table};
use crate::toward_site::{plane, site};

type Row = BTreeMap<String, String>;

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

/// The rows of a table of values over a period, by period, value and well.
fn over_periods(out: &std::path::Path) -> BTreeMap<(String, String, String), Row> {
    let rows = table(out.join("record-surfaces.csv")).into_iter();
    rows.map(|r| ((r["period"].clone(), r["value"].clone(), r["well"].clone()), r)).collect()
}

#[test]
fn highest_lowest_and_mean_heads_of_years_and_seasons_are_those_of_their_rounds() {
    let folder = four_years();
    let out = folder.path().join("record");
    runs(&["record", "--quiet", "--out"], &[&out, folder.path()]);
    let mut heads: BTreeMap<String, BTreeMap<String, f64>> = BTreeMap::new();
    for row in table(out.join("record-levels.csv")) {
        let head = row["head"].parse().expect("a number");
        heads.entry(row["well"].clone()).or_default().insert(row["round"].clone(), head);
    }
    let rows = over_periods(&out);
    let mut periods: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for ((period, value, well), row) in &rows {
        let rounds: Vec<String> = row["rounds"].split(", ").map(str::to_owned).collect();
        let of: Vec<f64> = rounds.iter().map(|round| heads[well][round]).collect();
        let expected = match value.as_str() {
            "highest" => of.iter().copied().fold(f64::MIN, f64::max),
            "lowest" => of.iter().copied().fold(f64::MAX, f64::min),
            _ => of.iter().sum::<f64>() / of.len() as f64,
        };
        // Levels are written with four decimals.
        near(row["head"].parse().expect("a number"), expected, 0.00006);
        if value != "mean" {
            near(heads[well][&row["read_in"]], expected, 1e-9);
        }
        periods.insert(period.clone(), rounds);
    }
    let named = |names: &[&str]| names.iter().map(|n| (*n).to_owned()).collect::<Vec<_>>();
    assert_eq!(periods.len(), 7, "{periods:?}");
    assert_eq!(periods["2023"], named(&["2023-a", "2023-b"]));
    assert_eq!(periods["all rounds"].len(), 8);
    let springs = periods.iter().filter(|(name, _)| name.contains(" of 4 years"));
    let springs: Vec<&Vec<String>> = springs.map(|(_, rounds)| rounds).collect();
    assert!(springs.contains(&&named(&["2022-a", "2023-a", "2024-a", "2025-a"])), "{springs:?}");
    // W-7 is 0.30 m too high in the last round: what rests on it says so, and nothing else does.
    for ((period, value, well), row) in &rows {
        let rests = well == "W-7" && row["rounds"].contains("2025-b");
        let rests = rests && (value == "mean" || row["read_in"] == "2025-b");
        assert_eq!(row["doubtful"], rests.to_string(), "{period} {value} {well}");
    }
    // The mean of all rounds at every node: the mean of eight planes, within the scatter and W-7's 0.30 m over eight.
    let raster = Dataset::open(out.join("surfaces/all-rounds-mean.tif")).expect("GDAL opens it");
    let [west, cell, _, _, _, _] = raster.geo_transform().expect("a place");
    let band = raster.rasterband(1).expect("a band");
    assert_eq!(band.description().expect("words"), "mean head");
    let size = raster.raster_size();
    let nodes = band.read_as::<f64>((0, 0), size, size, None).expect("nodes");
    let mut seen = 0;
    for (i, head) in nodes.data().iter().enumerate().filter(|(_, head)| head.is_finite()) {
        let x = west + cell * ((i % size.0) as f64 + 0.5) - EAST;
        near(*head, plane(x, 0.0) - 0.025 * 3.5 - 0.15, 0.005 + 0.30 / 8.0);
        seen += 1;
    }
    assert!(seen > 100, "{seen} nodes");
    // Contours and values are in the GeoPackage too, and the sheets have a page for each map.
    let package = Dataset::open(out.join("record.gpkg")).expect("GDAL opens it");
    let count = |name: &str| package.layer_by_name(name).expect("a layer").feature_count();
    assert_eq!(count("surface_values"), rows.len() as u64);
    assert!(count("surface_contours") > 20);
    let record = json(out.join("record.json"));
    let surfaces = record["surfaces"].as_array().expect("a list");
    assert_eq!(surfaces.len(), 21);
    let pdf = fs::read(out.join("record-surfaces.pdf")).expect("a file");
    let pages = lopdf::Document::load_mem(&pdf).expect("a PDF").get_pages().len();
    assert_eq!(pages, 21);
    for one in surfaces {
        assert!(out.join("surfaces").join(one["file"].as_str().expect("a name")).is_file());
    }
}

#[test]
fn a_well_that_was_dry_has_a_highest_head_and_no_other() {
    let folder = four_years();
    let file = folder.path().join("rounds/2025-b.csv");
    let readings = fs::read_to_string(&file)
        .expect("text")
        .replace("id,date,elevation", "id,date,elevation,status");
    let changed: String = readings
        .lines()
        .map(|line| match line.split_once(',') {
            Some(("W-3", _)) => "W-3,2025-10-12,,dry\n".to_owned(),
            Some(("W-4", _)) => String::new(),
            Some(("id", _)) => format!("{line}\n"),
            _ => format!("{line},measured\n"),
        })
        .collect();
    fs::write(&file, changed).expect("written");
    let out = folder.path().join("record");
    runs(&["record", "--quiet", "--out"], &[&out, folder.path()]);
    let rows = over_periods(&out);
    let row =
        |value: &str, well: &str| &rows[&("2025".to_owned(), value.to_owned(), well.to_owned())];
    assert_eq!(row("highest", "W-3")["read_in"], "2025-a");
    for (value, well) in [("lowest", "W-3"), ("mean", "W-3"), ("highest", "W-4"), ("lowest", "W-4")]
    {
        assert_eq!(row(value, well)["head"], "", "{value} {well}");
        assert_eq!(row(value, well)["why_none"], "not on the map of 2025-b");
    }
}
