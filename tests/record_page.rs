//! The record of a site as page, workbook and layers, and its findings, on an invented site with known mistakes.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use calamine::{Data, Reader as _, Xlsx, open_workbook};
use gdal::Dataset;
use gdal::vector::LayerAccess;
use headfall::diag::{Code, Diagnostic};
use headfall::read::Overrides;
use headfall::report::RecordStatement;
use headfall::run;
use jiff::civil::{Date, DateTime};
use serde_json::Value;

use crate::support::{
    Browser, Folder, Sample, address, contents, ends, gives, headfall, near, of, runs, sample,
    table, told,
};

type Row = BTreeMap<String, String>;

/// What was made of the sample with twelve rounds, in a folder of its own.
struct Made {
    site: Sample,
    folder: Folder,
}

impl Made {
    fn new(threads: &str) -> Self {
        let (site, folder) = (sample("repair-yard"), Folder::new());
        let out = folder.path().join("record");
        runs(&["record", "--quiet", "--threads", threads, "--out"], &[&out, &site]);
        Self { site, folder }
    }

    fn file(&self, name: &str) -> std::path::PathBuf {
        self.folder.path().join("record").join(name)
    }

    fn rows(&self, name: &str) -> Vec<Row> {
        table(self.file(name))
    }
}

fn number(text: &str) -> f64 {
    text.replace('+', "").parse().unwrap_or_else(|_| panic!("no number: {text}"))
}

fn texts(value: &Value) -> Vec<String> {
    let list = value.as_array().expect("a list");
    list.iter().map(|v| v.as_str().expect("a text").to_owned()).collect()
}

/// The record of a site, and its findings.
fn found(site: &Path) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    run::record(site, &Overrides::default(), &mut findings).expect("a record");
    findings
}

/// The mistakes that the README of the sample names, and no others.
#[test]
fn planted_mistakes_are_findings_and_clean_readings_are_not() {
    let site = sample("repair-yard");
    let findings = found(&site);
    let odd = of(Code::UnlikeItself, &findings);
    let names: Vec<&[String]> = odd.iter().map(|d| d.wells.as_slice()).collect();
    assert_eq!(names, [["B-6"]]);
    told(&findings, Code::UnlikeItself).about("B-6").at("rounds/2025-10.csv", 7);
    let exchanged = told(&findings, Code::ExchangedInTime).about("B-4").about("B-10").once();
    gives(exchanged, &["2023-10:"]);
    let stuck = told(&findings, Code::StaysTheSame).once();
    assert_eq!(stuck.wells, ["B-11"]);
    // They count for --fail-on, and one that was looked into does not.
    let out = Folder::new();
    let asked = ["record", "--quiet", "--fail-on", "warning", "--out"];
    ends(&headfall(&asked, &[&out.path().join("a"), &site]), 1);
    let settings = site.join("site.toml");
    let mut text = fs::read_to_string(&settings).expect("settings");
    for d in findings.iter().filter(|d| d.severity == headfall::Severity::Warning) {
        let wells =
            if d.wells.is_empty() { String::new() } else { format!("well = {:?}\n", d.wells) };
        let _ = write!(
            text,
            "\n[[accepted]]\ncode = \"{}\"\n{wells}reason = \"looked into\"\nby = \"a test\"\n",
            d.code
        );
    }
    fs::write(&settings, text).expect("written");
    let ended = headfall(&asked, &[&out.path().join("b"), &site]);
    ends(&ended, 0);
}

#[test]
fn a_clean_record_has_no_such_findings() {
    let site = sample("repair-yard");
    // The rounds before the first mistake.
    for name in ["2023-10", "2024-04", "2024-10", "2025-04", "2025-10"] {
        fs::remove_file(site.join(format!("rounds/{name}.csv"))).expect("removed");
    }
    let findings = found(&site);
    let of_record = [Code::UnlikeItself, Code::StaysTheSame, Code::ExchangedInTime];
    let none: Vec<_> = findings.iter().filter(|d| of_record.contains(&d.code)).collect();
    assert!(none.is_empty(), "{none:#?}");
}

/// The cells of a column of a table of the page, from the top.
fn column(browser: &Browser, table: &str, column: usize) -> Vec<String> {
    texts(&browser.run(&format!(
        "return [...document.querySelectorAll('#{table} tbody tr')]
            .map((row) => row.cells[{column}].textContent.trim());"
    )))
}

#[test]
fn the_page_loads_nothing_and_shows_the_numbers_of_the_tables() {
    let made = Made::new("2");
    let browser = Browser::open(&made.file("record.html"));
    browser.requests();
    browser.go(&made.file("record.html"));
    browser.settle();
    let log = browser.log("browser");
    assert!(log.is_empty(), "the browser complains: {log:?}");
    assert_eq!(browser.requests(), [address(&made.file("record.html"))], "one file is loaded");
    // Rounds.
    let rounds = made.rows("record-rounds.csv");
    let of_page = [0, 3, 6, 9, 11].map(|k| column(&browser, "round-table", k));
    assert_eq!(of_page[0].len(), rounds.len());
    for (i, row) in rounds.iter().enumerate() {
        assert_eq!(of_page[0][i], row["round"]);
        near(number(&of_page[1][i]), number(&row["gradient"]), 0.000_005_1);
        let toward = number(&row["flow_azimuth_true_deg"]);
        near(number(&of_page[2][i]), toward, 0.505);
        assert_eq!(of_page[4][i].replace('–', ""), row["turned"]);
        match row["turned"].as_str() {
            "turned" | "not shown" => {
                near(number(&of_page[3][i]), number(&row["turn_deg"]), 0.505);
            }
            _ => assert_eq!(of_page[3][i], "–"),
        }
    }
    // All levels to date: wells by rounds.
    let levels = made.rows("record-levels.csv");
    let wells = column(&browser, "levels-1", 0);
    for (k, round) in rounds.iter().enumerate() {
        let shown = column(&browser, "levels-1", k + 1);
        for (well, text) in wells.iter().zip(&shown) {
            let is = |r: &&Row| r["well"] == *well && r["round"] == round["round"];
            match levels.iter().find(is) {
                None => assert_eq!(text, "–", "{well} {}", round["round"]),
                Some(row) if row["head"].is_empty() => {
                    assert!(text.starts_with(row["status"].as_str()), "{text} {row:?}");
                }
                Some(row) => {
                    near(number(text.trim_end_matches('?')), number(&row["head"]), 0.000_51);
                }
            }
        }
    }
    // Trends and nests.
    let trends = made.rows("record-wells.csv");
    for (k, name) in [(2, "trend"), (8, "seasonal_trend")] {
        let of_file: Vec<&String> = trends.iter().map(|r| &r[name]).collect();
        assert_eq!(column(&browser, "trend-table", k).iter().collect::<Vec<_>>(), of_file);
    }
    let nests = made.rows("record-nests.csv");
    for (row, text) in nests.iter().zip(column(&browser, "nest-table", 5)) {
        near(number(&text), number(&row["gradient"]), 0.005 * number(&row["gradient"]).abs());
    }
    let doubtful = made.rows("record-doubtful.csv");
    assert_eq!(column(&browser, "doubtful-table", 0).len(), doubtful.len());
    let visits = made.rows("record-visit.csv");
    assert_eq!(
        column(&browser, "visit-table", 2),
        visits.iter().map(|r| r["why"].clone()).collect::<Vec<_>>()
    );
}

/// What a plot of the page has: its well, ticks up and across, points with their titles.
#[derive(serde::Deserialize)]
struct Plot {
    well: String,
    up: Vec<(f64, f64)>,
    across: Vec<(f64, String)>,
    points: Vec<(f64, f64, String)>,
}

fn plots(browser: &Browser) -> Vec<Plot> {
    let found = browser.run(
        "const at = (e, name) => Number(e.getAttribute(name));
         const ticks = (f, anchor) => [...f.querySelectorAll(`text.tick[text-anchor=${anchor}]`)];
         return [...document.querySelectorAll('#hydrographs figure')].map((f) => ({
             well: f.querySelector('h4').textContent,
             up: ticks(f, 'end').map((t) => [at(t, 'y'), Number(t.textContent)]),
             across: ticks(f, 'middle').map((t) => [at(t, 'x'), t.textContent]),
             points: [...f.querySelectorAll('circle.point, rect.product')].map((p) => [
                 at(p, p.tagName === 'rect' ? 'x' : 'cx'),
                 at(p, p.tagName === 'rect' ? 'y' : 'cy'),
                 p.parentNode.querySelector('title').textContent,
             ]),
         }));",
    );
    serde_json::from_value(found).expect("plots")
}

/// Days since 1970-01-01, by the calendar.
fn days(moment: DateTime) -> f64 {
    moment.duration_since(Date::constant(1970, 1, 1).at(0, 0, 0, 0)).as_secs_f64() / 86_400.0
}

#[test]
fn points_of_hydrographs_lie_where_their_axes_put_their_heads() {
    let made = Made::new("1");
    let browser = Browser::open(&made.file("record.html"));
    let levels = made.rows("record-levels.csv");
    let plots = plots(&browser);
    assert_eq!(plots.len(), 14, "a plot for each well");
    let mut spans: Vec<f64> = Vec::new();
    let mut drawn = 0;
    for plot in &plots {
        let [(y0, h0), (y1, h1)] = [plot.up[0], plot.up[plot.up.len() - 1]];
        let each = (h1 - h0) / (y1 - y0);
        spans.push(each);
        let year = |text: &str| {
            days(Date::new(text.parse().expect("a year"), 1, 1).expect("a day").at(0, 0, 0, 0))
        };
        let [(x0, from), (x1, to)] = [&plot.across[0], &plot.across[plot.across.len() - 1]];
        let a_day = (x1 - x0) / (year(to) - year(from));
        for (x, y, title) in &plot.points {
            let round = title.split(':').next().expect("a round");
            let is = |r: &&Row| r["well"] == plot.well && r["round"] == round;
            let row = levels.iter().find(is).expect("its reading");
            near(h0 + (y - y0) * each, number(&row["head"]), 0.012 * each.abs());
            let read: DateTime = row["read"].parse().expect("a time");
            near(x0 + (days(read) - year(from)) * a_day, *x, 0.02);
            drawn += 1;
        }
    }
    let heads = levels.iter().filter(|r| !r["head"].is_empty()).count();
    assert_eq!(drawn, heads, "every head is a point");
    // A metre is as high in every plot of an aquifer unit: the twelve of the upper sand, the two of the lower.
    for of_unit in [&spans[..12], &spans[12..]] {
        assert!(of_unit.iter().all(|s| (s - of_unit[0]).abs() < 1e-3 * s.abs()), "{spans:?}");
    }
}

/// From the files of the site alone: heads are measuring point less depth, screens count from the ground.
#[test]
fn vertical_gradients_are_those_of_the_readings_by_hand() {
    let made = Made::new("2");
    let register = table(made.site.join("wells.csv"));
    let well = |name: &str| register.iter().find(|r| r["id"] == name).expect("a well");
    // Of a screen with the water level inside it the part below the level counts.
    let middle = |name: &str, head: f64| {
        let of = |column: &str| number(&well(name)[column]);
        let [top, bottom] =
            ["screen_top", "screen_bottom"].map(|end| of("ground_elevation") - of(end));
        f64::midpoint(top.min(head), bottom)
    };
    let nests = made.rows("record-nests.csv");
    assert_eq!(nests.len(), 2 * 12);
    for row in &nests {
        let round = table(made.site.join(format!("rounds/{}.csv", row["round"])));
        let head = |name: &str| {
            let reading = round.iter().find(|r| r["id"] == name).expect("a reading");
            number(&well(name)["measuring_point_elevation"]) - number(&reading["depth_to_water"])
        };
        let (upper, lower) = (row["upper"].as_str(), row["lower"].as_str());
        assert_eq!(lower, format!("{upper}T"));
        let gradient =
            (head(lower) - head(upper)) / (middle(upper, head(upper)) - middle(lower, head(lower)));
        near(number(&row["gradient"]), gradient, 6e-6 * gradient.abs().max(1e-3));
        near(number(&row["head_difference"]), head(lower) - head(upper), 1e-6);
        let (low, high) = (number(&row["gradient_low"]), number(&row["gradient_high"]));
        let direction = if low > 0.0 {
            "up"
        } else if high < 0.0 {
            "down"
        } else {
            "not resolved"
        };
        assert_eq!(row["direction"], direction);
    }
}

#[test]
fn the_list_for_the_next_visit_is_what_the_newest_round_asks_for() {
    let made = Made::new("2");
    let visits = made.rows("record-visit.csv");
    let of = |what: &str| -> Vec<&str> {
        let rows = visits.iter().filter(|r| r["what"].contains(what));
        rows.map(|r| r["well"].as_str()).collect()
    };
    assert_eq!(of("take again"), ["B-6"]);
    assert_eq!(of("redevelop"), ["B-12"]);
    assert_eq!(of("interface probe"), ["B-9"]);
    let read = visits.iter().filter(|r| r["what"] == "read").map(|r| r["well"].as_str());
    assert_eq!(read.collect::<Vec<_>>(), ["B-10"]);
    assert_eq!(of("sound, and read again"), ["B-5"]);
    assert_eq!(of("submerged"), [""; 0]);
    // In spring B-5 has water, and the top of B-8's screen is below it, as it is not in autumn.
    let site = sample("repair-yard");
    fs::remove_file(site.join("rounds/2025-10.csv")).expect("removed");
    let autumn = site.join("rounds/2024-10.csv");
    let readings = fs::read_to_string(&autumn).expect("a round");
    let row = "B-8,2024-10-15,09:08,,,not accessible";
    assert!(readings.contains(row));
    // 47.741 less 5.31 is 42.43 m; the top of the screen is at 47.02 less 4.55, 42.47 m.
    fs::write(&autumn, readings.replace(row, "B-8,2024-10-15,09:08,,5.31,")).expect("written");
    let mut findings = Vec::new();
    let record = run::record(&site, &Overrides::default(), &mut findings).expect("a record");
    let mut of_spring: Vec<(String, &str)> =
        record.next_visit().into_iter().map(|v| (v.well, v.what)).collect();
    of_spring.retain(|(_, what)| what.contains("submerged") || what.contains("sound"));
    let expected = [("B-11", "sound, and take again"), ("B-8", "note the submerged screen")];
    of_spring.sort();
    assert_eq!(of_spring, expected.map(|(well, what)| (well.to_owned(), what)));
}

/// The drain of the sample works since early 2024: the flow turns anticlockwise then. What else turns is marked: the
/// exchanged rows of October 2023 turn that round and the next.
#[test]
fn the_turn_of_the_sample_is_seen_and_turns_by_mistake_are_marked() {
    let site = sample("repair-yard");
    let mut findings = Vec::new();
    let record = run::record(&site, &Overrides::default(), &mut findings).expect("a record");
    let rounds = record.rounds();
    let of = |name: &str| rounds.iter().find(|r| r.round == name).expect("a round");
    let turned: Vec<&str> =
        rounds.iter().filter(|r| r.turned == Some("turned")).map(|r| r.round.as_str()).collect();
    assert_eq!(turned, ["2023-10", "2024-04", "2024-10"]);
    assert!(of("2024-10").turn_deg.is_some_and(|t| (-35.0..-10.0).contains(&t)));
    let doubtful: Vec<(&str, usize)> =
        rounds.iter().filter(|r| r.doubtful > 0).map(|r| (r.round.as_str(), r.doubtful)).collect();
    assert_eq!(
        doubtful,
        [("2023-10", 2), ("2024-04", 1), ("2024-10", 1), ("2025-04", 1), ("2025-10", 1)]
    );
    let statement = RecordStatement::of(&record);
    assert_eq!(statement.turned, "turned");
    let marks = statement.turns.matches("with doubtful readings").count();
    assert_eq!(marks, 3, "{}", statement.turns);
}

#[test]
fn the_workbook_holds_the_numbers_of_the_tables() {
    let made = Made::new("2");
    let mut book: Xlsx<_> = open_workbook(made.file("record.xlsx")).expect("a workbook");
    let names = [
        "Levels",
        "Readings",
        "Rounds",
        "Wells",
        "Highest and lowest",
        "Nests",
        "Doubtful",
        "Next visit",
    ];
    assert_eq!(book.sheet_names(), names);
    // Three values of six years, two seasons and all rounds, for fourteen wells.
    let counts = [14, 0, 12, 14, 3 * 9 * 14, 24, 0, 0];
    for (name, count) in names.iter().zip(counts) {
        let sheet = book.worksheet_range(name).expect("a sheet");
        assert!(count == 0 || sheet.height() == count + 1, "{name}: {}", sheet.height());
    }
    let levels = made.rows("record-levels.csv");
    let sheet = book.worksheet_range("Readings").expect("a sheet");
    assert_eq!(sheet.height(), levels.len() + 1);
    for (row, cells) in levels.iter().zip(sheet.rows().skip(1)) {
        assert_eq!(cells[0], Data::String(row["well"].clone()));
        match &cells[3] {
            Data::Float(head) => near(*head, number(&row["head"]), 0.000_51),
            _ => assert_eq!(row["head"], ""),
        }
    }
    // Wide: the head of a well in the newest round stands in its column.
    let wide = book.worksheet_range("Levels").expect("a sheet");
    let newest = |r: &&Row| r["well"] == "B-6" && r["round"] == "2025-10";
    let row = levels.iter().find(newest).expect("a reading");
    let cells = wide.rows().find(|r| r[0] == Data::String("B-6".to_owned())).expect("a well");
    let Data::Float(head) = cells[12] else { panic!("{cells:?}") };
    near(head, number(&row["head"]), 0.000_51);
}

#[test]
fn the_layers_hold_the_rows_of_the_tables_at_their_wells() {
    let made = Made::new("2");
    let register = table(made.site.join("wells.csv"));
    let layers = Dataset::open(made.file("record.gpkg")).expect("a GeoPackage");
    let count = |name: &str| layers.layer_by_name(name).expect("a layer").feature_count();
    assert_eq!([count("wells"), count("rounds"), count("nests")], [14, 12, 24]);
    assert_eq!(count("levels"), made.rows("record-levels.csv").len() as u64);
    let wells = made.rows("record-wells.csv");
    let mut layer = layers.layer_by_name("wells").expect("a layer");
    for feature in layer.features() {
        let text = |name: &str| {
            let index = feature.field_index(name).expect("a column");
            feature.field_as_string(index).expect("a field").unwrap_or_default()
        };
        let row = wells.iter().find(|r| r["well"] == text("well")).expect("a row");
        let at = register.iter().find(|r| r["id"] == text("well")).expect("a well");
        assert_eq!(text("trend"), row["trend"]);
        near(number(&text("mean")), number(&row["mean"]), 1e-9);
        let (x, y, _) = feature.geometry().expect("a place").get_point(0);
        near(x, number(&at["easting"]), 1e-4);
        near(y, number(&at["northing"]), 1e-4);
    }
    let crs = layer.spatial_ref().expect("a CRS");
    assert_eq!(crs.auth_code().expect("a code"), 25_833);
}

#[test]
fn all_files_have_the_same_bytes_on_one_thread_and_on_two() {
    let [one, two] = ["1", "2"].map(Made::new);
    let files = |made: &Made| contents(&made.folder.path().join("record"));
    let (one, two) = (files(&one), files(&two));
    assert_eq!(one.keys().collect::<Vec<_>>(), two.keys().collect::<Vec<_>>());
    let other: Vec<_> = one.iter().filter(|(name, bytes)| two[*name] != **bytes).collect();
    assert!(other.is_empty(), "{:?}", other.iter().map(|o| o.0).collect::<Vec<_>>());
    assert!(one.contains_key("record.html") && one.contains_key("record.gpkg"));
}

/// Names that are markup do nothing on the page.
#[test]
fn names_of_wells_and_rounds_stay_text() {
    let site = sample("repair-yard");
    let rounds = fs::read_dir(site.join("rounds")).expect("rounds");
    let rounds = rounds.map(|entry| entry.expect("a round").path());
    for path in rounds.chain([site.join("wells.csv")]) {
        let text = fs::read_to_string(&path).expect("a table");
        fs::write(&path, text.replace("B-6,", "<img src=x onerror=alert(1)>,")).expect("written");
    }
    let out = Folder::new();
    runs(&["record", "--quiet", "--out"], &[&out.path().join("record"), &site]);
    let page = out.path().join("record/record.html");
    let browser = Browser::open(&page);
    browser.settle();
    assert_eq!(browser.run("return document.querySelectorAll('img').length;"), 0);
    let headings = texts(&browser.run(
        "return [...document.querySelectorAll('#hydrographs h4')].map((h) => h.textContent);",
    ));
    assert!(headings.contains(&"<img src=x onerror=alert(1)>".to_owned()), "{headings:?}");
}
