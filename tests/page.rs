//! `report.html` in a real browser: what it shows, what it lets the user do, and what it refuses
//! to names that are markup or script.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde_json::{Value, json};

use headfall::read::{Method, Overrides};
use headfall::report::Results;
use headfall::run;

use crate::support::{Browser, Folder, SITES, address, head_of, runs, sample, table, text};

/// Keys of the WebDriver standard, section 17.4.2.
const TAB: char = '\u{e004}';
const ESCAPE: char = '\u{e00c}';
const RIGHT: char = '\u{e014}';
const DOWN: char = '\u{e015}';

/// A drawn map.
struct Drawn(Folder);

impl Drawn {
    /// A sample site.
    fn sample(name: &str) -> Self {
        let folder = Folder::new();
        draw(&folder, &[], &sample(name));
        Self(folder)
    }

    /// A table of wells: name, easting, northing, elevation; metres.
    fn table(rows: &str) -> Self {
        let folder = Folder::new();
        let table = folder.file("table.csv", format!("Well,Easting,Northing,Elevation\n{rows}"));
        draw(&folder, &["--crs", "EPSG:26915", "--unit", "m"], &table);
        Self(folder)
    }

    fn page(&self) -> PathBuf {
        self.0.path().join("map/report.html")
    }

    /// The rows of a table beside the page.
    fn rows(&self, file: &str) -> Vec<BTreeMap<String, String>> {
        table(self.0.path().join("map").join(file))
    }
}

fn draw(folder: &Folder, arguments: &[&str], site: &Path) {
    let asked = [&["draw", "--quiet"], arguments, &["--out"]].concat();
    runs(&asked, &[&folder.path().join("map"), site]);
}

fn string(value: &Value) -> &str {
    value.as_str().unwrap_or_else(|| panic!("no text: {value}"))
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("no number: {value}"))
}

fn texts(value: &Value) -> Vec<String> {
    value.as_array().expect("a list").iter().map(|v| string(v).to_owned()).collect()
}

/// What a browser has to complain about.
#[track_caller]
fn quiet(browser: &Browser) {
    let log = browser.log("browser");
    assert!(log.is_empty(), "the browser complains: {log:?}");
}

/// The cells of a column of a table, from the top.
fn column(browser: &Browser, table: &str, column: usize) -> Vec<String> {
    texts(&browser.run(&format!(
        "return [...document.querySelectorAll('#{table} tbody tr')]
            .map((row) => row.cells[{column}].textContent.trim());"
    )))
}

/// Where a place of the drawing stands in the window, after bringing the map into sight.
fn window_point(browser: &Browser, place: &str) -> (f64, f64) {
    let found = browser.run(&format!(
        "const svg = document.getElementById('map-drawing');
         svg.scrollIntoView({{ block: 'center', behavior: 'instant' }});
         const p = ({place}).matrixTransform(svg.getScreenCTM());
         return [p.x, p.y];"
    ));
    (number(&found[0]), number(&found[1]))
}

/// Where a mark that stands at one place is drawn.
fn mark(list: &str, index: usize) -> String {
    format!(
        "(() => {{
            const mark = svg.querySelector('[data-list=\"{list}\"][data-index=\"{index}\"]');
            const m = mark.transform.baseVal.consolidate().matrix;
            return new DOMPoint(m.e, m.f);
        }})()"
    )
}

/// Fails unless a shown length is one of the file's, to half a millimetre and the file's own digit.
#[track_caller]
fn same(shown: &str, expected: f64, what: &str) {
    let value: f64 = shown.strip_suffix(" m").expect("metres").parse().expect("a number");
    assert!((value - expected).abs() <= 0.000_5 + 1e-9, "{what}: {shown} for {expected}");
}

/// What the card says: the title and the lines by name; nothing when it is put away.
fn card(browser: &Browser) -> Option<(String, BTreeMap<String, String>)> {
    let found = browser.run(
        "const card = document.getElementById('map-card');
         if (card.hidden) return null;
         const words = (tag) => [...card.querySelectorAll(tag)].map((e) => e.textContent);
         return [card.querySelector('strong').textContent, words('dt'), words('dd')];",
    );
    let title = found.get(0)?.as_str()?.to_owned();
    Some((title, texts(&found[1]).into_iter().zip(texts(&found[2])).collect()))
}

#[test]
fn the_page_asks_for_nothing_and_runs_nothing_but_its_own_script() {
    let drawn = Drawn::sample("fuel-depot");
    let browser = Browser::open(&drawn.page());
    for site in SITES {
        let drawn = Drawn::sample(site);
        browser.requests();
        browser.go(&drawn.page());
        browser.settle();
        quiet(&browser);
        assert_eq!(browser.requests(), [address(&drawn.page())], "{site}: one file is loaded");
        let others = browser.run("return performance.getEntriesByType('resource').length;");
        assert_eq!(others, 0, "{site}");
    }
    // The policy is real: what an attacker would put into the page does not run, and the page
    // cannot reach anything.
    let tried = browser.wait(
        "const seen = [];
         document.addEventListener('securitypolicyviolation', (e) => seen.push(e.effectiveDirective));
         const script = document.createElement('script');
         script.textContent = 'window.owned = 1';
         document.body.append(script);
         const button = document.createElement('button');
         button.setAttribute('onclick', 'window.owned = 2');
         document.body.append(button);
         button.click();
         const image = new Image();
         image.src = 'data:image/gif;base64,R0lGODlhAQABAAAAACw=';
         document.body.append(image);
         let reached = true;
         fetch('http://127.0.0.1:1/').catch(() => { reached = false; })
            .then(() => setTimeout(() => done([window.owned ?? null, reached, seen.sort()]), 100));",
    );
    assert_eq!(tried[0], Value::Null, "an injected script has run");
    assert_eq!(tried[1], false, "a request has gone out");
    assert_eq!(
        texts(&tried[2]),
        ["connect-src", "img-src", "script-src-attr", "script-src-elem"],
        "each is refused by the policy"
    );
}

#[test]
fn layers_go_off_and_on() {
    let drawn = Drawn::sample("closed-landfill");
    let browser = Browser::open(&drawn.page());
    let layers =
        texts(&browser.run(
            "return [...document.querySelectorAll('[data-shows]')].map((i) => i.dataset.shows);",
        ));
    assert_eq!(
        layers,
        [
            "contours",
            "levels",
            "wells",
            "posts",
            "aside",
            "pumped",
            "arrows",
            "triangles",
            "boundary",
            "stream",
            "source",
            "receptor"
        ],
        "a control for each layer of this site"
    );
    let seen = |layer: &str| {
        let selector = match layer {
            "posts" => ".well .post".to_owned(),
            other => format!("[data-layer=\"{other}\"] > *"),
        };
        let script = format!(
            "return [...document.querySelectorAll('#map-drawing {selector}')]
                .filter((e) => e.getClientRects().length > 0).length;"
        );
        number(&browser.run(&script))
    };
    for layer in &layers {
        let at_first = seen(layer) > 0.0;
        assert_eq!(at_first, layer != "triangles", "{layer}: triangles alone are off at first");
        browser.click(&format!("[data-shows=\"{layer}\"]"));
        assert_ne!(seen(layer) > 0.0, at_first, "{layer} after one click");
        browser.click(&format!("[data-shows=\"{layer}\"]"));
        assert_eq!(seen(layer) > 0.0, at_first, "{layer} after two clicks");
    }
    quiet(&browser);
}

#[test]
fn hovering_shows_the_values_of_the_files() {
    let drawn = Drawn::sample("closed-landfill");
    let browser = Browser::open(&drawn.page());
    // Repeated readings: the head is the mean of those used.
    let mut wells: BTreeMap<String, Vec<(f64, Option<f64>)>> = BTreeMap::new();
    let on_map = |r: &&BTreeMap<String, String>| r["used_for_contouring"] == "yes";
    for row in drawn.rows("heads.csv").iter().filter(on_map) {
        let head = row["head_m"].parse().expect("a number");
        let depth = row["corrected_depth_m"].parse().ok();
        wells.entry(row["well"].clone()).or_default().push((head, depth));
    }
    let mean = |values: Vec<f64>| values.iter().sum::<f64>() / values.len() as f64;
    for index in 0..wells.len() {
        let (x, y) = window_point(&browser, &mark("wells", index));
        browser.point(x, y);
        let (name, lines) = card(&browser).expect("a card at a well");
        let readings = &wells[&name];
        same(&lines["head"], mean(readings.iter().map(|r| r.0).collect()), &name);
        let depths: Vec<f64> = readings.iter().filter_map(|r| r.1).collect();
        if depths.is_empty() {
            assert!(!lines.contains_key("depth to water"), "{name}");
        } else {
            same(&lines["depth to water"], mean(depths), &name);
        }
        assert!(lines.contains_key("head less plane"), "{name}");
    }
    assert_eq!(wells.len(), 15, "wells and gauges");

    // Arrows and triangles tell what the table of triangles has.
    browser.click("[data-shows=triangles]");
    for (list, index) in [("arrows", 0), ("arrows", 5), ("triangles", 0), ("triangles", 5)] {
        let place = if list == "arrows" {
            mark(list, index)
        } else {
            format!(
                "(() => {{
                    const path = svg.querySelector('[data-list=\"triangles\"][data-index=\"{index}\"] path');
                    // A triangle's middle, from its corners as the path gives them.
                    const [x, y, ...steps] = path.getAttribute('d').match(/-?[\\d.]+/g).map(Number);
                    const second = [x + steps[0], y + steps[1]];
                    const third = [second[0] + steps[2], second[1] + steps[3]];
                    return new DOMPoint((x + second[0] + third[0]) / 3, (y + second[1] + third[1]) / 3);
                }})()"
            )
        };
        let (x, y) = window_point(&browser, &place);
        browser.point(x, y);
        let (title, lines) = card(&browser).unwrap_or_else(|| panic!("no card at {list} {index}"));
        let number: usize = title.trim_start_matches("triangle ").parse().expect("its number");
        let row = &drawn.rows("triangles.csv")[number - 1];
        let gradient: f64 = row["gradient"].parse().expect("a number");
        let shown: f64 = lines["gradient (m/m)"].parse().expect("a number");
        assert!((shown / gradient - 1.0).abs() < 0.005, "{title}: {shown} for {gradient}");
        let azimuth: f64 = row["flow_azimuth_true_deg"].parse().expect("a number");
        let toward = format!("{azimuth:.0}°");
        assert!(lines["toward, true north"].starts_with(&toward), "{title}: {lines:?}");
        assert!(lines.contains_key("95 %, reading error only"), "{title}");
    }

    // Contours tell their level, also a few pixels off the line.
    browser.click("[data-shows=triangles]");
    browser.click("[data-shows=arrows]");
    let levels = browser
        .run("return [...document.querySelectorAll('.contour')].map((c) => c.dataset.level);");
    let mut told = 0;
    for (index, level) in texts(&levels).iter().enumerate() {
        let place = format!(
            "(() => {{
                const path = svg.querySelector('[data-list=\"lines\"][data-index=\"{index}\"] path');
                return path.getPointAtLength(path.getTotalLength() * 0.31);
            }})()"
        );
        let (x, y) = window_point(&browser, &place);
        browser.point(x, y + 2.0);
        let (title, lines) = card(&browser).expect("a card at a contour");
        // A well may stand in the way.
        if title.starts_with("contour") {
            assert_eq!(title, format!("contour {level} m"));
            assert!(lines.contains_key("support"));
            told += 1;
        }
    }
    assert!(told >= 8, "{told} contours told their level");
    browser.point(5.0, 5.0);
    assert_eq!(card(&browser), None, "the card goes with the pointer");
    quiet(&browser);
}

#[test]
fn the_head_table_has_the_heads_of_the_file() {
    let drawn = Drawn::sample("fuel-depot");
    let browser = Browser::open(&drawn.page());
    for (site, decimals) in [("fuel-depot", 2), ("river-valley", 3)] {
        let drawn = Drawn::sample(site);
        browser.go(&drawn.page());
        let shown: BTreeMap<String, String> = column(&browser, "head-table", 0)
            .into_iter()
            .map(|name| name.split_whitespace().next().unwrap_or_default().to_owned())
            .zip(column(&browser, "head-table", 5))
            .collect();
        let mut heads: BTreeMap<String, Vec<f64>> = BTreeMap::new();
        for row in drawn.rows("heads.csv").iter().filter(|r| r["used_for_contouring"] == "yes") {
            heads.entry(row["well"].clone()).or_default().push(head_of(row));
        }
        assert_eq!(shown.len(), heads.len(), "{site}: a row for each control point");
        for (well, readings) in heads {
            let mean = readings.iter().sum::<f64>() / readings.len() as f64;
            let shown_head: f64 = shown[&well].parse().expect("a number");
            // Half a unit of the last digit shown, and of the file's fourth.
            let bound = 0.5 * 10f64.powi(-decimals) + 1e-4;
            assert!((shown_head - mean).abs() <= bound, "{site} {well}: {shown_head} for {mean}");
        }
        let headings =
            texts(&browser.run(
                "return [...document.querySelectorAll('th.number')].map((h) => h.textContent + (h.nextElementSibling?.textContent === 'Unit' ? ' (unit beside)' : ''));",
            ));
        let numbers = headings.iter().filter(|h| h.parse::<f64>().is_err());
        for heading in numbers {
            let named = heading.contains('(') || heading.contains("default");
            assert!(named, "{site}: \"{heading}\" names no unit");
        }
    }
    quiet(&browser);
}

#[test]
fn the_triangle_table_sorts_by_every_column() {
    // Heads that fall by 1 in 1000 to the east, and one almost level cell in the west.
    let mut rows = String::new();
    for k in 0..16 {
        let (east, north) = (k % 4 * 100, k / 4 * 100 + k % 3);
        let fall = if k % 4 < 2 { 0.0 } else { f64::from(k % 4) * 0.1 };
        let (east, north) = (480_000 + east, 4_980_000 + north);
        writeln!(rows, "W{k},{east},{north},{}", 100.0 - fall).expect("text");
    }
    let drawn = Drawn::table(&rows);
    let browser = Browser::open(&drawn.page());
    let headings = number(
        &browser.run("return document.querySelectorAll('#triangle-table thead th').length;"),
    );
    assert_eq!(headings.to_string(), "12");
    let parsed =
        |cells: &[String]| -> Vec<f64> { cells.iter().filter_map(|c| c.parse().ok()).collect() };
    let sort = |browser: &Browser, column: usize| {
        browser.click(&format!("#triangle-table thead th:nth-child({}) button", column + 1));
        let sorted = browser.run(
            "return [...document.querySelectorAll('#triangle-table thead th')]
                .map((h) => h.getAttribute('aria-sort')).map((s, i) => s ? `${i} ${s}` : '').join('');",
        );
        string(&sorted).to_owned()
    };
    // Triangle, gradient, its ends, direction, area, base to height.
    for index in [0, 2, 3, 4, 5, 7, 9, 10] {
        assert_eq!(sort(&browser, index), format!("{index} ascending"));
        let up = column(&browser, "triangle-table", index);
        let values = parsed(&up);
        assert!(values.len() > 5 && values.is_sorted(), "column {index} ascending: {up:?}");
        assert!(
            up[values.len()..].iter().all(|c| c.parse::<f64>().is_err()),
            "column {index}: rows without a value come last: {up:?}"
        );
        assert_eq!(sort(&browser, index), format!("{index} descending"));
        let down = column(&browser, "triangle-table", index);
        let values = parsed(&down);
        assert!(values.iter().rev().is_sorted(), "column {index} descending: {down:?}");
        assert!(down[values.len()..].iter().all(|c| c.parse::<f64>().is_err()), "{down:?}");
    }
    let verdicts = column(&browser, "triangle-table", 5);
    assert!(verdicts.iter().any(|v| v == "not resolved"), "{verdicts:?}");
    // Words sort with the numbers in them: W2 before W10.
    sort(&browser, 1);
    let wells = column(&browser, "triangle-table", 1);
    let first = |w: &String| -> u32 {
        let digits: String = w[1..].chars().take_while(char::is_ascii_digit).collect();
        digits.parse().expect("a number")
    };
    assert!(wells.iter().map(first).is_sorted(), "{wells:?}");
    // With the keyboard alone.
    browser.run("document.querySelector('#triangle-table thead th:nth-child(3) button').focus();");
    browser.press(" ");
    let values = parsed(&column(&browser, "triangle-table", 2));
    assert!(values.is_sorted(), "{values:?}");
    quiet(&browser);
}

#[test]
fn the_map_works_with_the_keyboard_alone() {
    let drawn = Drawn::sample("fuel-depot");
    let browser = Browser::open(&drawn.page());
    let view = || -> Vec<f64> {
        let found =
            browser.run("return document.getElementById('map-drawing').getAttribute('viewBox');");
        string(&found).split(' ').map(|n| n.parse().expect("a number")).collect()
    };
    let focus = || {
        let found = browser
            .run("const e = document.activeElement; return e.id || e.dataset?.list || e.tagName;");
        string(&found).to_owned()
    };
    let whole = view();
    // Tab comes to the map.
    let reached = (0..40).any(|_| {
        browser.press(&TAB.to_string());
        focus() == "map-drawing"
    });
    assert!(reached, "Tab does not reach the map");
    let outline = browser.run(
        "const s = getComputedStyle(document.activeElement); return s.outlineStyle + s.outlineWidth;",
    );
    assert_eq!(string(&outline), "solid3px", "the focus is in sight");

    browser.press("+");
    let near = view();
    assert!((near[2] * 1.5 - whole[2]).abs() < 1e-6, "{near:?} of {whole:?}");
    assert_eq!(
        string(&browser.run("return document.getElementById('map-status').textContent;")),
        "zoom 1.5"
    );
    browser.press(&RIGHT.to_string());
    browser.press(&DOWN.to_string());
    let moved = view();
    assert!(moved[0] > near[0] && moved[1] > near[1], "{moved:?} from {near:?}");
    browser.press("-");
    assert!((view()[2] - whole[2]).abs() < 1e-6);
    browser.press("+++++++++++++++");
    assert!((view()[2] * 16.0 - whole[2]).abs() < 1e-6, "as near as it goes: {:?}", view());
    browser.press("0");
    assert_eq!(view(), whole, "the whole site again");

    // Through the wells, in the order of the table.
    let names = column(&browser, "head-table", 0);
    let heads = column(&browser, "head-table", 5);
    for (name, head) in names.iter().zip(&heads).take(4) {
        browser.press("w");
        let label = browser.run(
            "const e = document.activeElement;
             const ring = getComputedStyle(e.querySelector('.ring'));
             return [e.getAttribute('aria-label'), ring.stroke, ring.strokeWidth];",
        );
        let label_text = string(&label[0]);
        assert!(
            label_text.starts_with(&format!("{name}; head {head} US survey ft;")),
            "{label_text}"
        );
        assert_ne!(string(&label[1]), "none", "a ring shows the focus");
        let (title, _) = card(&browser).expect("a card");
        assert_eq!(&title, name);
    }
    browser.press("W");
    // Shift and w, as a keyboard sends it, goes back.
    let back = browser.run("return document.activeElement.dataset.index;");
    assert!(["2", "4"].contains(&string(&back)), "{back}");
    for (key, list) in [("c", "lines"), ("f", "arrows"), ("a", "aside")] {
        browser.press(key);
        assert_eq!(focus(), list);
        assert!(card(&browser).is_some(), "a card at one of {list}");
    }
    // Triangles are off, and what cannot be seen cannot be reached.
    browser.press("t");
    assert_eq!(focus(), "aside");
    browser.press(&ESCAPE.to_string());
    assert_eq!((focus().as_str(), card(&browser)), ("map-drawing", None));
    // A mark out of sight is brought into view.
    browser.press("++++++w");
    let seen = browser.run(
        "const b = document.activeElement.getBoundingClientRect();
         const f = document.getElementById('map-frame').getBoundingClientRect();
         return b.left >= f.left && b.right <= f.right && b.top >= f.top && b.bottom <= f.bottom;",
    );
    assert_eq!(seen, true, "the focused well is in sight");
    quiet(&browser);
}

#[test]
fn the_map_zooms_and_moves_under_the_pointer() {
    let drawn = Drawn::sample("fuel-depot");
    let browser = Browser::open(&drawn.page());
    let at = |index: usize| window_point(&browser, &mark("wells", index));
    let (x, y) = at(3);
    let (x, y) = (x.round(), y.round());
    browser.wheel(x, y, -300);
    let zoomed = string(&browser.run("return document.getElementById('map-status').textContent;"))
        .to_owned();
    assert_ne!(zoomed, "zoom 1.0");
    let (after_x, after_y) = at(3);
    assert!((after_x - x).abs() < 1.0 && (after_y - y).abs() < 1.0, "what is pointed at stays");
    browser.drag((x, y), (x + 60.0, y - 40.0));
    let (after_x, after_y) = at(3);
    assert!(
        (after_x - x - 60.0).abs() < 1.0 && (after_y - y + 40.0).abs() < 1.0,
        "what is dragged follows: {after_x} {after_y} from {x} {y}"
    );
    for (button, zoom) in [("whole", "zoom 1.0"), ("in", "zoom 1.5"), ("out", "zoom 1.0")] {
        browser.click(&format!("[data-zoom={button}]"));
        let said = browser.run("return document.getElementById('map-status').textContent;");
        assert_eq!(string(&said), zoom);
    }
    quiet(&browser);
}

#[test]
fn labels_lie_on_no_other_label_and_no_well_at_any_zoom() {
    let drawn = Drawn::sample("river-valley");
    let browser = Browser::open(&drawn.page());
    for site in SITES {
        let drawn = Drawn::sample(site);
        browser.go(&drawn.page());
        for zooms in 0..5 {
            if zooms > 0 {
                browser.click("[data-zoom=in]");
            }
            let found = browser.run(
                "const seen = (e) => e.getClientRects().length > 0;
                 const frame = document.getElementById('map-drawing').getBoundingClientRect();
                 const inside = (b) => b.left > frame.left && b.right < frame.right
                    && b.top > frame.top && b.bottom < frame.bottom;
                 const boxes = (s) => [...document.querySelectorAll(s)].filter(seen)
                    .map((e) => [e.textContent, e.getBoundingClientRect(), e])
                    .filter(([, b]) => b.right > frame.left && b.left < frame.right && b.bottom > frame.top && b.top < frame.bottom);
                 const names = boxes('#map-drawing text.name');
                 const dots = boxes('#map-drawing .dot');
                 const over = (a, b, by) => a.right - by > b.left && b.right - by > a.left
                    && a.bottom - by > b.top && b.bottom - by > a.top;
                 const bad = [];
                 names.forEach(([n, a, e], i) => {
                    if (!inside(a)) bad.push(`${n} is cut off`);
                    for (const [m, b] of names.slice(i + 1)) if (over(a, b, 2)) bad.push(`${n} on ${m}`);
                    for (const [, b, d] of dots) {
                        if (d.closest('.mark') !== e.closest('.mark') && over(a, b, 3)) bad.push(`${n} on a well`);
                    }
                 });
                 return [bad, names.length];",
            );
            assert_eq!(texts(&found[0]), Vec::<String>::new(), "{site} after {zooms} zooms");
            assert!(number(&found[1]) >= 1.0, "{site}: some labels are shown");
        }
    }
    quiet(&browser);
}

#[test]
fn light_and_dark_can_be_read() {
    let drawn = Drawn::sample("closed-landfill");
    let browser = Browser::open(&drawn.page());
    let mut papers = Vec::new();
    for scheme in ["light", "dark"] {
        let features = json!([{ "name": "prefers-color-scheme", "value": scheme }]);
        browser.command("Emulation.setEmulatedMedia", &json!({ "features": features }));
        browser.go(&drawn.page());
        // Relative luminance and contrast: WCAG 2.2, definitions; 4.5 for text: 1.4.3; 3 for
        // the lines and marks that carry meaning: 1.4.11.
        let found = browser.run(
            "const rgb = (c) => c.match(/[\\d.]+/g).map(Number);
             const light = (c) => { const [r, g, b] = rgb(c).map((v) => v / 255)
                .map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
                return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
             const contrast = (a, b) => { const [x, y] = [light(a), light(b)];
                return (Math.max(x, y) + 0.05) / (Math.min(x, y) + 0.05); };
             const paper = (e) => { for (let n = e; n; n = n.parentElement) {
                const c = getComputedStyle(n).backgroundColor;
                if (rgb(c)[3] !== 0) return c; } return 'rgb(255, 255, 255)'; };
             const bad = []; let looked = 0;
             const check = (what, colour, e, bound) => { looked += 1;
                const found = contrast(colour, paper(e));
                if (found < bound) bad.push(`${what} ${colour} on ${paper(e)}: ${found.toFixed(2)}`); };
             for (const e of document.querySelectorAll('body *')) {
                const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim());
                if (!own || !e.checkVisibility() || ['SCRIPT', 'STYLE', 'TITLE'].includes(e.tagName.toUpperCase())) continue;
                const s = getComputedStyle(e);
                check(`${e.tagName} \"${e.textContent.trim().slice(0, 30)}\"`, e.closest('svg') ? s.fill : s.color, e, 4.5);
             }
             const lines = { '.contour path': 'stroke', '.arrow path': 'stroke', '.well .dot': 'fill',
                '.aside path': 'stroke', '.triangle path': 'stroke', '.plane path': 'stroke', '.residual circle': 'fill' };
             for (const [selector, property] of Object.entries(lines)) {
                const e = document.querySelector(selector);
                check(selector, getComputedStyle(e)[property], e, 3);
             }
             return [bad, looked, light(paper(document.body))];",
        );
        assert_eq!(texts(&found[0]), Vec::<String>::new(), "{scheme}");
        assert!(number(&found[1]) > 400.0, "{scheme}: {} texts", found[1]);
        papers.push(number(&found[2]));
    }
    assert!(papers[0] > 0.8 && papers[1] < 0.05, "light is light and dark is dark: {papers:?}");
    quiet(&browser);
}

#[test]
fn on_paper_it_is_light_and_whole() {
    let drawn = Drawn::sample("river-valley");
    let browser = Browser::open(&drawn.page());
    let features = json!([{ "name": "prefers-color-scheme", "value": "dark" }]);
    browser
        .command("Emulation.setEmulatedMedia", &json!({ "media": "print", "features": features }));
    let found = browser.run(
        "const shown = (s) => [...document.querySelectorAll(s)].filter((e) => e.checkVisibility()).length;
         const cut = [...document.querySelectorAll('.scroll')]
            .filter((e) => getComputedStyle(e).overflowY !== 'visible' || getComputedStyle(e).maxHeight !== 'none').length;
         return [shown('nav, .map-tools, .key input'), cut, getComputedStyle(document.body).color,
            document.querySelectorAll('#head-table tbody tr').length, shown('#head-table tbody tr')];",
    );
    assert_eq!(found[0], 0, "no controls");
    assert_eq!(found[1], 0, "no table is cut to a window");
    assert_eq!(string(&found[2]), "rgb(28, 36, 44)", "dark ink, whatever the screen prefers");
    assert_eq!((&found[3], &found[4]), (&json!(292), &json!(292)), "all rows");
    browser.command("Emulation.setEmulatedMedia", &json!({ "media": "" }));
    let pdf = browser.command("Page.printToPDF", &json!({ "preferCSSPageSize": true }));
    assert!(string(&pdf["data"]).starts_with("JVBERi0"), "a PDF (%PDF-) comes out");
    quiet(&browser);
}

#[test]
fn every_control_has_a_name_for_those_who_cannot_see_it() {
    let drawn = Drawn::sample("closed-landfill");
    let browser = Browser::open(&drawn.page());
    let tree = browser.command("Accessibility.getFullAXTree", &json!({}));
    let nodes = tree["nodes"].as_array().expect("nodes");
    let focusable = |n: &&Value| {
        let has = |p: &Value| p["name"] == "focusable" && p["value"]["value"] == true;
        n["properties"].as_array().is_some_and(|all| all.iter().any(has)) && n["ignored"] != true
    };
    let nameless: Vec<&Value> = nodes
        .iter()
        .filter(focusable)
        .filter(|n| n["role"]["value"] != "RootWebArea")
        .filter(|n| n["name"]["value"].as_str().unwrap_or_default().is_empty())
        .collect();
    assert!(nodes.iter().filter(focusable).count() > 50, "controls, wells, contours, tables");
    assert!(nameless.is_empty(), "without a name: {nameless:?}");
    let images = nodes.iter().filter(|n| n["role"]["value"] == "image" && n["ignored"] != true);
    for image in images {
        assert!(!image["name"]["value"].as_str().unwrap_or_default().is_empty(), "{image}");
    }
    quiet(&browser);
}

#[test]
fn hostile_names_are_shown_and_do_nothing() {
    let long = "long".repeat(500);
    let mut names = [
        "<script>window.owned=1</script>",
        "</script><script>window.owned=1</script>",
        "</style><img src=x onerror=window.owned=1>",
        "\"><svg onload=window.owned=1>",
        "' onmouseover='window.owned=1",
        "{{ 7 * 7 }}{% raw %}",
        "<!--<script>]]>&lt;&amp;",
        "javascript:window.owned=1",
        "観測井",
        "بئر ٣",
        "MW\u{202e}1-gpj",
        long.as_str(),
    ];
    let mut rows = String::new();
    for (k, name) in names.iter().enumerate() {
        let (east, north) = (480_000 + k % 4 * 100, 4_980_000 + k / 4 * 100 + k % 2 * 7);
        let quoted = name.replace('"', "\"\"");
        let head = 100.0 - 0.01 * k as f64;
        writeln!(rows, "\"{quoted}\",{east},{north},{head}").expect("text");
    }
    let folder = Folder::new();
    let table = folder.file("table.csv", format!("Well,Easting,Northing,Elevation\n{rows}"));
    let title = "</title><script>window.owned=1</script>";
    folder.file(
        "site.toml",
        format!(
            "[site]\nname = '{title}'\nvertical_datum = '<img src=x onerror=window.owned=1>'\n"
        ),
    );
    draw(&folder, &["--crs", "EPSG:26915", "--unit", "m"], &table);
    let drawn = Drawn(folder);
    let browser = Browser::open(&drawn.page());
    browser.settle();
    let shown = column(&browser, "head-table", 0);
    // Wells stand in the order of their names.
    names.sort_unstable();
    let expected: Vec<String> = names.iter().map(|n| n.replace('\u{202e}', "\u{fffd}")).collect();
    assert_eq!(shown, expected, "every name as it is written, but for what turns text around");
    for (index, name) in expected.iter().enumerate() {
        let (x, y) = window_point(&browser, &mark("wells", index));
        browser.point(x, y);
        let (title, _) = card(&browser).expect("a card");
        assert_eq!(&title, name);
    }
    let found = browser.run(
        "return [window.owned ?? null, document.scripts.length, document.images.length, document.title,
            document.documentElement.scrollWidth - document.documentElement.clientWidth,
            document.querySelector('h1').textContent];",
    );
    assert_eq!(found[0], Value::Null, "a name has run as a script");
    assert_eq!((&found[1], &found[2]), (&json!(2), &json!(0)), "scripts: data and ours; no image");
    assert!(string(&found[3]).starts_with(title), "{}", found[3]);
    assert_eq!(found[4], 0, "a long name does not push the page wide");
    assert_eq!(string(&found[5]), title);
    assert_eq!(browser.requests(), [address(&drawn.page())]);
    quiet(&browser);
}

#[test]
fn a_large_site_makes_a_page_that_a_browser_can_carry() {
    let mut rows = String::new();
    for k in 0..2500_u32 {
        let (column, row) = (k % 50, k / 50);
        let head = 100.0 - f64::from(column) * 0.1 + f64::from(k * 7 % 13) * 0.003;
        let (east, north) = (480_000 + column * 20, 4_980_000 + row * 20);
        writeln!(rows, "W{k},{east},{north},{head:.3}").expect("text");
    }
    let drawn = Drawn::table(&rows);
    let bytes = std::fs::metadata(drawn.page()).expect("a page").len();
    assert!(bytes < 8_000_000, "{bytes} bytes");
    let browser = Browser::open(&drawn.page());
    let found = browser.run(
        "const count = (s) => document.querySelectorAll(s).length;
         return [count('#head-table tbody tr'), count('#triangle-table tbody tr'), count('.well'),
            count('.triangle'), count('.arrow'),
            [...document.querySelectorAll('.cut')].map((e) => e.textContent).join(' | ')];",
    );
    assert_eq!((&found[0], &found[1]), (&json!(2000), &json!(2000)), "rows");
    for marks in 2..5 {
        assert!((500.0..=2000.0).contains(&number(&found[marks])), "{}", found[marks]);
    }
    let told = string(&found[5]);
    for word in ["2000 of 2500 rows", "heads.csv", "triangles.csv", "wells.geojson", "flow.geojson"]
    {
        assert!(told.contains(word), "no \"{word}\" in {told}");
    }
    quiet(&browser);
}

#[test]
fn other_surfaces_and_features_beside_the_wells_are_shown() {
    use geo::{Geometry, LineString, Point, Polygon};
    use headfall::diag::Origin;
    use headfall::read::{Barrier, Place, Stream};

    let site = sample("closed-landfill");
    let mut findings = Vec::new();
    let overrides = Overrides::default();
    let mut heads = run::heads(&site, &overrides, &mut findings).expect("heads");
    Arc::make_mut(&mut heads.site).settings.surface.method = Method::NaturalNeighbour;
    let middle = heads.site.wells.iter().find(|w| w.id == "P07S").expect("a well");
    let (x, y) = (middle.easting, middle.northing);
    let line = |dy: f64| LineString::from(vec![(x - 250.0, y + dy), (x + 250.0, y + dy)]);
    let ring = vec![
        (x - 300.0, y - 250.0),
        (x + 300.0, y - 250.0),
        (x + 300.0, y + 300.0),
        (x - 300.0, y + 300.0),
    ];
    let origin = Origin::file("features.geojson");
    let place = |name: &str, geometry: Geometry| Place {
        name: name.to_owned(),
        geometry,
        aquifer_unit: None,
        origin: origin.clone(),
    };
    let mut map = run::map(heads, &mut findings).expect("a map");
    // What the sample has of its own stands aside.
    let features = &mut Arc::make_mut(&mut map.site).features;
    features.boundary.clear();
    features.streams.clear();
    features.sources.clear();
    features.receptors.clear();
    features.boundary.push(Polygon::new(ring.into(), Vec::new()));
    features.streams.push(Stream {
        aquifer_unit: None,
        name: "Brook <b>".to_owned(),
        line: line(-200.0),
        stages: vec![805.0, 805.0],
        origin: origin.clone(),
    });
    features.barriers.push(Barrier {
        name: "wall".to_owned(),
        line: line(50.0),
        origin: origin.clone(),
    });
    features.sources.push(place("tank", Point::new(x + 37.0, y + 61.0).into()));
    features.receptors.push(place("supply well", Point::new(x + 211.0, y - 160.0).into()));
    let folder = Folder::new();
    let page = folder.file("report.html", headfall::page::report(&Results::of(&map, &findings)));
    let browser = Browser::open(&page);
    let found = browser.run(
        "const words = (s, f) => [...document.querySelectorAll(s)].map(f);
         return [words('[data-shows]', (e) => e.dataset.shows).slice(8), words('[data-list=features]', (e) => e.getAttribute('aria-label')),
            document.getElementById('method').textContent, words('[data-list=arrows]', (e) => e.getAttribute('aria-label'))];",
    );
    assert_eq!(texts(&found[0]), ["boundary", "stream", "barrier", "source", "receptor"]);
    assert_eq!(
        texts(&found[1]),
        [
            "site boundary",
            "stream Brook <b>; stage 805.000 m",
            "barrier wall",
            "source tank",
            "receptor supply well"
        ]
    );
    assert!(string(&found[2]).contains("Sibson (1980)"), "the method's own source");
    let arrows = texts(&found[3]);
    assert!(arrows.len() > 50, "{} arrows", arrows.len());
    // The landfill's heads fall to the south: every arrow of a surface through them does.
    assert!(
        arrows.iter().all(|a| a.starts_with("flow on the surface; gradient (m/m) 0.0")),
        "{arrows:?}"
    );
    // All that has a name bears it, once.
    let named = browser.run(
        "return [...document.querySelectorAll('#map-drawing .place')]
            .filter((e) => e.getClientRects().length > 0).map((e) => e.textContent);",
    );
    assert_eq!(texts(&named), ["Brook <b>", "wall", "tank", "supply well"]);
    // Sources and receptors differ by their lines, and by more than colour.
    let dashes = browser.run(
        "const dash = (s) => getComputedStyle(document.querySelector(s)).strokeDasharray;
         const edge = (kind) => { const g = document.querySelector(`.key .${kind} path`);
            return getComputedStyle(g).strokeDasharray; };
         return [dash('.stream .shape'), edge('source'), edge('receptor')];",
    );
    let different: std::collections::BTreeSet<String> = texts(&dashes).into_iter().collect();
    assert_eq!(different.len(), 3, "{dashes}");
    // An arrow may lie over the tank.
    browser.click("[data-shows=arrows]");
    let (px, py) = window_point(
        &browser,
        "(() => { const b = svg.querySelector('.source rect').getBoundingClientRect();
            return new DOMPoint(b.x + b.width / 2, b.y + b.height / 2).matrixTransform(svg.getScreenCTM().inverse()); })()",
    );
    browser.point(px, py);
    assert_eq!(card(&browser).map(|c| c.0).as_deref(), Some("source tank"));
    quiet(&browser);
}

#[test]
fn an_arrow_that_would_reach_across_a_wall_waits_for_a_closer_look() {
    let folder = Folder::new();
    let site = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/edges/past-a-wall");
    draw(&folder, &["--surface", "natural-neighbour"], &site);
    let browser = Browser::open(&folder.path().join("map/report.html"));
    // Drawing units in a pixel; arrows that have no room at that, shown and put away; all shown.
    let look = || {
        browser.settle();
        browser.run(
            "const k = 1 / document.getElementById('map-drawing').getScreenCTM().a;
             const arrows = [...document.querySelectorAll('.arrow')];
             const shown = (a) => a.getClientRects().length > 0;
             const narrow = arrows.filter((a) => Number(a.dataset.widest ?? Infinity) < k);
             return [k, narrow.filter(shown).length, narrow.length, arrows.filter(shown).length];",
        )
    };
    let whole = look();
    assert!(number(&whole[1]) < 1.0, "{whole}");
    assert!(number(&whole[2]) > 0.0, "some stand beside the wall: {whole}");
    for _ in 0..5 {
        browser.click("[data-zoom=in]");
    }
    let near = look();
    assert!(number(&near[0]) < number(&whole[0]) / 4.0, "{near}");
    assert!(number(&near[1]) < 1.0, "{near}");
    assert!(number(&near[2]) < number(&whole[2]), "a closer look brings some: {near}");
    assert!(number(&near[3]) >= number(&whole[3]), "{near}");
    quiet(&browser);
}

#[test]
fn the_page_counts_readings_and_says_whether_a_plane_describes_them() {
    // Two water tables with a bend, one without.
    const BEYOND: &str = "The scatter exceeds the declared errors";
    const POOR: &str = "does not describe the heads (M416)";
    for (site, round, said) in [
        ("fuel-depot", "2026-04", [false, false]),
        ("closed-landfill", "2026-05", [true, false]),
        ("river-valley", "2025-09", [true, true]),
    ] {
        let copy = sample(site);
        let page = text(Drawn::sample(site).page());
        assert_eq!([BEYOND, POOR].map(|words| page.contains(words)), said, "{site}");
        let table = copy.join(format!("rounds/{round}.csv"));
        let rows = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(table).expect("a round");
        let readings = rows.into_records().count();
        assert!(page.contains(&format!(" of {readings} used</p>")), "{site}: {readings}");
    }
}
