//! The map sheet, looked at from outside: its SVG as a reader of SVG sees it, the text of its PDF,
//! the dots of its PNG.

use std::fmt::Write as _;
use std::io::Cursor;
use std::path::Path;

use geo::algorithm::{Area, BooleanOps, Distance, Euclidean, Intersects};
use geo::{Coord, LineString, MultiPolygon, Polygon, coord};
use headfall::draw;
use headfall::read::{Overrides, SheetOverrides};
use headfall::report::Results;
use headfall::run::Map;
use headfall::units::LengthUnit;
use rayon::prelude::*;
use roxmltree::{Document, Node};

use crate::support::{Folder, head_of, map, sample, size_of};

/// Height of capitals and digits of the sheet's letters over the em (Noto Sans, OS/2 table).
const CAPITALS: f64 = 0.714;

// Sites without a plan.

/// Numbers from 0 to 1 without a plan: SplitMix64 (Steele, Lea and Flood 2014).
struct Chance(u64);

impl Chance {
    fn part(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.part()
    }
}

/// A site of 4 to 120 wells on a slope with a mound and a hollow, 40 m to 6 km wide; of every fifth nine more wells are close
/// together.
fn site(number: u64) -> (String, LengthUnit) {
    let mut chance = Chance(number.wrapping_mul(0x1234_5678_9abc_def1));
    let unit = if chance.part() < 0.5 { LengthUnit::Metre } else { LengthUnit::Foot };
    // Few wells more often than many.
    let most = chance.part() * chance.part() * chance.part();
    let wells = 4 + (0..116).filter(|i| f64::from(*i) < 116.0 * most).count();
    let width = 40.0 * libm::pow(150.0, chance.part());
    let height = width * libm::pow(4.0, chance.between(-1.0, 1.0));
    let fall = chance.between(0.2, 8.0);
    let turn = chance.between(0.0, std::f64::consts::TAU);
    let bumps: Vec<[f64; 4]> = [1.0, -1.0]
        .map(|sign| {
            let depth = sign * chance.between(0.0, 1.2) * fall;
            [chance.part(), chance.part(), depth, chance.between(0.05, 0.3)]
        })
        .to_vec();
    let mut table = format!("well,easting (m),northing (m),elevation ({unit})\n");
    let mut scattered: Vec<(f64, f64)> =
        (0..wells).map(|_| (chance.part(), chance.part())).collect();
    if number.is_multiple_of(5) {
        let (x, y) = (chance.between(0.3, 0.7), chance.between(0.3, 0.7));
        scattered
            .extend((0..9).map(|i| (x + 0.008 * f64::from(i % 3), y + 0.008 * f64::from(i / 3))));
    }
    for (well, (x, y)) in scattered.into_iter().enumerate() {
        let slope = fall * (x * libm::cos(turn) + y * libm::sin(turn));
        let bump: f64 = bumps
            .iter()
            .map(|[at_x, at_y, depth, wide]| {
                let d2 = (x - at_x).powi(2) + (y - at_y).powi(2);
                depth * libm::exp(-d2 / (wide * wide))
            })
            .sum();
        let head = 250.0 + slope + bump + chance.between(-0.02, 0.02) * fall;
        let name = if chance.part() < 0.1 { "Monitoring well, deep nest" } else { "MW" };
        let (east, north) = (480_000.0 + x * width, 4_980_000.0 + y * height);
        let _ = writeln!(table, "\"{name}-{well}\",{east:.2},{north:.2},{head:.3}");
    }
    (table, unit)
}

/// A plan of six buildings with names and a road over the places of some wells.
fn plan_of(table: &str) -> String {
    let places: Vec<(f64, f64)> = table
        .lines()
        .skip(1)
        .map(|line| {
            let mut cells = line.rsplitn(4, ',').skip(1);
            let mut number = || cells.next().expect("a cell").parse::<f64>().expect("a number");
            let north = number();
            (number(), north)
        })
        .collect();
    let side = (places[0].0 - places[1].0).abs().max(1.0) / 4.0;
    let mut plan = "kind,WKT\n".to_owned();
    for (k, (x, y)) in places.iter().take(6).enumerate() {
        let (right, top) = (x + side, y + side);
        let _ = writeln!(
            plan,
            "Hall {k},\"POLYGON (({x} {y}, {right} {y}, {right} {top}, {x} {top}, {x} {y}))\""
        );
    }
    plan
}

/// Every third site has a plan below its map.
fn random_map(number: u64) -> Map {
    let (table, unit) = site(number);
    let folder = Folder::new();
    if number.is_multiple_of(3) {
        folder.file("plan.csv", plan_of(&table));
        let base = "[[base]]\nfile = \"plan.csv\"\nstyle = \"building\"\nlabel = \"kind\"\ncrs = \"EPSG:26915\"\n";
        folder.file("site.toml", base);
    }
    let path = folder.file("wells.csv", table);
    let overrides = Overrides {
        crs: Some("EPSG:26915".to_owned()),
        elevation_unit: Some(unit),
        ..Overrides::default()
    };
    map(&path, &overrides).0.expect("a map")
}

fn sample_map(name: &str, sheet: SheetOverrides) -> Map {
    map(&sample(name), &Overrides { sheet, ..Overrides::default() }).0.expect("a map")
}

// The SVG, read.

/// A line of text on the sheet.
#[derive(Debug)]
struct Label {
    layer: String,
    text: String,
    angle: f64,
    cover: Polygon,
}

fn attribute(node: &Node, name: &str) -> f64 {
    node.attribute(name).unwrap_or("0").parse().expect("a number")
}

fn labels(svg: &Document) -> Vec<Label> {
    svg.descendants().filter(|n| n.has_tag_name("text")).map(|n| label(&n)).collect()
}

fn label(node: &Node) -> Label {
    let (x, y) = (attribute(node, "x"), attribute(node, "y"));
    let turn = node.attribute("transform").map_or(0.0, |t| {
        let inside = t.strip_prefix("rotate(").and_then(|t| t.split(' ').next());
        inside.expect("a turn").parse().expect("degrees")
    });
    let angle = f64::to_radians(turn);
    let along = coord! { x: angle.cos(), y: angle.sin() };
    let up = coord! { x: along.y, y: -along.x };
    let (length, height) = (attribute(node, "textLength"), attribute(node, "font-size") * CAPITALS);
    let start = coord! { x: x, y: y };
    let corners = vec![
        start,
        start + along * length,
        start + along * length + up * height,
        start + up * height,
    ];
    Label {
        layer: node.parent().and_then(|p| p.attribute("id")).unwrap_or_default().to_owned(),
        text: node.text().unwrap_or_default().to_owned(),
        angle: turn,
        cover: Polygon::new(LineString(corners), Vec::new()),
    }
}

fn layer<'a>(svg: &'a Document, id: &str) -> Node<'a, 'a> {
    svg.descendants().find(|n| n.attribute("id") == Some(id)).expect("the layer")
}

/// The rings of the wells: middles and radii.
fn rings(svg: &Document) -> Vec<(Coord, f64)> {
    layer(svg, "wells")
        .children()
        .filter(|n| n.has_tag_name("circle") && n.attribute("stroke").is_some())
        .map(|n| (coord! { x: attribute(&n, "cx"), y: attribute(&n, "cy") }, attribute(&n, "r")))
        .collect()
}

/// The first path of the frame's layer: left, top, right, bottom.
fn frame(svg: &Document) -> [f64; 4] {
    let path = layer(svg, "frame").children().find(|n| n.has_tag_name("path")).expect("a frame");
    let d = path.attribute("d").expect("a path");
    let numbers: Vec<f64> = d
        .split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
        .filter(|t| !t.is_empty())
        .map(|t| t.parse().expect("a number"))
        .collect();
    let [x, y, width, _, _, height] = numbers[..6] else { panic!("{d}") };
    [x, y, x + width, y + height]
}

/// From the project's coordinates to the sheet, by two wells far from each other.
fn transform(map: &Map, rings: &[(Coord, f64)]) -> impl Fn(Coord) -> Coord {
    let places: Vec<Coord> = map.control.points().iter().map(|p| p.crs).collect();
    assert_eq!(places.len(), rings.len(), "a ring for each well");
    let apart = |a: Coord, b: Coord| (b.x - a.x).hypot(b.y - a.y);
    let far = (0..places.len())
        .max_by(|a, b| apart(places[0], places[*a]).total_cmp(&apart(places[0], places[*b])))
        .expect("wells");
    let scale = apart(rings[0].0, rings[far].0) / apart(places[0], places[far]);
    let (from, to) = (places[0], rings[0].0);
    move |p| coord! { x: to.x + (p.x - from.x) * scale, y: to.y - (p.y - from.y) * scale }
}

// What must hold on every sheet.

/// Complaints about a sheet, how many labels of contours and of wells it has, and its layers.
fn complaints(map: &Map) -> (Vec<String>, [usize; 2], Vec<String>) {
    let text = draw::sheet(&Results::of(map, &[])).expect("a sheet").svg();
    let svg = Document::parse(&text).expect("an SVG");
    let labels = labels(&svg);
    let rings = rings(&svg);
    let mut found = Vec::new();
    overlaps(&labels, &mut found);
    let view = size_of(&svg);
    let [left, top, right, bottom] = frame(&svg);
    for label in &labels {
        let on_map = label.layer.ends_with("labels");
        if !within(
            &label.cover,
            if on_map { [left, top, right, bottom] } else { [0.0, 0.0, view[0], view[1]] },
        ) {
            found.push(format!(
                "\"{}\" of {} is off the sheet or its frame",
                label.text, label.layer
            ));
        }
        if !(label.angle > -90.0 - 1e-9 && label.angle <= 90.0) {
            found.push(format!("\"{}\" stands on its head: {} degrees", label.text, label.angle));
        }
        for (middle, radius) in rings.iter().filter(|_| on_map) {
            let gap = Euclidean.distance(&geo::Point(*middle), &label.cover);
            if gap < *radius {
                found.push(format!("\"{}\" is {gap} from a well of radius {radius}", label.text));
            }
        }
    }
    unlabelled(map, &labels, transform(map, &rings), &mut found);
    let on_wells = labels.iter().filter(|l| l.layer == "well-labels").count();
    let layers = svg.descendants().filter_map(|n| n.attribute("id")).map(str::to_owned).collect();
    (found, [on_contours(&labels).len(), on_wells], layers)
}

fn within(cover: &Polygon, [left, top, right, bottom]: [f64; 4]) -> bool {
    cover.exterior().0.iter().all(|c| {
        c.x >= left - 0.01 && c.x <= right + 0.01 && c.y >= top - 0.01 && c.y <= bottom + 0.01
    })
}

fn overlaps(labels: &[Label], found: &mut Vec<String>) {
    // Figures next to each other on a curve come nearer on its inner side.
    let figure = |l: &Label| l.layer == "contour-labels" && l.text.chars().count() == 1;
    for (i, a) in labels.iter().enumerate() {
        for (k, b) in labels[i + 1..].iter().enumerate() {
            let neighbours = k == 0 && figure(a) && figure(b);
            if !neighbours && a.cover.intersects(&b.cover) {
                let both = a.cover.intersection(&b.cover).unsigned_area();
                // Coordinates are rounded to hundredths of a point.
                if both > 0.05 {
                    found.push(format!("\"{}\" and \"{}\" overlap by {both}", a.text, b.text));
                }
            }
        }
    }
}

/// Labels of contours; figures that follow a curve, each a text of its own, as the label that they are together.
fn on_contours(labels: &[Label]) -> Vec<(String, MultiPolygon)> {
    let mut whole: Vec<(String, Vec<Polygon>)> = Vec::new();
    let mut open = false;
    for label in labels.iter().filter(|l| l.layer == "contour-labels") {
        let is_figure = label.text.chars().count() == 1;
        match whole.last_mut() {
            Some((text, covers))
                if open
                    && is_figure
                    && Euclidean.distance(&covers[covers.len() - 1], &label.cover) < 1.0 =>
            {
                text.push_str(&label.text);
                covers.push(label.cover.clone());
            }
            _ => whole.push((label.text.clone(), vec![label.cover.clone()])),
        }
        open = is_figure;
    }
    whole.into_iter().map(|(text, covers)| (text, MultiPolygon(covers))).collect()
}

/// Contours that are longer than their label and carry none.
fn unlabelled(
    map: &Map,
    labels: &[Label],
    to_sheet: impl Fn(Coord) -> Coord,
    found: &mut Vec<String>,
) {
    let on_contours = on_contours(labels);
    for line in &map.contours.lines {
        let points: Vec<Coord> = line.points.iter().map(|p| to_sheet(*p)).collect();
        let length: f64 = points.windows(2).map(|w| (w[1].x - w[0].x).hypot(w[1].y - w[0].y)).sum();
        let level = |text: &str| text.parse::<f64>().is_ok_and(|v| (v - line.level).abs() < 1e-9);
        // Noto Sans: a digit advances 0.572 em, a bold one too, a point 0.268 and 0.286; labels
        // are of 6.4 points with 1.6 points clear at each end, times 7.0 / 6.2.
        let decimals =
            on_contours.first().map_or(0, |(text, _)| text.split('.').nth(1).map_or(0, str::len));
        let text = format!("{:.decimals$}", line.level);
        let points_in_text = text.matches('.').count() as f64;
        let digits = text.len() as f64 - points_in_text;
        let own = 7.0 / 6.2 * (6.4 * (0.572 * digits + 0.286 * points_in_text) + 3.2);
        if length <= own + 0.5 {
            continue;
        }
        let line = LineString(points);
        let carried = on_contours.iter().any(|(text, covers)| {
            level(text) && covers.iter().any(|cover| Euclidean.distance(&line, cover) < 1.0)
        });
        if !carried {
            found.push(format!("the contour of {text}, {length:.1} points long, carries no label"));
        }
    }
}

#[test]
fn on_200_random_sites_no_label_meets_another_and_every_contour_has_one() {
    let seen = (0..200u64).into_par_iter().map(|number| {
        let (found, labels, layers) = complaints(&random_map(number));
        (number, found, labels, layers)
    });
    let seen: Vec<_> = seen.collect();
    let found: Vec<_> = seen.iter().filter(|seen| !seen.1.is_empty()).collect();
    assert!(found.is_empty(), "{} sites: {found:#?}", found.len());
    let with = |layer: &str| seen.iter().filter(|seen| seen.3.iter().any(|l| l == layer)).count();
    let (insets, tables, plans) = (with("inset-labels"), with("key-labels"), with("site-plan"));
    assert!(insets > 10 && tables > 20 && plans > 60, "{insets}, {tables}, {plans} sheets");
    // Something was looked at: some ten contours and some eighteen wells a site, two lines each.
    let labels = |i: usize| seen.iter().map(|seen| seen.2[i]).sum::<usize>();
    assert!(labels(0) > 2000, "{} labels of contours", labels(0));
    assert!(labels(1) > 6000, "{} names and heads", labels(1));
}

#[test]
fn the_check_of_labels_sees_what_is_wrong() {
    let drawn = "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 100 100'>\
        <g id='well-labels'><text x='10' y='20' font-size='10' textLength='20'>A</text>\
        <text x='25' y='22' font-size='10' textLength='20'>B</text>\
        <text x='60' y='60' font-size='10' textLength='20' transform='rotate(90 60 60)'>C</text>\
        </g></svg>";
    let svg = Document::parse(drawn).expect("an SVG");
    let labels = labels(&svg);
    let mut found = Vec::new();
    overlaps(&labels, &mut found);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("\"A\" and \"B\""), "{found:?}");
    // A turn by 90 degrees: 20 points down from the start.
    assert!(within(&labels[2].cover, [59.0, 59.0, 68.0, 81.0]), "{:?}", labels[2].cover);
    assert!(!within(&labels[2].cover, [59.0, 59.0, 68.0, 79.0]));
}

#[test]
fn the_sample_sites_keep_the_same_rules() {
    for name in ["fuel-depot", "river-valley", "closed-landfill"] {
        let map = sample_map(name, SheetOverrides::default());
        let text = draw::sheet(&Results::of(&map, &[])).expect("a sheet").svg();
        let svg = Document::parse(&text).expect("an SVG");
        let mut found = Vec::new();
        overlaps(&labels(&svg), &mut found);
        assert!(found.is_empty(), "{name}: {found:#?}");
    }
}

// The formats.

/// The numbers of a text and what stands between them.
fn taken_apart(text: &str) -> (Vec<f64>, String) {
    let (mut numbers, mut rest, mut number) = (Vec::new(), String::new(), String::new());
    for c in text.chars().chain(['\n']) {
        let continues = c.is_ascii_digit()
            || (c == '.' && !number.contains('.'))
            || (c == '-' && number.is_empty());
        if continues {
            number.push(c);
            continue;
        }
        if let Ok(value) = number.parse::<f64>() {
            numbers.push(value);
            rest.push('#');
        } else {
            rest.push_str(&number);
        }
        number.clear();
        if c == '-' || c == '.' {
            number.push(c);
        } else {
            rest.push(c);
        }
    }
    (numbers, rest)
}

#[test]
fn the_drawing_of_a_sample_site_is_the_one_that_was_looked_at() {
    let golden = include_str!("data/sheet/closed-landfill.svg");
    let map = sample_map("closed-landfill", SheetOverrides::default());
    let drawn = draw::sheet(&Results::of(&map, &[])).expect("a sheet").svg();
    let (expected, words) = taken_apart(golden);
    let (found, found_words) = taken_apart(&drawn);
    let new = Path::new(env!("CARGO_TARGET_TMPDIR")).join("closed-landfill.svg");
    if drawn != golden {
        std::fs::write(&new, &drawn).expect("a file");
    }
    assert!(
        found_words == words,
        "signs and words differ; look at {}, then keep it as tests/data/sheet/closed-landfill.svg",
        new.display()
    );
    assert_eq!(found.len(), expected.len(), "numbers");
    for (i, (a, b)) in found.iter().zip(&expected).enumerate() {
        assert!((a - b).abs() <= 0.05, "number {i} is {a} and was {b}");
    }
}

#[test]
fn numbers_are_told_from_words() {
    let (numbers, rest) = taken_apart("M-1.5.25l3-4 MW-1 rotate(.5 6)");
    assert_eq!(numbers, [-1.5, 0.25, 3.0, -4.0, -1.0, 0.5, 6.0]);
    assert_eq!(rest, "M##l## MW# rotate(# #)\n");
}

/// The text of a PDF, by a reader of PDF.
fn text_of(pdf: &[u8]) -> String {
    let document = lopdf::Document::load_mem(pdf).expect("a PDF");
    assert_eq!(document.get_pages().len(), 1, "one page");
    document.extract_text(&[1]).expect("text")
}

#[test]
fn the_pdf_has_every_name_and_head_of_the_head_table_as_text() {
    for name in ["fuel-depot", "closed-landfill"] {
        let folder = Folder::new();
        let out = folder.path().join("map");
        headfall::run::draw(&sample(name), &Overrides::default(), Some(&out), &mut Vec::new())
            .expect("drawn");
        let text = text_of(&std::fs::read(out.join("map.pdf")).expect("a PDF"));
        let lines: Vec<&str> = text.lines().map(str::trim).collect();
        let mut reader = csv::Reader::from_path(out.join("heads.csv")).expect("heads");
        let mut used = 0;
        for row in reader.deserialize::<std::collections::BTreeMap<String, String>>() {
            let row = row.expect("a row");
            let well = row["well"].as_str();
            assert!(lines.contains(&well), "{name}: {well} is not in {lines:?}");
            if row["used_for_contouring"] == "yes" {
                let head = head_of(&row);
                let pair = |w: &[&str]| {
                    // A head that was corrected for product is marked.
                    let posted = w[1].trim_end_matches('*').parse::<f64>();
                    w[0] == well && posted.is_ok_and(|h| (h - head).abs() <= 0.0051)
                };
                assert!(lines.windows(2).any(pair), "{name}: {well} at {head} is not in {lines:?}");
                used += 1;
            }
        }
        assert!(used >= 5, "{name}: {used} heads compared");
        for words in ["Contours between wells are inferred.", "Cautions"] {
            assert!(text.contains(words), "{name}: \"{words}\"");
        }
    }
}

#[test]
fn the_pdf_embeds_its_fonts() {
    let map = sample_map("closed-landfill", SheetOverrides::default());
    let pdf = draw::sheet(&Results::of(&map, &[])).expect("a sheet").pdf().expect("a PDF");
    let document = lopdf::Document::load_mem(&pdf).expect("a PDF");
    let descriptors: Vec<_> = document
        .objects
        .values()
        .filter_map(|o| o.as_dict().ok())
        .filter(|d| d.get(b"Type").and_then(|t| t.as_name()).is_ok_and(|n| n == b"FontDescriptor"))
        .collect();
    assert_eq!(descriptors.len(), 2, "regular and bold");
    assert!(descriptors.iter().all(|d| d.has(b"FontFile2") || d.has(b"FontFile3")), "embedded");
}

#[test]
fn the_png_is_as_large_as_paper_and_resolution_say_and_shows_something() {
    // ISO 216: A3 is 297 by 420 mm; ANSI B is 11 by 17 inches.
    for (page, dpi, sides) in [
        (headfall::read::Page::A3, 100, [1169, 1654]),
        (headfall::read::Page::Tabloid, 72, [792, 1224]),
    ] {
        let over = SheetOverrides { page: Some(page), dpi: Some(dpi), ..SheetOverrides::default() };
        let map = sample_map("fuel-depot", over);
        let sheet = draw::sheet(&Results::of(&map, &[])).expect("a sheet");
        let png = sheet.png().expect("a PNG");
        let mut reader = png::Decoder::new(Cursor::new(&png)).read_info().expect("a PNG");
        let mut dots = vec![0; reader.output_buffer_size().expect("a size")];
        let info = reader.next_frame(&mut dots).expect("dots");
        let mut found = [info.width, info.height];
        found.sort_unstable();
        assert_eq!(found, sides, "{page:?}");
        let inked = dots.chunks_exact(3).filter(|d| d.iter().all(|v| *v < 100)).count();
        let part = inked as f64 / f64::from(sides[0] * sides[1]);
        assert!((0.002..0.2).contains(&part), "{page:?}: {part} of the paper is inked");
    }
}

#[test]
fn threads_do_not_change_a_byte() {
    let over = SheetOverrides { shading: true, dpi: Some(60), ..SheetOverrides::default() };
    let drawn = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| {
            let map = sample_map("fuel-depot", over);
            let sheet = draw::sheet(&Results::of(&map, &[])).expect("a sheet");
            let svg = sheet.svg();
            (sheet.pdf().expect("a PDF"), sheet.png().expect("a PNG"), svg)
        })
    };
    let one = drawn(1);
    for threads in [2, 5] {
        let more = drawn(threads);
        assert!(one.0 == more.0, "the PDF on {threads} threads");
        assert!(one.1 == more.1, "the PNG on {threads} threads");
        assert!(one.2 == more.2, "the SVG on {threads} threads");
    }
}

#[test]
fn data_only_leaves_the_sheet_out() {
    let folder = Folder::new();
    let out = folder.path().join("map");
    let sheet = SheetOverrides { data_only: true, ..SheetOverrides::default() };
    let overrides = Overrides { sheet, ..Overrides::default() };
    let drawn = headfall::run::draw(&sample("fuel-depot"), &overrides, Some(&out), &mut Vec::new());
    let files = drawn.expect("drawn").files;
    assert!(files.iter().all(|f| !f.ends_with("map.svg") && !f.ends_with("map.pdf")), "{files:?}");
    for left_out in ["map.png", "report.html", "layers.gpkg"] {
        assert!(!out.join(left_out).exists(), "{left_out}");
    }
    assert!(out.join("heads.csv").exists());
}

/// The numbers of an array in the dictionary of a PDF.
fn numbers(of: &lopdf::Dictionary, key: &[u8]) -> Vec<f64> {
    let array = of.get(key).and_then(|o| o.as_array()).expect("an array");
    let number = |o: &lopdf::Object| match o {
        lopdf::Object::Integer(n) => n.to_string().parse().expect("a number"),
        lopdf::Object::Real(n) => f64::from(*n),
        other => panic!("{other:?}"),
    };
    array.iter().map(number).collect()
}

#[test]
fn a_gis_has_picture_and_pdf_where_the_wells_are() {
    let folder = Folder::new();
    crate::batch::site(folder.path(), "Yard", &[crate::batch::SPRING]);
    let out = folder.path().join("out");
    crate::support::runs(&["draw", "--quiet", "--dpi", "200", "--out"], &[&out, folder.path()]);
    let text = crate::support::text(out.join("map.svg"));
    let (document, rings) = (Document::parse(&text).expect("XML"), rings_of(&text));
    let view = size_of(&document);
    // Four wells of the southern row, 40 m apart, and the three of the western column: their dots at 200 in an inch.
    let world = crate::support::text(out.join("map.pgw"));
    let world: Vec<f64> = world.lines().map(|n| n.parse().expect("a number")).collect();
    let [step_x, 0.0, 0.0, step_y, x, y] = world[..] else { panic!("{world:?}") };
    assert!((step_x + step_y).abs() < 1e-9 && step_x > 0.0, "{world:?}");
    let places = [0, 1, 2, 3, 4, 8]
        .map(|w| (440_000.0 + 40.0 * f64::from(w % 4), 4_650_000.0 + 40.0 * f64::from(w / 4)));
    for (east, north) in places {
        // From the middle of the first dot, whose place on the sheet is half a dot from its corner.
        let (column, row) = ((east - x) / step_x + 0.5, (north - y) / step_y + 0.5);
        let on_sheet = [column, row].map(|dots| dots / 200.0 * 72.0);
        let nearest = rings
            .iter()
            .map(|ring| libm::hypot(ring[0] - on_sheet[0], ring[1] - on_sheet[1]))
            .fold(f64::INFINITY, f64::min);
        assert!(nearest < 0.03, "{east} {north} is {nearest} points from the nearest ring");
    }
    // The PDF: a reader takes the corners to the projected CRS and finds a place by its share of the box.
    let pdf = lopdf::Document::load(out.join("map.pdf")).expect("a PDF");
    let (_, page) = pdf.get_pages().into_iter().next().expect("a page");
    let page = pdf.get_dictionary(page).expect("a dictionary");
    let ports = page.get(b"VP").and_then(|o| o.as_array()).expect("viewports");
    let port = ports[0].as_dict().expect("a viewport");
    let measure = port.get(b"Measure").and_then(|o| o.as_dict()).expect("a measure");
    assert_eq!(measure.get(b"Subtype").and_then(|o| o.as_name()).expect("a name"), b"GEO");
    let gcs = measure.get(b"GCS").and_then(|o| o.as_dict()).expect("a CRS");
    assert_eq!(gcs.get(b"EPSG").and_then(lopdf::Object::as_i64).expect("a code"), 26915);
    let (box_, shares) = (numbers(port, b"BBox"), numbers(measure, b"LPTS"));
    assert_eq!(shares, [0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0, 0.0]);
    // The library reads single numbers; degrees are taken from the file.
    let bytes = std::fs::read(out.join("map.pdf")).expect("read");
    let tail = String::from_utf8_lossy(&bytes[bytes.len() - 2000..]).into_owned();
    let degrees = tail.split("/GPTS[").nth(1).and_then(|t| t.split(']').next()).expect("degrees");
    let degrees: Vec<f64> = degrees.split(' ').map(|n| n.parse().expect("a number")).collect();
    let crs = |code| {
        let mut crs = gdal::spatial_ref::SpatialRef::from_epsg(code).expect("a CRS");
        crs.set_axis_mapping_strategy(gdal::spatial_ref::AxisMappingStrategy::TraditionalGisOrder);
        crs
    };
    // NAD83, the datum of EPSG:26915.
    let way = gdal::spatial_ref::CoordTransform::new(&crs(4269), &crs(26915)).expect("a way");
    let mut lats: Vec<f64> = degrees.iter().step_by(2).copied().collect();
    let mut lons: Vec<f64> = degrees.iter().skip(1).step_by(2).copied().collect();
    way.transform_coords(&mut lons, &mut lats, &mut []).expect("places");
    let (easts, norths) = (lons, lats);
    for (east, north) in places {
        let u = (east - easts[0]) / (easts[3] - easts[0]);
        let v = (north - norths[0]) / (norths[1] - norths[0]);
        let on_sheet =
            [box_[0] + u * (box_[2] - box_[0]), view[1] - (box_[1] + v * (box_[3] - box_[1]))];
        // Half a metre at 1:750 is 1.9 points.
        let nearest = rings
            .iter()
            .map(|ring| libm::hypot(ring[0] - on_sheet[0], ring[1] - on_sheet[1]))
            .fold(f64::INFINITY, f64::min);
        assert!(nearest < 0.05, "{east} {north} is {nearest} points from the nearest ring");
    }
    // Both are on record, and verified.
    let summary = crate::support::json(out.join("summary.json"));
    assert!(summary["files"].as_array().expect("a list").iter().any(|f| f == "map.pgw"));
    assert!(crate::support::text(out.join("files.sha256")).contains("  map.pgw"));
    crate::support::runs(&["verify"], &[&out]);
    // In local coordinates there is nowhere on earth to put it.
    let toml = folder.path().join("site.toml");
    let local = crate::support::text(&toml).replace("EPSG:26915", "local");
    std::fs::write(&toml, local.replace("elevation_unit", "length_unit = \"m\"\nelevation_unit"))
        .expect("written");
    crate::support::runs(&["draw", "--quiet", "--out"], &[&out, folder.path()]);
    assert!(out.join("map.png").exists() && !out.join("map.pgw").exists());
    let bytes = std::fs::read(out.join("map.pdf")).expect("read");
    assert!(!bytes.windows(9).any(|w| w == b"/Viewport"));
}

/// Middles of the rings of wells on a sheet, points.
fn rings_of(text: &str) -> Vec<[f64; 2]> {
    let svg = Document::parse(text).expect("XML");
    let layer = svg.descendants().find(|n| n.attribute("id") == Some("wells")).expect("wells");
    let circles = layer.descendants().filter(|n| n.tag_name().name() == "circle");
    let number = |n: roxmltree::Node, name: &str| -> f64 {
        n.attribute(name).expect("a place").parse().expect("a number")
    };
    circles.map(|n| [number(n, "cx"), number(n, "cy")]).collect()
}
