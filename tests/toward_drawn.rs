//! `headfall toward` as people see it: the map sheet, the report page, and what `draw` leaves of
//! it.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::support::{
    Browser, Folder, address, contents, json, of_wells, runs, sample, size_of, table, text, words,
};

fn headfall(command: &str, out: &Path, site: &Path) {
    runs(&[command, "--quiet", "--out"], &[out, site]);
}

fn names(folder: &Path) -> BTreeSet<String> {
    let name = |e: std::io::Result<fs::DirEntry>| e.expect("an entry").file_name();
    fs::read_dir(folder)
        .expect("a folder")
        .map(|e| name(e).to_string_lossy().into_owned())
        .collect()
}

#[test]
fn the_sheet_shows_paths_and_says_what_they_meet() {
    let folder = Folder::new();
    let out = folder.path().join("toward");
    headfall("toward", &out, &sample("closed-landfill"));
    let svg = text(out.join("map.svg"));
    assert!(words(&svg, "title").iter().any(|t| t.contains("and flow paths")));
    // The words are many: they have a page of their own.
    let pdf = lopdf::Document::load(out.join("map.pdf")).expect("a PDF");
    assert_eq!(pdf.get_pages().len(), 2);
    let panel = pdf.extract_text(&[1, 2]).expect("text");
    let panel = panel.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "Flow-path evaluation",
        "Waste to Creek above the footbridge",
        "Waste to Supply well",
        "advective flow path from a source",
        "Dispersion would shorten the first arrival",
    ] {
        assert!(panel.contains(said), "no {said:?} in {panel}");
    }
    // What the panel says of the creek is what the table says.
    let rows = table(out.join("receptors.csv"));
    let creek = rows.iter().find(|r| r["receptor"] == "Creek above the footbridge").expect("a row");
    let reached =
        format!("reached by {} of {} flow paths", creek["paths_reaching"], creek["paths"]);
    assert!(panel.contains(&reached), "no {reached:?} in {panel}");
    let tree = roxmltree::Document::parse(&svg).expect("SVG");
    let paths = tree.descendants().find(|n| n.attribute("id") == Some("paths")).expect("paths");
    assert!(paths.descendants().filter(|n| n.has_tag_name("path")).count() > 50);
}

#[test]
fn a_map_drawn_over_an_answer_holds_nothing_of_it() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    headfall("draw", &out, &sample("closed-landfill"));
    let drawn = names(&out);
    let plain = contents(&out);
    headfall("toward", &out, &sample("closed-landfill"));
    let more: Vec<String> = names(&out).difference(&drawn).cloned().collect();
    let of_paths = ["paths.geojson", "reaches.geojson", "receptors.csv", "receptors.geojson"];
    assert_eq!(more, of_paths);
    let summary = json(out.join("summary.json"));
    assert_eq!(summary["toward"]["verdicts"].as_array().map(Vec::len), Some(4));
    assert!(summary["files"].as_array().expect("files").contains(&"paths.geojson".into()));
    headfall("draw", &out, &sample("closed-landfill"));
    assert_eq!(names(&out), drawn, "files of the answer are taken away");
    let again = contents(&out);
    for (name, bytes) in plain {
        assert!(again[&name] == bytes, "{name} has changed");
    }
    let summary = json(out.join("summary.json"));
    assert!(summary.get("toward").is_none());
}

/// The texts of a column of a table of the page.
fn column(browser: &Browser, table: &str, column: usize) -> Vec<String> {
    let found = browser.run(&format!(
        "return [...document.querySelectorAll('#{table} tbody tr')]
            .map((row) => row.cells[{column}].textContent.trim());"
    ));
    let texts = found.as_array().expect("a list").iter();
    texts.map(|t| t.as_str().expect("a text").to_owned()).collect()
}

#[test]
fn the_page_tells_what_the_files_hold() {
    let folder = Folder::new();
    let out = folder.path().join("toward");
    headfall("toward", &out, &sample("closed-landfill"));
    let page = out.join("report.html");
    let browser = Browser::open(&page);
    browser.requests();
    browser.go(&page);
    browser.settle();
    assert_eq!(browser.requests(), [address(&page)], "one file is loaded");
    let rows = table(out.join("receptors.csv"));
    assert_eq!(column(&browser, "verdict-table", 1).len(), rows.len());
    for (k, receptor) in column(&browser, "verdict-table", 1).iter().enumerate() {
        let row = rows.iter().find(|r| &r["receptor"] == receptor).expect("a row");
        let said = &column(&browser, "verdict-table", 2)[k];
        let outcome = row["outcome"].split(' ').next().expect("a word");
        assert!(said.starts_with(outcome), "{receptor}: {said}");
        let length: f64 = row["length_m"].parse().expect("a length");
        assert_eq!(column(&browser, "verdict-table", 6)[k], format!("{length:.0}"), "{receptor}");
        let bearing: f64 = row["bearing_true_deg"].parse().expect("a bearing");
        assert_eq!(column(&browser, "bearing-table", 2)[k], format!("{bearing:.0}"), "{receptor}");
    }
    assert_eq!(column(&browser, "vertical-table", 2), ["up"; 6]);
    assert_eq!(column(&browser, "reach-table", 2), ["toward"; 2]);
    // Paths can be pointed at and put away.
    let title = "const mark = document.querySelector('[data-layer=\"path\"] .mark'); mark.focus();
                 return document.querySelector('#map-card strong').textContent;";
    assert_eq!(browser.run(title), "flow path from source Waste");
    let seen = "return [...document.querySelectorAll('#map-drawing [data-layer=\"path\"] > *')]
                    .filter((e) => e.getClientRects().length > 0).length;";
    assert!(browser.run(seen).as_f64().is_some_and(|n| n > 5.0));
    browser.click("[data-shows=\"path\"]");
    assert_eq!(browser.run(seen), 0);
    // Every link within the page leads somewhere.
    let astray = "return [...document.querySelectorAll('a[href^=\"#\"]')]
                      .filter((a) => !document.getElementById(a.hash.slice(1))).length;";
    assert_eq!(browser.run(astray), 0);
    let log = browser.log("browser");
    assert!(log.is_empty(), "the browser complains: {log:?}");
}

#[test]
fn names_that_are_markup_are_shown_and_a_direction_that_is_open_is_said() {
    let more = "[[sources]]\nname = \"<script>window.owned = 1</script>\"\neasting = \
                500100\nnorthing = 4980110\n[[receptors]]\nname = \"W-3\"\nwell = \"W-3\"\n";
    let wells: Vec<(f64, f64)> =
        (0..16).map(|k| (100.0 * f64::from(k % 4), 100.0 * f64::from(k / 4))).collect();
    let folder = of_wells(&wells, more, |x, _| 50.0 - 1e-5 * x);
    let out = folder.path().join("toward");
    headfall("toward", &out, folder.path());
    let browser = Browser::open(&out.join("report.html"));
    assert_eq!(browser.run("return window.owned ?? null;"), Value::Null);
    assert_eq!(column(&browser, "verdict-table", 0), ["<script>window.owned = 1</script>"]);
    let open = browser.run("return document.querySelector('.open-direction').textContent;");
    assert!(
        open.as_str().is_some_and(|t| t.contains("do not resolve the flow direction")),
        "{open}"
    );
    let panel = words(&text(out.join("map.svg")), "panel").join(" ");
    assert!(panel.contains("Flow direction not resolved at"), "{panel}");
}

/// On a page of `draw`, too: a line is a line, whatever closes between its ends.
#[test]
fn an_open_line_is_not_filled_on_the_page() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    headfall("draw", &out, &sample("closed-landfill"));
    let browser = Browser::open(&out.join("report.html"));
    let fills = |place: &str| {
        let found = browser.run(&format!(
            "return [...document.querySelectorAll('#map-drawing {place}')]
                .map((e) => getComputedStyle(e).fill);"
        ));
        let texts = found.as_array().expect("a list").iter();
        texts.map(|t| t.as_str().expect("a text").to_owned()).collect::<BTreeSet<_>>()
    };
    assert_eq!(fills(".receptor path.shape:not(.area)"), BTreeSet::from(["none".to_owned()]));
    for filled in [".receptor rect.shape", ".source path.shape.area"] {
        let fills = fills(filled);
        assert!(!fills.is_empty() && !fills.contains("none"), "{filled}: {fills:?}");
    }
}

/// What the sheet says needs three columns where it stands beside the map: none of it is beyond the paper.
#[test]
fn nothing_on_the_sheet_is_beyond_the_paper() {
    for orientation in ["portrait", "landscape"] {
        let site = sample("closed-landfill");
        let toml = site.join("site.toml");
        let asked = format!("{}\n[sheet]\norientation = \"{orientation}\"\n", text(&toml));
        fs::write(toml, asked).expect("a setting");
        let folder = Folder::new();
        let out = folder.path().join("toward");
        headfall("toward", &out, &site);
        let svg = text(out.join("map.svg"));
        let tree = roxmltree::Document::parse(&svg).expect("SVG");
        let number = |n: roxmltree::Node<'_, '_>, name: &str| -> f64 {
            n.attribute(name).and_then(|v| v.parse().ok()).unwrap_or_default()
        };
        let sheet = size_of(&tree);
        assert_eq!(sheet[0] > sheet[1], orientation == "landscape");
        let panel = tree.descendants().find(|n| n.attribute("id") == Some("panel")).expect("panel");
        let texts: Vec<_> = panel.descendants().filter(|n| n.has_tag_name("text")).collect();
        assert!(texts.len() > 60, "{} lines", texts.len());
        for line in texts {
            let right = number(line, "x") + number(line, "textLength");
            let within = right < sheet[0] && number(line, "y") < sheet[1];
            assert!(within, "{orientation}: {:?} ends at {right}", line.text());
        }
    }
}
