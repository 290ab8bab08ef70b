//! A site whose every text would break a file or inject into one: markup, scripts, formulas,
//! terminal escapes, right-to-left, CJK, very long. Zero bytes are refused in tables, so they
//! stand in `site.toml` alone.
//!
//! [`Hostile`] builds it. A new file format or page gets its test here.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Output;

use gdal::vector::LayerAccess;
use gdal::{Dataset, Metadata};
use headfall::diag::printable;
use serde_json::Value;

use crate::kml::KML;
use crate::support::{Folder, ends, headfall, text};

/// Names of wells. Each is trimmed, as names are when they are read.
pub(crate) const NAMES: &[&str] = &[
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "]]><!--&amp;&lt;'",
    "{{7*7}}{% raw %}${7*7}",
    "=cmd|' /C calc'!A0",
    "=HYPERLINK(\"http://evil.invalid\",\"x\")",
    "+1+1",
    "-1+1",
    "-1.5",
    "@SUM(A1:A9)",
    "＝1+1",
    "'=1+1",
    "\u{1b}[31mred\u{1b}[0m \u{1b}]0;title\u{7}",
    "C1 \u{9b}31m",
    "bell\u{7}byte\u{8}",
    "two\r\nlines\tand a tab",
    "\u{202e}gnp.1-WM\u{202c}",
    "بئر المراقبة ١",
    "観測井 一号",
    "a;b,c|d\"e\"f\\g`h",
    "'); DROP TABLE wells; --",
    "../../../etc/passwd%s%n",
];

/// The site's name, its aquifer unit, its round, a remark.
pub(crate) const SITE: &str = "=<svg onload=alert(1)>\u{1b}[2J \u{202e}\0&\"'";
pub(crate) const UNIT: &str = "+<b>upper</b> & \u{9b}1m'sand'";
pub(crate) const ROUND: &str = "=<i>&'round\u{1b}[1m";
pub(crate) const REMARK: &str = "@<script>\u{7}\"remark\"</script>";

/// A site folder of such texts.
pub(crate) struct Hostile {
    folder: Folder,
}

impl Hostile {
    /// The wells stand on a lattice; the last but one is a very long name, the last was dry.
    pub(crate) fn new() -> Self {
        let folder = Folder::new();
        let mut toml = toml::Table::new();
        let texts = [
            ("name", SITE),
            ("crs", "EPSG:26915"),
            ("elevation_unit", "m"),
            ("vertical_datum", "<u>\u{1b}[4mdatum\0</u>"),
            ("aquifer_unit", UNIT),
        ];
        let texts = texts.map(|(key, text)| (key.to_owned(), text.into()));
        toml.insert("site".to_owned(), toml::Table::from_iter(texts).into());
        folder.file("site.toml", toml::to_string(&toml).expect("TOML"));
        let csv = |heading: [&str; 4], rows: Vec<[String; 4]>| {
            let mut csv = csv::Writer::from_writer(Vec::new());
            csv.write_record(heading).expect("a heading");
            for row in rows {
                csv.write_record(row).expect("a row");
            }
            csv.into_inner().expect("a table")
        };
        let names = Self::names();
        let place =
            |i: usize| (480_000.0 + 97.0 * (i % 5) as f64, 4_980_000.0 + 83.0 * (i / 5) as f64);
        let wells = names.iter().enumerate().map(|(i, name)| {
            let (x, y) = place(i);
            [name.clone(), x.to_string(), y.to_string(), UNIT.to_owned()]
        });
        folder
            .file("wells.csv", csv(["id", "easting", "northing", "aquifer_unit"], wells.collect()));
        let last = names.len() - 1;
        let round = names.iter().enumerate().map(|(i, name)| {
            let head = format!("{:.2}", 100.0 - 0.31 * (i % 5) as f64 + 0.17 * (i / 5) as f64);
            if i == last {
                [name.clone(), String::new(), "dry".to_owned(), REMARK.to_owned()]
            } else {
                [name.clone(), head, String::new(), REMARK.to_owned()]
            }
        });
        let round = csv(["id", "elevation", "status", "remark"], round.collect());
        folder.file(&format!("rounds/{ROUND}.csv"), round);
        Self { folder }
    }

    /// All names of wells.
    pub(crate) fn names() -> Vec<String> {
        let long = format!("<b>{}", "井x".repeat(400));
        let names = NAMES.iter().map(|n| (*n).to_owned());
        names.chain([long, "=dry\u{1b}c".to_owned()]).collect()
    }

    pub(crate) fn path(&self) -> &Path {
        self.folder.path()
    }

    /// Where `--out` may go.
    pub(crate) fn out(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Runs the program on the site.
    pub(crate) fn run(&self, command: &str, more: &[&str]) -> Output {
        headfall(&[&[command], more].concat(), &[self.path()])
    }

    /// Draws into a folder of its own, which it gives.
    #[track_caller]
    pub(crate) fn drawn(&self, more: &[&str]) -> PathBuf {
        let out = self.out("map");
        let out_text = out.to_str().expect("text").to_owned();
        let arguments = [&["--out", &out_text], more].concat();
        let output = self.run("draw", &arguments);
        ends(&output, 0);
        out
    }
}

/// Fails when a text holds what would steer a terminal.
#[track_caller]
pub(crate) fn quiet(text: &[u8]) {
    let text = std::str::from_utf8(text).expect("UTF-8");
    for line in text.split('\n') {
        assert_eq!(printable(line), line, "a character that steers was printed");
    }
}

fn cells(path: &Path) -> (csv::StringRecord, Vec<csv::StringRecord>) {
    let mut table = csv::Reader::from_path(path).expect("a table");
    let headings = table.headers().expect("headings").clone();
    (headings, table.records().map(|r| r.expect("as many cells as headings")).collect())
}

/// A cell as it is read back by the rule of `docs/outputs.md`.
fn undone(cell: &str) -> &str {
    cell.strip_prefix('\'').unwrap_or(cell)
}

/// A text as a CSV of ours shows it before it is defused.
fn shown(text: &str) -> String {
    text.chars()
        .map(|c| {
            let one = c.to_string();
            if ['\t', '\r', '\n'].contains(&c) { one } else { printable(&one).into_owned() }
        })
        .collect()
}

#[test]
fn nothing_said_on_the_terminal_steers_it() {
    let site = Hostile::new();
    for command in ["draw", "check", "cross-validate"] {
        for more in [&[][..], &["--json"]] {
            let output = site.run(command, more);
            ends(&output, 0);
            quiet(&output.stdout);
            quiet(&output.stderr);
            if more == ["--json"] {
                let told: Value = serde_json::from_slice(&output.stdout).expect("JSON");
                assert_eq!(told["site"], SITE, "{command} --json keeps the text");
            }
        }
    }
}

#[test]
fn refusals_that_quote_hostile_text_do_not_steer_the_terminal() {
    let site = Hostile::new();
    for (file, text) in [
        ("site.toml", "[site]\nname = \"\\u001b[31m\"\n\"bad\\u001b[2Jkey\" = 1\n".to_owned()),
        ("wells.csv", format!("id,{}\n\u{1b}[31m,1,2\n", NAMES[12])),
    ] {
        let site = if file == "site.toml" { &Hostile::new() } else { &site };
        std::fs::write(site.path().join(file), text).expect("a file");
        let output = site.run("draw", &[]);
        assert_eq!(output.status.code(), Some(2), "{file} is refused");
        quiet(&output.stdout);
        quiet(&output.stderr);
    }
    let output = site.run("draw", &["--round", "\u{1b}[31mno such round"]);
    quiet(&output.stderr);
}

#[test]
fn no_cell_of_a_table_is_a_formula_and_every_text_comes_back() {
    let site = Hostile::new();
    let out = site.drawn(&["--format", "csv"]);
    let compared = site.out("compared");
    let output =
        site.run("cross-validate", &["--quiet", "--out", compared.to_str().expect("text")]);
    assert!(output.status.success(), "compared");
    let tables = [
        out.join("heads.csv"),
        out.join("triangles.csv"),
        compared.join("cross-validation.csv"),
        out.join("layers-csv/wells.csv"),
        out.join("layers-csv/triangles.csv"),
        out.join("wells.csv"),
        out.join("water-levels.csv"),
    ];
    let runs = ['=', '+', '-', '@', '＝', '＋', '－', '＠', '\t', '\r', '\n'];
    for table in &tables {
        let bytes = std::fs::read(table).expect("a table");
        assert!(!bytes.contains(&0), "{} holds a zero byte", table.display());
        for row in cells(table).1 {
            for cell in &row {
                let number = cell.parse::<f64>().is_ok();
                assert!(number || !cell.starts_with(runs), "{}: {cell:?}", table.display());
            }
        }
    }
    let column = |table: &Path, name: &str| -> BTreeSet<String> {
        let (headings, rows) = cells(table);
        let at = headings.iter().position(|h| h == name).expect("the column");
        rows.iter().map(|r| undone(&r[at]).to_owned()).collect()
    };
    let names = Hostile::names();
    let expected: BTreeSet<String> = names.iter().map(|n| shown(n)).collect();
    assert_eq!(column(&tables[0], "well"), expected);
    assert_eq!(column(&tables[5], "well"), expected);
    assert_eq!(column(&tables[6], "Well"), expected);
    assert_eq!(column(&tables[0], "aquifer_unit"), BTreeSet::from([shown(UNIT)]));
    assert_eq!(column(&tables[0], "remark"), BTreeSet::from([shown(REMARK)]));
    let mapped = names[..names.len() - 1].iter().map(|n| shown(n)).collect();
    assert_eq!(column(&tables[2], "well"), mapped);
    let printed = names.iter().map(|n| printable(n).into_owned()).collect();
    assert_eq!(column(&tables[3], "id"), printed);
    // A name that looks like a number is text, a number is a number.
    let (headings, rows) = cells(&tables[2]);
    let residual =
        headings.iter().position(|h| h == "inverse_distance_residual_m").expect("a column");
    assert!(rows.iter().any(|r| r[residual].starts_with('-')), "negative numbers stay");
    assert!(rows.iter().any(|r| &r[0] == "'-1.5"), "a name of that look is defused");
}

#[test]
fn geojson_and_summary_hold_every_text_as_it_was_written() {
    let site = Hostile::new();
    let out = site.drawn(&[]);
    let json = |name: &str| -> Value {
        let text = std::fs::read(out.join(name)).expect("a file");
        assert!(!text.contains(&0) && !text.contains(&0x1b), "{name} escapes what steers");
        serde_json::from_slice(&text).expect("JSON")
    };
    let wells = json("wells.geojson");
    let found: BTreeSet<&str> = wells["features"]
        .as_array()
        .expect("features")
        .iter()
        .map(|f| f["properties"]["id"].as_str().expect("a name"))
        .collect();
    let names = Hostile::names();
    assert_eq!(found, names.iter().map(String::as_str).collect());
    let summary = json("summary.json");
    assert_eq!((&summary["site"], &summary["round"]), (&SITE.into(), &ROUND.into()));
    assert_eq!(summary["aquifer_unit"], UNIT);
    json("triangles.geojson");
}

#[test]
fn every_gis_format_holds_every_well_under_its_printable_name() {
    let site = Hostile::new();
    let formats = ["shapefile", "flatgeobuf", "csv"];
    let asked: Vec<&str> = formats.iter().flat_map(|f| ["--format", f]).collect();
    let out = site.drawn(&asked);
    let names = Hostile::names();
    for (file, longest) in [
        ("layers.gpkg", usize::MAX),
        ("layers-shapefile/wells.shp", 254),
        ("layers-flatgeobuf/wells.fgb", usize::MAX),
    ] {
        let data = Dataset::open(out.join(file)).expect("GDAL opens it");
        let mut layer = data.layer_by_name("wells").expect("the wells");
        let mut found: Vec<String> = layer
            .features()
            .map(|f| {
                let field = f.field_index("id").expect("a field");
                f.field_as_string(field).expect("text").expect("a name")
            })
            .collect();
        let mut expected: Vec<String> = names
            .iter()
            .map(|n| printable(n).into_owned())
            .map(|n| {
                if n.len() <= longest {
                    return n;
                }
                let mut cut: String = n;
                while cut.len() > longest - '…'.len_utf8() {
                    cut.pop();
                }
                cut + "…"
            })
            .collect();
        found.sort();
        expected.sort();
        assert_eq!(found, expected, "{file}");
    }
    let data = Dataset::open(out.join("layers.gpkg")).expect("GDAL opens it");
    // With arrows and the table of styles.
    assert_eq!(data.layer_count(), 6, "no layer was dropped or made by a name");
    let surface = Dataset::open(out.join("surface.tif")).expect("GDAL opens it");
    for (item, text) in [("SITE", SITE), ("AQUIFER_UNIT", UNIT), ("ROUND", ROUND)] {
        let found = surface.metadata_item(item, "").expect("an item");
        assert_eq!(found, printable(text), "{item}");
    }
}

#[test]
fn names_are_texts_on_a_globe() {
    let site = Hostile::new();
    let kml = text(site.drawn(&["--format", "kml"]).join("layers.kml"));
    let tree = roxmltree::Document::parse(&kml).expect("XML");
    let named =
        |name: &'static str| tree.descendants().filter(move |n| n.has_tag_name((KML, name)));
    let folder = named("Folder").find(|folder| {
        folder.children().any(|n| n.has_tag_name((KML, "name")) && n.text() == Some("wells"))
    });
    let placemarks = folder.expect("the wells").children();
    let mut found: Vec<&str> = placemarks
        .filter(|n| n.has_tag_name((KML, "Placemark")))
        .filter_map(|n| n.first_element_child().and_then(|name| name.text()))
        .collect();
    let mut expected: Vec<String> =
        Hostile::names().iter().map(|n| printable(n).into_owned()).collect();
    found.sort_unstable();
    expected.sort_unstable();
    assert_eq!(found, expected);
    // A description is markup, and has no more of it than its own ends of lines.
    for description in named("description").filter_map(|n| n.text()) {
        assert!(!description.replace("<br/>", "").contains('<'), "{description}");
    }
    assert!(kml.contains("&amp;lt;"), "something in a description had to be written as text");
}

#[test]
fn the_figure_of_a_comparison_stays_a_drawing() {
    let site = Hostile::new();
    let out = site.out("compared");
    let output = site.run("cross-validate", &["--quiet", "--out", out.to_str().expect("text")]);
    assert!(output.status.success(), "compared");
    let svg = text(out.join("cross-validation.svg"));
    drawing(&svg, &["svg", "title", "g", "path", "circle", "text"]);
    let told: Value =
        serde_json::from_slice(&std::fs::read(out.join("cross-validation.json")).expect("a file"))
            .expect("JSON");
    let worst = told["methods"][0]["worst_wells"][0].as_str().expect("a well");
    let tree = roxmltree::Document::parse(&svg).expect("XML");
    let texts: Vec<&str> = tree.descendants().filter_map(|n| n.text()).collect();
    assert!(texts.iter().any(|t| t.starts_with("=<svg onload=alert(1)>‹001B›")), "the site");
    // What has no letter stands there as its code point.
    let written = |c: char| match c {
        ' '..='~' => c.to_string(),
        _ => format!("‹{:04X}›", u32::from(c)),
    };
    let start: String = worst.chars().take(4).map(written).collect();
    assert!(texts.iter().any(|t| t.starts_with(&start)), "the worst well is named: {start}");
}

/// Fails unless a text is well-formed XML of these elements alone, without scripts, handlers,
/// links or characters that steer.
#[track_caller]
pub(crate) fn drawing(svg: &str, elements: &[&str]) {
    quiet(svg.as_bytes());
    let tree = roxmltree::Document::parse(svg).expect("well-formed XML");
    for node in tree.descendants().filter(roxmltree::Node::is_element) {
        let name = node.tag_name().name();
        assert!(elements.contains(&name), "the element {name}");
        for attribute in node.attributes() {
            let name = attribute.name().to_lowercase();
            assert!(!name.starts_with("on") && !name.ends_with("href"), "the attribute {name}");
        }
    }
}

#[test]
fn the_map_sheet_stays_a_drawing_in_every_form() {
    let site = Hostile::new();
    let out = site.drawn(&["--quiet"]);
    let svg = text(out.join("map.svg"));
    drawing(&svg, &["svg", "title", "g", "path", "circle", "text", "tspan"]);
    let tree = roxmltree::Document::parse(&svg).expect("XML");
    let texts: Vec<&str> = tree.descendants().filter_map(|n| n.text()).collect();
    assert!(texts.iter().any(|t| t.contains("<script>")), "a name of markup is text");
    // A PDF acts through actions, scripts and files within it: there are none.
    let pdf = lopdf::Document::load(out.join("map.pdf")).expect("a PDF");
    for object in pdf.objects.values() {
        let keys: Vec<&[u8]> = match object {
            lopdf::Object::Dictionary(d) => d.iter().map(|(key, _)| key.as_slice()).collect(),
            lopdf::Object::Stream(s) => s.dict.iter().map(|(key, _)| key.as_slice()).collect(),
            _ => Vec::new(),
        };
        for acts in ["JS", "JavaScript", "AA", "OpenAction", "URI", "Launch", "EmbeddedFiles"] {
            assert!(!keys.contains(&acts.as_bytes()), "{acts}");
        }
    }
    // The page shows names as text; that nothing of them runs is tested in a browser.
    let page = text(out.join("report.html"));
    assert!(!page.contains("<script>alert(1)") && !page.contains("<img src=x"), "markup of a name");
}
