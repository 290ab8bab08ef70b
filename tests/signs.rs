//! What the signs of sheet and page mean, and that they say one thing: arrows, pumped wells, sources,
//! rounded heads, counts.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

use headfall::diag::{Code, Diagnostic, Severity};
use headfall::read::{Method, Overrides};
use headfall::report::Results;
use headfall::run::Map;
use headfall::uncertainty::DirectionInterval;
use headfall::units::Azimuth;
use headfall::{draw, page, run};
use roxmltree::Document;
use serde_json::Value;

use crate::support::{
    EAST, Folder, NORTH, map, of, of_wells, runs, sample, scatter, stdout, text, words,
};

/// A map with its findings, and what sheet and page are made of.
struct Drawn {
    map: Map,
    findings: Vec<Diagnostic>,
    svg: String,
    page: String,
}

fn drawn(site: &Path, method: Option<Method>) -> Drawn {
    let mut findings = Vec::new();
    let mut heads = run::heads(site, &Overrides::default(), &mut findings).expect("heads");
    if let Some(method) = method {
        Arc::make_mut(&mut heads.site).settings.surface.method = method;
    }
    let map = run::map(heads, &mut findings).expect("a map");
    let svg = draw::sheet(&Results::of(&map, &findings)).expect("a sheet").svg();
    let page = page::report(&Results::of(&map, &findings));
    Drawn { map, findings, svg, page }
}

fn panel(svg: &str) -> String {
    words(svg, "panel").join(" ")
}

/// What the page's script is given.
fn data(page: &str) -> Value {
    let (_, rest) = page.split_once("id=\"map-data\">").expect("data");
    let (json, _) = rest.split_once("</script>").expect("an end");
    serde_json::from_str(json).expect("JSON")
}

/// The arrows of the page: what each is called, what it tells, and whether it is hollow.
fn arrows(page: &str) -> Vec<(String, BTreeMap<String, String>, bool)> {
    let hollow: Vec<bool> = page
        .lines()
        .filter(|l| l.contains("data-list=\"arrows\""))
        .map(|l| l.contains("class=\"mark arrow hollow"))
        .collect();
    let told = data(page)["arrows"].as_array().expect("arrows").clone();
    assert_eq!(hollow.len(), told.len());
    let facts = |f: &Value| {
        serde_json::from_value::<Vec<(String, String)>>(f["lines"].clone()).expect("lines")
    };
    let title = |f: &Value| f["title"].as_str().expect("a title").to_owned();
    told.iter().zip(hollow).map(|(f, h)| (title(f), facts(f).into_iter().collect(), h)).collect()
}

/// A bowl whose slope turns within the triangles of the wells.
fn bowl(x: f64, y: f64) -> f64 {
    50.0 - 0.002 * x + 1.2e-5 * ((x - 230.0).powi(2) + (y - 170.0).powi(2))
}

#[test]
fn an_arrow_of_a_surface_is_filled_only_where_its_direction_is_known() {
    // So small an angle that some are not.
    let strict = "[uncertainty]\ndirection_within_deg = 3.0\n";
    let folder = of_wells(&scatter(), strict, bowl);
    for method in [Method::ThinPlate, Method::NaturalNeighbour, Method::Kriging] {
        let drawn = drawn(folder.path(), Some(method));
        let arrows = arrows(&drawn.page);
        let (mut filled, mut open) = (0, 0);
        for (title, facts, hollow) in &arrows {
            assert_eq!(title, "flow on the surface", "{method:?}");
            let known = facts["direction"] == "known to within 3° (95 %)";
            assert_eq!(*hollow, !known, "{method:?}: {}", facts["direction"]);
            filled += usize::from(known);
            open += usize::from(!known);
        }
        assert!(filled > 20 && open > 5, "{method:?}: {filled} filled, {open} hollow");
        let panel = panel(&drawn.svg);
        assert!(panel.contains("Arrows follow this surface"), "{panel}");
        assert!(panel.contains("not known to within 3° (95 %)"), "{panel}");
        let cautions = Results::of(&drawn.map, &[]).cautions().join(" ");
        assert!(cautions.contains("map sheet and report page follow this surface"), "{cautions}");
        assert!(!cautions.contains("those of the planes through three wells"), "{cautions}");
    }
}

#[test]
fn a_direction_is_known_within_the_angle_and_not_beyond_it() {
    let folder = of_wells(&scatter(), "", bowl);
    let drawn = drawn(folder.path(), None);
    let results = Results::of(&drawn.map, &[]);
    let mut seen = 0;
    for (t, triangle) in drawn.map.mesh.triangles().iter().enumerate() {
        let corners = drawn.map.mesh.corners(triangle);
        let at = (corners[0] + corners[1] + corners[2]) / 3.0;
        let Some(known) = results.known(t) else {
            assert!(triangle.is_thin(), "{t}");
            let any = |k| results.known_at(at, t, Azimuth::from_degrees(10.0 * f64::from(k)));
            assert!(!(0..36).any(any), "{t}");
            continue;
        };
        let DirectionInterval::Arc { from, .. } = known.interval else { continue };
        let (width, middle) = (known.interval.width_deg(), known.interval.width_deg() / 2.0);
        if width < 20.0 {
            assert!(results.known_at(at, t, from.turned(middle)), "{t}: {known:?}");
            for off in [45.0, 90.0, 180.0, -45.0] {
                assert!(!results.known_at(at, t, from.turned(middle + off)), "{t}: {known:?}");
            }
            seen += 1;
        }
    }
    assert!(seen > 10, "{seen} triangles have a narrow interval");
}

#[test]
fn no_direction_is_read_off_an_inverse_distance_surface() {
    let drawn = drawn(&sample("fuel-depot"), Some(Method::InverseDistance));
    let arrows = arrows(&drawn.page);
    assert!(arrows.len() > 8 && arrows.iter().all(|a| a.0.starts_with("triangle ")), "{arrows:?}");
    let panel = panel(&drawn.svg);
    for said in
        ["flow direction by a plane through three wells", "Do not read directions off this surface"]
    {
        assert!(panel.contains(said), "no {said:?} in {panel}");
    }
    let cautions = Results::of(&drawn.map, &[]).cautions().join(" ");
    assert!(cautions.contains("Do not read directions off this surface"), "{cautions}");
    assert!(drawn.page.contains("gradients and directions must not be read off this surface"));
    // Sheet and page have the same directions: those of the linear map.
    let linear = self::drawn(&sample("fuel-depot"), Some(Method::Linear));
    assert_eq!(arrows, self::arrows(&linear.page));
}

const PUMPED: &str = "[[pumped_wells]]\nwell = \"Extraction 7\"\neasting = 500180.0\nnorthing = \
                      4980170.0\nrate = 400\n[[pumped_wells]]\nwell = \"W-12\"\nrate = 40\n\
                      [[receptors]]\nwell = \"W-12\"\n[[sources]]\nwell = \"W-3\"\n";

#[test]
fn pumped_wells_have_a_sign_and_a_name_on_sheet_and_page() {
    let folder = of_wells(&scatter(), PUMPED, bowl);
    let drawn = drawn(folder.path(), None);
    let names = words(&drawn.svg, "well-labels");
    let all = [names.clone(), words(&drawn.svg, "contour-labels")].concat();
    for name in ["Extraction 7", "W-12", "W-3"] {
        assert_eq!(all.iter().filter(|n| *n == name).count(), 1, "{name} once in {all:?}");
    }
    assert!(panel(&drawn.svg).contains("pumped well"));
    // A disc in a ring, wider than that of other wells, at both.
    let tree = Document::parse(&drawn.svg).expect("SVG");
    let wells = tree.descendants().find(|n| n.attribute("id") == Some("wells")).expect("wells");
    let rings = wells.children().filter(|n| n.attribute("stroke").is_some());
    let mut radii: BTreeMap<String, usize> = BTreeMap::new();
    for ring in rings.filter_map(|n| n.attribute("r")) {
        *radii.entry(ring.to_owned()).or_default() += 1;
    }
    assert_eq!(radii.values().copied().collect::<Vec<_>>(), [24, 2], "{radii:?}");
    let told = data(&drawn.page);
    let pumped = told["pumped"].as_array().expect("pumped wells");
    assert_eq!(pumped.len(), 1, "the other carries the map: {pumped:?}");
    assert_eq!(pumped[0]["title"], "Extraction 7");
    assert_eq!(drawn.page.matches("class=\"pumped-ring\" r=").count(), 2);
    // None where there is none.
    let plain = self::drawn(of_wells(&scatter(), "", bowl).path(), None);
    assert!(!panel(&plain.svg).contains("pumped well"));
    assert!(!plain.page.contains("pumped wells that do not"));
    // One that was found pumping is no cross.
    let landfill = self::drawn(&sample("closed-landfill"), None);
    let names: Vec<String> =
        Results::of(&landfill.map, &[]).pumped_wells().iter().map(|p| p.name.to_owned()).collect();
    assert_eq!(names, ["L1"]);
    assert!(panel(&landfill.svg).contains("pumped well"));
}

/// Left, top, right, bottom of a path.
fn bounds(path: &str) -> [f64; 4] {
    let svg = format!("<path d='{path}'/>");
    assert!(svg.contains('M'), "{path}");
    let mut at = (0.0_f64, 0.0_f64);
    let (low, high) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut found = [low, low, high, high];
    let mut rest = path;
    while let Some(command) = rest.chars().next() {
        rest = &rest[1..];
        let end = rest.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(rest.len());
        let numbers: Vec<f64> = rest[..end]
            .replace('-', " -")
            .split([' ', ','])
            .filter(|t| !t.is_empty())
            .map(|t| t.parse().expect("a number"))
            .collect();
        rest = &rest[end..];
        for pair in numbers.chunks(if matches!(command, 'h' | 'v') { 1 } else { 2 }) {
            at = match (command, pair) {
                ('M', [x, y]) => (*x, *y),
                ('l', [x, y]) => (at.0 + x, at.1 + y),
                ('h', [x]) => (at.0 + x, at.1),
                ('v', [y]) => (at.0, at.1 + y),
                other => panic!("{other:?} in {path}"),
            };
            found =
                [found[0].min(at.0), found[1].min(at.1), found[2].max(at.0), found[3].max(at.1)];
        }
    }
    found
}

#[test]
fn a_source_at_a_well_looks_out_from_under_its_sign() {
    let folder = of_wells(&scatter(), PUMPED, bowl);
    let svg = drawn(folder.path(), None).svg;
    let tree = Document::parse(&svg).expect("SVG");
    let places = tree.descendants().find(|n| n.attribute("id") == Some("places")).expect("places");
    let sizes: Vec<f64> = places
        .children()
        .filter_map(|n| n.attribute("d"))
        .map(|d| bounds(d)[2] - bounds(d)[0])
        .collect();
    // The diamond's inscribed circle, over the widest ring of a well: 1.5 times 2.3 points.
    assert_eq!(sizes.len(), 2, "{sizes:?}");
    assert!(sizes[0] / 2.0 * std::f64::consts::FRAC_1_SQRT_2 > 1.5 * 2.3, "{sizes:?}");
    assert!(sizes[1] / 2.0 > 1.5 * 2.3, "{sizes:?}");
}

#[test]
fn contours_lie_above_the_strips_of_paths() {
    let folder = Folder::new();
    let out = folder.path().join("toward");
    run::toward(&sample("closed-landfill"), &Overrides::default(), Some(&out), &mut Vec::new())
        .expect("an answer");
    let svg = text(out.join("map.svg"));
    let tree = Document::parse(&svg).expect("SVG");
    let layers: Vec<&str> = tree.descendants().filter_map(|n| n.attribute("id")).collect();
    let place = |name: &str| layers.iter().position(|l| *l == name).expect("a layer");
    assert!(place("paths") < place("contours"), "{layers:?}");
}

#[test]
fn sheet_and_page_post_the_same_heads_and_mark_those_corrected_for_product() {
    // A site in feet: both post two decimals. MW-6 stands at 1250.635 ft.
    let drawn = drawn(&sample("fuel-depot"), None);
    let on_sheet: BTreeSet<String> = words(&drawn.svg, "well-labels").into_iter().collect();
    let posted: Vec<&str> = drawn
        .page
        .lines()
        .filter_map(|l| l.split_once("class=\"head\" x=\"8\" y=\"11\">"))
        .map(|(_, rest)| rest.split('<').next().expect("a head"))
        .collect();
    assert_eq!(posted.len(), drawn.map.control.wells().len());
    for head in &posted {
        assert!(on_sheet.contains(*head), "{head} is not in {on_sheet:?}");
    }
    assert!(posted.contains(&"1250.64"), "{posted:?}");
    let corrected = of(Code::ProductCorrected, &drawn.findings).len();
    assert!(corrected > 0);
    assert_eq!(posted.iter().filter(|h| h.ends_with('*')).count(), corrected);
    assert!(panel(&drawn.svg).contains("head corrected for floating product"));
    assert!(drawn.page.contains("*: head corrected for floating product"));
    let none = self::drawn(&sample("river-valley"), None);
    assert!(!panel(&none.svg).contains("floating product"));
}

#[test]
fn the_panel_says_what_carries_the_map_and_how_far_it_can_be_trusted() {
    let landfill = drawn(&sample("closed-landfill"), None);
    let said = panel(&landfill.svg);
    assert!(said.contains("12 wells and 3 gauges"), "{said}");
    assert!(!said.contains("15 wells"), "{said}");
    let warnings = landfill.findings.iter().filter(|f| f.severity == Severity::Warning).count();
    let notes = landfill.findings.len() - warnings;
    assert!(
        said.contains(&format!("{warnings} warning, {notes} notes: see report.html"))
            && said.contains("Warnings C305 P06S: "),
        "{said}"
    );
    let three = of_wells(&[(0.0, 0.0), (100.0, 10.0), (40.0, 90.0)], "", bowl);
    let said = panel(&drawn(three.path(), None).svg);
    assert!(said.contains("a plane through three wells always fits"), "{said}");
    let line: Vec<(f64, f64)> =
        (0..9).map(|k| (60.0 * f64::from(k), if k % 2 == 0 { 0.0 } else { 20.0 })).collect();
    let drawn = drawn(of_wells(&line, "", bowl).path(), None);
    assert_eq!(of(Code::ThinNetwork, &drawn.findings).len(), 1);
    let said = panel(&drawn.svg);
    assert!(said.contains("the direction across it is poorly known"), "{said}");
    assert!(!said.contains("ticks on the low side"), "a sign that is not drawn: {said}");
}

#[test]
fn names_that_are_shortened_stay_different_and_a_long_title_stays_whole() {
    let folder = Folder::new();
    let mut table = "well,easting,northing,elevation\n".to_owned();
    for (k, (x, y)) in scatter().iter().enumerate() {
        let name = format!("Monitoring well {k:02} behind the old boiler house");
        let row = format!("{name},{},{},{}\n", EAST + x, NORTH + y, bowl(*x, *y));
        table.push_str(&row);
    }
    let site = "Wells along the lane behind the old boiler house, northern and southern part, with \
                the meadow, the allotments, the depot and all that lies between them and the brook";
    let path = folder.file("table.csv", table);
    folder.file(
        "site.toml",
        format!("[site]\nname = \"{site}\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"m\"\n"),
    );
    let (map, findings) = map(&path, &Overrides::default());
    let svg = draw::sheet(&Results::of(&map.expect("a map"), &findings)).expect("a sheet").svg();
    let names: Vec<String> =
        words(&svg, "well-labels").into_iter().filter(|w| w.parse::<f64>().is_err()).collect();
    let different: BTreeSet<&String> = names.iter().collect();
    assert!(names.len() > 15, "{names:?}");
    assert_eq!(different.len(), names.len(), "{names:?}");
    assert!(panel(&svg).contains("long names shortened"));
    let title = words(&svg, "title");
    assert_eq!(title[..title.len() - 1].join(" "), site);
}

#[test]
fn readings_not_used_are_counted_once_for_all() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    let terminal = stdout(&runs(&["draw", "--out"], &[&out, &sample("closed-landfill")]));
    let summary = text(out.join("summary.json"));
    let summary: Value = serde_json::from_str(&summary).expect("JSON");
    let page = text(out.join("report.html"));
    // The rows of the round that are not behind the map.
    let mut reader = csv::Reader::from_path(out.join("heads.csv")).expect("heads");
    let rows = reader.deserialize::<BTreeMap<String, String>>().map(|r| r.expect("a row"));
    let aside = rows.filter(|r| r["row"] == "reading" && r["used_for_contouring"] == "no").count();
    assert!(aside > 0);
    assert!(terminal.contains(&format!("; {aside} readings not used")), "{terminal}");
    assert!(
        terminal.contains("control: 12 wells and 3 gauges, with 12 points along streams"),
        "{terminal}"
    );
    assert_eq!(summary["counts"]["readings_not_used"], aside);
    assert!(page.contains(&format!("{aside} not used</a>")));
    let table = page.split_once("id=\"aside-table\"").expect("a table").1;
    let table = table.split_once("</table>").expect("its end").0;
    assert_eq!(table.matches("<tr><th scope=\"row\">").count(), aside);
}

#[test]
fn the_terminal_reports_no_direction_that_is_not_resolved() {
    let folder = of_wells(&scatter(), "", |x, _| 50.0 - 1e-6 * x);
    let out = folder.path().join("map");
    let said = stdout(&runs(&["draw", "--out"], &[&out, folder.path()]));
    assert!(said.contains("no direction to be reported"), "{said}");
    assert!(said.contains("(95 %: 0 to "), "{said}");
    assert!(!said.contains("true north"), "{said}");
}

/// Colours of one thing on the sheet and, in a light room, on the page.
#[test]
fn sheet_and_page_have_the_same_colours() {
    let sheet = include_str!("../src/draw/style.rs");
    let page = include_str!("../src/page/web/page.css");
    let value = |text: &str, key: &str, end: char| {
        let (_, rest) = text.split_once(key).unwrap_or_else(|| panic!("no {key}"));
        rest.split_once(end).expect("its end").0.trim().to_owned()
    };
    for (of_sheet, of_page) in [
        ("CONTOUR", "contour"),
        ("FLOW", "flow"),
        ("WATER", "stream"),
        ("GREY", "aside"),
        ("SOURCE", "source"),
        ("RECEPTOR", "receptor"),
    ] {
        let parts = value(sheet, &format!("const {of_sheet}: Colour = Colour("), ')');
        let hexadecimal = format!("#{}", parts.replace("0x", "").replace(", ", ""));
        assert_eq!(value(page, &format!("--{of_page}:"), ';'), hexadecimal, "{of_page}");
    }
}

/// One of 25 wells 3 m off the plane of the others: sheet and page have a frame about it and about no other.
#[test]
fn a_head_that_does_not_fit_its_neighbours_is_marked_on_sheet_and_page() {
    let wells = scatter();
    let plane = |x: f64, y: f64| 50.0 - 0.01 * x - 0.004 * y;
    let drawn_with = |off: f64| {
        let odd = wells[12];
        let head = |x, y| plane(x, y) + if (x, y) == odd { off } else { 0.0 };
        drawn(of_wells(&wells, "", head).path(), None)
    };
    let (clean, wrong) = (drawn_with(0.0), drawn_with(3.0));
    assert_eq!(of(Code::OffNeighbours, &wrong.findings)[0].wells, ["W-12"]);
    let posted = |drawn: &Drawn| -> Vec<String> {
        words(&drawn.svg, "well-labels").into_iter().filter(|w| w.ends_with('?')).collect()
    };
    let head = format!("{:.2}?", plane(wells[12].0, wells[12].1) + 3.0);
    assert_eq!(posted(&wrong), [head.as_str()]);
    assert!(posted(&clean).is_empty());
    assert!(panel(&wrong.svg).contains("head?") && !panel(&clean.svg).contains("head?"));
    assert_eq!(wrong.page.matches("<path class=\"unfit\"").count(), 1);
    assert_eq!(clean.page.matches("<path class=\"unfit\"").count(), 0);
    assert!(wrong.page.contains(&format!("<text class=\"head\" x=\"12\" y=\"11\">{head}</text>")));
}
