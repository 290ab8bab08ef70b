//! What a firm adds to the map sheet: a site plan below the map, a title block, the kind of aquifer.

use std::fs;
use std::io::Cursor;
use std::path::Path;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use roxmltree::{Document, Node};

use crate::batch::{SPRING, site};
use crate::support::{Folder, ends, headfall, runs, size_of, text};

/// A plan in the project CRS: a building whose corners are wells W-0, W-1, W-5 and W-4, a road that leaves the frame, an
/// outline that crosses itself, and a building far away.
const PLAN: &str = "kind,WKT\n\
    Pump house,\"POLYGON ((440000 4650000, 440040 4650000, 440040 4650040, 440000 4650040, 440000 4650000))\"\n\
    Far shed,\"POLYGON ((449000 4650000, 449040 4650000, 449040 4650040, 449000 4650000))\"\n";
const ROAD: &str = "kind,WKT\n\
    Haul road,\"LINESTRING (430000 4650020, 450000 4650020)\"\n\
    bow tie,\"POLYGON ((440050 4650050, 440070 4650070, 440070 4650050, 440050 4650070, 440050 4650050))\"\n";

const TABLES: &str = "\n[[base]]\nfile = \"road.csv\"\nstyle = \"road\"\ncrs = \"EPSG:26915\"\n\
    [[base]]\nfile = \"plan.csv\"\nstyle = \"building\"\nname = \"Sheds (2019)\"\nlabel = \"kind\"\n\
    crs = \"EPSG:26915\"\n";

fn plain_site() -> Folder {
    let folder = Folder::new();
    site(folder.path(), "Yard", &[SPRING]);
    folder
}

fn with(folder: &Folder, more: &str) {
    let toml = folder.at("site.toml");
    fs::write(&toml, text(&toml) + more).expect("written");
}

fn sheet(folder: &Folder, out: &str) -> String {
    let out = folder.at(out);
    runs(&["draw", "--quiet", "--out"], &[&out, folder.path()]);
    text(out.join("map.svg"))
}

fn layer<'a>(svg: &'a Document, id: &str) -> Option<Node<'a, 'a>> {
    svg.descendants().find(|n| n.attribute("id") == Some(id))
}

fn words(svg: &Document) -> Vec<String> {
    svg.descendants().filter_map(|n| n.text()).map(str::to_owned).collect()
}

/// The vertices of a path, which begins its runs at places and goes on from vertex to vertex.
pub(crate) fn vertices(path: Node) -> Vec<[f64; 2]> {
    let mut here = [0.0, 0.0];
    let mut found = Vec::new();
    let d = path.attribute("d").expect("a path");
    let mut rest = d;
    while let Some(at) = rest.find(|c: char| c.is_ascii_alphabetic()) {
        let command = rest.as_bytes()[at];
        rest = &rest[at + 1..];
        let end = rest.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(rest.len());
        let numbers = rest[..end].split([' ', ',']).filter_map(|n| n.parse::<f64>().ok());
        let numbers: Vec<f64> = numbers.collect();
        for pair in numbers.chunks_exact(2) {
            here = match command {
                b'M' => [pair[0], pair[1]],
                b'l' => [here[0] + pair[0], here[1] + pair[1]],
                other => panic!("{} in {d}", other as char),
            };
            found.push(here);
        }
    }
    found
}

#[test]
fn a_plan_is_below_the_map_where_it_belongs_and_changes_nothing_else() {
    let folder = plain_site();
    let bare = sheet(&folder, "bare");
    folder.file("plan.csv", PLAN);
    folder.file("road.csv", ROAD);
    with(&folder, TABLES);
    let planned = sheet(&folder, "planned");
    let (bare, planned) =
        (Document::parse(&bare).expect("XML"), Document::parse(&planned).expect("XML"));
    assert!(layer(&bare, "site-plan").is_none());
    let plan = layer(&planned, "site-plan").expect("a plan");
    // Below everything but the paper.
    let order: Vec<&str> = planned
        .descendants()
        .filter(|n| n.tag_name().name() == "g")
        .filter_map(|n| n.attribute("id"))
        .collect();
    let at = |id: &str| order.iter().position(|o| *o == id).expect(id);
    assert!(at("paper") < at("site-plan") && at("site-plan") < at("contours"), "{order:?}");
    // Wells and frame are where they were, and as they were.
    for id in ["wells", "frame"] {
        let of = |svg: &Document| {
            let drawn = layer(svg, id).expect(id);
            let shapes = drawn.descendants().filter(Node::is_element);
            shapes.map(|n| format!("{:?}", n.attributes().collect::<Vec<_>>())).collect::<Vec<_>>()
        };
        assert_eq!(of(&bare), of(&planned), "{id}");
    }
    // The building's corners are the middles of the wells' rings.
    let rings: Vec<[f64; 2]> = layer(&planned, "wells")
        .expect("wells")
        .descendants()
        .filter(|n| n.tag_name().name() == "circle")
        .map(|n| {
            ["cx", "cy"].map(|name| n.attribute(name).expect("a place").parse().expect("a number"))
        })
        .collect();
    let paths: Vec<Node> = plan.descendants().filter(|n| n.tag_name().name() == "path").collect();
    let filled = paths.iter().find(|n| n.attribute("fill").is_some_and(|fill| fill != "none"));
    let corners = vertices(*filled.expect("an area"));
    assert!(corners.len() > 3);
    for corner in corners {
        let nearest = rings
            .iter()
            .map(|ring| libm::hypot(ring[0] - corner[0], ring[1] - corner[1]))
            .fold(f64::INFINITY, f64::min);
        assert!(nearest < 0.2, "{corner:?} is {nearest} points from the nearest well");
    }
    // What leaves the frame is cut at it: no number of the plan is outside.
    let frame = layer(&planned, "frame").expect("a frame");
    let frame = frame.descendants().find(|n| n.attribute("d").is_some()).expect("a path");
    let (xs, ys): (Vec<f64>, Vec<f64>) = vertices(frame).iter().map(|p| (p[0], p[1])).unzip();
    let ends = |v: &[f64]| v.iter().fold((f64::MAX, f64::MIN), |(a, b), x| (a.min(*x), b.max(*x)));
    let ((left, right), (top, bottom)) = (ends(&xs), ends(&ys));
    for path in &paths {
        for p in vertices(*path) {
            assert!(p[0] > left - 0.1 && p[0] < right + 0.1, "{p:?} is beyond {left} to {right}");
            assert!(p[1] > top - 0.1 && p[1] < bottom + 0.1, "{p:?} is beyond {top} to {bottom}");
        }
    }
    let words = words(&planned);
    let has = |word: &str| words.iter().any(|w| w == word);
    assert!(has("Pump house") && has("Sheds (2019)") && has("road"), "{words:?}");
    assert!(!has("Far shed") && !has("Haul road") && !has("bow tie"), "{words:?}");
    // Files of the plan are among the inputs, with their hashes.
    let summary = crate::support::json(folder.at("planned/summary.json"));
    let inputs = summary["inputs"].as_array().expect("a list");
    for file in ["plan.csv", "road.csv"] {
        assert!(inputs.iter().any(|i| i["file"] == file), "{file}");
    }
    // The scale is the same.
    let scale = |svg: &Document| {
        let shown = svg.descendants().filter_map(|n| n.text());
        shown.filter(|t| t.starts_with("1:")).map(str::to_owned).collect::<Vec<_>>()
    };
    assert_eq!(scale(&bare), scale(&planned));
}

#[test]
fn a_plan_that_cannot_be_read_is_refused_and_nothing_is_written() {
    for (tables, code, advice) in [
        ("[[base]]\nfile = \"\"\n", "R102", "names no file"),
        ("[[base]]\nfile = \"plan.csv\"\nstyle = \"castle\"\n", "R102", "castle"),
        ("[[base]]\nfile = \"no.csv\"\n", "R1", "no.csv"),
        ("[[base]]\nfile = \"plan.csv\"\n", "R1", "beside file in site.toml"),
        (
            "[[base]]\nfile = \"plan.csv\"\ncrs = \"EPSG:26915\"\nlabel = \"owner\"\n",
            "R102",
            "owner",
        ),
    ] {
        let folder = plain_site();
        folder.file("plan.csv", PLAN);
        with(&folder, &format!("\n{tables}"));
        let out = folder.at("out");
        let refused = headfall(&["draw", "--out"], &[&out, folder.path()]);
        let said = String::from_utf8_lossy(&refused.stderr).into_owned();
        ends(&refused, 2);
        assert!(said.contains(code) && said.contains(advice), "{tables}: {said}");
        assert!(!Path::new(&out).exists());
    }
}

#[test]
fn a_title_block_has_what_is_declared_and_nothing_else() {
    let folder = plain_site();
    let bare = sheet(&folder, "bare");
    with(
        &folder,
        "\n[sheet.title_block]\nfirm = \"Invented Groundwater Partners\"\nclient = \"Town of Nowhere\"\n\
         project_number = \"P-0042\"\nfigure = \"7b\"\ntitle = \"Heads of spring\"\nchecked_by = \"N. N.\"\nseal = true\n",
    );
    let drawn = sheet(&folder, "drawn");
    let (bare, drawn) =
        (Document::parse(&bare).expect("XML"), Document::parse(&drawn).expect("XML"));
    let (before, after) = (words(&bare), words(&drawn));
    let has = |word: &str| after.iter().any(|w| w == word) && !before.iter().any(|w| w == word);
    for word in [
        "Invented Groundwater Partners",
        "Client",
        "Town of Nowhere",
        "Project no.",
        "P-0042",
        "Figure",
        "7b",
        "Heads of spring",
        "Checked by",
        "N. N.",
        "Seal",
    ] {
        assert!(has(word), "{word}: {after:?}");
    }
    for word in ["Drawn by", "Date", "Revision", "Note", "Project"] {
        assert!(!after.iter().any(|w| w == word), "{word}");
    }
    // Nothing of it is beyond the paper.
    let size = |name: &str| -> f64 {
        let view = size_of(&drawn);
        if name == "width" { view[0] } else { view[1] }
    };
    for path in layer(&drawn, "panel")
        .expect("a panel")
        .descendants()
        .filter(|n| n.attribute("d").is_some())
    {
        for p in vertices(path) {
            assert!(
                p[0] > 0.0 && p[0] < size("width") && p[1] > 0.0 && p[1] < size("height"),
                "{p:?}"
            );
        }
    }
    // An empty word is refused.
    with(&folder, "note = \" \"\n");
    let refused = headfall(&["draw"], &[folder.path()]);
    ends(&refused, 2);
}

/// An invented logo, 80 by 20: a blue square beside a green one.
const LOGO: &str = "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 80 20' width='80' height='20'>\
    <rect width='20' height='20' fill='#0000ff'/><rect x='60' width='20' height='20' fill='#00ff00'/></svg>";

/// The picture that a sheet has in its panel: its place and size in points, its dots and their columns.
fn logo_on(sheet: &str) -> ([f64; 4], Vec<u8>, usize) {
    let svg = Document::parse(sheet).expect("XML");
    let panel = layer(&svg, "panel").expect("a panel");
    let image = panel.descendants().find(|n| n.tag_name().name() == "image").expect("a logo");
    let place = ["x", "y", "width", "height"]
        .map(|name| image.attribute(name).expect("a place").parse().expect("a number"));
    let data = image.attribute("href").and_then(|d| d.strip_prefix("data:image/png;base64,"));
    let bytes = STANDARD.decode(data.expect("a picture")).expect("base64");
    let mut reader = png::Decoder::new(Cursor::new(&bytes)).read_info().expect("a PNG");
    let mut dots = vec![0; reader.output_buffer_size().expect("a size")];
    let info = reader.next_frame(&mut dots).expect("dots");
    (place, dots, info.width as usize)
}

#[test]
fn a_logo_is_in_the_title_block_in_its_own_proportions() {
    // The SVG: 4 to 1, 15 mm high where the column is 60 mm wide and more.
    let folder = plain_site();
    folder.file("logo.svg", LOGO);
    with(
        &folder,
        "\n[sheet]\norientation = \"landscape\"\n[sheet.title_block]\nlogo = \"logo.svg\"\n",
    );
    let ([_, _, width, height], dots, columns) = logo_on(&sheet(&folder, "drawn"));
    assert!((width / height - 4.0).abs() < 0.03, "{width} by {height}");
    assert!(height > 30.0 && height < 42.6, "{height}");
    let rows = dots.len() / 4 / columns;
    let dot = |share: f64| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share")]
        let k = (rows / 2 * columns + (share * columns as f64) as usize) * 4;
        [dots[k], dots[k + 1], dots[k + 2], dots[k + 3]]
    };
    assert_eq!((dot(0.1), dot(0.9)), ([0, 0, 255, 255], [0, 255, 0, 255]));
    assert_eq!(dot(0.5)[3], 0);
    let summary = crate::support::json(folder.at("drawn/summary.json"));
    let inputs = summary["inputs"].as_array().expect("a list");
    assert!(inputs.iter().any(|i| i["file"] == "logo.svg"), "{inputs:?}");
    // A PNG of two dots, red and white, keeps its dots.
    let folder = plain_site();
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, 2, 1);
    encoder.set_color(png::ColorType::Rgb);
    let mut writer = encoder.write_header().expect("a PNG");
    writer.write_image_data(&[255, 0, 0, 255, 255, 255]).expect("dots");
    writer.finish().expect("a PNG");
    fs::write(folder.at("logo.png"), bytes).expect("written");
    with(&folder, "\n[sheet.title_block]\nlogo = \"logo.png\"\nfirm = \"Invented Partners\"\n");
    let ([_, _, width, height], dots, columns) = logo_on(&sheet(&folder, "drawn"));
    assert!((width / height - 2.0).abs() < 0.01, "{width} by {height}");
    assert_eq!((columns, dots), (2, vec![255, 0, 0, 255, 255, 255, 255, 255]));
    // What is no logo is refused.
    for (logo, code, said) in [
        (None, "R101", "logo.svg"),
        (Some("no drawing"), "R119", "neither a PNG nor an SVG"),
        (
            Some("<svg xmlns='http://www.w3.org/2000/svg'><text>Firm</text></svg>"),
            "R119",
            "into outlines",
        ),
        (
            Some("<svg xmlns='http://www.w3.org/2000/svg'><image href='../secret.png'/></svg>"),
            "R119",
            "../secret.png",
        ),
    ] {
        let folder = plain_site();
        if let Some(logo) = logo {
            folder.file("logo.svg", logo);
        }
        with(&folder, "\n[sheet.title_block]\nlogo = \"logo.svg\"\n");
        let out = folder.at("out");
        let refused = headfall(&["draw", "--out"], &[&out, folder.path()]);
        let words = String::from_utf8_lossy(&refused.stderr).into_owned();
        ends(&refused, 2);
        assert!(words.contains(code) && words.contains(said), "{words}");
        assert!(words.contains("site.toml, line") && !Path::new(&out).exists(), "{words}");
    }
}

#[test]
fn the_title_names_what_kind_of_surface_it_is() {
    for (declared, title) in [
        ("", "Potentiometric surface, "),
        ("aquifer = \"confined\"\n", "Potentiometric surface, confined, "),
        ("aquifer = \"unconfined\"\n", "Water table, "),
    ] {
        let folder = plain_site();
        with(&folder, declared);
        let drawn = sheet(&folder, "out");
        let drawn = Document::parse(&drawn).expect("XML");
        let title_layer = layer(&drawn, "title").expect("a title");
        let shown: Vec<&str> = title_layer.descendants().filter_map(|n| n.text()).collect();
        assert!(shown.iter().any(|t| t.starts_with(title)), "{title}: {shown:?}");
    }
}

/// Middles of the rings of wells on a sheet, points.
fn rings(svg: &Document) -> Vec<[f64; 2]> {
    let place = |n: Node, name: &str| -> f64 {
        n.attribute(name).expect("a place").parse().expect("a number")
    };
    let drawn = layer(svg, "wells").expect("wells");
    let circles = drawn.descendants().filter(|n| n.tag_name().name() == "circle");
    circles
        .filter(|n| n.attribute("fill") != Some("none"))
        .map(|n| [place(n, "cx"), place(n, "cy")])
        .collect()
}

#[test]
fn a_scale_is_kept_and_an_extent_says_what_the_frame_shows() {
    let folder = plain_site();
    with(&folder, "\n[sheet]\nscale = 800\n");
    let drawn = sheet(&folder, "scaled");
    let drawn = Document::parse(&drawn).expect("XML");
    assert!(words(&drawn).iter().any(|w| w == "1:800"), "{:?}", words(&drawn));
    // Wells are 40 m apart, on paper 50 mm: 141.73 points. The projection's scale there is 0.9996 or nearly so.
    let all = rings(&drawn);
    let nearest = all[1..]
        .iter()
        .map(|p| libm::hypot(p[0] - all[0][0], p[1] - all[0][1]))
        .filter(|d| *d > 1.0)
        .fold(f64::INFINITY, f64::min);
    assert!((nearest - 141.73).abs() < 0.3, "{nearest}");
    // A box about four wells: the others are outside, and it says so.
    let folder = plain_site();
    with(&folder, "\n[sheet]\nscale = 250\nextent = [440000, 4650000, 440040, 4650040]\n");
    let drawn = sheet(&folder, "boxed");
    let drawn = Document::parse(&drawn).expect("XML");
    // Nothing of the map is outside its frame.
    let frame =
        vertices(layer(&drawn, "frame").and_then(|n| n.first_element_child()).expect("a frame"));
    // Coordinates are rounded to hundredths of a point.
    let side = |k: usize| {
        let sides = frame.iter().map(|p| p[k]);
        let low = sides.clone().fold(f64::INFINITY, f64::min);
        low - 0.02..=sides.fold(f64::NEG_INFINITY, f64::max) + 0.02
    };
    let mut seen = 0;
    for id in ["contours", "outline", "flow", "wells"] {
        let paths = layer(&drawn, id).into_iter().flat_map(|layer| layer.descendants());
        for p in paths.filter(|n| n.has_tag_name("path")).flat_map(vertices) {
            assert!(side(0).contains(&p[0]) && side(1).contains(&p[1]), "{id}: {p:?}");
            seen += 1;
        }
    }
    assert!(seen > 10, "{seen}");
    let shown = rings(&drawn).len();
    assert!(shown >= 4 && words(&drawn).iter().any(|w| w.contains("outside the frame")), "{shown}");
    for (sheet, said) in [
        ("scale = 3", "scale = 3 is not a number from 10"),
        ("extent = \"all\"", "extent is neither"),
        ("extent = [440040, 4650000, 440000, 4650040]", "extent is neither"),
    ] {
        let folder = plain_site();
        with(&folder, &format!("\n[sheet]\n{sheet}\n"));
        let refused = headfall(&["draw"], &[folder.path()]);
        let words = String::from_utf8_lossy(&refused.stderr).into_owned();
        ends(&refused, 2);
        assert!(words.contains("R102") && words.contains(said), "{words}");
    }
}

#[test]
fn true_north_is_up_and_the_border_as_wide_as_they_are_asked_for() {
    let folder = plain_site();
    let of_grid = sheet(&folder, "grid");
    let of_grid = rings(&Document::parse(&of_grid).expect("XML"));
    with(&folder, "\n[sheet]\nnorth = \"true\"\nmargin = 30\ndpi = 200\n");
    let of_meridian = sheet(&folder, "true");
    let drawn = Document::parse(&of_meridian).expect("XML");
    let of_meridian = rings(&drawn);
    // PROJ's meridian convergence there, by pyproj 3.7.2, Proj("EPSG:26915").get_factors: -0.4848 degrees at W-0 and
    // -0.4843 60 m on. Grid north is west of true north, so that the map is turned against the clock.
    let direction = |rings: &[[f64; 2]]| {
        let (from, to) = (rings[0], rings[11]);
        libm::atan2(to[0] - from[0], from[1] - to[1]).to_degrees()
    };
    let turned = direction(&of_meridian) - direction(&of_grid);
    assert!((turned + 0.4845).abs() < 0.006, "{turned}");
    // The world file has the turn: wells are at multiples of 40 m.
    let world = text(folder.at("true").join("map.pgw"));
    let world: Vec<f64> = world.lines().map(|n| n.parse().expect("a number")).collect();
    let [a, d, b, e, c, f] = world[..] else { panic!("{world:?}") };
    // What is to the right, true east, is 90.4845 degrees from grid north: a little south of grid east.
    assert!((libm::atan2(d, a).to_degrees() + 0.4845).abs() < 0.001, "{world:?}");
    for ring in &of_meridian {
        // Dots are counted from the middle of the first.
        let [column, row] = ring.map(|points| points / 72.0 * 200.0 - 0.5);
        let (east, north) = (a * column + b * row + c, d * column + e * row + f);
        for off in [east - 440_000.0, north - 4_650_000.0] {
            assert!((off - 40.0 * (off / 40.0).round()).abs() < 0.02, "{east} {north}");
        }
    }
    // 30 mm of border are 85.04 points: the title begins there, and nothing is nearer to the edges.
    let title = layer(&drawn, "title").and_then(|n| n.first_element_child()).expect("a title");
    let left: f64 = title.attribute("x").expect("a place").parse().expect("a number");
    assert!((left - 85.04).abs() < 0.02, "{left}");
    let size = size_of(&drawn);
    assert!((size[0] - 595.28).abs() < 0.01 && (size[1] - 841.89).abs() < 0.01, "{size:?}");
    for path in ["contours", "frame", "flow"].iter().filter_map(|id| layer(&drawn, id)) {
        for p in path.descendants().filter(|n| n.has_tag_name("path")).flat_map(vertices) {
            let inside = |v: f64, side: f64| (85.0..=side - 85.0).contains(&v);
            assert!(inside(p[0], size[0]) && inside(p[1], size[1]), "{p:?}");
        }
    }
}

#[test]
fn smooth_contours_are_said_to_be_and_have_no_corners() {
    let folder = plain_site();
    let computed = sheet(&folder, "computed");
    with(&folder, "\n[contours]\ndrawn = \"smooth\"\n");
    let smooth = sheet(&folder, "smooth");
    // Planes meet at angles of some degrees; parabolas of eight pieces turn by a tenth of that from piece to piece.
    let corners = |svg: &str| {
        let svg = Document::parse(svg).expect("XML");
        let layer = layer(&svg, "contours").expect("contours");
        let paths = layer.descendants().filter(|n| n.has_tag_name("path"));
        paths.flat_map(turns).filter(|turn| *turn > 4.0).count()
    };
    let (before, after) = (corners(&computed), corners(&smooth));
    assert!(before > 10 && 4 * after < before, "{before} corners, {after} of them smooth");
    let said = |svg: &str| words(&Document::parse(svg).expect("XML")).join(" ");
    assert!(said(&smooth).contains("smoothed within") && !said(&computed).contains("smoothed"));
    let page = |out: &str| text(folder.at(out).join("report.html"));
    assert!(page("smooth").contains("smoothed within"));
    assert!(!page("computed").contains("smoothed within"));
    // Files for a GIS have the lines as computed.
    let lines = |out: &str| text(folder.at(out).join("contours.geojson"));
    assert_eq!(lines("smooth"), lines("computed"));
}

/// How much each run of a path turns from piece to piece, degrees: pieces of a point or longer.
fn turns(path: Node) -> Vec<f64> {
    let d = path.attribute("d").expect("a path");
    let mut turns = Vec::new();
    for run in d.split('M').filter(|run| !run.is_empty()) {
        let numbers: Vec<f64> =
            run.split(['l', ' ', ',', 'Z']).filter_map(|n| n.parse().ok()).collect();
        let steps: Vec<[f64; 2]> = numbers[2..].chunks_exact(2).map(|p| [p[0], p[1]]).collect();
        let long = |s: &[f64; 2]| libm::hypot(s[0], s[1]) > 1.0;
        for pair in steps.windows(2).filter(|pair| pair.iter().all(long)) {
            let [a, b] = [pair[0], pair[1]].map(|s| libm::atan2(s[1], s[0]).to_degrees());
            let turn = (b - a).rem_euclid(360.0);
            turns.push(turn.min(360.0 - turn));
        }
    }
    turns
}
